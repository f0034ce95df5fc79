"""`netdsl git`: what a repository is set up with, merges by git itself, and what cannot be."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from netdsl.cli import main

pytestmark = pytest.mark.forks

ROOT = Path(__file__).parent.parent.parent
PLANT = """netdsl 1
place +P "Panel" kind=cabinet
device -T9 supply-24v at=+P
strip -X1 at=+P {
  :1..4 2.5mm2
}
function =RA1 "Ramp" at=+P {
  device -K1 relay-2co
  device -K2 relay-2co
  wire -T9:+ to -X1:1 0.75mm2 BU length=1m
  wire -X1:2 to -K1:A1 0.75mm2 BU length=1m
}
"""
#: what starts the program anew
ANEW = f"{sys.executable} -m netdsl.cli"


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(["git", *arguments])
    assert isinstance(left.value.code, int)
    return left.value.code


def git(folder: Path, *arguments: str, fails: bool = False) -> str:
    who = ("-c", "user.name=Workshop", "-c", "user.email=workshop@example.org", "-c", "commit.gpgsign=false")
    env = {**os.environ, "PYTHONPATH": str(ROOT), "GIT_CONFIG_GLOBAL": os.devnull}
    done = subprocess.run(["git", "-C", str(folder), *who, *arguments], check=False, capture_output=True, text=True, env=env)
    assert (done.returncode != 0) == fails, done.stderr + done.stdout
    return done.stdout + done.stderr


def set_up(folder: Path) -> Path:
    """A repository with one plant."""
    folder.mkdir()
    git(folder, "init", "-q", "-b", "trunk")
    assert run("install", str(folder)) == 0
    (folder / "plant.netdsl").write_text(PLANT)
    git(folder, "add", ".")
    git(folder, "commit", "-q", "-m", "as it is")
    return folder


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory, called: str) -> Path:
    """A repository that tests take copies of."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("netdsl.cli.git_setup._command", lambda: called)
        return set_up(tmp_path_factory.mktemp("first") / "repository")


