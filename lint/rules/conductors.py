"""Protective conductors one by one: clamp, and the way back from a motor to its drive."""

from __future__ import annotations

import re
from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.wording import listed
from netdsl.findings import Edit, Related, Severity, Span
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Cable, Conductor, End, Role
from netdsl.network.search import walk
from netdsl.network.types import CableUse
from netdsl.sums import sum_of


@rule("earth-clamp-shared", Severity.ERROR, source="IEC 60204-1 13.1.1", silences=("clamp-overfilled",))
def earth_clamp_shared(facts: Facts, this: Rule) -> Iterator[Report]:
    """Two protective conductors share one clamp.

    Reports:
      More than one protective conductor in one clamping point of a protective-earth terminal, however many the clamp takes.
    Silent:
      The two sides of a strip terminal; an earth through-terminal with one conductor in and one out; studs of enclosures
      and doors, where each lug has its own nut; bars and blocks tapped at will; supplies outside.
    Why:
      Loosening one conductor loosens the other, and a part that is still live loses its earth.
    Failing:
      device -T1 drive at=+MCP
      device -T2 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T2:PE to -XE1:3 6mm2 GNYE
    Passing:
      - wire -T2:PE to -XE1:3 6mm2 GNYE
      + wire -T2:PE to -XE1:4 6mm2 GNYE
    Remedy:
      Give each protective conductor a terminal of its own.
    """
    for key, conductors in facts.clamps.items():
        device = facts.device(key[0])
        if device is None or device.category in {Category.SUPPLY, Category.BUSBAR}:
            continue
        terminal = f"{key[0]}:{key[1]}"
        protective = [conductor for conductor in conductors if facts.protective(conductor)]
        allowed = 2 if device.terminals[key[1]].role is Role.EARTH_THROUGH else 1
        pieces = sum_of(facts.pieces(conductor) for conductor in protective)
        if pieces <= allowed:
            continue
        last = protective[-1]
        others = [_far_end(conductor, terminal).id for conductor in protective]
        yield this.report(
            f"clamp `{terminal}` holds {pieces} protective conductors, from {listed(others)}; it may hold {allowed}",
            "move all but one to earth terminals of their own",
            last.span,
            (key[0], terminal, *(end.device for c in protective for end in c.ends), *(c.id for c in protective)),
            about=(f"{terminal}{key[2]}",),
            related=[Related("shares the clamp", conductor.span) for conductor in protective[:-1]][:4],
        )


def _far_end(conductor: Conductor, terminal: str) -> End:
    return conductor.ends[1] if conductor.ends[0].id == terminal else conductor.ends[0]


def _of_drives(facts: Facts) -> Iterator[str]:
    """Cables at the output of drives."""
    return (name for name, use in facts.network.cables.items() if use.drive is not None)


@rule("earth-not-at-drive", Severity.WARNING, source="drive installation instructions; IEC TS 60034-25", judges=_of_drives)
def earth_not_at_drive(facts: Facts, this: Rule) -> Iterator[Said]:
    """The motor's protective conductor does not go back to the drive that feeds it.

    Reports:
      The earth core of a drive's motor cable ends neither at the drive nor on the plate or bar that carries the clamp of
      that cable's screen; where the cable has no earth core, none of the motor's other protective conductors does.
    Silent:
      Direct feeders, and motors that a bypass can also feed; earth that goes on through isolators, boxes and strips.
    Why:
      The return current of the motor cable takes another way and spreads through the plant's earth.
    Failing:
      device -T1 drive at=+MCP
      device -M1 motor at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 4G2.5 screened length=10m {
        BN -T1:U to -M1:U1
        BK -T1:V to -M1:V1
        GY -T1:W to -M1:W1
        GNYE -XE1:4 to -M1:PE
        screen -T1:SH clamp to -M1:SH gland
      }
    Passing:
      -   GNYE -XE1:4 to -M1:PE
      +   GNYE -T1:PE2 to -M1:PE
    Remedy:
      End the earth core at the drive's own earth terminal, or on the plate or bar where the screen is clamped.
    """
    for use in facts.network.cables.values():
        if use.drive is None:
            continue
        if _bypassed(facts, use):
            yield this.spared(use.cable.id, f"something else than `{use.drive}` can feed its motor")
            continue
        for core in _earth_cores(facts, use.cable):
            motors = [end for end in core.ends if _is_motor(facts, end.device)]
            motor = next((end for end in motors if end.device == use.load), motors[0] if motors else None)
            if motor is None or _returns(facts, use, core, motor):
                continue
            far = _far_end(core, motor.id)
            yield this.report(
                f"protective conductor of `{motor.device}` in `{use.cable.id}` ends at `{far.id}` "
                f"and does not reach `{use.drive}`",
                f"end it at the earth terminal of `{use.drive}`, or where the screen of the cable is clamped",
                core.span,
                (motor.device, use.cable.id, use.drive, far.device, core.id),
                about=facts.earth_terminals(motor.device),
                fix=_to_drive(facts, core, far, use.drive),
            )
            break
    yield from _without_core(facts, this)


