"""Reading a list of motors: comma, semicolon or tab separated, one motor a line, every fault a finding."""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field

from netdsl.findings import Finding, Severity, Source, Span
from netdsl.model.desk import nearest
from netdsl.quantities import number_text
from netdsl.starting.choosing import LIMITS_KW, WAYS, cage_motor, drive_for

#: columns, each with other spellings of its heading
COLUMNS: dict[str, tuple[str, ...]] = {
    "designation": ("designation", "tag", "item", "name"),
    "description": ("description", "text", "title", "service"),
    "power": ("power", "power kw", "rated power", "kw"),
    "voltage": ("voltage", "rated voltage", "voltage v"),
    "way of running": ("way of running", "running", "way", "control", "start"),
    "cable length": ("cable length", "cable length m", "length", "length m", "cable"),
    "place": ("place", "location", "where"),
}
_NEEDED = ("designation", "power", "way of running")
_OTHER_WORDS = {
    "dol": "direct-on-line", "bypass": "mains-bypass", "bus": "serial-bus", "serial": "serial-bus", "reverse": "reversing",
    "forward-reverse": "reversing", "two-wire-start": "two-wire", "2-wire": "two-wire", "three-wire-start": "three-wire",
    "3-wire": "three-wire", "closed-loop-two-wire": "closed-loop", "hand-auto": "local-remote", "presets": "preset-speeds",
}  # fmt: skip
_DESIGNATION = re.compile(r"=?([A-Za-z][A-Za-z0-9_]*)")
_NUMBER = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*([A-Za-z]*)")
_VOLTAGE = re.compile(
    r"(?:3\s*[x~]?\s*(?:AC)?\s*)??(230/400|400/690|[0-9]+(?:[.,][0-9]+)?)\s*(?:V(?:\s*AC)?)?(?:\s*50\s*Hz)?", re.IGNORECASE
)
_TAKEN = {"MCP": "the panel", "CTRL": "the control room", "ROOM": "the room of the panel"}
USUAL_LENGTH_M, LONGEST_M = 20.0, 500.0


@dataclass(frozen=True, slots=True)
class Motor:
    """One line of the list. `power_w`: in W; `winding`: 400/690V or 230/400V; `way`: one of `WAYS`; `length_m`: of the motor
    cable, m; `place`: designation without `+`, `place_title` its words; `assumed`: what the line leaves open."""

    designation: str
    description: str
    power_w: float
    winding: str
    way: str
    length_m: float
    place: str
    place_title: str
    assumed: tuple[str, ...] = ()


@dataclass(slots=True)
class _Reader:
    """State of the reading: findings so far, places by their words, designations by the line that has them."""

    source: Source
    findings: list[Finding] = field(default_factory=list)
    places: dict[str, str] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)

    def fault(self, rule: str, number: int, message: str, remedy: str) -> None:
        """Enter a finding about line `number`."""
        start = self.source.line_starts[number - 1]
        span = Span(self.source, start, start + len(self.source.line(number)))
        self.findings.append(Finding(rule, Severity.ERROR, f"line {number}: {message}", remedy, span))


def read_motor_list(text: str, path: str) -> tuple[tuple[Motor, ...], tuple[Finding, ...]]:
    """The motors of a list and everything that is wrong with it, in order of its lines."""
    source = Source(path, text.removeprefix("\ufeff"))
    reader = _Reader(source)
    rows = [number for number in range(1, len(source.line_starts) + 1) if _holds_something(source.line(number))]
    if not rows:
        reader.fault("motor-list", 1, "the list holds no heading and no motor", "begin with the line `" + ",".join(COLUMNS) + "`")
        return (), tuple(reader.findings)
    mark = _separator(source.line(rows[0]))
    columns = _columns(reader, rows[0], _cells(source.line(rows[0]), mark))
    motors = [motor for number in rows[1:] if columns and (motor := _motor(reader, number, columns, mark))]
    if columns and len(rows) == 1:
        reader.fault("motor-list", rows[0], "the list holds a heading and no motor", "add one line for each motor")
    return tuple(motors), tuple(reader.findings)


def _holds_something(line: str) -> bool:
    return bool(line.strip(" \t;,")) and not line.lstrip().startswith("#")


