"""Sheets kept from earlier builds: the same files as without, whatever changed between, was damaged, or builds beside."""

from __future__ import annotations

import os
import random
import re
import shutil
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

import pytest
from msgspec.structs import replace

import render.store
from netdsl.calc import calculate
from netdsl.model import read_plant
from netdsl.network import build_network
from render.build import Ways, build_set, write_set
from render.drawing import Drawing
from render.sheet import Label, Line, Sheet
from render.store import FILE, Store, key_of
from tests.readings import EXAMPLES, sheets_of

pytestmark = pytest.mark.forks

EDITS = int(os.environ.get("NETDSL_CACHED", "3"))
DRIVE = EXAMPLES / "direct-on-line" / "plant.netdsl"
FORMS = ("svg", "pdf", "dxf")


def sheet(key: str, text: str = "pump", link: str = "") -> Sheet:
    return Sheet(key, "1", "Title", "Test", "", (Line(((50, 40), (60, 50))), Label(70, 90, text, link=link)))


def written(sheets: Sequence[Sheet], folder: Path, store: Path | None, forms: Sequence[str] = FORMS) -> dict[str, bytes]:
    write_set(sheets, folder, forms, "Hall", Ways(store=store))
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def edited(sheets: list[Sheet], chance: random.Random) -> list[Sheet]:
    """`sheets` with one thing else by chance: a place, a text, a link, a pen, the key, the number, the order or what they are."""
    at = chance.randrange(len(sheets))
    one = sheets[at]
    spot = chance.randrange(len(one.primitives))
    part = one.primitives[spot]
    other = chance.choice(sheets).key
    match chance.randrange(8):
        case 0 if isinstance(part, Label):
            part = replace(part, x=part.x + 0.5, text=chance.choice((part.text, part.text + "1")))
        case 1 if isinstance(part, Label):
            part = replace(part, link=other, bold=not part.bold)
        case 2 if not isinstance(part, Label):
            part = replace(part, width=0.35, dash=(1.0, 1.0))
        case 3:
            part = replace(part, of=part.of + "x")
        case 4:
            return [*sheets[:at], *sheets[at + 1 :], one] if len(sheets) > 2 else sheets
        case 5:
            one = replace(one, number=f"{one.number}9", title=f"{one.title} new")
        case 6:
            one = replace(one, key=f"{one.key}-{chance.randrange(10**9)}")
        case _:
            one = replace(one, part_of="another", kind=chance.choice((one.kind, "Other")), about="of it")
    parts = (*one.primitives[:spot], part, *one.primitives[spot + 1 :])
    return [*sheets[:at], replace(one, primitives=parts), *sheets[at + 1 :]]


def test_files_are_the_same_as_without_a_store_whatever_changes(tmp_path: Path) -> None:
    sheets = sorted(sheets_of(DRIVE), key=lambda sheet: len(sheet.primitives))[:4]
    chance = random.Random(5)
    for _ in range(EDITS):
        assert written(sheets, tmp_path / "kept", tmp_path / "store") == written(sheets, tmp_path / "new", None)
        sheets = edited(sheets, chance)


def rewritten(text: str, chance: random.Random) -> str:
    """`text` with one line else by chance: a number, a word in quotes, a line gone, twice or exchanged with another."""
    lines = text.splitlines()
    at, other = chance.randrange(3, len(lines)), chance.randrange(3, len(lines))
    match chance.randrange(5):
        case 0:
            lines[at] = re.sub(r"\d", lambda _: str(chance.randrange(1, 10)), lines[at], count=1)
        case 1:
            lines[at] = re.sub(r'"([^"]*)"', lambda found: f'"{found[1]} {chance.randrange(99)}"', lines[at])
        case 2:
            del lines[at]
        case 3:
            lines.insert(other, lines[at])
        case _:
            lines[at], lines[other] = lines[other], lines[at]
    return "\n".join(lines) + "\n"


def test_builds_are_the_same_as_cold_ones_whatever_changes_in_the_text(tmp_path: Path) -> None:
    texts, chance = [DRIVE.read_text("utf-8")], random.Random(7)
    built = 0
    while built < EDITS:
        (tmp_path / "plant.netdsl").write_text(texts[-1], "utf-8")
        plant, _ = read_plant(tmp_path / "plant.netdsl")
        if plant is None:  # the text says no plant any more: back to one that did
            texts.pop()
        else:
            network = build_network(plant)[0]
            calculation = calculate(network)
            for folder, ways in (("kept", Ways(1 + built % 2, store=tmp_path / "store")), ("new", Ways())):
                build_set(Drawing(network, (), calculation), None, tmp_path / folder, ("svg", "pdf"), ways)
            kept, new = ({file.name: file.read_bytes() for file in (tmp_path / name).iterdir()} for name in ("kept", "new"))
            assert kept == new, texts[-1]
            shutil.rmtree(tmp_path / "new")
            built += 1
        texts = texts[-20:] if built % 40 else texts[:1]
        texts.append(rewritten(texts[-1], chance))