@pytest.fixture
def repository(tmp_path: Path, first: Path, called: str, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository with one plant, set up for this very program."""
    monkeypatch.setattr("netdsl.cli.git_setup._command", lambda: called)
    return shutil.copytree(first, tmp_path / "repository")


@pytest.fixture
def started(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The same, where git starts the program anew."""
    monkeypatch.setattr("netdsl.cli.git_setup._command", lambda: ANEW)
    return set_up(tmp_path / "started")


def branches(folder: Path, ours: tuple[str, str], theirs: tuple[str, str], fails: bool) -> str:
    """Merge a branch with one word changed into another; what git says. `fails`: a person is to look at it."""
    for name, (old, new) in (("theirs", theirs), ("ours", ours)):
        git(folder, "checkout", "-q", "-b", name, "trunk")
        text = (folder / "plant.netdsl").read_text()
        assert old in text
        (folder / "plant.netdsl").write_text(text.replace(old, new))
        git(folder, "commit", "-q", "-a", "-m", name)
    return git(folder, "merge", "-q", "theirs", fails=fails)


def test_what_is_set_up_is_said_stays_out_of_commits_and_goes_again(repository: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("install", "--remove", str(repository)) == 0
    assert run("install", str(repository)) == 0
    told = capsys.readouterr().out
    assert "set merge.netdsl.driver = " in told
    assert "added `*.netdsl diff=netdsl merge=netdsl` to " in told
    assert git(repository, "status", "--short") == ""
    assert run("install", str(repository)) == 0
    assert "already" in capsys.readouterr().out
    (repository / "plant.netdsl").write_text(PLANT.replace("-X1:2 to", "-X1:3 to"))
    shown = git(repository, "diff")
    assert '@@ function =RA1 "Ramp" at=+P {\n' in shown
    assert run("install", "--remove", str(repository)) == 0
    assert "took out merge.netdsl" in capsys.readouterr().out
    assert "netdsl" not in git(repository, "config", "--local", "--list")
    assert (repository / ".git" / "info" / "attributes").read_text() == ""


def test_a_difference_in_facts(repository: Path) -> None:
    assert run("install", "--facts", str(repository)) == 0
    (repository / "plant.netdsl").write_text(PLANT.replace("# ", "").replace("0.75mm2 BU", "1mm2   BU"))
    shown = git(repository, "diff").splitlines()
    assert "+conductor -T9:+ -- -X1:1 | section: 1 mm²" in shown
    assert not any(line.startswith("+") and "colour" in line for line in shown)


def test_two_attributes_of_one_line_merge(started: Path) -> None:
    branches(started, ("-K1:A1 0.75mm2", "-K1:A1 1mm2"), ("-K1:A1 0.75mm2 BU length=1m", "-K1:A1 0.75mm2 BU length=2m"), False)
    assert "  wire -X1:2 to -K1:A1 1mm2 BU length=2m\n" in (started / "plant.netdsl").read_text()


def test_the_same_attribute_stays_a_conflict_of_git(started: Path) -> None:
    branches(started, ("-K1:A1 0.75mm2", "-K1:A1 1mm2"), ("-K1:A1 0.75mm2", "-K1:A1 1.5mm2"), True)
    text = (started / "plant.netdsl").read_text()
    assert "<<<<<<<" in text and "=======" in text and ">>>>>>>" in text


def test_a_merge_by_lines_that_gives_a_new_fault_is_left_to_a_person(repository: Path) -> None:
    one, other = "  device -K3 relay-2co\n", "  device -K3 relay-2co\n"
    told = branches(repository, ("  device -K1", f"{one}  device -K1"), ("  wire -X1:2", f"{other}  wire -X1:2"), True)
    assert "neither side has this, the merged plant does: plant.netdsl:12: duplicate-name: `=RA1-K3` is declared twice" in told
    assert "<<<<<<<" not in (repository / "plant.netdsl").read_text()


def test_noise_is_no_text_to_merge(tmp_path: Path) -> None:
    files = [tmp_path / name for name in ("base", "ours", "theirs")]
    for number, file in enumerate(files):
        file.write_bytes(b"\0\1\xff" + bytes([number]) * 9)
    assert run("merge", *map(str, files), "7", "x.netdsl") == 1
    assert files[1].read_bytes() == b"\0\1\xff" + b"\1" * 9


def test_without_a_repository_or_without_git_is_one_clear_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("install", str(tmp_path)) == 2
    assert capsys.readouterr().err == f"netdsl: `{tmp_path}` lies in no repository of git\n"
    monkeypatch.setenv("PATH", "")
    assert run("install", str(tmp_path)) == 2
    assert capsys.readouterr().err.startswith("netdsl: git cannot be run: ")


def test_each_plant_of_the_files_of_a_commit_is_checked_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "plant.netdsl").write_text('include "more.netdsl"\nproject "A" {\n}\n' + PLANT.partition("\n")[2])
    (tmp_path / "more.netdsl").write_text("wire -X1:3 to -X9:1\n")
    assert run("hook", str(tmp_path / "more.netdsl"), str(tmp_path / "plant.netdsl")) == 1
    shown = capsys.readouterr().out
    assert shown.count("more.netdsl:1:15: error unknown-name") == 1
    assert shown.count("rules looked at") == 1


def test_branches_that_take_the_same_terminal_are_left_to_a_person(repository: Path) -> None:
    wires = [f"wire -X1:3/in to {end} 0.75mm2 BU length=1m\n  " for end in ("-K1:A2", "-K2:A2")]
    (repository / "plant.netdsl").write_text(PLANT.replace("  :1..4 2.5mm2", "  :1..4 2.5mm2 clamps=1"))
    git(repository, "commit", "-q", "-a", "-m", "one conductor a clamp")
    told = branches(repository, ("device -K1", f"{wires[0]}device -K1"), ("wire -X1:2", f"{wires[1]}wire -X1:2"), True)
    assert "neither side has this, the merged plant does: plant.netdsl:" in told
    assert "<<<<<<<" not in (repository / "plant.netdsl").read_text()


FEEDER = """netdsl 1
function =RA2 "Second ramp" at=+P {
  device -K1 relay-2co
  wire -X1:3/in to -K1:A1 0.75mm2 BU length=1m
  wire -T9:- to -K1:A2 0.75mm2 BU length=1m
}
"""


def several(folder: Path, ours: dict[str, tuple[str, str]], theirs: dict[str, tuple[str, str]], fails: bool) -> dict[str, str]:
    """Merge a branch into another, of a plant that includes a file of a folder; what the files then say. The words of each file
    that a branch changes are given by the name of the file."""
    (folder / "ramps").mkdir()
    head = 'include "ramps/second.netdsl"\nproject "Ramps" {\n}\nplace'
    (folder / "plant.netdsl").write_text(PLANT.replace("place", head, 1).replace("1..4 2.5mm2", "1..6 2.5mm2 clamps=1"))
    (folder / "ramps" / "second.netdsl").write_text(FEEDER)
    git(folder, "add", ".")
    git(folder, "commit", "-q", "-m", "two ramps")
    for branch, edits in (("theirs", theirs), ("ours", ours)):
        git(folder, "checkout", "-q", "-b", branch, "trunk")
        for name, (old, new) in edits.items():
            text = (folder / name).read_text()
            assert old in text
            (folder / name).write_text(text.replace(old, new))
        git(folder, "commit", "-q", "-a", "-m", branch)
    git(folder, "merge", "-q", "theirs", fails=fails)
    return {name: (folder / name).read_text() for name in ("plant.netdsl", "ramps/second.netdsl")}


def test_a_conflict_in_one_of_several_files_leaves_the_others_merged(repository: Path) -> None:
    wire = "-K1:A1 0.75mm2 BU length=1m"
    ours = {"plant.netdsl": (wire, "-K1:A1 1mm2 BU length=1m"), "ramps/second.netdsl": (wire, "-K1:A1 1mm2 BU length=1m")}
    theirs = {"plant.netdsl": (wire, "-K1:A1 0.75mm2 BU length=2m"), "ramps/second.netdsl": (wire, "-K1:A1 1.5mm2 BU length=1m")}
    texts = several(repository, ours, theirs, True)
    assert "to -K1:A1 1mm2 BU length=2m\n" in texts["plant.netdsl"] and "<<<<<<<" not in texts["plant.netdsl"]
    assert "<<<<<<<" in texts["ramps/second.netdsl"] and ">>>>>>>" in texts["ramps/second.netdsl"]
    assert git(repository, "status", "--short").splitlines() == ["M  plant.netdsl", "UU ramps/second.netdsl"]


def test_another_name_in_all_files_merges_with_edits_in_all(repository: Path) -> None:
    ours = {"plant.netdsl": ('"Ramp"', '"Boat ramp"'), "ramps/second.netdsl": ('"Second ramp"', '"Slip"')}
    theirs = {"plant.netdsl": ("-X1", "-X7"), "ramps/second.netdsl": ("-X1", "-X7")}
    texts = several(repository, ours, theirs, False)
    assert '"Boat ramp"' in texts["plant.netdsl"] and "-X7:2 to -K1:A1" in texts["plant.netdsl"]
    assert '"Slip"' in texts["ramps/second.netdsl"] and "-X7:3/in to -K1:A1" in texts["ramps/second.netdsl"]
    assert "-X1" not in texts["plant.netdsl"] + texts["ramps/second.netdsl"]


def test_an_included_text_is_checked_with_its_plant(repository: Path) -> None:
    taken = "  wire -X1:4/in to -K1:11 0.75mm2 BU length=1m\n"
    ours = {"ramps/second.netdsl": ("  device -K1", f"{taken}  device -K1")}
    theirs = {"ramps/second.netdsl": ("}\n", f"{taken}}}\n")}
    texts = several(repository, ours, theirs, True)
    assert texts["ramps/second.netdsl"].count(taken) == 2 and "<<<<<<<" not in texts["ramps/second.netdsl"]
    assert git(repository, "status", "--short") == "UU ramps/second.netdsl\n"


def test_what_comes_of_changes_in_two_files_is_found_by_a_check(repository: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wire = "  wire -X1:4/in to -K1:11 0.75mm2 BU length=1m\n"
    ours = {"plant.netdsl": ("  wire -T9", f"{wire}  wire -T9")}
    theirs = {"ramps/second.netdsl": ("  wire -T9", f"{wire}  wire -T9")}
    several(repository, ours, theirs, False)
    with pytest.raises(SystemExit):
        main(["check", str(repository), "--since", "trunk"])
    assert "clamp-overfilled" in capsys.readouterr().out


def test_the_commands_of_the_workflows_run_in_a_clone(repository: Path, called: str) -> None:
    """Each line of the documentation that calls the program, in a clone with a change, by the shell of a host."""
    (repository / "site").mkdir()
    (repository / "site" / "plant.netdsl").write_text(PLANT.replace("place", 'project "Ramp" {\n}\nplace', 1))
    git(repository, "add", ".")
    git(repository, "commit", "-q", "-m", "a site")
    git(repository, "checkout", "-q", "-b", "change")
    text = (repository / "site" / "plant.netdsl").read_text()
    (repository / "site" / "plant.netdsl").write_text(text.replace("-X1:2 to", "-X1:3 to"))
    git(repository, "commit", "-q", "-a", "-m", "another terminal")
    lines = re.findall(
        r"^\s*(?:- )?(?:run: )?(netdsl (?:check|compare|build) .*)$", (ROOT / "netdsl" / "GIT.md").read_text(), re.M
    )
    assert len(lines) == 6
    env = {**os.environ, "PYTHONPATH": str(ROOT), "CI_MERGE_REQUEST_DIFF_BASE_SHA": "trunk"}
    for line in lines:
        command = ANEW if "check" not in line and "github" in line else called  # a check: test_commands.py
        words = line.replace("origin/${{ github.base_ref }}", "trunk").replace("netdsl", command, 1)
        done = subprocess.run(["bash", "-e", "-c", words], cwd=repository, env=env, capture_output=True, text=True, check=False)
        assert done.returncode == 0, line + done.stderr
    written = {name: (repository / name).stat().st_size for name in ("findings.sarif", "findings.xml", "changes.md")}
    assert all(written.values()) and "-X1:3" in (repository / "changes.md").read_text()
    assert (repository / "drawings" / "drawings.pdf").exists()
