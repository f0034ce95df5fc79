"""The test record: inspection and tests before the panel goes into service, the values that pass, the functional steps."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator

from netdsl.calc.circuit import Circuit as PowerCircuit
from netdsl.model.kinds import Kind
from netdsl.states import circuit_of
from netdsl.states.bench import BenchTest, bench_tests
from netdsl.states.types import Circuit
from render.drawing import Drawing, in_set
from render.sheet import Sheet
from render.tables import measured
from render.tables.grid import stacked_sheets
from render.tables.listing import function_heading, listing, side_by_side
from render.tables.table import Cell, Column, Entry, Table
from render.words.remarks import CAUTION

_COLUMNS = (
    Column("no", most=12.0, least=8.0),
    Column("what", most=50.0, least=30.0),
    Column("how", most=76.0, least=40.0),
    Column("passes", most=36.0, least=24.0),
    Column("measured", room=22.0),
    Column("done", ticks=True),
)
_STEPS = (
    Column("step", most=12.0, least=8.0),
    Column("operate", most=60.0, least=40.0),
    Column("expect", most=90.0, least=50.0),
    Column("done", ticks=True),
)
_NOTES = (
    "Boxes: done, checked. A record proves nothing about what was not tested, and what passes is no proof of safety: skilled"
    " persons judge it, local codes and the makers' instructions prevail. Clauses of IEC 60364-6 are from memory: look them up.",
    CAUTION,
)
_FOLLOWS = "Steps follow the text, not what is built: contacts and wires are taken as sound, times as long enough."
_APART = "Function by function, each from rest: of a step that moves something in others too, these say what it moves there."
# ISO 13849-1, 5.2.2, from memory: a manual reset acts when what gives it is let go
_RESET = "Monitored reset: a safety relay may act only when its button is let go; what the press shows stands from then on."
_SEEN = 12  # what an emergency stop switches off is told up to so many, then counted
_INSPECTION = (
    ("documents", "the panel is what these sheets say, revision and fingerprint the same"),
    ("data", "rating plate, supply, short-circuit rating, degree of protection"),
    ("equipment", "as the parts list says, undamaged, in its place, clearances kept"),
    ("wiring", "wire list and work cards ticked and checked; colours, marks, bending radii, ferrules"),
    ("protection", "breakers, fuses and overloads of the types and ratings stated, set as the list of settings says"),
    ("earthing", "every part on the bar by a conductor of its own; paint removed below bonds; doors bonded"),
    ("live parts", "covers in place, no live part within reach with the door open"),
    ("separation", "power, control and bus as the routes say; screens clamped all round"),
    ("warnings", "what stays live with the isolator off, waiting time of drives, several supplies"),
)
_SIGNATURES = (
    ("wired by", ""),
    ("inspected by", ""),
    ("tested by", "instruments, their numbers, calibrated until"),
    ("responsible engineer", "licence; what was found and left open"),
)
_SIGNED = 12.0  # height of a row to be signed, mm
_SIGN = (
    Column("who", most=50.0, least=30.0),
    Column("name, date, signature", room=80.0),
    Column("besides", most=50.0, least=30.0),
)


@listing("tests", "inspection and tests with the values that pass, and room for what is measured")
def record(drawing: Drawing) -> Table:
    """A row per test, clause by clause."""
    plant, calculation = drawing.plant, drawing.calculation
    motors = (device for device in plant.devices.values() if measured.turns_either_way(device))
    sections: tuple[tuple[str, str, Iterable[measured.Test]], ...] = (
        ("Inspection (IEC 60204-1, 18.1; IEC 60364-6, 6.4.2)", "", ((what, how, "") for what, how in _INSPECTION)),
        ("Continuity of protective conductors (IEC 60204-1, 18.2.2)", measured.continuity_words(), measured.continuity(drawing)),
        ("Insulation (IEC 60204-1, 18.3; IEC 60364-6, 6.4.3.3)", measured.insulation_words(), measured.insulation(drawing)),
        ("Voltage test (IEC 60204-1, 18.4)", "", measured.voltage_test(plant)),
        ("Fault loops (IEC 60204-1, 18.2.3; IEC 60364-6, 6.4.3.7)", measured.loop_words(), measured.loops(calculation)),
        ("Residual-current devices (IEC 60364-6, 6.4.3.7)", "", measured.residual_devices(plant)),
        ("Stored charge (IEC 60204-1, 18.5)", measured.stored_words(), measured.stored(plant)),
        ("Emergency stop (IEC 60204-1, 18.6; ISO 13850)", "", _stops(drawing)),
        ("Rotation", "", ((device.id, _turns(drawing, device.id), "as intended") for device in motors)),
        ("Functions (IEC 60204-1, 18.6)", "", _functions(drawing)),
        ("Torque", "", (("all clamps", "to their values, tool calibrated, marked; again after the first load", ""),)),
    )
    entries = tuple(_entries(sections, {**plant.devices, **plant.cables}))
    blocks = side_by_side(drawing)
    title = plant.project.title
    return Table(
        "tests",
        "TR",
        "Test record",
        "Test record",
        title,
        _COLUMNS,
        entries,
        _NOTES,
        blocks=blocks,
        counted=True,
        later=(CAUTION,),
        by="test",
    )


@listing("functions", "the functional test step by step: what to operate, what to expect")
def functions(drawing: Drawing) -> Table:
    """A row per step, as `netdsl states --table` plays them, then the loads that no short sequence switches on; of a large plant
    function by function."""
    tests = drawing.of(_tests)
    entries: list[Entry] = []
    number = 0
    for function, test in tests:
        if len(tests) > 1:
            entries.append(function_heading(drawing.plant, function))
        for row in test.rows:
            seen = row.shows[0] if row.shows else ""
            cells = (
                Cell(str(number), value=number),
                Cell(_bare(row.operate), row.operated),
                Cell(_bare("; ".join(row.expect)), seen),
                Cell(),
            )
            entries.append(Entry(cells, f"step {number}"))
            number += 1
        for name in test.not_reached:
            said = f"{_bare(name)}: no short sequence found"
            entries.append(Entry((Cell("–"), Cell(said), Cell("try by hand, and say what was done"), Cell()), name))
    title = drawing.plant.project.title
    blocks = side_by_side(drawing)
    resets = any(device.kind == Kind.SAFETY_RELAY for device in drawing.plant.devices.values())
    follows = (_FOLLOWS, *([_APART] if len(tests) > 1 else []), *([_RESET] if resets else []))
    rows = tuple(entries) if drawing.of(_circuit).loads else ()
    return Table(
        "functions",
        "TR",
        "Functional test",
        "Test record",
        title,
        _STEPS,
        rows,
        (*follows, *_NOTES),
        blocks=blocks,
        counted=True,
        later=(*follows, CAUTION),
        by="function",
    )


@in_set(450)
def record_sheets(drawing: Drawing) -> list[Sheet]:
    """The test record with the functional steps, signed below all of them, without frames."""
    return stacked_sheets([record(drawing), functions(drawing), _signatures(drawing)], drawing.size)


def _signatures(drawing: Drawing) -> Table:
    """Who signs for what was done and seen, all on one sheet."""
    entries = tuple(Entry((Cell(who), Cell(), Cell(beside)), who, least=_SIGNED) for who, beside in _SIGNATURES)
    title = drawing.plant.project.title
    return Table("signatures", "TR", "Signatures", "Test record", title, _SIGN, entries, (CAUTION,), whole=True)


def _stops(drawing: Drawing) -> Iterator[measured.Test]:
    """Every emergency stop, with what it takes the voltage from the first time it is pressed in each test."""
    steps: dict[str, dict[str, None]] = {}
    for _, test in drawing.of(_tests):
        first: dict[str, tuple[str, ...]] = {}
        for row in test.rows:
            first.setdefault(row.operate, row.expect)
        for operate, expect in first.items():
            steps.setdefault(_bare(operate), {}).update(dict.fromkeys(map(_bare, expect)))
    for device in drawing.plant.devices.values():
        if device.kind == Kind.EMERGENCY_STOP:
            told = list(steps.get(f"press {device.id}", ()))
            more = f"; {len(told) - _SEEN} more, in the steps of their functions" if len(told) > _SEEN + 1 else ""
            seen = "; ".join(told[:_SEEN] if more else told) + more
            how = f"press, also each channel by itself{f': {seen}' if seen else ''}. Pull out, then reset"
            yield device.id, how, "all stops and stays off; only the reset lets it start"


def _tests(drawing: Drawing) -> tuple[tuple[str, BenchTest], ...]:
    return bench_tests(drawing.of(_circuit))


def _circuit(drawing: Drawing) -> Circuit:
    return circuit_of(drawing.network)


def _entries(sections: Iterable[tuple[str, str, Iterable[measured.Test]]], known: Container[str]) -> Iterator[Entry]:
    number = 0
    for heading, words, rows in sections:
        found = list(rows)
        if not found:
            continue
        yield Entry((), "", heading)
        if words:
            yield Entry((), "", words, remark=True)
        for what, how, passes in found:
            number += 1
            cells = (Cell(str(number), value=number), Cell(what), Cell(how), Cell(passes), Cell(), Cell())
            first = what.partition(" to ")[0]  # a conductor belongs to where it begins
            of = first if first.partition(":")[0] in known else f"test {number}"
            yield Entry(cells, of)


def _turns(drawing: Drawing, motor: str) -> str:
    """By what a motor is turned: through which ways it is fed."""
    ways = [path.drive for path in drawing.calculation.of(PowerCircuit).paths(motor)]
    drives = list(dict.fromkeys(drive for drive in ways if drive))
    if drives and all(ways):
        return f"on {', '.join(drives)}, uncoupled where it must not turn wrongly"
    if drives:
        return f"on {', '.join(drives)} and on the mains: the same way round"
    return "by a short push, uncoupled where it must not turn wrongly; sequence of the supply L1, L2, L3"


def _functions(drawing: Drawing) -> Iterator[measured.Test]:
    if drawing.of(_circuit).loads:
        yield "control circuits", "each step below", "as expected"


def _bare(text: str) -> str:
    return text.replace("`", "")
