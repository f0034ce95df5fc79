"""What is offered for a word that is not known."""

from __future__ import annotations

from netdsl.spelling import alike, nearest, nearest_keyword
from tests.cases import each_of

NAMES = ("-K1", "-K2", "-K12", "reactor", "residual-device", "Contactor")


@each_of(
    ("wrong", "meant"),
    [
        ("reacter", "reactor"),
        ("raector", "reactor"),  # neighbours exchanged: one edit
        ("contactor", "Contactor"),
        ("residual-devixx", "residual-device"),
        ("-K3", "-K1"),  # the first of those equally near
        ("-K1", "-K2"),  # itself is no correction
        ("reectxr", "reactor"),
        ("reecsxr", None),  # three edits in seven letters
        ("K", None),
        ("", None),
    ],
)
def test_a_name_is_offered_for_one_edit_in_three_letters(wrong: str, meant: str | None) -> None:
    assert nearest(wrong, NAMES) == meant


def test_nothing_is_near_where_nothing_is_known() -> None:
    assert nearest("reactor", ()) is None
    assert nearest_keyword("wire", ()) is None
    assert alike("overload", ()) == []


@each_of(("wrong", "meant"), [("WRIE", "wire"), ("cabel", "cable"), ("cab", "cable"), ("ca", None), ("wire" + 40 * "x", None)])
def test_a_keyword_is_offered_from_seven_tenths_on(wrong: str, meant: str | None) -> None:
    assert nearest_keyword(wrong, ("wire", "cable", "device")) == meant


def test_what_is_alike_comes_best_first_and_as_many_as_asked() -> None:
    known = ("earth-missing", "earth-loop", "screen-missing", "overload")
    assert alike("earth-mising", known, 3) == ["earth-missing", "screen-missing"]
    assert alike("earth-mising", known) == ["earth-missing"]
    assert alike("ovr", known) == []
    assert alike("ovr", known, share=0.5) == ["overload"]
