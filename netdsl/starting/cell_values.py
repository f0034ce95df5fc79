"""What the cells of a motor list mean: power, voltage, length, names; every value that cannot be taken is a finding."""

from __future__ import annotations

import re
import unicodedata
from math import inf

from msgspec import Struct, field

from netdsl.findings import Finding, Related, Severity, Source, Span
from netdsl.quantities import number_text
from netdsl.spelling import nearest
from netdsl.starting.choosing import cage_motor, own_part, own_parts
from netdsl.starting.practice import practice, ways
from netdsl.starting.table import Cell

_DESIGNATION = re.compile(r"=?([A-Za-z][A-Za-z0-9_]*)")
_NUMBER = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*([A-Za-z]*)")
_PHASES = re.compile(r"\s*([13])\s*(?:/\s*N\s*)?(?:/\s*PE\s*)?(?:[x×~]|AC|PH(?:ASES?)?)\s*(?:AC|~)?\s*", re.IGNORECASE)
_AROUND_VOLTAGE = re.compile(r"V|AC|50HZ|[ΔDY]")
#: winding of a motor whose connection nothing changes
ONE_VOLTAGE = "400V"
_TWO_VOLTAGES: dict[tuple[int, ...], str] = {(230, 400): "230/400V", (400, 690): "400/690V"}


class Reader(Struct):
    """State of the reading: findings so far, places by their words, designations in capitals by the cell that has them."""

    source: Source
    findings: list[Finding] = field(default_factory=list)
    places: dict[str, str] = field(default_factory=dict)
    designations: dict[str, Cell] = field(default_factory=dict)
    #: how many errors there are so far
    errors: int = 0

    def fault(self, rule: str, span: Span, message: str, remedy: str, related: tuple[Related, ...] = ()) -> None:
        """Enter an error."""
        self.errors += 1
        self.findings.append(Finding(rule, Severity.ERROR, message, remedy, span, related=related))


def designation_of(reader: Reader, cell: Cell) -> str:
    """The designation of a motor's function, without `=`."""
    match = _DESIGNATION.fullmatch(cell.text)
    if match is None:
        plain = re.sub(r"[^A-Za-z0-9_]", "", cell.text)
        plain = plain if plain[:1].isalpha() else f"M{plain}" if plain else "RP1"
        message = f"`{cell.text}` is no designation of a function" if cell.text else "the designation is missing"
        reader.fault("unknown-word", cell.span, message, f"write for example `{plain}`: a letter, then letters and figures")
        return ""
    name = match[1]
    first = reader.designations.setdefault(name.upper(), cell)
    if first is not cell:
        line, same = first.span.begin[0], first.text.removeprefix("=") == name
        message = f"designation `{name}` stands in line {line} already"
        message = message if same else f"designation `{name}` differs from that of line {line} by capitals alone"
        reader.fault("duplicate-name", cell.span, message, "give each motor its own", (Related("the first", first.span),))
    elif re.fullmatch(r"SL[0-9]+", name.upper()):
        reader.fault("duplicate-name", cell.span, f"designation `{name}` is kept for a serial line", "take another")
    return name


def way_of(reader: Reader, cell: Cell) -> str:
    """The way of running, by its name or another word for it."""
    plain = re.sub(r"[^a-z0-9]+", "-", cell.text.lower()).strip("-")
    others = practice()["other_words"]
    way: str = others.get(plain, plain)
    if way in ways():
        return way
    near = nearest(plain, (*ways(), *others)) if plain else None
    expected = f"one of {', '.join(ways())}"
    message = f"`{cell.text}` is no way of running" if cell.text else "the way of running is missing"
    reader.fault("unknown-word", cell.span, message, f"did you mean `{near}`? {expected}" if near else expected)
    return ""


def power_of(reader: Reader, cell: Cell, way: str, assumed: dict[str, str]) -> float:
    """Rated power, W; that of the library's part where it has just one for the way; 0 where it cannot be taken."""
    own = own_parts(ways()[way]) if way else ()
    if not cell.text and len(own) == 1:
        assumed["power"] = f"power {number_text(own[0].power / 1000)} kW, of the library's {ways()[way].part}"
        return own[0].power
    match = _NUMBER.fullmatch(cell.text)
    watts = {"w": 1, "kw": 1000, "": 1000}.get(match[2].lower()) if match else None
    value = float(match[1].replace(",", ".")) * watts if match and watts else inf
    if value == inf:  # no number, or one of hundreds of digits
        message = f"`{cell.text}` is no power" if cell.text else "the power is missing"
        reader.fault("wrong-unit", cell.span, message, "give the rated power of the shaft in kW, for example `7.5kW`")
        return 0.0
    least_kw = practice()["motors"]["least_kw"]
    if value < least_kw * 1000 and not own:
        reader.fault(
            "out-of-range",
            cell.span,
            f"`{cell.text}` is {number_text(value / 1000)} kW, a motor here has {least_kw:g} kW or more",
            "give the rated power of the shaft in kW, for example `7.5kW`",
        )
        return 0.0
    return value


