"""The words of a terminal drawing: sizes, marks, strip lengths and torques, winding links."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Role, Terminal
from netdsl.network.types import Run
from netdsl.quantities import number_text

#: links in a motor's terminal box, by connection
WINDING_LINKS = {
    "delta": (("U1", "W2"), ("V1", "U2"), ("W1", "V2")),
    "star": (("W2", "U2", "V2"),),
}
_PHASES = 3
BOX_ORDER = ("U1", "V1", "W1", "W2", "U2", "V2")


def winding_note(device: Device, shown: list[str], wired: Callable[[str], bool]) -> str:
    """How a motor's windings are linked, in words, "" of one with a single phase. `wired`: whether a conductor lands on a
    terminal."""
    links = WINDING_LINKS.get(device.connection)
    ends = [name for name, terminal in device.terminals.items() if terminal.role is Role.WINDING]
    if links is None and len(ends) > 3 and all(wired(name) for name in ends):
        return "No links: every winding end has its own core."
    if links is None:
        return "Winding links not stated." if len(ends) >= _PHASES else ""  # fewer ends leave nothing to link
    said = ", ".join("–".join(link) for link in links)
    boxed = "" if any(name in shown for link in links for name in link if name.endswith("2")) else " inside the terminal box"
    return f"Windings in {device.connection}: links {said}{boxed}."


def linked_to(device: Device, name: str) -> tuple[str, ...]:
    """The winding ends to which a link in a motor's terminal box joins that of a terminal."""
    links = (link for link in WINDING_LINKS.get(device.connection, ()) if name in link)
    return tuple(other for link in links for other in link if other != name and other in device.terminals)


def kind_of(terminal: Terminal) -> str:
    """What is marked on a terminal: earth, neutral, fused ...; "" for a plain one."""
    if terminal.role in (Role.EARTH, Role.EARTH_THROUGH, Role.FUNCTIONAL_EARTH):
        return "earth"
    return "" if terminal.kind == "feed-through" else terminal.kind


def contacts_of(device: Device) -> str:
    """ "pins" or "sockets" of half a plug connection that says so, "" of anything else."""
    return device.ratings.text("contacts") if device.kind == Kind.PLUG else ""


def size_text(terminal: Terminal, device: Device) -> str:
    """The section a terminal takes: the largest on a strip, the range on a device."""
    section = terminal.clamp.section
    if section is None:
        return ""
    low, high = number_text(section[0]), number_text(section[1])
    return f"{high} mm²" if device.category == "strip" or low == high else f"{low}..{high} mm²"


def section_text(run: Run) -> str:
    """`2.5 mm²`, or nothing where no section is known. A tooth of a comb, which is none to be cut, is said as that."""
    if run.conductor.is_tooth:
        return "tooth"
    return f"{number_text(run.section_mm2)} mm²" if run.section_mm2 is not None else ""


def ferrule_text(run: Run, twin: bool) -> str:
    """`twin` where two conductors share a twin ferrule, else what the wire says of its ferrule."""
    return "twin" if twin else run.conductor.attributes.shown("ferrule")


def point_text(terminal: Terminal) -> str:
    """The terminal's own text and the rating of its fuse."""
    rating = terminal.attributes.shown("fuse")
    return ", ".join(text for text in (terminal.text, f"fuse {rating}" if rating else "") if text)


def clamp_words(terminal: Terminal) -> str:
    """Strip length and torque of a terminal: `strip 10 mm, tighten 1.7 to 2.5 N m`."""
    clamp, words = terminal.clamp, []
    if clamp.strip_m is not None:
        words.append(f"strip {number_text(round(clamp.strip_m * 1000, 3))} mm")
    if clamp.torque_nm is not None:
        low, high = (number_text(value) for value in clamp.torque_nm)
        words.append(f"tighten {low} N m" if low == high else f"tighten {low} to {high} N m")
    return ", ".join(words) or "strip length and torque as the manufacturer states"


def clamp_text(words: Mapping[str, str]) -> str:
    """The `words` on the clamps of terminals, by their names: once where all are alike, else by terminal; "" for none."""
    groups: dict[str, list[str]] = {}
    for name, said in words.items():
        if said:
            groups.setdefault(said, []).append(name)
    if not groups:
        return ""
    if len(groups) == 1:
        only = next(iter(groups))
        return only[:1].upper() + only[1:] + "."
    return "; ".join(f"{span_text(names)}: {text}" for text, names in groups.items()) + "."


def span_text(names: list[str]) -> str:
    """Terminal names, numbered neighbours drawn together: `1..4, 7`."""
    parts: list[list[str]] = []
    for name in names:
        last = parts[-1][-1] if parts else ""
        if last.isdecimal() and name.isdecimal() and int(name) == int(last) + 1:
            parts[-1].append(name)
        else:
            parts.append([name])
    return ", ".join(f"{part[0]}..{part[-1]}" if len(part) > 2 else ", ".join(part) for part in parts)
