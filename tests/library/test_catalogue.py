"""What is said about the shipped parts and schemes."""

from __future__ import annotations

import re
from pathlib import Path

from netdsl.findings import Source
from netdsl.library import document
from netdsl.library.catalogue import WIDTH, Entry, description, entries, entry_called, matching, nearest_word, overview
from netdsl.library.words import words
from netdsl.model import read_plant
from netdsl.model.files import library_index
from netdsl.model.part_type import Role
from netdsl.model.vocabulary import PLACE_KINDS, STRIP_KINDS
from netdsl.syntax import parse
from netdsl.syntax.tree import Scheme
from tests.cases import each_of


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
    assert {name for kind, name in listed if kind == "enclosure"} == set(PLACE_KINDS) - {"field", "frame", "pit"}
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
    assert "must be given drive the drive, reached by what its terminals do panel" in said
    assert "may be given length 20m; length of the cables" in said
    assert "contact selector-2: takes 13, 14; free: none permit level-switch: takes 11, 14; free: 12 fault" in said
    assert "drive takes (supply-24v), (start), (enable), " in said and "; free of vsd-15kw: L1 (supply-l1)," in said


@each_of(
    ("name", "lines"),
    [
        (
            "star-delta",
            [
                "bus             takes L1, L2, L3",
                "main            contactor-18a: takes 1, 3, 5, 2, 4, 6, 13, 14, 53, A1, 54, A2; free: 21, 22",
            ],
        ),
        ("bus-line", ["from            takes (bus-a), (bus-b), (bus-common)"]),
    ],
)
def test_a_scheme_tells_the_terminals_it_takes_and_leaves(name: str, lines: list[str]) -> None:
    said = [line.strip() for line in text(matching(name)[0]).splitlines()]
    assert [line for line in lines if line not in said] == []


def test_every_role_and_every_parameter_of_a_scheme_has_a_meaning_and_nothing_else() -> None:
    used = {param.name.text for entry in entries() if entry.scheme for param in entry.scheme.params}
    assert set(words()["parameters"]) == used
    assert set(words()["roles"]) == {role.value for role in Role}
    assert all(entry.title for entry in entries())


def test_several_words_are_all_there_or_each_a_name() -> None:
    assert [entry.name for entry in matching("Safety Relay")][:1] == ["safety-relay"]
    assert all("safety" in f"{each.name} {each.title} {each.kind}".lower() for each in matching("safety relay"))
    assert [entry.name for entry in matching("lamp-red two-wire-start")] == ["lamp-red", "two-wire-start"]
    assert matching("lamp-red two-wire-strat") == ()


def test_a_role_and_a_parameter_are_told_by_their_very_name() -> None:
    (role,) = matching("digital-in")
    assert (role.kind, role.title) == ("terminal role", "input that is on or off")
    assert [entry.note for entry in matching("wet")] == ["A parameter of fixed-lead-drive."]


def test_a_scheme_says_when_to_choose_it_what_it_takes_and_what_it_prevents() -> None:
    notes = {entry.name: entry.note for entry in entries() if entry.kind == "scheme"}
    assert notes.keys() == set(library_index("scheme"))
    for name, note in notes.items():
        if note.startswith("Part of"):
            continue  # written for other schemes, which say it
        for word in ("choose", "takes|inputs|gives", "prevents"):
            assert re.search(word, note, re.IGNORECASE), (name, word)


@each_of(("wrong", "right"), [("reacter", "reactor"), ("vsd-15kv", "vsd-15kw"), ("Contactr", "contactor")])
def test_the_nearest_spelling_is_found(wrong: str, right: str) -> None:
    assert nearest_word(wrong) == right


def test_nothing_is_near_to_nonsense() -> None:
    assert nearest_word("qqqqqqqq") is None


OF_EVERYTHING = """netdsl 1
place +BOX kind=field
part unit "Unit" {
  kind = relay   letter = K   class = II   current = 6A
  terminal :A1 :A2 coil 0.5..2.5mm2 torque=0.5Nm required
  terminal :1 :2 :3 :5 contact 2.5mm2 clamps=2
  terminal :7 :8 contact 2.5mm2 clamps=3
  terminal :L :N line-in required
  terminal :DI1 :DI2 digital-in common=:M function=start
  terminal :DI3 digital-in common=:M
  terminal :M digital-common required
  terminal :U1 :U2 :U3 supply-out
  terminal :PE earth 4..4mm2
  contact :1 to :2 make by=coil
  contact :3 to :5 break by=coil
  coil :A1 to :A2 voltage=24V dc power=1W
  source :U1,U2,U3 to :M voltage=24V dc current=200mA
  position hand :7 to :8
  setting mode slow fast
  setting delay 1..10s
  require one :DI1 :DI2
  require :DI3 when mode=fast
}
device -K1 unit at=+BOX
"""