def _to_drive(facts: Facts, core: Conductor, far: End, drive: str) -> Iterator[Edit]:
    """The edit that ends a core at the drive, where one earth terminal of it alone is free."""
    free = [terminal for terminal in facts.earth_terminals(drive) if terminal not in facts.landed]
    line = core.span
    if core.use is not None:
        return  # what the drive is called there is the affair of each use
    written = [match for match in re.finditer(r"(?<=\s)\S+", line.text) if match[0].endswith(f":{far.terminal}")]
    if len(free) == 1 and len(written) == 1:
        place = Span(line.source, line.start + written[0].start(), line.start + written[0].end())
        yield Edit(place, _as_written(core, free[0]))


def _as_written(core: Conductor, terminal: str) -> str:
    """A terminal by the name that the function of a core knows it by."""
    function = core.function
    return terminal.removeprefix(function) if function and terminal.startswith(f"{function}-") else terminal


def _without_core(facts: Facts, this: Rule) -> Iterator[Report]:
    """Motors whose cables bring no earth core, and to which no other protective conductor comes from the drive."""
    of_motor: dict[tuple[str, str], list[CableUse]] = {}
    for use in facts.network.cables.values():
        if use.drive is not None and use.load is not None and _is_motor(facts, use.load) and not _bypassed(facts, use):
            of_motor.setdefault((use.drive, use.load), []).append(use)
    for (drive, motor), uses in of_motor.items():
        if any(_earth_cores(facts, use.cable) for use in uses) or not any(motor in side for use in uses for side in use.devices):
            continue
        landing = [name for terminal in facts.earth_terminals(motor) for name in facts.network.at_terminal.get(terminal, ())]
        found = [facts.plant.conductors[name] for name in landing if facts.protective(facts.plant.conductors[name])]
        ends = [(each, next(end for end in each.ends if end.device == motor)) for each in found]
        if not ends or any(_returns(facts, uses[0], each, end) for each, end in ends):
            continue
        apart = next((each for each, _ in ends if each.cable is not None), None)
        far = _far_end(apart or ends[0][0], ends[0][1].id)
        cables = list(dict.fromkeys(use.cable.id for use in uses))
        yield this.report(
            f"{listed(cables)} from `{drive}` to `{motor}` {'has' if len(cables) == 1 else 'have'} no protective conductor, "
            f"and that of `{motor}` ends at `{far.id}` and does not reach `{drive}`",
            f"lay a protective conductor with the phases, from the earth terminal of `{drive}`",
            apart.span if apart is not None else uses[0].cable.span,
            (motor, *cables, drive, far.device),
            about=facts.earth_terminals(motor),
        )


def _is_motor(facts: Facts, name: str) -> bool:
    device = facts.device(name)
    return device is not None and device.kind == Kind.MOTOR


def _earth_cores(facts: Facts, cable: Cable) -> list[Conductor]:
    cores = [facts.plant.conductors[name] for name in cable.conductors if name in facts.plant.conductors]
    return [core for core in cores if facts.protective(core)]


def _bypassed(facts: Facts, use: CableUse) -> bool:
    """Whether something else than the drive can feed the motor: mains that reaches the cable, or another way of power to it."""
    runs = [facts.network.runs[name] for name in use.cable.conductors if name in facts.network.runs]
    kinds = {potential.kind for run in runs for potential in facts.network.nets[run.net].possible}
    if "ac" in kinds:
        return True
    return facts.fed_past(use.load, use.drive)


def _beside(facts: Facts, device: str, drive: str | None) -> bool:
    """Whether a device stands in the enclosure of the drive."""
    enclosure = facts.enclosure_of(drive or "")
    return bool(enclosure) and facts.enclosure_of(device) == enclosure


def _returns(facts: Facts, use: CableUse, core: Conductor, motor: End) -> bool:
    """Whether the earth core of `use` leads, through boxes, isolators and strips, to its drive or to its screen's clamp."""
    earth = facts.network.earth
    screens = {
        earth.node_of.get(end.device) or earth.node_of.get(facts.where(end.device))
        for other in facts.cables_behind[use.drive]
        for screen in other.cable.screens
        for end in screen.ends
        if end.how != "open" and _beside(facts, end.device, use.drive)
    }
    goal = {earth.node_of.get(use.drive or "")} | _bonded_with(facts, screens, use.drive)
    start = facts.earth_node_at(_far_end(core, motor.id))
    if start is None:
        return True
    reached = walk((start,), lambda node: earth.graph.adj[node] if _passes(facts, node, use.drive) else ())
    return any(node in goal for node in reached)


def _passes(facts: Facts, node: str, drive: str | None) -> bool:
    """Whether earth only goes on there: through-terminals, strips, studs, and a box away from the drive with what it bonds."""
    entry = facts.network.earth.graph.nodes[node]["node"]
    if entry.kind in {"through", "strip", "place"}:
        return True
    boxed = entry.kind == "bar" and any(member in facts.plant.places for member in entry.members)
    return boxed and node != facts.network.earth.root and not _beside(facts, entry.members[0], drive)


def _bonded_with(facts: Facts, nodes: set[str | None], drive: str | None) -> set[str | None]:
    """`nodes`, and the bars and plates of the drive's enclosure that a conductor bonds with one of them: they are one."""
    graph = facts.network.earth.graph
    bars = [node for node in nodes if node is not None and _is_bar(facts, node, drive)]
    return nodes.union(walk(bars, lambda node: (other for other in graph.adj[node] if _is_bar(facts, other, drive))))


def _is_bar(facts: Facts, node: str, drive: str | None) -> bool:
    entry = facts.network.earth.graph.nodes[node]["node"]
    return entry.kind in {"bar", "place"} and _beside(facts, entry.members[0], drive)
