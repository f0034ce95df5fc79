"""What is said about the shipped parts and schemes."""

from __future__ import annotations

import re

import pytest

from netdsl.library import document
from netdsl.library.catalogue import WIDTH, Entry, description, entries, matching, nearest_word, overview
from netdsl.model.files import library_index
from netdsl.model.vocabulary import PLACE_KINDS, STRIP_KINDS


def text(entry: Entry) -> str:
    return "\n".join(line for _, line in description(entry))


def test_everything_shipped_is_listed_once() -> None:
    parts = [entry.name for entry in entries() if entry.part]
    schemes = [entry.name for entry in entries() if entry.scheme]
    assert sorted(parts) == sorted(library_index())
    assert sorted(schemes) == sorted(library_index("scheme"))


def test_the_list_of_the_manual_is_current() -> None:
    page = document.PAGE.read_text("utf-8")
    assert document.refreshed(page) == page


def test_every_kind_of_terminal_and_enclosure_is_listed() -> None:
    listed = [(entry.kind, entry.name) for entry in entries()]
    assert {name for kind, name in listed if kind == "terminal"} == set(STRIP_KINDS)
    assert {name for kind, name in listed if kind == "enclosure"} == set(PLACE_KINDS) - {"field"}
    for word, name in (("knife", "disconnect"), ("enclosure", "cabinet"), ("fused", "fused"), ("terminal", "two-level")):
        (said,) = [text(entry) for entry in matching(word) if entry.name == name]
        assert "`" in said


def test_names_stand_in_the_order_of_their_numbers() -> None:
    drives = [entry.name for entry in entries() if entry.kind == "drive"]
    assert drives.index("vsd-2.2kw") < drives.index("vsd-11kw") < drives.index("vsd-110kw")


def test_a_word_is_looked_for_in_name_title_and_kind() -> None:
    assert "line-reactor-10a" in {entry.name for entry in matching("REACTOR")}
    assert "safety-relay" in {entry.name for entry in matching("monitored reset")}
    assert "mcb-1p" in {entry.name for entry in matching("breaker")}
    assert matching("no such word") == ()


def test_the_part_of_just_that_name_comes_first() -> None:
    assert matching("motor")[0].name == "motor"


def test_no_line_is_wider_than_a_terminal() -> None:
    lines = [line for _, line in overview(entries())] + [line for entry in entries() for _, line in description(entry)]
    assert max(map(len, lines)) <= WIDTH


def test_a_part_is_described_by_role_and_rating() -> None:
    said = text(matching("vsd-15kw")[0])
    for piece in (
        "power 15 kW",
        "class I",
        "DI1 (start)",
        "RO1C (relay-1-common",
        "0.75..16 mm²",
        "termination: off, on",
        "must be connected: PE",
        "24V to COM, 24 V dc, 200 mA",
    ):
        assert piece in " ".join(said.split()), piece


def test_rows_of_numbers_are_shown_as_a_range() -> None:
    assert " 1..16; " in text(matching("card-16di")[0])


def test_positions_say_which_contacts_they_close() -> None:
    assert "speed-4 closes 13-14 23-24" in text(matching("selector-4-binary")[0])


def test_the_library_s_own_words_stand_below_the_title() -> None:
    assert "13-14 is worth 1" in text(matching("selector-4-binary")[0]).splitlines()[1]


def test_a_scheme_says_what_it_must_be_given() -> None:
    said = " ".join(text(matching("two-wire-start")[0]).split())
    assert "must be given drive" in said
    assert "length=20m" in said


@pytest.mark.parametrize("name", library_index("scheme"))
def test_a_scheme_says_when_to_choose_it_what_it_takes_and_what_it_prevents(name: str) -> None:
    (note,) = [entry.note for entry in entries() if entry.kind == "scheme" and entry.name == name]
    if note.startswith("Part of"):
        return  # written for other schemes, which say it
    for word in ("choose", "takes|inputs|gives", "prevents"):
        assert re.search(word, note, re.IGNORECASE), word


@pytest.mark.parametrize(("wrong", "right"), [("reacter", "reactor"), ("vsd-15kv", "vsd-15kw"), ("Contactr", "contactor")])
def test_the_nearest_spelling_is_found(wrong: str, right: str) -> None:
    assert nearest_word(wrong) == right


def test_nothing_is_near_to_nonsense() -> None:
    assert nearest_word("qqqqqqqq") is None
