"""Damage to signals in cables: returns led over one core, signal and return in different pairs, cables without pairs."""

from __future__ import annotations

import re
from collections.abc import Iterator

from netdsl.model.plant import Cable, Conductor, Role
from tests.soundness.bases import Base, Damage, Edit
from tests.soundness.damage_facts import cores, damages, made, of_kind

COLOURS = ("BN", "BK", "GY", "BU")


def in_core(conductor: Conductor, core: str) -> Edit:
    """The same line of a cable with another core."""
    span = conductor.span
    return Edit(span.source.path, span.start, span.start + len(conductor.core), core)


def roles(base: Base, conductor: Conductor) -> set[Role]:
    ends = ((base.plant.devices.get(end.device), end.terminal) for end in conductor.ends)
    return {device.terminals[name].role for device, name in ends if device is not None and name in device.terminals}


def with_a_signal(base: Base) -> Iterator[tuple[Cable, Conductor]]:
    """Cables in pairs, with the core that leads the signal of a transmitter or the first data line."""
    for cable in base.cables:
        ends = {end.device for core in cores(base, cable) for end in core.ends}
        if any(core.pair == 0 for core in cable.cores) or any(base.plant.devices[n].kind == "potentiometer" for n in ends):
            continue
        for core in cores(base, cable):
            first = Role.BUS in roles(base, core) and core.core == "1a"
            if first or roles(base, core) == {Role.ANALOGUE_IN, Role.ANALOGUE_OUT}:
                yield cable, core


@damages("return-shared")
def over_one_core(base: Base) -> Iterator[Damage]:
    """Two outputs of a drive led to an instrument, with one core back."""
    for drive in of_kind(base, "drive"):
        free = [t for t in drive.terminals.values() if t.role is Role.ANALOGUE_OUT and t.common is not None]
        free = [t for t in free if not base.network.at_terminal.get(f"{drive.id}:{t.name}")]
        if len(free) > 1 and free[0].common == free[1].common:
            ends = (f"{free[0].name} to -P98:1", f"{free[0].common} to -P98:M", f"{free[1].name} to -P98:2")
            lines = [f"  {core} {drive.id}:{end}" for core, end in zip(("1a", "1b", "2a"), ends, strict=True)]
            shows = "terminal :1 :2 analogue-in common=:M\n  terminal :M analogue-common"
            text = "\n".join(
                (f"outside -P98 {{\n  {shows}\n}}", "cable -W98 2x2x0.5 screened spare=insulated length=5m {", *lines, "}")
            )
            yield from made(f"two signals of {drive.id} over one return", ("-W98",), base.added(text))


@damages("pair-split")
def in_two_pairs(base: Base) -> Iterator[Damage]:
    """The return of a signal, or the second data line, exchanged with what lies in the next pair."""
    for cable, core in with_a_signal(base):
        held = {each.core: each for each in cores(base, cable)}
        back, other = f"{core.core[:-1]}b", "2b" if core.core.startswith("1") else "1b"
        if core.core.endswith("a") and back in held and any(each.name == other for each in cable.cores):
            edits = [in_core(held[back], other), *([in_core(held[other], back)] if other in held else [])]
            yield from made(f"{cable.id} with {back} and {other} exchanged", (cable.id,), *edits)


@damages("pair-untwisted")
def without_pairs(base: Base) -> Iterator[Damage]:
    """A cable in pairs replaced by one of as many cores side by side."""
    for cable, _ in with_a_signal(base):
        match = re.fullmatch(r"([12])x2x([\d.]+)", cable.construction)
        if match is None:
            continue
        names = [core.name for core in cable.cores]
        plain = f"{2 * int(match[1]) if match[1] == '2' else 3}x{match[2]}"
        edits = [in_core(core, COLOURS[names.index(core.core)]) for core in cores(base, cable)]
        yield from made(f"{cable.id} as {plain}", (cable.id,), base.replaced(cable.whole, re.escape(match[0]), plain), *edits)
