"""Values as written turned into what they mean: parameters put in, words looked up, quantities told from other words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

from netdsl.findings import Span
from netdsl.model.filling import MAX_LIST, known_name, mention_part, spoken
from netdsl.model.here import Here
from netdsl.spelling import nearest
from netdsl.syntax.tree import Item, Listed
from netdsl.syntax.written import Attr, ComputedTerminal, Param, Reference, Text, Value, Word

MAX_DEPTH = 50
_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def is_day(text: str) -> bool:
    """Whether `text` is a day of the calendar, as 2027-06-30."""
    try:
        return bool(_DATE.fullmatch(text)) and bool(date.fromisoformat(text))
    except ValueError:
        return False


def settled(value: Value, here: Here) -> tuple[Value, Here] | None:
    """`value` with a parameter replaced by what it was given, and where its names are looked up; None with a finding."""
    for _ in range(MAX_DEPTH):
        if not isinstance(value, Param):
            return value, here
        bound = here.scope.params.get(value.name)
        if bound is None:
            longer = _part_of_function(value, here)
            if longer is None:
                here.no_value(value.name, value.span)
            return longer
        if bound.value is None:
            here.doubt(here.whole)
            return None
        value, here = bound.value, here.within(bound.scope)
    return None


def _part_of_function(param: Param, here: Here) -> tuple[Value, Here] | None:
    """`$pump-M1` where `pump` is a function such as `=PP1`: `=PP1-M1`; None for any other."""
    name = known_name(param.name, here.scope.params)
    found = None if name is None else settled(Param(name, param.span), here)
    if name is None or found is None or not isinstance(found[0], Reference) or found[0].terminals:
        return None
    mention_part(here.scope.params[name], here)
    base = found[0].base + param.name[len(name) :]
    return Reference(base, (), param.span, base), found[1]


def argument(attr: Attr, here: Here) -> Value | None:
    """What `attr` gives: the value, several joined by commas as they were written (`along=TRAY1,DUCT2`); None with a finding
    where they are too many: lists of lists would double with each scheme that hands them on."""
    if len(attr.values) == 1:
        return attr.values[0]
    text = attr_text(attr, here) or ""
    if len(text) > MAX_LIST:
        said = f"the list in `{attr.key.text}` has {len(text)} characters with all that is put into it"
        here.fault("out-of-range", attr.span, said, f"give at most {MAX_LIST}", whole=here.whole)
        return None
    return Text(text, value_span(attr))


def text_of(value: Value, here: Here) -> str | None:
    """The plain text of `value`; None with a finding for an unknown parameter."""
    if isinstance(value, Word):  # as most are
        return value.text
    found = settled(value, here) if isinstance(value, Param) else (value, here)
    return None if found is None else spoken(found[0])


def given_at(value: Value, here: Here) -> Span:
    """The characters that give `value`: where it is the name of another, those of that."""
    found = settled(value, here) if isinstance(value, Param) else None
    return value.span if found is None else found[0].span


def attr_text(attr: Attr, here: Here) -> str | None:
    """The values of `attr` as one text, commas between; None with a finding for an unknown parameter."""
    if len(attr.values) == 1:
        return text_of(attr.values[0], here)
    parts = [text_of(value, here) for value in attr.values]
    return None if None in parts else ",".join(part for part in parts if part is not None)


def value_span(attr: Attr) -> Span:
    """The characters of the values of `attr`."""
    return attr.values[0].span.to(attr.values[-1].span) if attr.values else attr.span


def unknown_key(attr: Attr, here: Here, known: Iterable[str]) -> None:
    """Note that `attr` has a name nothing here takes."""
    near = nearest(attr.key.text, known)
    remedy = f"did you mean `{near}`?" if near else "take it out, or see the reference for what can stand here"
    here.fault("unknown-word", attr.key.span, f"`{attr.key.text}=` means nothing here", remedy, whole=attr.span)


def one_of(word: str, allowed: Iterable[str], what: str, span: Span, here: Here, whole: Span | None = None) -> bool:
    """Whether `word` is one of `allowed`; a finding where not."""
    choices = tuple(allowed)
    if word in choices:
        return True
    near = nearest(word, choices)
    remedy = f"did you mean `{near}`?" if near else f"take one of {', '.join(choices)}"
    here.fault("unknown-word", span, f"`{word}` is no {what}", remedy, whole=whole)
    return False


def written_at(items: Iterable[Item | Value], text: str, here: Here) -> Span | None:
    """Where the word `text` among `items` is written: where it was given to a parameter, the place of the argument."""
    for item in items:
        found = None if isinstance(item, Listed) else settled(item, here)
        if found is not None and isinstance(found[0], Word) and found[0].text == text:
            return found[0].span
    return None


def split_items(items: Iterable[Item], here: Here) -> tuple[list[Word], str]:
    """The bare words among `items`, parameters put in, and the quoted text ("" without one)."""
    words: list[Word] = []
    text = ""
    for item in items:
        if isinstance(item, Word):
            words.append(item)
            continue
        if isinstance(item, Listed):
            here.fault(
                "unknown-word", item.span, f"`{item.span.text}` is a list, which stands behind a `wire` alone", "write one word"
            )
            continue
        found = settled(item, here)
        if found is None:
            continue
        value = found[0]
        if isinstance(value, Text):
            text = value.value
        elif isinstance(value, Word):
            words.append(Word(value.text, item.span))
        elif isinstance(value, (Reference, ComputedTerminal)):
            here.fault("unknown-word", item.span, f"`{value.span.text}` cannot stand here", "take it out")
    return words, text