def winding_of(reader: Reader, cell: Cell, watts: float, way: str, assumed: dict[str, str]) -> str:
    """The winding: as stated with two voltages, else that of the library's motor."""
    found = _PHASES.match(cell.text)
    written = cell.text[found.end() :] if found else cell.text
    plain = _AROUND_VOLTAGE.sub("", "".join(written.upper().split())).replace(",", ".")
    try:
        stated = tuple(sorted({int(float(part)) for part in plain.split("/")})) if plain else ()
    except (ValueError, OverflowError):  # no number, or `inf`
        stated = (0,)
    single = found is not None and found[1] == "1"
    own = own_part(ways()[way], watts) if way and ways()[way].parts else None
    if way == "dosing-pump" and stated in ((), (230,)):
        return ""
    if cell.text and (single or (stated != (400,) and stated not in _TWO_VOLTAGES)):
        reader.fault("voltage-mismatch", cell.span, *_not_served(cell.text, stated, single))
        return ""
    wanted = ways()[way].winding if way else ""
    if len(stated) == 2 and wanted == ONE_VOLTAGE:
        reader.fault(
            "winding-connection",
            cell.span,
            f"`{cell.text}`: the windings of a motor for `{way}` have one voltage",
            "write `400V`, or take another way of running",
        )
    elif stated == (230, 400) and wanted:
        reader.fault(
            "winding-connection",
            cell.span,
            f"a winding for `{cell.text}` cannot run by `{way}` on 400 V, where it runs in delta",
            "take a motor for 400/690 V, or another way of running",
        )
    if own and not wanted:
        return _own_winding(reader, cell, stated, own.winding, ways()[way].part, assumed)
    motor = cage_motor(watts) if watts else None
    winding = _TWO_VOLTAGES.get(stated, wanted or (motor.winding if motor else "400/690V"))
    if not stated:
        assumed["voltage"] = f"voltage 400 V, winding {winding}"
    elif stated == (400,) and winding != ONE_VOLTAGE:
        assumed["voltage"] = f"winding {winding}"
    return winding


def _own_winding(reader: Reader, cell: Cell, stated: tuple[int, ...], winding: str, part: str, assumed: dict[str, str]) -> str:
    """The winding of the part that alone serves a way, "" for a heater; a stated other one cannot be had."""
    if stated in _TWO_VOLTAGES and _TWO_VOLTAGES[stated] != winding:
        message = f"`{cell.text}`: the library's {part} of this power is for {winding.replace('V', ' V') or '400 V'}"
        reader.fault("winding-connection", cell.span, message, "write `400V`, or plan this one by hand")
    if not stated:
        assumed["voltage"] = f"voltage 400 V, winding {winding}" if winding else "voltage 400 V"
    elif stated == (400,) and winding:
        assumed["voltage"] = f"winding {winding}"
    return winding


def _not_served(text: str, stated: tuple[int, ...], single: bool) -> tuple[str, str]:
    """Message and remedy for a voltage that a plant of three phases and 400 V does not give."""
    if single:
        return (
            f"`{text}` is a single-phase motor, drives and starters here feed motors of three phases",
            "take a motor for `230/400V`, or plan this one by hand",
        )
    if stated == (230,):
        return (
            f"`{text}` alone does not run on three phases of 400 V",
            "write `230/400V` where its plate says so: it then runs in star; plan a single-phase motor by hand",
        )
    if stated == (690,):
        return (
            f"`{text}` alone does not run on three phases of 400 V",
            "write `400/690V` where its plate says so: it then runs in delta; plan a supply of 690 V by hand",
        )
    return (
        f"`{text}` is no voltage of a system that the library's drives and motors serve",
        "write `400V`, or the winding as `230/400V` or `400/690V`",
    )


def length_of(reader: Reader, cell: Cell, assumed: dict[str, str]) -> float:
    """Length of the motor cable, m; the usual one where none is given."""
    usual, longest = (float(practice()["motors"][name]) for name in ("usual_length_m", "longest_m"))
    if not cell.text:
        assumed["cable length"] = f"motor cable of {usual:g} m"
        return usual
    match = _NUMBER.fullmatch(cell.text)
    metres = float(match[1].replace(",", ".")) if match and match[2].lower() in ("", "m") else inf
    if metres == inf:  # no number, or one of hundreds of digits
        reader.fault("wrong-unit", cell.span, f"`{cell.text}` is no length of a cable", "give it in metres, for example `28m`")
        return usual
    if not 0 < metres <= longest:
        reader.fault(
            "out-of-range",
            cell.span,
            f"a motor cable of {metres:g} m is not planned here",
            f"give more than 0 m and at most {longest:g} m; leave the cell empty where it is not known",
        )
    return metres


def place_of(reader: Reader, cell: Cell, assumed: dict[str, str]) -> tuple[str, str]:
    """Designation and words of the place where a motor stands."""
    if not cell.text:
        assumed["place"] = "place: the field"
    title = words_of(cell).removeprefix("+") or "Field"
    plain = "".join(sign for sign in unicodedata.normalize("NFKD", title) if sign.isascii() and sign.isalnum()).upper()[:16]
    if re.fullmatch("MCP[A-Z]{0,2}(ROOM)?", plain):
        reader.fault("duplicate-name", cell.span, f"place `{cell.text}` is the panel", "name the place where the motor stands")
    if title.lower() not in reader.places:
        plain = plain if plain[:1].isalpha() else f"PLACE{plain or len(reader.places) + 1}"
        name, number = plain, 1
        while name in reader.places.values() or name in ("CTRL", "ROOM"):
            number += 1
            name = f"{plain}X{number}" if plain[-1].isdigit() else f"{plain}{number}"
        reader.places[title.lower()] = name
    return reader.places[title.lower()], title


def words_of(cell: Cell) -> str:
    """Words as they can stand in a text of the language."""
    return cell.text.replace('"', "'").replace("\\", "/")