def test_what_is_kept_is_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = written([sheet("a"), sheet("b", "fan")], tmp_path / "out", tmp_path)

    def none(*_: object) -> bytes:
        raise AssertionError

    for writer in ("render.writers.svg.svg_bytes", "render.writers.dxf.dxf_bytes", "render.shares.page_of"):
        monkeypatch.setattr(writer, none)
    assert written([sheet("a"), sheet("b", "fan")], tmp_path / "out", tmp_path) == before


def test_a_key_is_of_all_of_a_sheet_and_of_the_code(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = sheet("a")
    others = [replace(whole, **{name: "else"}) for name in ("key", "number", "title", "kind", "part_of", "size", "about")]
    others += [sheet("a", "pumps"), sheet("a", link="b"), replace(whole, primitives=whole.primitives[::-1])]
    keys = {key_of(each) for each in (whole, *others)}
    assert len(keys) == len(others) + 1
    monkeypatch.setattr(render.store, "_writers", lambda: b"other code")
    assert key_of(whole) not in keys


def _cut(file: Path) -> None:
    file.write_bytes(file.read_bytes()[:5000])


def _no_store(file: Path) -> None:
    file.write_bytes(b"no database" * 500)


def _exchanged(file: Path) -> None:
    with sqlite3.connect(file) as store:  # what is kept under one key stands under another
        rows = store.execute("SELECT sum, made FROM finished ORDER BY key").fetchall()
        keys = [key for (key,) in store.execute("SELECT key FROM finished ORDER BY key")]
        store.executemany(
            "UPDATE finished SET sum = ?, made = ? WHERE key = ?", [(*r, k) for r, k in zip(rows[::-1], keys, strict=True)]
        )


def _other_table(file: Path) -> None:
    with sqlite3.connect(file) as store:
        store.execute("DROP TABLE finished")
        store.execute("CREATE TABLE finished (key)")


def _folder(file: Path) -> None:
    file.unlink()
    file.mkdir()


@pytest.mark.parametrize("damage", [_cut, _no_store, _exchanged, _other_table, _folder, Path.unlink])
def test_a_damaged_store_is_not_taken(tmp_path: Path, damage: Callable[[Path], None]) -> None:
    sheets = [sheet("a"), sheet("b", "fan")]
    forms = ("svg", "pdf")
    before = written(sheets, tmp_path / "out", tmp_path, forms)
    damage(tmp_path / FILE)
    for _ in range(2):
        assert written(sheets, tmp_path / "out", tmp_path, forms) == before


def test_two_builds_at_once_have_one_store(tmp_path: Path) -> None:
    first, second = Store(tmp_path), Store(tmp_path)
    first.keep(b"one", b"1")
    second.keep(b"two", b"2")
    second.close()
    first.close()
    third = Store(tmp_path)
    assert (third.find(b"one"), third.find(b"two"), third.find(b"three")) == (b"1", b"2", None)


def test_what_was_not_used_for_longest_goes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(render.store, "LIMIT", 290_000)
    chance = random.Random(1)
    made = {name: chance.randbytes(100_000) for name in (b"old", b"used", b"new")}
    for name in made:
        store = Store(tmp_path)
        store.keep(name, made[name])
        if name == b"new":
            assert store.find(b"used") == made[b"used"]
        store.close()
    store = Store(tmp_path)
    assert {name: store.find(name) for name in made} == {b"old": None, b"used": made[b"used"], b"new": made[b"new"]}


def test_a_full_store_is_made_less_than_full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the pages hold besides counts too: else each build would add up all entries for nothing."""
    monkeypatch.setattr(render.store, "LIMIT", 40_000)
    chance = random.Random(1)
    for number in range(19):
        store = Store(tmp_path)
        for each in range(10):
            store.keep(b"%d %d" % (number, each), chance.randbytes(200))
        store.close()
    with closing(sqlite3.connect(next(tmp_path.rglob("*.sqlite")))) as kept:
        used, free, size = (
            kept.execute(f"PRAGMA {name}").fetchone()[0] for name in ("page_count", "freelist_count", "page_size")
        )
    assert 20_000 < (used - free) * size <= 40_000


def test_a_store_that_cannot_be_made_is_none(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    store = Store(tmp_path / "file" / "store")
    store.keep(b"one", b"1")
    assert store.find(b"one") is None
    store.close()
