"""`python -m render.scheme_pages`: write the page of shipped schemes and its pictures anew.

The page (netdsl/library/SCHEMES.md) says of each scheme what the library says above it and what a `use` gives; each
picture (examples/NAME/circuits.svg) is the circuit diagram of the example that uses it, the sheet on which most is drawn.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from netdsl.library.catalogue import Entry, schemes
from netdsl.model import read_plant
from netdsl.model.files import library_scheme
from netdsl.network import build_network
from netdsl.starting.practice import ways, words_of_ways
from render.drawing import Drawing
from render.drawings.circuits import circuit_sheets
from render.layout.frame import framed
from render.sheet import Sheet
from render.writers.svg import svg_bytes

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "netdsl" / "library" / "SCHEMES.md"
EXAMPLES = ROOT / "examples"
PICTURE = "circuits.svg"
HEAD = """# Shipped schemes

Written by `python -m render.scheme_pages` from the library and the examples; do not edit. Sections, lengths and ratings are
typical values, to be checked against local codes and the data of the manufacturer chosen. Isolate, lock off, wait for the
DC link to discharge and prove dead before touching anything; skilled persons only, and a licensed person signs.
"""
_FONT = re.compile(rb"data:font/woff;base64,[A-Za-z0-9+/=]+")
_USE = re.compile(r"^\s*use\s+([\w.-]+)", re.MULTILINE)


def page() -> str:
    """The whole page."""
    return "\n".join([HEAD, *_ways(), *(line for entry in schemes() for line in _section(entry))]).rstrip() + "\n"


def drawing_of(folder: Path) -> Drawing:
    """The example in `folder` as it is drawn."""
    plant, _ = read_plant(folder)
    if plant is None:
        raise ValueError(f"example {folder.name} cannot be read")
    return Drawing(build_network(plant)[0])


def pictures(drawn: Callable[[Path], Drawing] = drawing_of) -> dict[Path, bytes]:
    """File and content of each picture, with its font: a page that shows a picture loads nothing beside it. `drawn`: gives the
    example in a folder as it is drawn."""
    shown = sorted({name for entry in schemes() if (name := _example_of(entry.name))})
    return {EXAMPLES / name / PICTURE: svg_bytes(_sheet(drawn(EXAMPLES / name)), standalone=True) for name in shown}


def without_fonts(picture: bytes) -> bytes:
    """A picture without the fonts in it, for comparing: another version of the font tool cuts and packs them otherwise."""
    return _FONT.sub(b"", picture)


def stale(drawn: Callable[[Path], Drawing] = drawing_of) -> dict[Path, bytes]:
    """Those pictures that are missing or drawn otherwise by now; `drawn`: as of `pictures`."""
    found = pictures(drawn)
    return {
        path: content
        for path, content in found.items()
        if not path.exists() or without_fonts(path.read_bytes()) != without_fonts(content)
    }


def _ways() -> Iterator[str]:
    """How a list of motors asks for schemes."""
    yield "## By the words of a motor list\n"
    yield "`netdsl new DIR --from MOTORS` takes in the column `way of running` one of these words; capitals, blanks and signs"
    yield "between their parts do not matter (`Soft starter`, `VFD + bypass`).\n"
    yield "| way of running | scheme | up to | other words |\n|---|---|---|---|"
    for way in ways().values():
        scheme = way.scheme if library_scheme(way.scheme) else f"{way.scheme}-first"
        others = ", ".join(f"`{word}`" for word in words_of_ways()[way.name])
        yield f"| `{way.name}` | [{way.scheme}](#{scheme}) | {way.largest_kw:g} kW | {others} |"
    yield ""


def _section(entry: Entry) -> Iterator[str]:
    assert entry.scheme is not None
    yield f"## {entry.name}\n"
    yield f"{entry.title}.\n"
    if entry.note:
        yield f"{entry.note}\n"
    wanted = [f"`{param.name.text}`" for param in entry.scheme.params if param.default is None]
    given = [f"`{param.name.text}={param.default.span.text}`" for param in entry.scheme.params if param.default is not None]
    yield f"A `use` gives {', '.join(wanted) or 'nothing'}" + (f"; it may give {', '.join(given)}.\n" if given else ".\n")
    example = _example_of(entry.name)
    if example is not None:
        yield f"Example: [examples/{example}](../../examples/{example}/plant.netdsl)\n"
        yield f"![Drawing of {example}](../../examples/{example}/{PICTURE})\n"


@cache
def _uses() -> dict[str, list[str]]:
    """Scheme -> examples that use it, in order of their names."""
    found: dict[str, list[str]] = {}
    for file in sorted(EXAMPLES.glob("*/plant.netdsl")):
        for name in dict.fromkeys(_USE.findall(file.read_text("utf-8"))):
            found.setdefault(name, []).append(file.parent.name)
    return found


def _example_of(scheme: str) -> str | None:
    """The example that shows `scheme`: the one of its name, else the first small one that uses it."""
    named = [name for name in _uses().get(scheme, []) if name != "hatchery"]
    return scheme if scheme in named else named[0] if named else None


def _sheet(drawing: Drawing) -> Sheet:
    """The sheet shown for an example."""
    # sheets of functions are called after them, those of what belongs to none after its place
    sheets = [sheet for sheet in circuit_sheets(drawing) if sheet.part_of.startswith("=")]
    return framed(max(sheets, key=lambda sheet: len(sheet.primitives)), drawing.plant.project)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    for path, content in stale().items():
        path.write_bytes(content)
