"""`function`, `scheme` and `use`: what their heads take. What stands inside is unfolded elsewhere."""

from __future__ import annotations

from netdsl.model.here import Here
from netdsl.model.table import Nothing, Statement, fixed, key, quoted, record
from netdsl.model.value_kinds import Several
from netdsl.syntax.written import Word


@record
class FunctionSays:
    """What the head of a `function` says."""

    title: str = quoted("what it does, for the reader")
    places: tuple[str, ...] = key(Several("a place"), "where its devices stand", default=(), name="at")


def _stray(word: Word, here: Here) -> None:
    remedy = f'take it out, or write it in quotes: `"{word.text}"`'
    here.fault("unknown-word", word.span, f"`{word.text}` cannot stand in the head of a function", remedy)


FUNCTION = Statement(
    "function",
    FunctionSays,
    "A scope for names, and the unit of paper",
    fixed("NAME", "a function, `=RP1`", "its name; inside another it is that of a part of it"),
    stray=_stray,
)


LET = Statement(
    "let",
    Nothing,
    "Values by their names, for the plant or for the function around them",
    fixed("NAME=VALUE", "a quantity, word, number, text or designation", "what `$NAME` stands for"),
)


@record
class SchemeSays:
    """What the head of a `scheme` says."""

    title: str = quoted("what it wires")


SCHEME = Statement(
    "scheme",
    SchemeSays,
    "Wiring that is used more than once",
    fixed("NAME", "a word", "its name"),
    fixed("(NAME, NAME=VALUE)", "words", "its parameters, those with a default may be left out"),
)


USE = Statement(
    "use",
    Nothing,
    "The wiring of a scheme, for these devices",
    fixed("SCHEME", "a scheme", "of your own or shipped"),
    fixed("for NAME in VALUES", "values or a range, `1..4`", "the scheme is taken once for each; `$NAME` is the value"),
    fixed("and NAME in VALUES", "as many values", "another name, which steps with the first"),
    fixed("NAME=VALUE", "a device, terminals, a number, a quantity", "what each parameter stands for"),
)