def test_a_part_with_something_of_everything_is_described_line_by_line(tmp_path: Path) -> None:
    (tmp_path / "plant.netdsl").write_text(OF_EVERYTHING, "utf-8")
    plant, findings = read_plant(tmp_path)
    assert plant is not None and findings == ()
    part = plant.devices["-K1"].part
    assert text(Entry("relay", "unit", "Unit", "what it is", part, None)).splitlines() == [
        "unit  Unit",
        "  what it is",
        "  kind              relay, letter K, class II",
        "  ratings           current 6 A",
        "  coil              A1, A2; 0.5..2.5 mm², 0.5 N m; all must be connected; coil of a relay, contactor",
        "                    or valve",
        "  contact           1..3, 5, 7, 8; 2.5 mm², 2 conductors or 2.5 mm², 3 conductors; contact that a",
        "                    device opens and closes, free of potential",
        "  line-in           L, N; all must be connected; power into a device: supply side of a breaker,",
        "                    input of a drive",
        "  digital-in        DI1 (start), DI2 (start), DI3; input that is on or off",
        "  digital-common    M; must be connected; 0 V of digital inputs and outputs",
        "  supply-out        U1..U3; plus of a source inside a device",
        "  earth             PE; 4 mm²; protective earth of the device's own body",
        "  contacts          1-2 make, 3-5 break",
        "  positions         hand closes 7-8",
        "  coil              A1 to A2, 24 V dc, 1 W",
        "  source            U1 to M, 24 V dc, 200 mA",
        "  settings          mode: slow, fast; delay: 1..10 s",
    ]


def test_a_scheme_tells_what_must_be_given_from_what_may() -> None:
    tree, _ = parse(Source("x", "scheme s(a=1, b, length=2m, drive) {\n  wire $drive:(start) to $b:1,2\n}\n"))
    (scheme,) = (each for each in tree.statements if isinstance(each, Scheme))
    said = text(Entry("scheme", "s", "", "", None, scheme)).splitlines()
    assert said[2:9] == [
        "  must be given",
        "    b",
        "    drive           the drive, reached by what its terminals do",
        "  may be given",
        "    a               1",
        "    length          2m; length of the cables to the field or of this piece of cable",
        "  terminals",
    ]
    assert said[9] == "    b               takes 1, 2"


def test_what_the_library_says_about_a_part_stands_in_its_order() -> None:
    texts = [path.read_text("utf-8") for path in document.PAGE.parent.glob("library/*.netdsl")]
    said = [" ".join(line.lstrip("# ") for line in each.splitlines()) for each in texts]
    notes = [entry.note for entry in entries() if entry.part or entry.scheme]
    assert sum(len(note) > 150 for note in notes) > 9
    assert [note for note in notes if not any(note in each for each in said)] == []


def test_a_word_that_is_nearly_a_name_is_taken_for_that_before_words_of_titles() -> None:
    assert (nearest_word("contactor-9x"), nearest_word("breakex")) == ("contactor-9a", "breaker")
    assert nearest_word("interposimg") == "interposing"


def test_schemes_stand_by_name_behind_all_parts() -> None:
    kinds = [entry.kind for entry in entries()]
    assert kinds == sorted(kind for kind in kinds if kind != "scheme") + ["scheme"] * len(library_index("scheme"))
    names = [entry.name for entry in entries() if entry.scheme and not any(sign.isdigit() for sign in entry.name)]
    assert names == sorted(names) and len(names) > 9


def test_long_texts_go_on_below_their_beginning_and_fill_each_line() -> None:
    long = " ".join(f"word{number:03}" for number in range(28))
    tree, _ = parse(Source("x", f'scheme s(name="{" ".join(f"name{number:03}" for number in range(22))}") {{\n}}\n'))
    (scheme,) = (each for each in tree.statements if isinstance(each, Scheme))
    lines = list(description(Entry("scheme", "n" * 9, long, long, None, scheme)))
    assert [style for style, _ in lines] == ["name"] * 3 + ["note"] * 3 + ["text"] * 5
    said = [line for _, line in lines]
    assert [line[: len(line) - len(line.lstrip())] for line in said] == ["", "  ", "  ", *["  "] * 5, " " * 4, " " * 20, " " * 20]
    assert [len(line) for line in said] == [98, 97, 41, 97, 97, 33, 26, 14, 100, 99, 36]
    full = Entry("relay", "n", "t", f"{'a' * 48} {'b' * 49}", None, None)
    assert [line for _, line in description(full)] == ["n  t", f"  {'a' * 48} {'b' * 49}"]


def test_an_overview_lists_kinds_as_they_come_and_breaks_between_names() -> None:
    def named(kind: str, *names: str) -> list[Entry]:
        return [Entry(kind, name, "", "", None, None) for name in names]

    chosen = [
        *named("relay", "r-2", "r-1"),
        *named("drive", *(f"drive-{number:04}-x" for number in range(9))),
        *named("relay", "r-3"),
    ]
    assert list(overview(chosen)) == [
        ("kind", "relay"),
        ("names", "  r-2  r-1  r-3"),
        ("kind", "drive"),
        ("names", "  " + "  ".join(f"drive-{number:04}-x" for number in range(7))),
        ("names", "  drive-0007-x  drive-0008-x"),
    ]


def test_a_contact_tells_its_marks_by_name_and_a_setting_decides_what_need_not_be_connected(tmp_path: Path) -> None:
    text = OF_EVERYTHING.replace("  contact :3 to :5 break by=coil\n", "  contact :3 to :5 break late guided by=coil\n")
    assert text != OF_EVERYTHING
    (tmp_path / "plant.netdsl").write_text(text, "utf-8")
    plant, findings = read_plant(tmp_path)
    assert plant is not None and findings == ()
    said = [line for _, line in description(Entry("relay", "unit", "Unit", "", plant.devices["-K1"].part, None))]
    assert "  contacts          1-2 make, 3-5 break guided late" in said


def test_one_of_a_name_is_the_one_that_is_found_among_all() -> None:
    first = {entry.name: entry for entry in reversed(entries())}
    assert [name for name, entry in first.items() if entry_called(name) != entry] == []
    parameter = entry_called("actuator-part")
    assert parameter is not None and parameter == matching("actuator-part")[0] and "A parameter of" in parameter.note
    assert entry_called("no-such-thing") is None
