"""Formulas as they are set: what stands over what, in brackets, under a root, and where a line may break."""

from __future__ import annotations

import pytest

from netdsl.calc.basis import formula
from render.layout.fonts import ink_box
from render.layout.formulas import formula_pieces, lines_of, worded_pieces
from render.layout.pieces import Piece, set_symbol, set_text
from render.sheet import Label, Line
from tests.cases import each_of


def labels(pieces: tuple[Piece, ...]) -> list[str]:
    return [part.text for piece in pieces for part in piece.parts if isinstance(part, Label)]


def made(text: str) -> tuple[Piece, ...]:
    assert formula(text).symbols  # it is one that can be worked out
    pieces = formula_pieces(text, set_symbol)
    assert pieces is not None
    return pieces


@each_of(
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
    pieces = formula_pieces("{a}^2 + {b}", lambda name, height: set_text({"a": "3 A", "b": "4 A"}[name], height))
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
    for width in (17.0, 28.0, 84.0):
        lines = lines_of(pieces, width)
        assert lines is not None
        assert [piece for line in lines for piece in line] == list(pieces)
        assert all(sum(piece.width for piece in line) + len(line) - 1 <= width + 1e-9 for line in lines)
    assert lines_of(pieces, 2.0) is None
    hanging = lines_of(pieces, 28.0, hanging=10.0)
    assert hanging is not None and len(hanging) > 1
    assert all(sum(piece.width for piece in line) + len(line) - 1 <= 18.0 + 1e-9 for line in hanging[1:])


@each_of(
    ("text", "width", "said"),
    [
        # a fraction: the narrow factors stay over the bar, the sum stands behind it in brackets
        (
            "100 * sqrt(3) * ({I} * {R} + {J} * {S} + {K} * {T}) / {U}",
            38.0,
            ["100·3U", "·(I·R", "+J·S", "+K·T)"],
        ),
        ("({a} + {b} + {c} + {d}) / ({e} + {f})", 22.0, ["(a", "+b", "+c", "+d)", "·1e+f"]),
        # what is wide of the lower side stands behind, under a one, or in brackets behind a stroke
        ("{c} * {U} / (2 * sqrt({a} + {b} + {d}))", 27.5, ["c·U2", "·1a+b+d"]),
        ("{c} * {U} / (2 * sqrt({a} + {b} + {d}))", 21.0, ["c·U2", "/√(a", "+b", "+d)"]),
        # a root: its sign with brackets
        ("sqrt({a} * {b} + {c} * {d} + {e} * {f})", 24.0, ["√(a·b", "+c·d", "+e·f)"]),
        ("(sqrt({a} + {b} + {c} + {d}) - {x}) / {y}", 24.0, ["1y", "·(√(a", "+b", "+c", "+d)", "−x)"]),
        ("({a} + {b} + {c} + {d})^2 + {e}", 18.0, ["(a", "+b", "+c", "+d)2", "+e"]),
        ("min({a} + {b} + {c}; {d} * {e} * {f})", 20.0, ["min(a", "+b", "+c;", "d", "·e", "·f)"]),
        ("{a} - ({b} - {c} - {d} - {e})", 22.0, ["a", "−(b", "−c", "−d", "−e)"]),
        # both sides of a fraction too wide: the lower one in brackets behind a stroke
        ("({a} + {b} + {c}) / ({d} + {e} + {f} + {g} + {h})", 25.0, ["(a+b+c)", "/(d", "+e", "+f", "+g", "+h)"]),
    ],
)
def test_what_is_too_wide_comes_apart_with_all_its_brackets(text: str, width: float, said: list[str]) -> None:
    assert formula(text).symbols
    (whole,) = (made(text),)
    assert max(piece.width for piece in whole) > width
    pieces = formula_pieces(text, set_symbol, width=width)
    assert pieces is not None
    assert [piece.text for piece in pieces] == said
    assert all(piece.width <= width for piece in pieces)


def test_brackets_of_what_comes_apart_are_alike_and_on_the_axis_of_their_lines() -> None:
    pieces = formula_pieces("{x} * ({a} / {b} + {c} + {d} + {e})", set_symbol, width=20.0)
    assert pieces is not None
    (left, right) = (part for piece in pieces for part in piece.parts if isinstance(part, Label) and part.text in "()")
    assert (left.text, right.text) == ("(", ")") and left.height == right.height > 5.0 and left.y == right.y
    ink = ink_box(right)
    assert (ink.top + ink.bottom) / 2 == pytest.approx(-3.5 / 2, abs=0.3)  # half the height of the lettering above its base line


def test_a_negative_value_stands_in_brackets_behind_a_sign_and_under_a_power() -> None:
    values = {"X": "0.02 Ω", "s": "-0.98", "I": "3 A"}
    for text, said in (
        ("{I} + {X} * {s}", ["3 A", "+", "0.02 Ω", "·", "(", "−0.98", ")"]),
        ("{I} - {s}", ["3 A", "−", "(", "−0.98", ")"]),
        ("{s}^2", ["(", "−0.98", ")", "2"]),
        ("{s} * {I}", ["−0.98", "·", "3 A"]),
    ):
        pieces = formula_pieces(text, lambda name, height: set_text(values[name], height))
        assert pieces is not None and labels(pieces) == said


def test_indices_and_powers_are_a_step_smaller_and_never_below_the_least_lettering() -> None:
    (piece,) = made("{x_a}^({T_1} / {T_2})")
    sizes = {part.text: part.height for part in piece.parts if isinstance(part, Label) and part.text not in "()"}
    assert sizes == {"x": 3.5, "a": 2.5, "T": 2.5, "1": 2.5, "2": 2.5}


def test_a_magnitude_stands_between_bars_and_words_are_set_with_their_symbols() -> None:
    pieces = formula_pieces("|{I_1d} + {I_2}|", set_symbol)
    assert pieces is not None
    (piece,) = pieces
    assert piece.text == "I1d+I2"
    bars = [part for part in piece.parts if isinstance(part, Line)]
    assert len(bars) == 2 and all(line.points[0][0] == line.points[1][0] for line in bars)
    words = worded_pieces("simulated: {Z_s}, {C}", set_symbol)
    assert words is not None and [each.text for each in words] == ["simulated:", "Zs,", "C"]
    assert worded_pieces(" + ".join(["{a}"] * 400), set_symbol) is None
