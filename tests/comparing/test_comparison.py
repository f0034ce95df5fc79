"""What `compare` says is proved on plants edited by chance: carried out on the old network it gives the new one, and with old and
new exchanged the same is said the other way round."""

from __future__ import annotations

import os
import random
from collections import Counter
from pathlib import Path

import pytest

from netdsl.calc import calculate
from netdsl.comparing import Comparison, State, compare, things_of
from netdsl.network.types import Network
from tests.comparing.written import laid_out, network_in, text_of

CASES = int(os.environ.get("NETDSL_EDITS", "12"))

#: each can be made by itself or with any of the others, in this order
EDITS = (
    ("wire -K1:A2 to -T9:-", "wire -K2:A2 to -T9:-"),
    ("to -X1:1 to -K1:A1", "to -X1:1 to -K1:A1 1mm2"),
    ("1 -X1:3 to -B1:11\n    2 -X1:4 to -B1:14", "2 -X1:3 to -B1:11\n    1 -X1:4 to -B1:14"),
    ("length=12m", "length=40m"),
    ("ai2=4..20mA", "ai2=0..20mA"),
    ("cores=numbers length", "cores=numbers method=E length"),
    ("2x1.5", "3x1.5"),
    (":1..4 2.5mm2", ":1..6 2.5mm2"),
    ("vsd-5.5kw", "vsd-7.5kw"),
    ("wire -X1:2 to -K2:A1 1.5mm2", "wire -X1:2 to -K2:A1 1.5mm2\n  wire -K2:A2 to -X1:3"),
    ("wire -K1:A2 to -T9:-", "wire -K1:A2 to -T9:-\nwire -K1:1 to -K2:1 2.5mm2"),
    ("  bridge :1..2\n", ""),
    ("allow cable-short", "allow cable-long"),
    ("within=+P class=control section=0.75mm2", "within=+P class=control section=1mm2"),
    ("=RA1", "=RC7"),
    ("-K2", "-K5"),
    ("-W1", "-W9"),
)


def edited(seed: int) -> str:
    chance = random.Random(seed)
    text = text_of()
    for old, new in sorted(chance.sample(EDITS, chance.randint(1, 5)), key=EDITS.index):
        text = text.replace("function " + old, "function " + new).replace(old, new)
    return text


def state(network: Network) -> State:
    return State(network, calculate(network), ())


def conductors(network: Network) -> dict[str, str]:
    """Ends of every conductor by its id."""
    return {thing.id: thing.facts["ends"] for thing in things_of(network) if thing.kind == "conductor"}


def carried_out(old: Network, new: Network, comparison: Comparison) -> Counter[str]:
    """Where the old network's conductors lie once everything that is said of conductors is done; what a new one is comes from the
    new network."""

    def now(ends: str) -> str:
        return " -- ".join(sorted(comparison.names.of(ends).split(" -- ")))

    before, meant = conductors(old), conductors(new)
    lying = {comparison.names.of(name): now(ends) for name, ends in before.items()}
    result = Counter(lying.values())
    for change in comparison.changes:
        of = change.subject
        if change.what == "conductor-moved":
            result[change.was] -= 1
            result[change.now] += 1
        elif change.what == "cores-swapped":
            first, second = change.subjects
            assert (meant[first], meant[second]) == (lying[second], lying[first])
        elif change.what == "conductor-added":
            result[meant[of]] += 1
        elif change.what == "conductor-removed":
            result[now(before[of])] -= 1
        elif change.what == "cable-added":
            result.update(ends for name, ends in meant.items() if name.startswith(f"{of} "))
        elif change.what == "cable-removed":
            result.subtract(now(ends) for name, ends in before.items() if name.startswith(f"{of} "))
    return +result


def wired(comparison: Comparison) -> Counter[str]:
    """How many changes of each kind there are, but those of computed figures."""
    found: Counter[str] = Counter()
    for change in comparison.changes:
        if not change.what.startswith(("result", "limit")):
            found[change.what] += change.number
    return found


def turned(kinds: Counter[str]) -> Counter[str]:
    found: Counter[str] = Counter()
    for kind, number in kinds.items():
        start, _, end = kind.rpartition("-")
        if kind in ("terminal-inserted", "terminal-removed"):
            end = "removed" if end == "inserted" else "inserted"
        elif end in ("added", "removed"):
            end = "removed" if end == "added" else "added"
        found[f"{start}-{end}".removeprefix("-")] += number
    return found


@pytest.mark.parametrize("seed", range(CASES))
def test_the_changes_carried_out_give_the_new_plant_and_turn_with_old_and_new(seed: int, tmp_path: Path) -> None:
    old, new = network_in(tmp_path / "old", text_of()), network_in(tmp_path / "new", edited(seed))
    there, back = compare(state(old), state(new)), compare(state(new), state(old))
    assert there.changes
    assert carried_out(old, new, there) == Counter(conductors(new).values())
    assert carried_out(new, old, back) == Counter(conductors(old).values())
    assert {after: before for before, after in there.names.things.items()} == back.names.things
    assert turned(wired(there)) == wired(back)
    assert there.electrical == back.electrical


def test_another_order_and_layout_are_no_change(tmp_path: Path) -> None:
    old = state(network_in(tmp_path / "old", text_of()))
    for seed in range(3):
        new = state(network_in(tmp_path / str(seed), laid_out(random.Random(seed))))
        comparison = compare(old, new)
        assert comparison.changes == () and not comparison.electrical