def _separator(heading: str) -> str:
    return max(";\t,", key=lambda mark: heading.count(mark))


def _cells(line: str, mark: str) -> list[str]:
    return [" ".join(cell.split()) for cell in next(csv.reader([line], delimiter=mark, skipinitialspace=True), [])]


def _columns(reader: _Reader, number: int, headings: list[str]) -> list[str]:
    """The column that each cell belongs to; empty where the heading has faults."""
    known = {spelling: name for name, spellings in COLUMNS.items() for spelling in spellings}
    found, before = [], len(reader.findings)
    for heading in headings:
        plain = " ".join(re.sub(r"[\[\]()_-]", " ", heading.lower()).split())
        if plain not in known:
            near = nearest(plain, known)
            hint = f"did you mean `{near}`?" if near else f"take one of {', '.join(COLUMNS)}"
            reader.fault("unknown-word", number, f"`{heading}` is no column of a motor list", hint)
        elif known[plain] in found:
            reader.fault("duplicate-name", number, f"column `{known[plain]}` is there twice", "keep one of them")
        found.append(known.get(plain, ""))
    for name in _NEEDED:
        if name not in found:
            reader.fault("missing-value", number, f"column `{name}` is missing", "add it to the heading")
    return found if len(reader.findings) == before else []


def _motor(reader: _Reader, number: int, columns: list[str], mark: str) -> Motor | None:
    """The motor of a line; None where it has a fault."""
    values = _cells(reader.source.line(number), mark)
    if len(values) > len(columns):
        reader.fault("count-mismatch", number, f"{len(values)} cells for {len(columns)} columns",
                     "take out what is too much, put text with a separator in quotes, write a fraction with a point")  # fmt: skip
        return None
    cell = dict.fromkeys(COLUMNS, "") | dict(zip(columns, values, strict=False))
    before, assumed = len(reader.findings), list[str]()
    designation = _designation(reader, number, cell["designation"])
    way = _way(reader, number, cell["way of running"])
    watts = _power(reader, number, cell["power"])
    winding = _winding(reader, number, cell["voltage"], watts, way, assumed)
    length = _length(reader, number, cell["cable length"], assumed)
    place, title = _place(reader, number, cell["place"], assumed)
    _reach(reader, number, way, watts)
    if len(reader.findings) != before:
        return None
    return Motor(designation, (cell["description"] or designation).replace('"', "'").replace("\\", "/"), watts, winding, way, length, place,
                 title, tuple(assumed))  # fmt: skip


def _designation(reader: _Reader, number: int, text: str) -> str:
    match = _DESIGNATION.fullmatch(text)
    if match is None:
        plain = re.sub(r"[^A-Za-z0-9_]", "", text).lstrip("0123456789_")
        remedy = f"write for example `{plain or 'RP1'}`: a letter, then letters and figures"
        reader.fault(
            "unknown-word", number, f"`{text}` is no designation of a function" if text else "the designation is missing", remedy
        )
        return ""
    name = match[1]
    if name in reader.lines:
        reader.fault(
            "duplicate-name",
            number,
            f"designation `{name}` stands in line {reader.lines[name]} already",
            "give each motor its own",
        )
    elif re.fullmatch(r"SL[0-9]+", name):
        reader.fault("duplicate-name", number, f"designation `{name}` is kept for a serial line", "take another")
    reader.lines.setdefault(name, number)
    return name


def _way(reader: _Reader, number: int, text: str) -> str:
    plain = re.sub(r"[\s_-]+", "-", text.lower().strip())
    way = _OTHER_WORDS.get(plain, plain)
    if way in WAYS:
        return way
    near = nearest(plain, (*WAYS, *_OTHER_WORDS))
    expected = f"one of {', '.join(WAYS)}"
    message = f"`{text}` is no way of running" if text else "the way of running is missing"
    reader.fault("unknown-word", number, message, f"did you mean `{near}`? {expected}" if near else expected)
    return ""


def _power(reader: _Reader, number: int, text: str) -> float:
    match = _NUMBER.fullmatch(text)
    if match is None or match[2].lower() not in ("", "kw", "w"):
        message = f"`{text}` is no power" if text else "the power is missing"
        reader.fault("wrong-unit", number, message, "give the rated power of the shaft in kW, for example `7.5kW`")
        return 0.0
    value = float(match[1].replace(",", ".")) * (1 if match[2].lower() == "w" else 1000)
    if value <= 0:
        reader.fault("out-of-range", number, f"`{text}` is no power of a motor", "give the rated power, more than 0 kW")
    return max(value, 0.0)


