"""Kinds of value that a statement takes: what all have in common, words of a closed set, texts, places.

Each reads a value as written or notes what is wrong with it, and says of itself what the manual and an editor need: `manual`,
what can stand there; `choices`, the words of a closed set.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, Generic, TypeVar

from msgspec import Struct

from netdsl.model.filling import spoken
from netdsl.model.here import Here
from netdsl.model.mentions import What
from netdsl.model.values import attr_text, one_of, settled, text_of, value_span
from netdsl.spelling import nearest
from netdsl.syntax.written import Attr, Word

T_co = TypeVar("T_co", covariant=True)


class KindOfValue(Struct, eq=False):
    """What may stand in one place of a statement."""

    @property
    def manual(self) -> str:
        """What can stand there, as the manual says it."""
        raise NotImplementedError

    @property
    def choices(self) -> tuple[str, ...]:
        """The words of a closed set; empty where any may stand."""
        return ()


class ValueKind(KindOfValue, Generic[T_co], eq=False):
    """What may stand behind `name=`."""

    def read(self, attr: Attr, here: Here) -> T_co | None:
        """The value; None with a finding where it cannot be read."""
        raise NotImplementedError


class WordKind(KindOfValue, eq=False):
    """What may stand as a bare word."""

    def of_word(self, word: Word, before: Any, here: Here) -> Any:
        """The value of `word`, given what one `before` it gave; None where it is of another kind, `SPOILT` where a finding says
        why it gives nothing."""
        raise NotImplementedError


#: a bare word that was recognised and gives nothing
SPOILT = object()


class Words(ValueKind[str], eq=False):
    """A word of a closed set.

    `called`: what such a word is, as in "`x` is no kind of place"; `doubts`: as of a Measure; `at_value`: a finding marks the
    first value alone, not its name with it.
    """

    words: tuple[str, ...]
    called: str
    doubts: bool = False
    at_value: bool = False

    @property
    def manual(self) -> str:
        return listed(self.words)

    @property
    def choices(self) -> tuple[str, ...]:
        return self.words

    def read(self, attr: Attr, here: Here) -> str | None:
        text = attr_text(attr, here)
        span = attr.values[0].span if self.at_value else attr.span
        whole = here.whole if self.doubts else None
        return text if text is not None and one_of(text, self.words, self.called, span, here, whole) else None


class YesNo(ValueKind[bool], eq=False):
    """`yes` or `no`. `name`: the value that is answered; `doubts`: as of a Measure."""

    name: str
    doubts: bool = False

    @property
    def manual(self) -> str:
        return "`yes`, `no`"

    @property
    def choices(self) -> tuple[str, ...]:
        return ("yes", "no")

    def read(self, attr: Attr, here: Here) -> bool | None:
        text = Words(self.choices, f"answer to `{self.name}=`", self.doubts).read(attr, here)
        return None if text is None else text == "yes"


class Free(ValueKind[str], eq=False):
    """Any word or text. `what` stands there; `words`: those known to mean something, which others judge; `like`: words that
    checks know, of which one that is nearly so written is a slip."""

    what: str = "a word or text"
    words: tuple[str, ...] = ()
    like: tuple[str, ...] = ()

    @property
    def manual(self) -> str:
        return self.what

    @property
    def choices(self) -> tuple[str, ...]:
        return self.words

    def read(self, attr: Attr, here: Here) -> str | None:
        text = attr_text(attr, here)
        meant = nearest(text, self.like) if text and self.like and text not in self.like else None
        if meant is None:
            return text
        message = f"`{text}` is no word that checks know for `{attr.key.text}`"
        here.fault("unknown-word", value_span(attr), message, f"did you mean `{meant}`?")
        return None


class Shaped(ValueKind[str], eq=False):
    """A word of a stated form.

    `form`: what the whole word matches; `called`: what such a word is, as in "`x` is no degree of protection"; `examples`: of
    them; `loose`: what is taken for one of them written wrongly, and `meant`, a template of it as it should be.
    """

    form: re.Pattern[str]
    called: str
    examples: tuple[str, ...]
    loose: re.Pattern[str] | None = None
    meant: Callable[[re.Match[str]], str] | None = None

    @property
    def manual(self) -> str:
        return f"{self.called}, as {listed(self.examples)}"

    def read(self, attr: Attr, here: Here) -> str | None:
        text = attr_text(attr, here)
        if text is None or self.form.fullmatch(text):
            return text
        near = self.loose.fullmatch(text) if self.loose is not None else None
        proposed = self.meant(near) if near is not None and self.meant is not None else ""
        remedy = f"did you mean `{proposed}`?" if self.form.fullmatch(proposed) else f"write it as {listed(self.examples)}"
        here.fault("unknown-word", value_span(attr), f"`{text}` is no {self.called}", remedy)
        return None


class Several(ValueKind[tuple[str, ...]], eq=False):
    """One or more words, separated by commas."""

    what: str

    @property
    def manual(self) -> str:
        return self.what

    def read(self, attr: Attr, here: Here) -> tuple[str, ...] | None:
        return tuple(text for text in (text_of(value, here) for value in attr.values) if text is not None)


class Standing(ValueKind[str]):
    """A declared place; "" with a finding for any other."""

    manual = "a place"

    def read(self, attr: Attr, here: Here) -> str | None:
        found = settled(attr.values[0], here) if attr.values else None
        if found is None:
            return ""
        name = spoken(found[0])
        if name in here.desk.places:
            here.mention(What.THING, name, found[0].span, name)
            return name
        here.unknown("place", name, attr.values[0].span, here.desk.places, here.whole)
        return ""


class Quoted(KindOfValue):
    """A text in quotes."""

    manual = "a text in quotes"


class OneWord(WordKind, eq=False):
    """One bare word of a closed set; of several the last holds."""

    words: tuple[str, ...]

    @property
    def manual(self) -> str:
        return listed(self.words)

    @property
    def choices(self) -> tuple[str, ...]:
        return self.words

    def of_word(self, word: Word, before: object, here: Here) -> str | None:  # noqa: ARG002
        return word.text if word.text in self.words else None


class Marks(WordKind, eq=False):
    """Any bare words of a closed set, together."""

    words: tuple[str, ...]

    @property
    def manual(self) -> str:
        return listed(self.words)

    @property
    def choices(self) -> tuple[str, ...]:
        return self.words

    def of_word(self, word: Word, before: frozenset[str] | None, here: Here) -> frozenset[str] | None:  # noqa: ARG002
        return (before or frozenset()) | {word.text} if word.text in self.words else None


def listed(words: tuple[str, ...]) -> str:
    """Words in backticks, commas between."""
    return ", ".join(f"`{word}`" for word in words)
