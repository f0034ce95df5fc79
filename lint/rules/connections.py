"""Terminals and clamps: what is left open, what is too full, what does not fit."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.pairs import are_twisted_apart
from lint.registry import Report, Rule, Said, rule
from lint.subjects import devices, such, wires_and_cores
from lint.wording import listed
from netdsl.findings import Related, Severity, Span
from netdsl.model.kinds import BARS, Category, Kind
from netdsl.model.plant import Conductor, Device, Requirement, Role, Terminal
from netdsl.network.queries import is_protective
from netdsl.network.types import ConductorClass, Run
from netdsl.network.unused import in_force
from netdsl.quantities import number_text

#: sections from which on conductors are laid in parallel for their current, mm2 (IEC 60364-5-52, 523.7: common practice)
_PARALLEL_MM2 = 35.0
_POWER = frozenset({ConductorClass.MAINS, ConductorClass.MOTOR})


@rule(
    "terminal-open",
    Severity.ERROR,
    source="IEC 60204-1 4.2; instructions of the equipment",
    judges=such(lambda device: bool(device.requirements)),
)
def terminal_open(facts: Facts, this: Rule) -> Iterator[Report]:
    """A terminal that must be connected is not.

    Reports:
      A required terminal, all of an alternative, or a terminal required by a setting on which no conductor, bridge or
      screen lands. One finding per device, for each alternative
      and each setting one of its own.
    Silent:
      Terminals that the part does not require; a setting with another value; an earth terminal where `earth-missing` speaks.
    Why:
      The device does not work, or works without its protection.
    Failing:
      part demo-lamp "Lamp" {
        kind = lamp   letter = P   class = II
        terminal :X1 :X2 load required
      }
      device -P1 demo-lamp at=+MCP
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -P1:X1 0.75mm2 RD
    Passing:
      + wire -T1:COM to -P1:X2 0.75mm2 RD
    Remedy:
      Connect it, or change the setting that asks for it.
    """
    for device in facts.plant.devices.values():
        groups: dict[tuple[str, ...], tuple[Requirement, list[str]]] = {}
        for requirement in device.requirements:
            open_ = _open_terminals(facts, device, requirement) if in_force(device, requirement) else []
            for name in open_:
                key: tuple[str, ...] = (requirement.setting or "", requirement.value or "", str(is_protective(device, name)))
                if requirement.alternative:
                    key = requirement.terminals
                groups.setdefault(key, (requirement, []))[1].append(name)
        for requirement, names in groups.values():
            yield _open(this, device, list(dict.fromkeys(names)), requirement)


def _open_terminals(facts: Facts, device: Device, requirement: Requirement) -> list[str]:
    """Terminals of a requirement without any connection; none where one of an alternative is connected."""
    open_ = [name for name in requirement.terminals if f"{device.id}:{name}" not in facts.landed]
    if requirement.alternative and len(open_) < len(requirement.terminals):
        return []
    return open_


def _open(this: Rule, device: Device, names: list[str], requirement: Requirement) -> Report:
    ids = [f"{device.id}:{name}" for name in names]
    if requirement.alternative:
        message, remedy = f"none of {listed(ids)} is connected, one of them must be", "connect one of them"
    else:
        verb = "is" if len(names) == 1 else "are"
        message, remedy = f"{listed(ids)} {verb} not connected and must be", f"connect {listed([f':{name}' for name in names])}"
    if requirement.setting is not None:
        message += f" with `{requirement.setting}={requirement.value}`"
        remedy += f", or set `{requirement.setting}` otherwise"
    related = [Related("required here", requirement.span)] if requirement.alternative or requirement.setting is not None else []
    return this.report(message, remedy, device.span, (device.id, *ids), about=ids, related=related)


@rule("wire-doubled", Severity.ERROR, source="common practice", silences=("clamp-overfilled",), judges=wires_and_cores)
def wire_doubled(facts: Facts, this: Rule) -> Iterator[Said]:
    """A second conductor joins the same two terminals.

    Reports:
      A wire or core between two terminals that another one before it in the text joins already; at the second
      one. One finding for all of one line.
    Silent:
      Cables laid several times (`parallel=`), and two cables that carry power side by side; protective conductors; conductors of
      35 mm² and more, which are laid in parallel for their current; the two sides of a strip terminal, which are two places; the
      returns of analogue signals to one common, each in the pair of its signal.
    Why:
      As a rule it was to go to another terminal, which is left without; and it takes a clamp that another needs.
    Failing:
      device -F1 mcb-1p at=+MCP current=6A
      wire -WB1:L1 to -F1:1 2.5mm2 BK
      wire -F1:1 to -WB1:L1 2.5mm2 BK
    Passing:
      - wire -F1:1 to -WB1:L1 2.5mm2 BK
    Remedy:
      Take it away, or lead it where it was to go.
    """
    first: dict[frozenset[str], Conductor] = {}
    doubled: dict[tuple[Span, Span | None], list[tuple[Conductor, Conductor]]] = {}
    for conductor, run in facts.conductors():
        ends = frozenset(f"{end.id}/{end.side}" for end in conductor.ends)
        other = first.setdefault(ends, conductor)
        if other is conductor:
            continue
        why = _why_doubled(facts, other, conductor, run)
        if why:
            yield this.spared(conductor.id, why)
            continue
        doubled.setdefault((conductor.span, conductor.use), []).append((conductor, other))
    for pairs in doubled.values():  # a line may say several conductors
        conductor, other = pairs[0]
        one, far = (end.id for end in conductor.ends)
        each = [name for second, _ in pairs for name in (second.id, *(end.id for end in second.ends))]
        more = f", and so for {len(pairs) - 1} more of this line" if len(pairs) > 1 else ""
        yield this.report(
            f"another conductor joins `{one}` and `{far}` already{more}",
            "take it away, or lead it where it was to go",
            conductor.span,
            (*each, *([conductor.cable] if conductor.cable else [])),
            about=each,
            related=[Related("the first one", other.span)],
        )


def _why_doubled(facts: Facts, other: Conductor, conductor: Conductor, run: Run) -> str:
    """Why a second conductor between two terminals is meant, "" where nothing says so."""
    if facts.protective(conductor):
        return "it is a protective conductor, of which several may lie in parallel"
    if (run.section_mm2 or 0.0) >= _PARALLEL_MM2:
        return f"conductors of {_PARALLEL_MM2:g} mm² and more lie in parallel for their current"
    if other.cable and conductor.cable and other.cable != conductor.cable and run.klass in _POWER:
        return "two cables carry power side by side"
    if run.klass is ConductorClass.ANALOGUE and are_twisted_apart(facts.plant, other, conductor):
        return "it is twisted with another core than the first"
    return ""


@rule("clamp-overfilled", Severity.ERROR, source="IEC 60204-1 13.1.1", judges=devices)
def clamp_overfilled(facts: Facts, this: Rule) -> Iterator[Said]:
    """More conductors in a clamp than it takes.

    Reports:
      More conductors in one clamping point than the part allows; one where it states nothing.
    Silent:
      Two of one section in a twin ferrule count as one, so do several teeth of a comb; the two sides of a strip terminal are two
      clamps; busbars, combs and distribution blocks are tapped at will; studs of enclosures; supplies outside.
    Why:
      Conductors of unequal size in one clamp come loose, and a loose clamp burns.
    Failing:
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -T1:DI1 0.75mm2 RD
      wire -T1:24V to -T1:DI2 0.75mm2 RD
      wire -T1:24V to -T1:DI3 0.75mm2 RD
    Passing:
      - wire -T1:24V to -T1:DI3 0.75mm2 RD
    Remedy:
      Use a terminal with more clamps, a bridge, or a twin ferrule where the clamp allows it: `twin -T1:24V`.
    """
    found: dict[tuple[str, str, int, int], list[tuple[str, Conductor]]] = {}
    pairs: set[str] = set()
    shared: set[str] = set()
    for (name, terminal, side), conductors in facts.clamps.items():
        device = facts.device(name)
        known = device.terminals.get(terminal) if device else None
        if device is not None and len(conductors) > 1 and _tapped(device):
            yield this.spared(name, "it is tapped at will")
        if device is None or known is None or _tapped(device):
            continue
        allowed = max(known.clamp.conductors, 2 if known.role is Role.EARTH_THROUGH else 1)
        count = _counted(facts, f"{name}:{terminal}", conductors)
        if count > allowed:
            last = conductors[-1]
            key = (name, last.cable or str(last.span.start), count, allowed)
            if _could_share(facts, device, terminal, conductors):
                pairs.add(f"{name}:{terminal}{side}")
            found.setdefault(key, []).append((f"{terminal}{side}", last))
            if any(f"{name}:{terminal}" in conductor.twin_at for conductor in conductors):
                shared.add(f"{name}:{terminal}{side}")
    for (name, _, count, allowed), clamps in found.items():
        ids = [f"{name}:{terminal}" for terminal, _ in clamps]
        plain = [text.removesuffix("/in").removesuffix("/out") for text in ids]
        each = " each" if len(ids) > 1 else ""
        twin = f"bridge two terminals, or say `twin {' '.join(ids)}` where two share a twin ferrule"
        one = "; a twin ferrule joins two of one section" if shared.issuperset(ids) else ""
        yield this.report(
            f"{listed(ids)} {'hold' if len(ids) > 1 else 'holds'} {count} conductors{each} and may hold {allowed}{one}",
            f"move a conductor to another terminal, {twin if pairs.issuperset(ids) else 'or bridge two terminals'}",
            clamps[0][1].span,
            (name, *plain, *(conductor.id for _, conductor in clamps)),
            about=ids,
        )


def _tapped(device: Device) -> bool:
    return device.category in {Category.BUSBAR, Category.SUPPLY} or device.kind in BARS


def _counted(facts: Facts, terminal: str, conductors: list[Conductor]) -> int:
    """Conductors in a clamp; two in a twin ferrule, and those of one comb, count as one."""
    twins = [conductor for conductor in conductors if terminal in conductor.twin_at]
    count = len(twins) if len(_sections(facts, twins)) > 1 else (len(twins) + 1) // 2
    combs: set[str] = set()
    for conductor in conductors:
        comb = _comb_of(facts, conductor, terminal)
        if terminal in conductor.twin_at:
            continue
        if not comb or comb not in combs:
            combs.add(comb)
            count += facts.pieces(conductor)
    return count


def _sections(facts: Facts, conductors: list[Conductor]) -> set[float]:
    """The sections of conductors that are known, mm²."""
    runs = (facts.network.runs.get(conductor.id) for conductor in conductors)
    return {run.section_mm2 for run in runs if run is not None and run.section_mm2 is not None}


def _could_share(facts: Facts, device: Device, terminal: str, conductors: list[Conductor]) -> bool:
    """Whether two wires could be put into a twin ferrule: of one section, and no protective conductors."""
    wires = [each for each in conductors if each.cable is None and not _comb_of(facts, each, f"{device.id}:{terminal}")]
    alone = len(wires) == len(conductors) == 2 and not any(f"{device.id}:{terminal}" in each.twin_at for each in wires)
    return alone and len(_sections(facts, wires)) == 1 and not is_protective(device, terminal)


def _comb_of(facts: Facts, conductor: Conductor, terminal: str) -> str:
    """The comb that `conductor` joins to `terminal`, "" for none."""
    far = conductor.ends[1] if conductor.ends[0].id == terminal else conductor.ends[0]
    device = facts.device(far.device)
    return far.device if device is not None and device.kind == Kind.COMB else ""


@rule("clamp-range", Severity.ERROR, source="IEC 60947-7-1; data of the equipment", judges=devices)
def clamp_range(facts: Facts, this: Rule) -> Iterator[Said]:
    """A conductor's section lies outside what its clamp takes.

    Reports:
      A section below or above the clamp's range, or above the range for two conductors where two share it.
    Silent:
      Clamps whose range is not stated; conductors whose section is not known; teeth of a comb; supplies outside.
    Why:
      Too thick does not go in, too thin is not held: either comes loose or burns.
    Failing:
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -T1:DI1 4mm2 RD
    Passing:
      - wire -T1:24V to -T1:DI1 4mm2 RD
      + wire -T1:24V to -T1:DI1 2.5mm2 RD
    Remedy:
      Use a section in the range, or go over a terminal that takes both.
    """
    found: dict[tuple[str, float, tuple[float, float]], list[tuple[str, Conductor]]] = {}
    unknown: dict[str, list[str]] = {}
    for (name, terminal, _), conductors in facts.clamps.items():
        device = facts.device(name)
        known = device.terminals.get(terminal) if device else None
        if device is None or known is None or device.category == Category.SUPPLY:
            continue
        limits = _limits(known, len(conductors))
        if limits is None and device.category != Category.BUSBAR and device.kind not in BARS:
            unknown.setdefault(name, []).append(f":{terminal}")
        for conductor in conductors:
            if conductor.is_tooth:
                continue  # a tooth has the shape of the clamp, not a section
            run = facts.network.runs.get(conductor.id)
            section = run.section_mm2 if run is not None else None
            if limits is not None and section is not None and not limits[0] - 1e-9 <= section <= limits[1] + 1e-9:
                found.setdefault((name, section, limits), []).append((terminal, conductor))
    for name, terminals in unknown.items():
        names = list(dict.fromkeys(terminals))
        yield this.not_judged(name, f"which sections {listed(names)} take{'s' if len(names) == 1 else ''} is not stated")
    for (name, section, limits), places in found.items():
        ids = list(dict.fromkeys(f"{name}:{terminal}" for terminal, _ in places))
        high = f"{number_text(limits[1])} mm²"
        takes = f"{number_text(limits[0])} mm² to {high}" if limits[0] else f"up to {high}"
        yield this.report(
            f"{number_text(section)} mm² does not fit {listed(ids)}: the clamp takes {takes}",
            "use a section in the range, or go over a terminal that takes both",
            places[0][1].span,
            (name, *ids, *(conductor.id for _, conductor in places)),
            about=ids if section > limits[1] else [conductor.cable or conductor.id for _, conductor in places],
        )


def _limits(terminal: Terminal, count: int) -> tuple[float, float] | None:
    pair = terminal.clamp.section_pair
    return pair if count > 1 and pair is not None else terminal.clamp.section
