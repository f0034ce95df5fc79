"""What there is to choose from: shipped parts and schemes by kind, terminals and enclosures; each in lines of text."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator
from functools import cache
from importlib import resources
from textwrap import wrap

from msgspec import Struct

from netdsl.library.scheme_terminals import taken_by
from netdsl.library.words import words
from netdsl.model.desk import Desk
from netdsl.model.files import library_index, library_part, library_scheme
from netdsl.model.part_type import CHANNEL
from netdsl.model.plant import Clamp, PartType, Path, Rating, Terminal
from netdsl.model.statements.parts import make_part
from netdsl.quantities import Quantity, number_text
from netdsl.spelling import nearest
from netdsl.syntax.tree import Part, Scheme

#: columns of a terminal that every line keeps within, and those that a label of a line takes
WIDTH, LABEL = 100, 20
SCHEME = "scheme"
#: a blank at which no line ends, between a number and its unit
TIGHT = "\N{NO-BREAK SPACE}"


class Entry(Struct, frozen=True):
    """A shipped part or scheme, a kind of terminal or enclosure; `note` is what the library says about it.

    `kind` is that of the part, or `scheme`, `terminal`, `enclosure`; the last two have neither part nor scheme.
    """

    kind: str
    name: str
    title: str
    note: str
    part: PartType | None
    scheme: Scheme | None


@cache
def entries() -> tuple[Entry, ...]:
    """All there is: parts, terminals and enclosures by kind, then the schemes; by name, numbers in the order of their size."""
    parts = [part for name in library_index() if (part := part_entry(name))]
    return (*sorted((*parts, *_built_in()), key=_order), *schemes())


@cache
def _built_in() -> tuple[Entry, ...]:
    """What a panel holds that is no part of its own: terminals are rows of a `strip`, enclosures are places."""
    known = tomllib.loads(resources.files("netdsl.library").joinpath("built_in.toml").read_text(encoding="utf-8"))
    return tuple(Entry(kind, row["name"], row["title"], row["note"], None, None) for kind, rows in known.items() for row in rows)


@cache
def schemes() -> tuple[Entry, ...]:
    """The shipped schemes by name; no part is read for them."""
    found = [_scheme_entry(scheme) for name in library_index(SCHEME) if (scheme := library_scheme(name))]
    return tuple(sorted(found, key=lambda entry: _natural(entry.name)))


def parts_called(pattern: str) -> list[Entry]:
    """The shipped parts whose names fit a pattern, in the order of all: no other is read for them."""
    return sorted((part for name in library_index() if re.fullmatch(pattern, name) and (part := part_entry(name))), key=_order)


def entry_called(name: str) -> Entry | None:
    """That of just this name, part, scheme or word; None where there is none. No part of another name is read for it."""
    found = part_entry(name) if name in library_index() else None
    return found or next((entry for entry in (*_built_in(), *schemes(), *_words_as_entries()) if entry.name == name), None)


def _order(entry: Entry) -> tuple[str, list[tuple[bool, float, str]]]:
    return entry.kind, _natural(entry.name)


def matching(word: str) -> tuple[Entry, ...]:
    """The entries whose name, title or kind contains `word`, capitals or not; one of just that name comes first. Of several words
    all must be there; where that fits none, each is the name of one."""
    wanted = word.lower().split()
    known = (*entries(), *_words_as_entries())
    found = [entry for entry in known if all(_has(entry, each) for each in wanted)]
    if not found:
        found = [entry for each in wanted for entry in known if entry.name.lower() == each]
        return tuple(found) if {entry.name.lower() for entry in found} >= set(wanted) else ()
    return tuple(sorted(found, key=lambda entry: entry.name.lower() != word.lower()))


def _has(entry: Entry, word: str) -> bool:
    """Whether a name, title or kind contains `word`; of a role or parameter only its very name is meant."""
    if entry.kind in _WORD_KINDS:
        return entry.name == word
    return any(word in text.lower() for text in (entry.name, entry.title, entry.kind))


#: what is no part and no scheme, but a word of theirs
_WORD_KINDS = {"terminal role": "roles", "parameter of schemes": "parameters"}


@cache
def _words_as_entries() -> tuple[Entry, ...]:
    rows = []
    for kind, table in _WORD_KINDS.items():
        for name, title in words()[table].items():
            users = [
                entry.name for entry in schemes() if entry.scheme and name in {each.name.text for each in entry.scheme.params}
            ]
            note = f"A parameter of {', '.join(users)}." if table == "parameters" and users else ""
            rows.append(Entry(kind, name, title, note, None, None))
    return tuple(rows)


def nearest_word(word: str) -> str | None:
    """The kind or name, else the word of a title, that is most like `word`; None where none is close."""
    wanted, known = word.lower(), entries()
    names = dict.fromkeys(text for entry in known for text in (entry.kind, entry.name))
    titles = dict.fromkeys(text for entry in known for text in re.findall(r"[a-z][\w-]{2,}", entry.title.lower()))
    return nearest(wanted, names) or nearest(wanted, titles)


def overview(chosen: Iterable[Entry]) -> Iterator[tuple[str, str]]:
    """Heading and lines per kind, as (style, text): `kind` or `names`."""
    by_kind: dict[str, list[str]] = {}
    for entry in chosen:
        by_kind.setdefault(entry.kind, []).append(entry.name)
    for kind, names in by_kind.items():
        yield "kind", kind
        for line in wrap("  ".join(names), WIDTH - 2, break_on_hyphens=False, break_long_words=False):
            yield "names", f"  {line}"


def description(entry: Entry) -> Iterator[tuple[str, str]]:
    """All lines about one entry, as (style, text): `name` for the first, `note`, `text`."""
    for line in wrap(f"{entry.name}  {entry.title}", WIDTH, subsequent_indent="  ", break_on_hyphens=False):
        yield "name", line
    for line in wrap(entry.note, WIDTH - 2, break_on_hyphens=False):
        yield "note", f"  {line}"
    for label, text in _scheme_rows(entry.scheme) if entry.scheme else _part_rows(entry.part):
        for line in _labelled(label, text):
            yield "text", line


# --- a part -------------------------------------------------------------------------------------------------------
def _part_rows(part: PartType | None) -> Iterator[tuple[str, str]]:
    """Label and text of each thing there is to say about a part."""
    if part is None:
        return
    protection = f", class {part.protection_class}" if part.protection_class else ""
    yield "kind", f"{part.kind}, letter {part.letter}{protection}"
    if part.ratings:
        yield "ratings", ", ".join(f"{name} {_shown(value)}" for name, value in part.ratings.items())
    yield from _terminal_rows(part)
    yield from _circuit_rows(part)
    if part.settings:
        known = part.settings.values()
        yield (
            "settings",
            "; ".join(f"{kind.name}: {_shown(kind.range) if kind.range else ', '.join(kind.words)}" for kind in known),
        )


def _terminal_rows(part: PartType) -> Iterator[tuple[str, str]]:
    """One row per role: names with what they are for, the sections they take, which of them must be connected."""
    groups: dict[str, list[Terminal]] = {}
    for terminal in part.terminals.values():
        groups.setdefault(terminal.role.value, []).append(terminal)
    always = {
        name for needed in part.requirements if needed.setting is None and not needed.alternative for name in needed.terminals
    }
    for role, terminals in groups.items():
        clamps = dict.fromkeys(filter(None, (_clamp(terminal.clamp) for terminal in terminals)))
        needed = [terminal.name for terminal in terminals if terminal.name in always]
        what = (
            f"{'all ' if len(needed) > 1 else ''}must be connected"
            if len(needed) == len(terminals)
            else f"must be connected: {' '.join(needed)}"
        )
        pieces = (", ".join(_named(terminals)), " or ".join(clamps), what if needed else "", words()["roles"][role])
        yield role, "; ".join(filter(None, pieces))


def _named(terminals: list[Terminal]) -> list[str]:
    """The names, each with its functions; three and more in a row of numbers (`1`, `2`, `3`) as a range."""
    rows: list[list[Terminal]] = []
    for terminal in terminals:
        if rows and _follows(rows[-1][-1], terminal):
            rows[-1].append(terminal)
        else:
            rows.append([terminal])
    result: list[str] = []
    for row in rows:
        if len(row) > 2:
            result.append(f"{row[0].name}..{row[-1].name}")
        else:
            result += [f"{each.name} ({', '.join(each.functions)})" if each.functions else each.name for each in row]
    return result


def _follows(before: Terminal, after: Terminal) -> bool:
    """Whether `after` is the next number of the same row, neither having a function of its own."""
    one, two = re.fullmatch(r"(\D*)(\d+)", before.name), re.fullmatch(r"(\D*)(\d+)", after.name)
    same = one is not None and two is not None and one[1] == two[1] and int(one[2]) + 1 == int(two[2])
    return same and not before.functions and not after.functions


def _clamp(clamp: Clamp) -> str:
    """`0.75..16 mm², 1.5..1.8 N m, 2 conductors`; "" where nothing is stated."""
    words = []
    if clamp.section is not None:
        words.append(f"{_between(*clamp.section) if clamp.section[0] else number_text(clamp.section[1])} mm²")
    if clamp.torque_nm is not None:
        words.append(f"{_between(*clamp.torque_nm)} N m")
    if clamp.conductors > 1:
        words.append(f"{clamp.conductors} conductors")
    return ", ".join(word.replace(" ", TIGHT) for word in words)


def _between(low: float, high: float) -> str:
    return f"{number_text(low)}..{number_text(high)}" if high > low else number_text(low)


def _circuit_rows(part: PartType) -> Iterator[tuple[str, str]]:
    """What lies between the terminals: contacts and positions, coils and loads, sources."""
    channels = [f"{path.a}-{path.b}" for path in part.paths if CHANNEL in path.marks]
    if channels:
        yield "channels", f"{', '.join(channels)}; each trips alone, at the current that `channel` states"
    contacts = [path for path in part.paths if path.kind in ("make", "break") and not path.positions]
    if contacts:
        yield "contacts", ", ".join(_contact(path) for path in contacts)
    positions: dict[str, list[str]] = {}
    for path in part.paths:
        for position in path.positions:
            positions.setdefault(position, []).append(f"{path.a}-{path.b}")
    if positions:
        yield "positions", "; ".join(f"{position} closes {' '.join(closed)}" for position, closed in positions.items())
    for consumer in part.consumers:
        values = _values(consumer.voltage, consumer.voltage_kind, consumer.power)
        yield consumer.kind, f"{consumer.a} to {consumer.b}{values}"
    for source in part.sources:
        yield "source", f"{source.poles[0]} to {source.poles[-1]}{_values(source.voltage, source.voltage_kind, source.current)}"


def _contact(path: Path) -> str:
    marks = "".join(f" {mark}" for mark in sorted(path.marks))
    return f"{path.a}-{path.b} {path.kind}{marks}"


def _values(voltage: Quantity | None, kind: str, other: Quantity | None) -> str:
    """`, 24 V dc, 200 mA`."""
    first = f"{_shown(voltage)} {kind}".rstrip() if voltage else ""
    return "".join(f", {text}" for text in (first, _shown(other) if other else "") if text)


def _shown(value: Rating) -> str:
    """As printed, number and unit kept on one line."""
    return value.shown.replace(" ", TIGHT) if isinstance(value, Quantity) else str(value)


# --- a scheme -----------------------------------------------------------------------------------------------------
def _scheme_rows(scheme: Scheme) -> Iterator[tuple[str, str]]:
    """What a `use` of the scheme must give and may give, each with what it stands for; the terminals that it takes of each
    device, and those that stay free."""
    yield "kind", SCHEME
    said = words()["parameters"]
    for needed in (True, False):
        rows = [param for param in scheme.params if (param.default is None) is needed]
        if rows:
            yield "must be given" if needed else "may be given", ""
        for param in rows:
            default = param.default.span.text if param.default is not None else ""
            yield f"  {param.name.text}", "; ".join(filter(None, (default, said.get(param.name.text, ""))))
    found = taken_by(scheme)
    if found:
        yield "terminals", ""
    for each in found:
        part = f"{each.part}: " if each.part and not each.assumed else ""
        of = f" of {each.part}" if each.assumed else ""
        free = "" if each.free is None else f"; free{of}: {', '.join(each.free) or 'none'}"
        yield f"  {each.name}", f"{part}takes {', '.join(each.taken) or 'none'}{free}"


# --- help ---------------------------------------------------------------------------------------------------------
@cache
def part_entry(name: str) -> Entry | None:
    """The shipped part of this name; None where there is none."""
    part = library_part(name)
    if part is None:
        return None
    made = make_part(part, Desk())
    return Entry(made.kind, made.name, made.title, _note(part), made, None)


def _scheme_entry(scheme: Scheme) -> Entry:
    return Entry(SCHEME, scheme.name.text, scheme.text.value if scheme.text else "", _note(scheme), None, scheme)


def _note(statement: Part | Scheme) -> str:
    """The comment that stands right above `statement`."""
    lines: list[str] = []
    for line in reversed(statement.span.source.text[: statement.span.start].splitlines()):
        if not line.startswith("#"):
            break
        lines.append(line.lstrip("# "))
    return " ".join(reversed(lines))


def _labelled(label: str, text: str) -> list[str]:
    """`text` behind its label, its further lines set in as far."""
    lead = f"  {label:<{LABEL - 2}}" if len(label) < LABEL - 2 else f"  {label}  "
    if not text:
        return [lead.rstrip()]
    lines = wrap(text, WIDTH, initial_indent=lead, subsequent_indent=" " * LABEL, break_on_hyphens=False)
    return [line.replace(TIGHT, " ") for line in lines]


def _natural(name: str) -> list[tuple[bool, float, str]]:
    """A key that puts `vsd-2.2kw` before `vsd-11kw`."""
    pieces = re.findall(r"\d+(?:\.\d+)?|\D+", name)
    return [(not piece[0].isdigit(), float(piece) if piece[0].isdigit() else 0.0, piece) for piece in pieces]
