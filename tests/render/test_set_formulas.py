"""Formulas as they are set: what stands over what, in brackets, under a root, and where a line may break."""

from __future__ import annotations

import pytest

from netdsl.calc.basis import formula
from render.layout.formulas import Piece, formula_pieces, lines_of, set_symbol, set_text
from render.sheet import Label, Line


def labels(pieces: tuple[Piece, ...]) -> list[str]:
    return [part.text for piece in pieces for part in piece.parts if isinstance(part, Label)]


def made(text: str) -> tuple[Piece, ...]:
    assert formula(text).symbols  # it is one that can be worked out
    pieces = formula_pieces(text, set_symbol)
    assert pieces is not None
    return pieces


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{a} * ({b} + {c})", ["a", "·", "(", "b", "+", "c", ")"]),
        ("({a} + {b}) * {c}", ["(", "a", "+", "b", ")", "·", "c"]),
        ("{k} * {A} * ({T} - {U})", ["k", "·", "A", "·", "(", "T", "−", "U", ")"]),
        ("{a} - ({b} - {c})", ["a", "−", "(", "b", "−", "c", ")"]),
        ("{a} - {b} - {c}", ["a", "−", "b", "−", "c"]),
        ("({a} + {b})^2", ["(", "a", "+", "b", ")", "2"]),
        ("({a} * {b})^2", ["(", "a", "·", "b", ")", "2"]),
        ("({a} / {b}) / {c}", ["a", "b", "c"]),
        ("-({a} + {b}) * {c}", ["(", "−", "(", "a", "+", "b", ")", ")", "·", "c"]),
        ("min({a}; {b} + {c})", ["min", "(", "a", ";", "b", "+", "c", ")"]),
        ("sqrt(3) * {U_n}", ["3", "·", "U", "n"]),
        ("{R1} + {kappa}", ["R", "1", "+", "κ"]),
    ],
)
def test_no_bracket_is_lost(text: str, said: list[str]) -> None:
    assert labels(made(text)) == said


def heights(piece: Piece) -> dict[str, float]:
    return {part.text: part.y for part in piece.parts if isinstance(part, Label)}


def test_a_fraction_stands_over_its_bar_and_a_power_is_raised() -> None:
    (piece,) = made("{a} / ({b} + {c})")
    (bar,) = (part for part in piece.parts if isinstance(part, Line))
    level = heights(piece)
    assert level["a"] < bar.points[0][1] < level["b"] == level["c"]
    assert labels((piece,)) == ["a", "b", "+", "c"]  # a bar needs no brackets
    (power,) = made("{x}^2")
    assert heights(power)["2"] < heights(power)["x"] == 0.0


def test_a_root_reaches_over_all_that_is_under_it_and_nothing_else() -> None:
    root, times, _ = (*made("sqrt({a} + {b}) * {c}"), None)
    line = next(part for part in root.parts if isinstance(part, Line))
    right = max(x for x, _ in line.points)
    inside = [part for part in root.parts if isinstance(part, Label)]
    assert [part.text for part in inside] == ["a", "+", "b"]
    assert all(line.points[-2][0] < part.x < right for part in inside)
    assert labels((times,)) == ["·", "c"]


def test_values_keep_their_brackets_when_they_are_raised() -> None:
    pieces = formula_pieces("{a}^2 + {b}", lambda name: set_text({"a": "3 A", "b": "4 A"}[name]))
    assert pieces is not None
    assert labels(pieces) == ["(", "3 A", ")", "2", "+", "4 A"]


def test_a_condition_has_both_sides_and_words_are_not_set() -> None:
    assert labels(made_condition("{Z_s} <= {c} * {U_0} / {I_a}")) == ["Z", "s", "≤", "c", "·", "U", "0", "I", "a"]
    assert formula_pieces("sum of {n} load currents as phasors", set_symbol) is None
    assert formula_pieces("simulated: {Z_s}, {C}", set_symbol) is None
    assert formula_pieces(" + ".join(["{a}"] * 400), set_symbol) is None


def made_condition(text: str) -> tuple[Piece, ...]:
    pieces = formula_pieces(text, set_symbol)
    assert pieces is not None
    return pieces


def test_lines_break_before_a_sign_and_nothing_is_wider_than_asked() -> None:
    pieces = made("{a} + {b} * {c} + {d} / {e} + {f}")
    for width in (12.0, 20.0, 60.0):
        lines = lines_of(pieces, width)
        assert lines is not None
        assert [piece for line in lines for piece in line] == list(pieces)
        assert all(sum(piece.width for piece in line) + len(line) - 1 <= width + 1e-9 for line in lines)
    assert lines_of(pieces, 2.0) is None
