"""Examples read with one scheme of theirs changed: lines taken out, or put in place of others."""

from __future__ import annotations

from pathlib import Path

from netdsl.network import Network
from tests.states.drawn_circuits import network_of

ROOT = Path(__file__).parents[2]
#: example -> file and name of the scheme that wires it
SCHEMES = {
    "mains-bypass": ("schemes-motor.netdsl", "mains-bypass"),
    "alternating-pumps": ("schemes-pumps.netdsl", "alternating-pump"),
    "fixed-lead-pumps": ("schemes-pumps.netdsl", "fixed-lead-assist"),
    "reversing": ("schemes-motor.netdsl", "reversing"),
    "star-delta": ("schemes-motor.netdsl", "star-delta"),
    "direct-on-line": ("schemes-motor.netdsl", "direct-on-line"),
    "emergency-stop": ("schemes-safety.netdsl", "emergency-stop"),
}


def scheme_lines(example: str) -> list[str]:
    """The lines of the scheme that wires an example."""
    file, name = SCHEMES[example]
    library = (ROOT / "netdsl" / "library" / file).read_text("utf-8")
    start = library.index(f"scheme {name}(")
    return library[start : library.index("\n}\n", start) + 2].split("\n")


def changed(example: str, *changes: tuple[str, str]) -> Network:
    """The example's network with the first part of each change replaced by the second in its scheme, everywhere in it."""
    body = "\n".join(scheme_lines(example))
    for right, wrong in changes:
        assert right in body, right
        body = body.replace(right, wrong)
    text = (ROOT / "examples" / example / "plant.netdsl").read_text("utf-8")
    return network_of(f"{text}\n{body}\n")
