"""How routes lie to each other, stated for many at once."""

from __future__ import annotations

from pathlib import Path

from reading import read, sound

from tests.cases import each_of

HEAD = "place +HALL kind=field\n" + "".join(f"route T{n} at=+HALL kind=tray divider=yes\n" for n in range(1, 6))
Pairs = dict[tuple[str, str], tuple[float | None, float | None, float | None]]


def pairs(folder: Path, text: str) -> Pairs:
    relations = sound(folder, HEAD + text).relations
    found = {each.routes: (each.spacing_m, each.parallel_m, each.crossing_deg) for each in relations}
    assert len(found) == len(relations)
    return found


@each_of(
    ("text", "wanted"),
    [
        (
            "layout T1 T2 T3 spacing=300mm parallel=24m\n",
            {("T1", "T2"): (0.3, 24.0, None), ("T1", "T3"): (0.6, 24.0, None), ("T2", "T3"): (0.3, 24.0, None)},
        ),
        (
            'let far=T4 gap=0.2m\nlayout T1 T2 $far "levels" spacing=300mm,$gap\n',
            {("T1", "T2"): (0.3, None, None), ("T1", "T4"): (0.5, None, None), ("T2", "T4"): (0.2, None, None)},
        ),
        (
            "layout T1,T2 T3..4 crossing=90deg\n",
            {(one, other): (None, None, 90.0) for one in ("T1", "T2") for other in ("T3", "T4")},
        ),
        (
            "layout T1 T2/1 T2/2 spacing=300mm\n",
            {("T1", "T2/1"): (0.3, None, None), ("T1", "T2/2"): (0.6, None, None), ("T2/1", "T2/2"): (0.3, None, None)},
        ),
        (
            "layout T1 T2 T3 spacing=300mm\nrelation T3 T1 crossing=60deg\n",
            {("T3", "T1"): (None, None, 60.0), ("T1", "T2"): (0.3, None, None), ("T2", "T3"): (0.3, None, None)},
        ),
    ],
)
def test_pairs_follow_from_the_order(tmp_path: Path, text: str, wanted: Pairs) -> None:
    assert pairs(tmp_path, text) == wanted


PLACES = """\
place +PANEL kind=cabinet
place +PANEL.D kind=door
route D1 at=+PANEL length=2m
route D2 at=+PANEL length=3m
route H1 at=+PANEL.D kind=hinge
route E1 at=+PANEL kind=entry
"""


def test_what_nothing_else_says_follows_from_the_layout_of_a_place(tmp_path: Path) -> None:
    text = "layout within=+HALL spacing=300mm parallel=20m\nlayout T1 T2 spacing=500mm\nrelation T3/1 T4 crossing=90deg\n"
    usual = (0.3, 20.0, None)
    assert pairs(tmp_path, text) == {
        ("T3/1", "T4"): (None, None, 90.0),
        ("T1", "T2"): (0.5, None, None),
        **dict.fromkeys((("T1", "T3"), ("T1", "T4"), ("T1", "T5"), ("T2", "T3"), ("T2", "T4"), ("T2", "T5")), usual),
        **dict.fromkeys((("T3", "T5"), ("T4", "T5")), usual),
    }
    # side by side as far as the shorter goes; places inside are meant, entries are no ways; what is said last holds
    text = "layout within=+PANEL spacing=100mm\nlayout within=+PANEL.D crossing=90deg\n"
    assert pairs(tmp_path, PLACES + text) == {
        ("D1", "D2"): (0.1, 2.0, None),
        ("D1", "H1"): (0.1, None, None),
        ("D2", "H1"): (0.1, None, None),
    }


@each_of(
    ("text", "words"),
    [
        ("layout T1 within=+HALL spacing=300mm", "a layout says `within=` or names routes, not both"),
        ("layout within=+HALL spacing=300mm,200mm", "between all routes of a place there is one distance"),
        ("layout within=+HALL parallel=3m", "how these routes lie to each other is not said"),
        ("layout within=+HOLL spacing=3m", "no place is called `+HOLL` here"),
    ],
)
def test_a_mistake_in_the_layout_of_a_place_is_told(text: str, words: str, tmp_path: Path) -> None:
    _, findings = read(tmp_path, HEAD + text + "\n")
    assert [finding.message for finding in findings] == [words]


def test_a_layout_is_bounded(tmp_path: Path) -> None:
    many = "".join(f"route D{n} at=+HALL\n" for n in range(1, 202))
    assert len(pairs(tmp_path, many + "layout D1..199 D200 spacing=1m\n")) == 199
    _, (finding,) = read(tmp_path, HEAD + many + "layout D1..200 D201 spacing=1m\n")
    assert (finding.rule, finding.message) == ("out-of-range", "this layout has more than 200 routes")
