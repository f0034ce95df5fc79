"""Reading a list of inputs and outputs: comma, semicolon or tab separated, one signal a line, every fault a finding."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from msgspec import Struct, field

from netdsl.findings import Finding, Related, Source
from netdsl.spelling import nearest
from netdsl.starting.cell_values import Reader, length_of, place_of, words_of
from netdsl.starting.columns import Kind, cells_of, columns_of, rows_within, whole_row
from netdsl.starting.motor_list import Motor
from netdsl.starting.practice import practice
from netdsl.starting.table import Cell

#: signals of a list
MAX_SIGNALS = 10_000


class Signal(Struct, frozen=True):
    """One line of the list. `kind`: "di", "do", "ai", "ao" or "rtd"; `tag`, `address`: as written, "" for none; `place`:
    designation without `+`, `place_title` its words; `length_m`: of its cable, m; `panel`: words of the panel that takes it;
    `of`: designation of the motor whose function wires it inside the panel, "" for one of the field."""

    tag: str
    text: str
    kind: str
    address: str
    place: str
    place_title: str
    length_m: float
    panel: str = ""
    of: str = ""


def read_io_list(text: str, path: str, motors: Iterable[Motor] = ()) -> tuple[tuple[Signal, ...], tuple[Finding, ...]]:
    """The signals of a list and everything that is wrong with it; places that `motors` name are the same places."""
    motors = tuple(motors)
    source = Source(path, text.removeprefix("\ufeff"))
    reader = Reader(source)
    reader.places.update((motor.place_title.lower(), motor.place) for motor in motors)
    kind = _kind()
    rows = rows_within(reader, kind)
    if rows is None:
        return (), tuple(reader.findings)
    columns = columns_of(reader, rows[0], kind)
    read = _Reading(reader, columns, tuple(dict.fromkeys(motor.panel for motor in motors if motor.panel)))
    signals = [signal for row in rows[1:] if columns and (signal := _signal(read, row))]
    if columns and len(rows) == 1:
        reader.fault("motor-list", whole_row(rows[0]), "the list holds a heading and no signal", "add one line for each")
    return tuple(signals), tuple(reader.findings)


def _kind() -> Kind:
    columns: Mapping[str, list[str]] = practice()["io"]["columns"]
    return Kind("I/O list", columns, ("tag", "type"), MAX_SIGNALS, "signal")


class _Reading(Struct, frozen=True):
    """A list in the reading: columns of its heading, the panels that the motors name, addresses with the cells that have them."""

    reader: Reader
    columns: list[str]
    panels: tuple[str, ...]
    addresses: dict[str, Cell] = field(default_factory=dict)


def _signal(read: _Reading, row: tuple[Cell, ...]) -> Signal | None:
    """The signal of a line; None where it has a fault."""
    reader, before = read.reader, read.reader.errors
    if (cell := cells_of(reader, row, read.columns, _kind())) is None:
        return None
    tag, address = _word(reader, cell["tag"], "tag"), _word(reader, cell["address"], "address")
    if not cell["tag"].text:
        reader.fault("missing-value", cell["tag"].span, "the tag is missing", "give each signal one, as on the flow diagram")
    first = read.addresses.setdefault(address, cell["address"]) if address else cell["address"]
    if first is not cell["address"]:
        message = f"address `{address}` stands in line {first.span.begin[0]} already"
        related = (Related("the first", first.span),)
        reader.fault("duplicate-name", cell["address"].span, message, "give each signal its own", related)
    kind = _kind_of(reader, cell["type"])
    place, title = place_of(reader, cell["place"], {})
    length = length_of(reader, cell["cable length"], {})
    panel = words_of(cell["panel"])
    if panel and read.panels and panel not in read.panels:
        near = nearest(panel, read.panels)
        remedy = f"did you mean `{near}`?" if near else f"one of {', '.join(read.panels)}"
        reader.fault("unknown-word", cell["panel"].span, f"panel `{panel}` feeds no motor of the list", remedy)
    if reader.errors != before:
        return None
    return Signal(tag, words_of(cell["description"]) or tag, kind, address, place, title, length, panel)


def _word(reader: Reader, cell: Cell, what: str) -> str:
    """A tag or an address as one word of the language, which a text in quotes is for others."""
    if re.search(r'["\\\\]', cell.text):
        reader.fault("unknown-word", cell.span, f"`{cell.text}` is no {what}", "write it without quotation marks and backslashes")
    return cell.text


def _kind_of(reader: Reader, cell: Cell) -> str:
    known: dict[str, str] = {word: kind for kind, words in practice()["io"]["words"].items() for word in words}
    plain = re.sub(r"[^a-z0-9]+", "-", cell.text.lower()).strip("-")
    if plain in known:
        return known[plain]
    near = nearest(plain, known) if plain else None
    expected = f"one of {', '.join(practice()['io']['words'])}"
    message = f"`{cell.text}` is no type of a signal" if cell.text else "the type is missing"
    reader.fault("unknown-word", cell.span, message, f"did you mean `{near}`? {expected}" if near else expected)
    return ""
