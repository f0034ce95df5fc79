"""What a statement takes, as a table: one row for each value, of which reading, findings, manual and editor are made.

The table of a statement is its record: each field is declared with the kind of value it takes, where that stands in the
line, and a sentence for the manual. `Statement.read` fills a record from a line of text.

    @record
    class RouteSays:
        title: str = quoted("what it is, for the reader")
        length_m: float | None = key(Amount(Measure("length")), "how long it is", name="length")
        attributes: Ratings = several(value("ambient", Measure("temperature"), "air along it"))

A class rather than rows beside a class, so that the name of a field and its type stand once and are checked.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping, Sequence
from enum import StrEnum
from typing import Any, Generic, TypeVar, dataclass_transform, overload

from msgspec import Struct
from msgspec.structs import replace

from netdsl.model.here import Here
from netdsl.model.ratings import Ratings
from netdsl.model.value_kinds import SPOILT, Free, KindOfValue, Quoted, ValueKind, WordKind
from netdsl.model.values import one_of, split_items, unknown_key
from netdsl.syntax.tree import Item
from netdsl.syntax.written import Attr, Word

T = TypeVar("T")
D = TypeVar("D")
R = TypeVar("R")
G = TypeVar("G", bound=dict[str, Any])


class Stands(StrEnum):
    """Where a value stands in its line."""

    FIXED = "fixed"  # in its place, behind the keyword or between fixed words
    WORD = "word"  # a bare word, anywhere behind the fixed ones
    TEXT = "text"  # in quotes
    KEY = "key"  # `name=value`


class Take(Struct, frozen=True):
    """One value a statement takes.

    `name`: as it is written, or what a value in a fixed place is called (`NAME`). `says`: what it means, a sentence for the
    manual without its full stop. `field`: the field of the record it sets; `group`: makes that field where it holds several by
    their names.
    """

    name: str
    kind: KindOfValue
    says: str
    stands: Stands = Stands.KEY
    field: str = ""
    group: Callable[[], dict[str, Any]] | None = None


# --- declaring a record ---------------------------------------------------------------------------------------------
@overload
def key(kind: ValueKind[T], says: str, *, name: str = "") -> T | None: ...
@overload
def key(kind: ValueKind[T], says: str, *, default: D, name: str = "") -> T | D: ...
def key(kind: ValueKind[T], says: str, *, default: object = None, name: str = "") -> Any:
    """A field set by `name=value`; the name is that of the field where none is given."""
    return dataclasses.field(default=default, metadata={"takes": (Take(name, kind, says),)})


def word(kind: WordKind, says: str, *, default: D, name: str = "") -> D:
    """A field set by a bare word."""
    field: D = dataclasses.field(default=default, metadata={"takes": (Take(name, kind, says, Stands.WORD),)})
    return field


def quoted(says: str) -> str:
    """A field set by the text in quotes, "" without one."""
    field: str = dataclasses.field(default="", metadata={"takes": (Take("text", Quoted(), says, Stands.TEXT),)})
    return field


def several(*takes: Take) -> Ratings:
    """A field that holds several values by their names."""
    return group(Ratings, *takes)


def group(made: Callable[[], G], *takes: Take) -> G:
    """The same in another mapping than Ratings."""
    field: G = dataclasses.field(default_factory=made, metadata={"takes": takes, "group": made})
    return field


def value(name: str, kind: ValueKind[Any], says: str) -> Take:
    """One entry of `several`."""
    return Take(name, kind, says)


def fixed(name: str, what: str, says: str, choices: tuple[str, ...] = ()) -> Take:
    """A value in its place, which the reader of the statement takes itself; `what` can stand there."""
    return Take(name, Free(what, choices), says, Stands.FIXED)


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(key, word, quoted, several, group))
def record(made: type[T]) -> type[T]:
    """A class whose fields are declared with `key`, `word`, `quoted`, `several` or `group`.

    Frozen for the type checker alone: a record lives as long as its line is read, and thirty classes that are frozen and compared
    would take 15 ms of every start.
    """
    return dataclasses.dataclass(eq=False, repr=False, match_args=False)(made)


@record
class Nothing:
    """The record of a statement all of whose values stand in fixed places."""


# --- a statement ----------------------------------------------------------------------------------------------------
class Statement(Generic[R]):
    """A statement, or a line in the block of one: its keyword and the values it takes.

    `keyword`: how it begins; `block`: the statement in whose block it stands, "" for none. `says`: what it does, a sentence for
    the manual. `takes`: all values, those in fixed places first. `called`: what a bare word here is, as in "`x` is no kind of
    contact"; "" where bare words mean nothing and are passed over. `stray`: notes a bare word that is nothing known, in its own
    words. `known`: the names among which the nearest spelling of an unknown one is sought, where those are not simply all it
    takes.
    """

    def __init__(
        self,
        keyword: str,
        record: type[R],
        says: str,
        *places: Take,
        block: str = "",
        called: str = "",
        doubts: bool = False,
        stray: Callable[[Word, Here], None] | None = None,
        known: Iterable[str] = (),
    ) -> None:
        self.keyword = keyword
        self.block = block
        self.says = says
        self.takes = (*places, *_rows(record))
        self.keys: Mapping[str, Take] = {take.name: take for take in self.takes if take.stands is Stands.KEY}
        self._record = record
        self._plain = record()  # shared by the many lines that say nothing besides
        self._reads = {
            name: (take.kind.read, take.field, take.group) for name, take in self.keys.items() if isinstance(take.kind, ValueKind)
        }
        self._words = [(take, take.kind) for take in self.takes if isinstance(take.kind, WordKind) and take.stands is Stands.WORD]
        self._text = next((take.field for take in self.takes if take.stands is Stands.TEXT), "")
        self._called = called
        self._doubts = doubts
        self._stray = stray
        self._known = tuple(known) or tuple(self.keys)

    def read(self, here: Here, attrs: Sequence[Attr], items: Sequence[Item] = ()) -> R:
        """What the `attrs` and `items` of a line say. What cannot be read is left out, with a finding."""
        if not attrs and not items:
            return self._plain
        values: dict[str, Any] = {}
        if items:
            self._read_items(items, here, values)
        for attr in attrs:
            name = attr.key.text
            if name not in self._reads:
                unknown_key(attr, here, self._known)
                continue
            read, field, group = self._reads[name]
            found = read(attr, here)
            if found is None:
                continue
            if group is None:
                values[field] = found
                continue
            if field not in values:
                values[field] = group()
            values[field][name] = found
        return self._record(**values)

    def _read_items(self, items: Sequence[Item], here: Here, values: dict[str, Any]) -> None:
        words, text = split_items(items, here)
        if text and self._text:
            values[self._text] = text
        strays: list[Word] = []
        for word in words:
            for take, kind in self._words:
                found = kind.of_word(word, values.get(take.field), here)
                if found is not None:
                    if found is not SPOILT:
                        values[take.field] = found
                    break
            else:
                strays.append(word)
        if strays and not self._slip(strays, not text, here):
            for word in strays:
                self._report(word, here)

    def _slip(self, strays: Sequence[Word], no_text: bool, here: Here) -> bool:
        """Whether bare words are a value without its `=` or a text without quotes, which is then told once."""
        first, last = strays[0], strays[-1]
        span = first.span.to(last.span) if first.span.source is last.span.source else first.span
        alone = " ".join(span.text.split()) == " ".join(word.text for word in strays)
        told = self._stray is not None or self._called  # each for itself, where nothing is said here
        if not alone or (told and len(strays) < 2):
            return False
        written = span.text
        if len(strays) == 2 and first.text in self.keys:
            message, remedy = f"`{first.text}` stands without its `=`", f"write `{first.text}={last.text}`"
        elif no_text and self._text and all(word.text.isalpha() for word in strays):
            message, remedy = f"`{written}` is a text without quotes", f'write `"{written}"`'
        else:
            return False
        here.fault("unknown-word", span, message, remedy, whole=here.whole if self._doubts else None)
        return True

    def _report(self, word: Word, here: Here) -> None:
        """Note a bare word that nothing here takes."""
        if self._stray is not None:
            self._stray(word, here)
        elif self._called:
            known = [choice for _, kind in self._words for choice in kind.choices]
            one_of(word.text, known, self._called, word.span, here, here.whole if self._doubts else None)


def _rows(record: type[Any]) -> Iterable[Take]:
    """The rows of a record, each with the field it sets."""
    for field in dataclasses.fields(record):
        for take in field.metadata.get("takes", ()):
            name = take.name or field.name.replace("_", "-")
            yield replace(take, name=name, field=field.name, group=field.metadata.get("group"))
