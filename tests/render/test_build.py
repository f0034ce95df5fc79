"""The set as files: what is written, what is removed, what is left alone."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from netdsl.findings import Finding, Severity
from render.build import MANIFEST, PDF_NAME, Ways, build_set, drawing_set, sheets_before, write_set
from render.drawing import Drawing
from render.sheet import Label, Sheet
from tests.render.hand_built import HERE
from tests.render.plants import ROOT, drawing_in, example

pytestmark = pytest.mark.forks

ERROR = Finding("earth-missing", Severity.ERROR, "no path to the main bar", "add a wire", HERE)


@pytest.fixture(scope="module")
def small() -> Drawing:
    """The example of fewest sheets."""
    return example(ROOT / "examples" / "direct-on-line")


#: the files in which the font stands beside the sheets
FONTS = ["SourceSansPro-Regular.ttf", "SourceSansPro-Semibold.ttf"]


def sheets(*keys: str) -> list[Sheet]:
    return [Sheet(key, key.upper(), f"Sheet {key}", "Test", "", (Label(50, 50, key),)) for key in keys]


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_set_begins_with_the_cover_and_every_key_is_its_own(small: Drawing) -> None:
    drawn = drawing_set(small)
    assert drawn[0].key == "cover-1"
    assert any(sheet.key == "single-line-1" for sheet in drawn)
    assert len({sheet.key.casefold() for sheet in drawn}) == len(drawn)


@pytest.mark.parametrize(("findings", "noted"), [((), False), ((ERROR,), True), ((ERROR.allow("reviewed"),), False)])
def test_errors_that_no_exception_allows_are_noted_on_every_sheet(
    small: Drawing, findings: tuple[Finding, ...], noted: bool
) -> None:
    for sheet in drawing_set(Drawing(small.network, findings, small.calculation)):
        texts = [part.text for part in sheet.primitives if isinstance(part, Label)]
        assert ("not for construction: 1 error" in texts) is noted


@cache
def with_error(name: str) -> tuple[Sheet, ...]:
    """The set of an example with an error."""
    drawn = example(ROOT / "examples" / name)
    return drawing_set(Drawing(drawn.network, (ERROR,), drawn.calculation))


@cache
def written_whole(name: str) -> dict[str, bytes]:
    """The files of that set, written at one go."""
    with TemporaryDirectory() as folder:
        title = example(ROOT / "examples" / name).plant.project.title
        write_set(with_error(name), Path(folder), ("svg", "pdf"), title)
        return contents(Path(folder))


def test_writes_a_file_per_sheet_and_one_pdf(tmp_path: Path) -> None:
    written = write_set(sheets("a", "b"), tmp_path / "new" / "out", ("svg", "pdf"), "Hall").files
    assert [path.name for path in written] == ["a.svg", "b.svg", PDF_NAME]
    assert files(tmp_path / "new" / "out") == sorted(["a.svg", "b.svg", PDF_NAME, MANIFEST, *FONTS])


def test_standalone_sheets_have_no_font_files_beside_them(tmp_path: Path) -> None:
    write_set(sheets("a"), tmp_path, ("svg", "pdf"), "Hall")
    write_set(sheets("a"), tmp_path, ("svg",), "Hall", Ways(standalone=True))
    assert files(tmp_path) == sorted(["a.svg", PDF_NAME, MANIFEST])
    assert b"base64," in (tmp_path / "a.svg").read_bytes()


def test_stale_sheets_go_and_foreign_files_stay(tmp_path: Path) -> None:
    write_set(sheets("a", "b"), tmp_path, ("svg", "pdf"), "Hall")
    (tmp_path / "mine.svg").write_text("kept")
    write_set(sheets("a"), tmp_path, ("svg", "pdf"), "Hall")
    assert files(tmp_path) == sorted(["a.svg", "mine.svg", PDF_NAME, MANIFEST, *FONTS])


def test_another_format_of_an_earlier_build_stays_and_is_still_known(tmp_path: Path) -> None:
    write_set(sheets("a", "b"), tmp_path, ("svg",), "Hall")
    write_set(sheets("a"), tmp_path, ("pdf",), "Hall")
    assert "b.svg" in files(tmp_path)
    assert set(FONTS) <= set(files(tmp_path))
    write_set(sheets("a"), tmp_path, ("svg",), "Hall")
    assert files(tmp_path) == sorted(["a.svg", PDF_NAME, MANIFEST, *FONTS])


def test_manifest_cannot_lead_outside_or_to_other_files(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    (tmp_path / "outside.svg").write_text("kept")
    (folder / "notes.txt").write_text("kept")
    (folder / MANIFEST).write_text("../outside.svg\nnotes.txt\n/etc/hosts.svg\n\ngone.svg\n")
    write_set(sheets("a"), folder, ("svg",), "Hall")
    assert (tmp_path / "outside.svg").exists()
    assert files(folder) == sorted(["a.svg", MANIFEST, "notes.txt", *FONTS])


def test_a_failure_leaves_the_earlier_set_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_set(sheets("a", "b"), tmp_path, ("svg",), "Hall")
    before = {name: (tmp_path / name).read_bytes() for name in files(tmp_path)}

    def broken(sheet: Sheet, _standalone: bool) -> bytes:
        if sheet.key == "c":
            raise OSError("no space left")
        return b"new"

    monkeypatch.setattr("render.writers.svg.svg_bytes", broken)
    with pytest.raises(OSError, match="no space"):
        write_set(sheets("a", "c"), tmp_path, ("svg",), "Hall")
    assert {name: (tmp_path / name).read_bytes() for name in files(tmp_path)} == before


def test_a_set_is_the_same_whatever_the_number_of_processes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("render.build._PORTION", 1)  # for four processes
    many = sheets(*(f"s{number}" for number in range(4)))
    write_set(many, tmp_path / "1", ("svg", "pdf", "dxf"), "Hall", Ways(1))
    for jobs, store in ((2, None), (64, None), (3, tmp_path / "store")):
        written = write_set(many, tmp_path / str(jobs), ("svg", "pdf", "dxf"), "Hall", Ways(jobs, store=store))
        assert written.changed == 4
        assert contents(tmp_path / str(jobs)) == contents(tmp_path / "1")


@pytest.mark.parametrize(("name", "jobs"), [("direct-on-line", 1), ("direct-on-line", 3), ("emergency-stop", 2)])
def test_a_set_drawn_in_portions_is_the_whole_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, jobs: int) -> None:
    monkeypatch.setattr("render.streaming._PORTION", 2)
    drawn = example(ROOT / "examples" / name)
    whole = with_error(name)
    streamed = Drawing(drawn.network, (ERROR,), drawn.calculation)
    done = build_set(streamed, None, tmp_path / "streamed", ("svg", "pdf"), Ways(jobs))
    assert (done.sheets, done.changed) == (len(whole), len(whole))
    assert contents(tmp_path / "streamed") == written_whole(name)
    assert sheets_before(tmp_path / "streamed") == len(whole)


def test_sheets_whose_keys_differ_by_case_alone_have_files_of_their_own(tmp_path: Path) -> None:
    text = (ROOT / "examples" / "direct-on-line" / "plant.netdsl").read_text("utf-8")
    (tmp_path / "plant.netdsl").write_text(
        f'{text}\nfunction =d1 "b" {{ device -M1 motor }}\nfunction =D1 "a" {{ device -M1 motor }}\n'
    )
    drawing = drawing_in(tmp_path)
    whole = drawing_set(drawing)
    build_set(Drawing(drawing.network, (), drawing.calculation), None, tmp_path / "out", ("svg",), Ways(2))
    assert len({sheet.key.casefold() for sheet in whole}) == len(whole)
    assert len({name.casefold() for name in files(tmp_path / "out") if name.endswith(".svg")}) == len(whole)
    assert any("_2" in sheet.key for sheet in whole)


def test_files_that_are_as_they_are_to_be_are_left_alone(tmp_path: Path) -> None:
    write_set(sheets("a", "b"), tmp_path, ("svg", "pdf"), "Hall")
    before = {name: (tmp_path / name).stat().st_ino for name in files(tmp_path)}
    assert write_set([*sheets("a"), Sheet("b", "9", "Sheet b", "Test", "", ())], tmp_path, ("svg", "pdf"), "Hall").changed == 1
    kept = {name for name in files(tmp_path) if (tmp_path / name).stat().st_ino == before[name]}
    assert kept == {"a.svg", *FONTS}


def _killed(_done: int) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def _full(_done: int) -> None:
    raise OSError("no space left")


@pytest.mark.parametrize("fault", [_killed, _full])
def test_what_another_process_could_not_do_is_done_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], fault: Callable[[int], None]
) -> None:
    many = sheets(*(f"s{number}" for number in range(91)))
    write_set(many, tmp_path / "one", ("svg", "pdf"), "Hall")
    monkeypatch.setattr("render.shares._untold", fault)
    write_set(many, tmp_path / "two", ("svg", "pdf"), "Hall", Ways(2))
    assert contents(tmp_path / "two") == contents(tmp_path / "one")
    assert capfd.readouterr() == ("", "")


def test_sheets_that_are_not_as_before_are_counted_and_those_done_are_told(tmp_path: Path) -> None:
    told: list[int] = []
    assert write_set(sheets("a", "b"), tmp_path, ("svg", "pdf"), "Hall", Ways(told=told.append)).changed == 2
    assert told == [1, 2]
    assert write_set(sheets("a", "b", "c"), tmp_path, ("svg",), "Hall").changed == 1
    assert write_set(sheets("c"), tmp_path, ("svg",), "Hall").changed == 0
    assert write_set(sheets("d"), tmp_path, ("pdf",), "Hall").changed is None


def contents(folder: Path) -> dict[str, bytes]:
    return {name: (folder / name).read_bytes() for name in files(folder)}