def _winding(reader: _Reader, number: int, text: str, watts: float, way: str, assumed: list[str]) -> str:
    """The winding: as stated with two voltages, else that of the library's motor."""
    match = _VOLTAGE.fullmatch(text) if text else None
    stated = match[1] if match else ""
    if text and stated not in ("400", "230/400", "400/690"):
        reader.fault("voltage-mismatch", number, f"`{text}` is no voltage of a system that the library's drives and motors serve",
                     "write `400V`, or the winding as `230/400V` or `400/690V`")  # fmt: skip
        return ""
    if not text:
        assumed.append("voltage 400 V")
    wanted = "400/690V" if way in ("star-delta", "mains-bypass") else ""
    if stated == "230/400" and wanted:
        reader.fault("winding-connection", number, f"a winding for `{text}` cannot run by `{way}` on 400 V, where it runs in delta",
                     "take a motor for 400/690 V, or another way of running")  # fmt: skip
    usual = cage_motor(watts).winding if watts and cage_motor(watts) else "400/690V"  # type: ignore[union-attr]
    winding = f"{stated}V" if "/" in stated else wanted or usual
    if "/" not in stated:
        assumed.append(f"winding {winding}")
    return winding


def _length(reader: _Reader, number: int, text: str, assumed: list[str]) -> float:
    if not text:
        assumed.append(f"motor cable of {USUAL_LENGTH_M:g} m")
        return USUAL_LENGTH_M
    match = _NUMBER.fullmatch(text)
    if match is None or match[2].lower() not in ("", "m"):
        reader.fault("wrong-unit", number, f"`{text}` is no length of a cable", "give it in metres, for example `28m`")
        return USUAL_LENGTH_M
    metres = float(match[1].replace(",", "."))
    if not 0 < metres <= LONGEST_M:
        reader.fault(
            "out-of-range",
            number,
            f"a motor cable of {metres:g} m is not computed",
            f"give more than 0 and at most {LONGEST_M:g} m",
        )
    return metres


def _place(reader: _Reader, number: int, text: str, assumed: list[str]) -> tuple[str, str]:
    """Designation and words of the place where a motor stands."""
    if not text:
        assumed.append("place: the field")
    title = (text.removeprefix("+") or "Field").replace('"', "'").replace("\\", "/")
    plain = "".join(sign for sign in unicodedata.normalize("NFKD", title) if sign.isascii() and sign.isalnum()).upper()[:16]
    if plain in _TAKEN:
        reader.fault(
            "duplicate-name", number, f"place `{text}` is {_TAKEN[plain]}", "name the place where the motor stands otherwise"
        )
    if title.lower() not in reader.places:
        name = plain or f"PLACE{len(reader.places) + 1}"
        while name in reader.places.values():
            name += "B"
        reader.places[title.lower()] = name
    return reader.places[title.lower()], title


def _reach(reader: _Reader, number: int, way: str, watts: float) -> None:
    """Powers that no part of the library, or the scheme of this way of running, serves."""
    if not watts or not way:
        return
    limit = LIMITS_KW[way]
    if cage_motor(watts) is None or drive_for(watts, 0.0) is None or watts > limit * 1000 + 1e-6:
        others = ", ".join(name for name in WAYS if LIMITS_KW[name] * 1000 >= watts)
        reader.fault("out-of-range", number, f"{number_text(watts / 1000)} kW is more than the library reaches by `{way}`, {limit:g} kW",
                     f"run it by one of {others}" if others else "plan this motor by hand, with the data of the manufacturer chosen")  # fmt: skip


def assumptions(motors: tuple[Motor, ...]) -> Iterator[str]:
    """What the list leaves open, one sentence each kind, with the motors."""
    by_kind: dict[str, list[str]] = {}
    for motor in motors:
        for what in motor.assumed:
            by_kind.setdefault(what, []).append(f"={motor.designation}")
    for what, names in by_kind.items():
        yield f"{what} of {', '.join(names)}"