def said(tmp_path: Path, *edits: tuple[str, str], base: str | None = None) -> list[str]:
    """What is said of edits of the small plant, but for computed figures."""
    before = text = text_of() if base is None else base
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    comparison = compare(state(network_in(tmp_path / "old", before)), state(network_in(tmp_path / "new", text)))
    return [change.text for change in comparison.changes if not change.what.startswith(("result", "limit"))]


def test_a_device_renamed_is_known_by_what_is_connected_to_it(tmp_path: Path) -> None:
    assert said(tmp_path, ("-K2", "-K5")) == ["device `-K2` is now called `-K5`"]


def test_two_devices_that_exchange_their_names_are_renamed(tmp_path: Path) -> None:
    base = text_of().replace("wire -K1:A2 to -T9:-", "wire -K1:A2 to -T9:-\nwire -K2:A2 to -X1:4\nwire -K2:13 to -X1:3")
    found = said(tmp_path, ("-K1", "-K3"), ("-K2", "-K1"), ("-K3", "-K2"), base=base)
    assert found == ["device `-K2` is now called `-K1`", "device `-K1` is now called `-K2`"]


def test_a_default_is_one_line_where_it_stands(tmp_path: Path) -> None:
    found = said(tmp_path, ("class=control section=0.75mm2", "class=control section=1mm2"))
    assert found == ["section of 3 conductors 0.75 mm² is now 1 mm², by one line"]


def test_words_alone_are_not_electrical(tmp_path: Path) -> None:
    old = network_in(tmp_path / "old", text_of())
    new = network_in(tmp_path / "new", text_of().replace('"Winch"', '"Capstan"').replace('"B-7"', '"B-8"'))
    comparison = compare(state(old), state(new))
    assert [change.text for change in comparison.changes] == [
        "`-T1`: title Winch is now Capstan",
        "title block `project`: number B-7 is now B-8",
    ]
    assert not comparison.electrical


def test_places_and_routes_are_known_by_what_is_in_them(tmp_path: Path) -> None:
    found = said(tmp_path, ("TRAY1", "TRAY8"), ("+Q", "+KAI"))
    assert found == ["place `+Q` is now called `+KAI`", "route `TRAY1` is now called `TRAY8`"]


def test_functions_that_exchange_their_names_are_known_by_their_titles_and_what_is_joined_to_them(tmp_path: Path) -> None:
    other = 'function =RA2 "Gate" at=+P {\n  device -B1 level-switch at=+Q\n  wire -X1:4 to -B1:11 1.5mm2 length=3m\n}\n'
    found = said(tmp_path, ("=RA1", "=RA9"), ("=RA2", "=RA1"), ("=RA9", "=RA2"), base=text_of() + other)
    assert found == [
        "function `=RA2` is now called `=RA1`, with 1 device and cables in it",
        "function `=RA1` is now called `=RA2`, with 2 devices and cables in it",
    ]


def test_a_terminal_put_in_renumbers_those_behind_it_with_their_wires(tmp_path: Path) -> None:
    found = said(
        tmp_path,
        (":1..4", ":1..5"),
        ("-X1:4", "-X1:5"),
        ("-X1:3", "-X1:4"),
        ("-X1:2", "-X1:3"),
        (":1..2", ":1..3"),
        (":1..3", ":1,3"),
    )
    assert found == [
        "`-X1`: terminal 2 inserted",
        "`-X1`: 3 terminals renumbered, with what lands on them: 2 is now 3, 3 is now 4, 4 is now 5",
    ]


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ("-K1:A2 to -T9:-", "-K1:A2 to -X1:3", "wire at `-K1:A2` moved from `-T9:-` to `-X1:3`"),
        ("2x1.5", "3G1.5", "cable `=RA1-W1`: type 2x1.5 is now 3G1.5"),
        ("ai2=4..20mA", "ai2=0..20mA", "`-T1`: setting ai2 4..20mA is now 0..20mA"),
        ("shade DBU = BU", "shade DBU = WH", "shade `DBU`: colour BU, dark blue is now WH, dark blue"),
        ("cores=numbers", "spare=earthed cores=numbers", "cable `=RA1-W1`: spare cores earthed (was not stated)"),
        ("mechanical", "electrical", "interlock `-K1 and -K2`: kind mechanical is now electrical"),
        ("bridge :1..2", "bridge :2..3", "`-X1`: bridge 1, 2 removed"),
        ("allow cable-short", "allow cable-long", "exception to cable-long at `=RA1-W1` granted: the quay is near"),
        ("device -K1 contactor-12a at=+P", "device -K1 contactor-12a at=+Q", "`-K1`: place +P is now +Q"),
    ],
)
def test_each_kind_of_change_has_its_words(old: str, new: str, found: str, tmp_path: Path) -> None:
    assert found in said(tmp_path, (old, new))


def test_a_line_inside_a_part_that_stays_by_name_is_said(tmp_path: Path) -> None:
    part = (
        'part own-relay "Relay" {\n  kind = relay   letter = K\n  terminal :A1 :A2 coil 0.5..2.5mm2 voltage=24V dc\n'
        "  terminal :11 :14 contact 2.5mm2\n  coil :A1 to :A2 voltage=24V dc power=1W\n  contact :11 to :14 make by=coil\n}\n"
        "device -K7 own-relay at=+P\n"
    )
    found = said(tmp_path, (":14 make", ":14 break"), ("power=1W", "power=2W"), base=text_of() + part)
    assert len(found) == 4 and all(text.startswith("`-K7`: ") for text in found)
    assert sum("kind make" in text and text.endswith("removed") for text in found) == 1
    assert sum("kind break" in text and text.endswith("added") for text in found) == 1
