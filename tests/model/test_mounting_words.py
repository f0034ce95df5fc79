"""Words of mounting: rails of an enclosure, rows, cut-outs, fixing holes."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading import read, sound

from tests.cases import each_of


def box(says: str, device: str = "") -> str:
    return f"place +BOX kind=box material=plastic {says}\ndevice -P1 lamp at=+BOX {device}\n"


def test_rails_are_read_from_above_in_metres(tmp_path: Path) -> None:
    plant = sound(tmp_path, box("rails=150mm,0.4m,65cm", "row=2 cutout=92x45mm fixing=80mm fixing-hole=5.5mm"))
    assert plant.places["+BOX"].rails_m == pytest.approx((0.15, 0.4, 0.65))
    ratings = plant.devices["-P1"].ratings
    assert ratings.amount("row") == 2 and ratings.text("cutout") == "92x45mm"
    assert (ratings.amount("fixing"), ratings.amount("fixing-hole")) == pytest.approx((0.08, 0.0055))


@each_of(
    ("says", "device", "words"),
    [
        ("rails=400mm,150mm", "", "`rails` goes from above, and `150mm` is no further down than the one before it"),
        ("rails=150mm,150mm", "", "`rails` goes from above, and `150mm` is no further down than the one before it"),
        ("rails=0mm", "", "`rails` is nothing"),
        ("rails=4A", "", "`4A` is a current, `rails` takes a length"),
        ("rails=100..200mm", "", "`100..200mm` is more than one value"),
        ("", "row=0", "`0` is more or less than `row` can be"),
        ("", "row=1.5", "`1.5` is no whole number"),
        ("", "row=top", "`top` is no number with a unit, `row` takes a number"),
        ("", "cutout=0mm", "`cutout` is nothing"),
        ("", "cutout=round", "`round` is no number with a unit, `cutout` takes a length"),
    ],
)
def test_what_cannot_be_is_found_where_it_is_written(says: str, device: str, words: str, tmp_path: Path) -> None:
    _, findings = read(tmp_path, box(says, device))
    assert [finding.message for finding in findings] == [words]
