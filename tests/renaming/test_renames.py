"""Other names all over a plant: what changes, what stays, what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.renaming import Refused, Renaming, inserted, mentioned, moved, rename
from tests.cases import each_of
from tests.readings import HATCHERY

PLANT = """netdsl 1
include "more.netdsl"
let way=DUCT1   # DUCT1 here, and -X1 in a remark
place +P "Panel, see -X1" kind=cabinet
place +P.D "Door" kind=door
route DUCT1 at=+P kind=duct
route DUCT2 at=+P kind=duct
route DUCT3 at=+P kind=duct
layout DUCT1..2 DUCT3 spacing=50mm parallel=1m
defaults within=+P class=control section=0.75mm2 colour=BU along=$way,DUCT2
device -T9 supply-24v at=+P
strip -X1 at=+P {
  :1..6   2.5mm2 "both"   # kept
  :PE     earth 4mm2
  bridge :1..2
}
function =RA1 "Ramp" at=+P {
  device -K1 relay-2co
  wire -T9:+ to -X1:1/in
  wire -X1:2 to -K1:A1 0.75mm2
  use lamp lamp=-P1 strip=-X1 first=3
}
function =RA2 "Second ramp" at=+P {
  device -K1 relay-2co operated-at=+P.D
  wire -X1:5,6 to =RA1-K1:11,14
  allow unused-contact on =RA1-K1 because "kept"
}
"""
MORE = """netdsl 1
scheme lamp(lamp, strip, first) {
  device $lamp lamp
  wire $strip:($first) to $lamp:X1
  wire $lamp:X2 to $strip:($first+1)
}
"""


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    (tmp_path / "plant.netdsl").write_text(PLANT)
    (tmp_path / "more.netdsl").write_text(MORE)
    return tmp_path


def lines(found: Renaming) -> list[str]:
    """Every line that changes, as it becomes."""
    changed = []
    for source, text in found.texts.items():
        pairs = zip(source.text.splitlines(), text.splitlines(), strict=True)
        changed += [after.strip() for before, after in pairs if before != after]
    return changed


def test_a_device_is_renamed_where_it_is_meant_and_nowhere_else(plant: Path) -> None:
    assert lines(rename(plant, "=RA1-K1", "-K7")) == [
        "device -K7 relay-2co",
        "wire -X1:2 to -K7:A1 0.75mm2",
        "wire -X1:5,6 to =RA1-K7:11,14",
        'allow unused-contact on =RA1-K7 because "kept"',
    ]


def test_what_a_use_gives_to_a_scheme_is_renamed_there(plant: Path) -> None:
    assert lines(rename(plant, "-X1", "-X9")) == [
        "strip -X9 at=+P {",
        "wire -T9:+ to -X9:1/in",
        "wire -X9:2 to -K1:A1 0.75mm2",
        "use lamp lamp=-P1 strip=-X9 first=3",
        "wire -X9:5,6 to =RA1-K1:11,14",
    ]


def test_a_place_takes_those_in_it_along(plant: Path) -> None:
    found = lines(rename(plant, "+P", "+MCC"))
    assert 'place +MCC.D "Door" kind=door' in found
    assert "device -K1 relay-2co operated-at=+MCC.D" in found
    assert not any("+P" in line for line in found)
    assert 'place +MCC "Panel, see -X1" kind=cabinet' in found


def test_a_function_takes_what_is_named_in_full_along(plant: Path) -> None:
    assert lines(rename(plant, "=RA1", "=RX")) == [
        'function =RX "Ramp" at=+P {',
        "wire -X1:5,6 to =RX-K1:11,14",
        'allow unused-contact on =RX-K1 because "kept"',
    ]


def test_a_route_is_renamed_in_a_range_and_in_a_value(plant: Path) -> None:
    assert lines(rename(plant, "DUCT1", "SIDE")) == [
        "let way=SIDE   # DUCT1 here, and -X1 in a remark",
        "route SIDE at=+P kind=duct",
        "layout SIDE,DUCT2 DUCT3 spacing=50mm parallel=1m",
    ]


def test_a_scheme_is_renamed_where_it_is_described_and_used(plant: Path) -> None:
    assert lines(rename(plant, "lamp", "signal-lamp")) == [
        "use signal-lamp lamp=-P1 strip=-X1 first=3",
        "scheme signal-lamp(lamp, strip, first) {",
    ]


def test_a_terminal_goes_in_with_the_number_that_a_scheme_counts_from(plant: Path) -> None:
    assert lines(inserted(plant, "-X1", "3")) == [
        ':1..7   2.5mm2 "both"   # kept',
        "use lamp lamp=-P1 strip=-X1 first=4",
        "wire -X1:6,7 to =RA1-K1:11,14",
    ]


def test_a_terminal_goes_in_at_the_end_and_before_a_bridge(plant: Path) -> None:
    assert lines(inserted(plant, "-X1", "7")) == [':1..7   2.5mm2 "both"   # kept']
    assert lines(inserted(plant, "-X1", "2"))[:2] == [':1..7   2.5mm2 "both"   # kept', "bridge :1,3"]


def test_a_range_moves_with_all_that_lands_on_it(plant: Path) -> None:
    assert lines(moved(plant, "-X1", "5..6", "15")) == [
        ':1..4,15..16   2.5mm2 "both"   # kept',
        "wire -X1:15,16 to =RA1-K1:11,14",
    ]
    assert lines(rename(plant, "-X1:PE", "E")) == [":E     earth 4mm2"]


def test_there_and_back_is_the_same_text(plant: Path) -> None:
    read = mentioned(plant)
    done = 0
    for old in read.things:
        new = f"{old}7"
        texts = {source.path: text for source, text in rename(plant, old, new).texts.items()}
        back = rename(plant, new, old, texts)
        again = {**texts, **{source.path: text for source, text in back.texts.items()}}
        again.setdefault("plant.netdsl", PLANT)
        assert again["plant.netdsl"].replace("DUCT1,DUCT2 ", "DUCT1..2 ") == PLANT
        assert again.get("more.netdsl", MORE) == MORE
        done += 1
    assert done == len(read.things) > 10


@each_of(
    ("old", "new", "reason"),
    [
        ("=RA1-K9", "-K2", "nothing is called `=RA1-K9`: did you mean `=RA1-K1`?"),
        ("=RA1-K1", "-P1", "`=RA1-P1` is there already, at plant.netdsl:21: `=RA1-K1` cannot be called so"),
        ("=RA1-K1", "=RA2-K2", "`=RA1-K1` stands in function `=RA1`: what is to stand in another is moved in the text"),
        ("=RA1-K1", "K2", "`K2` is no name of a device or cable: write it as `-T1`"),
        ("=RA1-K1", "-K1", "`=RA1-K1` is called so already"),
        ("=RA1", "=RA2", "`=RA2` is there already, at plant.netdsl:23: `=RA1` cannot be called so"),
        ("-X1:3", "4", "`-X1` has a terminal 4 already, at plant.netdsl:13"),
        ("-X1:9", "10", "`-X1` has no terminal `9`"),
        ("-X1:1", "-X2:1", "`-X2:1` is on another strip: a terminal that is to stand there is moved in the text"),
        ("=RA1-K1:A1", "A3", "`=RA1-K1` is no strip: terminals of other devices have the names that their part gives"),
        ("lamp", "emergency-stop", "a shipped scheme is called `emergency-stop`"),
    ],
)
def test_a_name_that_cannot_be_given_is_refused_with_the_reason(plant: Path, old: str, new: str, reason: str) -> None:
    with pytest.raises(Refused) as refused:
        rename(plant, old, new)
    assert str(refused.value) == reason


def test_numbers_that_a_scheme_needs_side_by_side_are_not_parted(plant: Path) -> None:
    with pytest.raises(Refused, match=r"counted from `3` at plant.netdsl:21 some move and some do not"):
        inserted(plant, "-X1", "4")


def test_a_name_that_stands_for_several_things_is_refused(plant: Path) -> None:
    many = "scheme two() {\n  device -S5 lamp\n}\nfunction =A at=+P {\n  use two\n}\nfunction =B at=+P {\n  use two\n}\n"
    (plant / "plant.netdsl").write_text(PLANT + many)
    with pytest.raises(Refused, match=r"`-S5` at plant.netdsl:.* stands for several things: it would have to be `-S6` and stay"):
        rename(plant, "=A-S5", "-S6")
    assert lines(rename(plant, "=A", "=C")) == ["function =C at=+P {"]


def test_a_name_that_another_would_catch_is_written_in_full_or_refused(plant: Path) -> None:
    # inside =RA2 `-K1` of the common part is not its own
    text = PLANT.replace("device -T9", "device -K5 relay-2co at=+P\ndevice -T9").replace(
        "  allow", "  wire -K5:11 to -K1:11\n  allow"
    )
    (plant / "plant.netdsl").write_text(text)
    with pytest.raises(Refused):
        rename(plant, "-K5", "-K1")


def test_a_name_that_a_shipped_scheme_gives_is_given_where_it_is_used() -> None:
    source = HATCHERY.parent
    found = rename(source, "=ES1-S3", "-S8")
    (edit,) = found.edits
    assert edit.text == " reset=-S8" and edit.span.start == edit.span.end and edit.span.source.path == "plant.netdsl"
    texts = {source.path: text for source, text in found.texts.items()}
    again = rename(source, "=ES1-S8", "-S7", texts)
    assert [each.text for each in again.edits] == ["-S7"]


def test_a_text_with_errors_is_refused(plant: Path) -> None:
    (plant / "plant.netdsl").write_text(PLANT.replace("to -K1:A1", "to -K1:A9"))
    with pytest.raises(Refused, match=r"the text has errors, the first at plant.netdsl:20: `=RA1-K1` has no terminal `A9`"):
        rename(plant, "-X1", "-X2")


def test_what_stands_at_a_character_is_known(plant: Path) -> None:
    read = mentioned(plant)
    assert read.named_at("plant.netdsl", PLANT.index("-K1:A1") + 1) == "=RA1-K1"
    assert read.named_at("plant.netdsl", PLANT.index("use lamp") + 5) == "lamp"
    assert read.named_at("plant.netdsl", PLANT.index("netdsl 1")) is None
