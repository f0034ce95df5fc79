"""What changed since an earlier state: bars on the sheets concerned, revision and date of then on the others."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from netdsl.cli import main
from render.build import changed_sheets, drawing_set
from render.layout.changes import changes
from render.layout.overlap import overlaps
from render.sheet import FRAME, Label, Line, Sheet
from tests.render.plants import drawing_in, texts

pytestmark = pytest.mark.forks

BEFORE = """netdsl 1
project "Ferry" {
  number = "F-1"
  revision A 2026-01-05 "first issue"
}
place +P "Panel" kind=cabinet
place +Q "Quay" kind=field
strip -X1 at=+P {
  :1..9 2.5mm2
}
function =RA1 "Ramp" {
  device -B1 level-switch at=+Q
  cable -W1 2x1 length=12m {
    BN -X1:1 to -B1:11
    BU -X1:2 to -B1:14
  }
}
function =HA1 "Hatch" {
  device -B1 level-switch at=+Q
  cable -W1 2x1 length=20m {
    BN -X1:5 to -B1:11
    BU -X1:6 to -B1:14
  }
}
"""
NOW = BEFORE.replace("length=20m", "length=21m").replace('issue"\n', 'issue"\n  revision B 2026-02-07 "longer cable"\n')


def of(*primitives: Line | Label) -> Sheet:
    return Sheet("key", "1", "Title", "Kind", "", primitives)


def test_bars_stand_where_a_text_differs_and_rows_that_moved_are_none() -> None:
    row = [Label(30, 50 + 6 * n, f"row {n}", of=f"r{n}") for n in range(6)]
    assert changes(of(*row), of(*row)) == ()
    moved = [Label(label.x, label.y + 60, label.text, of=label.of) for label in row]
    assert changes(of(*row), of(Line(((1, 1), (2, 2))), *moved)) == ((1, 2),)
    (bar,) = changes(of(*row), of(*row[:2], Label(30, 62, "new", of="r2"), *row[3:]))
    assert 59 < bar[0] < 60.5 and 61.5 < bar[1] < 64
    assert len(changes(of(*row), of(*row[1:5]))) == 2
    assert changes(None, of(*row))[0][0] < 50


def test_cores_that_were_exchanged_have_bars_though_every_text_is_there_as_before() -> None:
    at = [
        Label(60.0, 30.0, "-W1 BN", of="=A-T1"),
        Label(90.0, 30.0, "-W1 BK", of="=A-T1"),
        Label(90.0, 90.0, "BN", of="=A-W1 BN"),
    ]
    before = Sheet("x", "x", "X", "Circuit diagram", "", tuple(at))
    turned = [Label(60.0, 30.0, "-W1 BK", of="=A-T1"), Label(90.0, 30.0, "-W1 BN", of="=A-T1"), at[2]]
    (bar,) = changes(before, Sheet("x", "x", "X", "Circuit diagram", "", tuple(turned)))
    assert bar[1] < 40.0
    (bar,) = changes(before, before, {"=A-W1 BN"})
    assert bar[0] > 80.0
    assert changes(before, before) == ()


def test_only_what_changed_says_the_new_revision(tmp_path: Path) -> None:
    for name in ("then", "now"):
        (tmp_path / name).mkdir()
    earlier, drawing = drawing_in(tmp_path / "then", BEFORE), drawing_in(tmp_path / "now", NOW)
    changed = set(changed_sheets(drawing, earlier))
    assert any(number.startswith("HA1") for number in changed) and not any(number.startswith("RA1") for number in changed)
    for sheet in drawing_set(drawing, earlier):
        said = texts(sheet)
        assert overlaps(sheet) == [], sheet.key
        if sheet.kind in ("Cover", "Register"):
            continue
        dates = {"2026-01-05", "2026-02-07"} & set(said)
        assert dates == ({"2026-02-07"} if sheet.number in changed else {"2026-01-05"}), sheet.number
        bars = [part for part in sheet.primitives if isinstance(part, Line) and part.width == FRAME and part.points[0][0] == 22.8]
        assert bool(bars) == (sheet.number in changed), sheet.number


def test_what_changed_without_a_later_revision_does_not_pass_for_the_last_one(tmp_path: Path) -> None:
    for name in ("then", "now"):
        (tmp_path / name).mkdir()
    earlier = drawing_in(tmp_path / "then", BEFORE)
    line = next(line for line in NOW.splitlines() if "2026-02-07" in line)
    drawing = drawing_in(tmp_path / "now", NOW.replace(line + "\n", ""))
    changed = set(changed_sheets(drawing, earlier))
    assert changed
    for sheet in drawing_set(drawing, earlier):
        if sheet.kind not in ("Cover", "Register"):
            said = texts(sheet)
            assert ("2026-01-05" in said, "after A" in said) == (sheet.number not in changed, sheet.number in changed), (
                sheet.number
            )


def test_nothing_changed_is_said_so_and_a_revision_of_git_is_found(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "panel" / "plant.netdsl"
    file.parent.mkdir()

    def git(*arguments: str) -> None:
        named = ("-c", "user.name=n", "-c", "user.email=e@x", "-c", "init.defaultBranch=main")
        subprocess.run(["git", *named, "-C", str(tmp_path), *arguments], check=True, capture_output=True)

    def build(since: str) -> tuple[int, str]:
        with pytest.raises(SystemExit) as ended:
            main(["build", str(file), "--format", "svg", "-o", str(tmp_path / "out"), "--since", since])
        return int(ended.value.code or 0), capsys.readouterr().err

    file.write_text(BEFORE, encoding="utf-8")
    git("init")
    git("add", "panel")
    git("commit", "-m", "first")
    assert "changed since HEAD: nothing is drawn otherwise\n" in build("HEAD")[1]
    file.write_text(NOW, encoding="utf-8")
    code, said = build("HEAD")
    assert code == 0 and "HA1/" in said and "RA1/" not in said
    assert "nothing is drawn otherwise\n" in build(str(file.parent))[1]
    for unknown in ("nowhere", "--output=x"):
        code, said = build(unknown)
        assert code == 2 and f"`{unknown}` is neither a file nor a folder, nor a revision of git" in said
    assert not (tmp_path / "x").exists()
