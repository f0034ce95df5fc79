"""Values as written turned into what they mean: parameters put in, units and words checked."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from math import inf

from netdsl.findings import Span
from netdsl.model.desk import Desk, Scope
from netdsl.model.plant import Rating
from netdsl.model.vocabulary import LIMITS, POSITIVE, RATING_WORDS, RATINGS
from netdsl.quantities import BASE_UNIT, UNITS, Quantity, parse_quantity
from netdsl.spelling import nearest
from netdsl.syntax.tree import Attr, ComputedTerminal, Item, Param, Reference, Text, Value, Word

MAX_DEPTH = 50
_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def is_day(text: str) -> bool:
    """Whether `text` is a day of the calendar, as 2027-06-30."""
    try:
        return bool(_DATE.fullmatch(text)) and bool(date.fromisoformat(text))
    except ValueError:
        return False


def settled(value: Value, scope: Scope, desk: Desk) -> tuple[Value, Scope] | None:
    """`value` with a parameter replaced by what it was given, and the scope its names belong to; None with a finding."""
    for _ in range(MAX_DEPTH):
        if not isinstance(value, Param):
            return value, scope
        bound = scope.params.get(value.name)
        if bound is None:
            near = nearest(value.name, scope.params)
            desk.fault(
                "unknown-parameter",
                value.span,
                f"`${value.name}` is no parameter here",
                f"did you mean `${near}`?" if near else "name it in the head of the scheme",
                scope,
            )
            return None
        value, scope = bound.value, bound.scope
    return None


def text_of(value: Value, scope: Scope, desk: Desk) -> str | None:
    """The plain text of `value`; None with a finding for an unknown parameter."""
    found = settled(value, scope, desk)
    if found is None:
        return None
    value = found[0]
    return value.value if isinstance(value, Text) else value.span.text


def attr_text(attr: Attr, scope: Scope, desk: Desk) -> str | None:
    """The values of `attr` as one text, commas between."""
    parts = [text_of(value, scope, desk) for value in attr.values]
    return None if any(part is None for part in parts) else ",".join(part or "" for part in parts)


def attr_texts(attr: Attr, scope: Scope, desk: Desk) -> tuple[str, ...]:
    """The values of `attr`, each as text."""
    return tuple(text for text in (text_of(value, scope, desk) for value in attr.values) if text is not None)


def quantity_of(attr: Attr, kind: str, scope: Scope, desk: Desk, whole: Span | None = None) -> Quantity | None:
    """The quantity of `attr`, which must be of `kind`; None with a finding."""
    text = attr_text(attr, scope, desk)
    if text is None:
        return None
    quantity = parse_quantity(text)
    span = attr.values[0].span.to(attr.values[-1].span) if attr.values else attr.span
    if quantity is not None and quantity.kind == kind and (kind == "number" or not _negative(quantity, kind)):
        low, high, words = LIMITS.get(attr.key.text, (-inf, inf, ""))
        if attr.key.text in POSITIVE and (min if kind == "length" else max)(quantity.values) <= 0:
            desk.fault("out-of-range", span, f"`{attr.key.text}` is nothing", "give a value above 0", scope, whole=whole)
            return None
        if low <= min(quantity.values) and max(quantity.values) <= high:
            return quantity
        desk.fault(
            "out-of-range", span, f"`{text}` is more or less than `{attr.key.text}` can be", f"give {words}", scope, whole=whole
        )
        return None
    wanted = f"a {kind.replace('-', ' ')}" if kind[0] not in "aeiou" else f"an {kind.replace('-', ' ')}"
    example = unit_words(kind)
    if quantity is not None and quantity.kind == kind:
        desk.fault("out-of-range", span, f"`{attr.key.text}` is negative", "give a value from 0 on", scope, whole=whole)
        return None
    if quantity is None:
        found = f"`{text}` is no number with a unit"
    else:
        found = f"`{text}` is a {quantity.kind.replace('-', ' ')}"
    desk.fault("wrong-unit", span, f"{found}, `{attr.key.text}` takes {wanted}", f"write it in {example}", scope, whole=whole)
    return None


def amount_of(attr: Attr, kind: str, scope: Scope, desk: Desk, whole: Span | None = None) -> float | None:
    """The one value of `attr` in the base unit of `kind`; None with a finding, also for a range or several values."""
    quantity = quantity_of(attr, kind, scope, desk, whole)
    if quantity is not None and quantity.form != "single":
        desk.fault(
            "wrong-unit",
            attr.values[0].span,
            f"`{quantity.text}` is more than one value",
            f"give `{attr.key.text}` one value",
            scope,
            whole=whole,
        )
        return None
    return quantity.value if quantity else None


def _negative(quantity: Quantity, kind: str) -> bool:
    return kind != "temperature" and any(value < 0 for value in quantity.values)


def unit_words(kind: str) -> str:
    """The units of `kind` in words: "mm or m"."""
    units = [unit for unit, (of, _) in UNITS.items() if of == kind and unit]
    if not units:
        return "plain figures"
    units.sort(key=lambda unit: unit != BASE_UNIT.get(kind))
    return " or ".join(units[:3])


def rating_of(attr: Attr, scope: Scope, desk: Desk, known: Iterable[str] = ()) -> Rating | None:
    """The value of a rating or attribute by its name; None with a finding for an unknown name or a wrong unit."""
    kind = RATINGS.get(attr.key.text)
    if kind is None:
        unknown_key(attr, scope, desk, (*RATINGS, *known))
        return None
    if kind != "word":
        return quantity_of(attr, kind, scope, desk)
    text = attr_text(attr, scope, desk)
    words = RATING_WORDS.get(attr.key.text)
    if text is None or words is None or one_of(text, words, f"answer to `{attr.key.text}=`", attr.span, scope, desk):
        return text
    return None


def unknown_key(attr: Attr, scope: Scope, desk: Desk, known: Iterable[str]) -> None:
    """Note that `attr` has a name nothing here takes."""
    near = nearest(attr.key.text, known)
    remedy = f"did you mean `{near}`?" if near else "take it out, or see the reference for what can stand here"
    desk.fault("unknown-word", attr.key.span, f"`{attr.key.text}=` means nothing here", remedy, scope, whole=attr.span)


def one_of(word: str, allowed: Iterable[str], what: str, span: Span, scope: Scope, desk: Desk, whole: Span | None = None) -> bool:
    """Whether `word` is one of `allowed`; a finding where not."""
    choices = tuple(allowed)
    if word in choices:
        return True
    near = nearest(word, choices)
    remedy = f"did you mean `{near}`?" if near else f"take one of {', '.join(choices)}"
    desk.fault("unknown-word", span, f"`{word}` is no {what}", remedy, scope, whole=whole)
    return False


def written_at(items: Iterable[Value], text: str, scope: Scope, desk: Desk) -> Span | None:
    """Where the word `text` among `items` is written: where it was given to a parameter, the place of the argument."""
    for item in items:
        found = settled(item, scope, desk)
        if found is not None and isinstance(found[0], Word) and found[0].text == text:
            return found[0].span
    return None


def split_items(items: Iterable[Item], scope: Scope, desk: Desk) -> tuple[list[Word], str]:
    """The bare words among `items`, parameters put in, and the quoted text ("" without one)."""
    words: list[Word] = []
    text = ""
    for item in items:
        found = settled(item, scope, desk)
        if found is None:
            continue
        value = found[0]
        if isinstance(value, Text):
            text = value.value
        elif isinstance(value, Word):
            words.append(Word(value.text, item.span))
        elif isinstance(value, (Reference, ComputedTerminal)):
            desk.fault("unknown-word", item.span, f"`{value.span.text}` cannot stand here", "take it out", scope)
    return words, text
