"""`netdsl compare`: folders, files and revisions of git; its three forms; what cannot be compared."""

from __future__ import annotations

import json
import subprocess
import sys
import tarfile
from pathlib import Path
from xml.etree import ElementTree

import pytest

from netdsl.cli import main
from tests.readings import EXAMPLES

PLANT = """netdsl 1
place +P "Panel" kind=cabinet
device -T9 supply-24v at=+P
strip -X1 at=+P {
  :1..4 2.5mm2
}
function =RA1 "Ramp" at=+P {
  device -K1 relay-2co
  wire -T9:+ to -X1:1
  wire -X1:2 to -K1:A1 0.75mm2
}
"""
MOVED = PLANT.replace("-X1:2 to", "-X1:3 to")


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(["compare", *arguments])
    assert isinstance(left.value.code, int)
    return left.value.code


def check(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(["check", *arguments])
    assert isinstance(left.value.code, int)
    return left.value.code


def git(folder: Path, *arguments: str) -> None:
    who = ("-c", "user.name=Workshop", "-c", "user.email=workshop@example.org", "-c", "commit.gpgsign=false")
    subprocess.run(["git", "-C", str(folder), *who, *arguments], check=True, capture_output=True)


def write(file: Path, text: str) -> Path:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return file


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    """A repository with two commits, of which the second moves a wire, and a working copy with one more change."""
    git(tmp_path, "init", "-q")
    for text in (PLANT, MOVED):
        write(tmp_path / "site" / "plant.netdsl", text)
        git(tmp_path, "add", ".")
        git(tmp_path, "commit", "-q", "-m", "as it is")
    write(tmp_path / "site" / "plant.netdsl", MOVED.replace("0.75mm2", "1mm2"))
    return tmp_path / "site"


def test_files_say_what_moved_with_both_lines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new = write(tmp_path / "old.netdsl", PLANT), write(tmp_path / "new.netdsl", "\n" + MOVED)
    assert run(str(old), str(new)) == 1
    assert "  wire at `=RA1-K1:A1` moved from `-X1:2` to `-X1:3`  [old.netdsl:10 -> new.netdsl:11]" in capsys.readouterr().out
    assert run(str(old), str(old)) == 0
    assert capsys.readouterr().out == "no change\n"
    write(new, PLANT.replace('"Ramp"', '"Ramp of the ferry"'))
    assert run(str(old), str(new)) == 0
    assert "1 change, of names and texts alone" in capsys.readouterr().out


def test_markdown_and_json_say_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new = write(tmp_path / "old.netdsl", PLANT), write(tmp_path / "new.netdsl", MOVED)
    assert run(str(old), str(new), "--format", "md") == 1
    told = capsys.readouterr().out
    assert "### =RA1 Ramp\n\n" in told
    assert "- wire at `=RA1-K1:A1` moved from `-X1:2` to `-X1:3` (old.netdsl:10 -> new.netdsl:10)\n" in told
    assert run(str(old), str(new), "--format", "json") == 1
    found = json.loads(capsys.readouterr().out)
    (change,) = [each for each in found["changes"] if each["what"] == "conductor-moved"]
    assert found["electrical"] and change["electrical"] and change["function"] == "=RA1"
    assert (change["was"], change["now"]) == ("-X1:2 -- =RA1-K1:A1", "-X1:3 -- =RA1-K1:A1")
    assert (change["old"]["file"], change["new"]["line"]) == ("old.netdsl", 10)


def test_revisions_of_git(repository: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    assert run(str(repository)) == 1  # against the last commit
    told = capsys.readouterr().out
    assert "section 0.75 mm² is now 1 mm²" in told and "moved" not in told
    assert run("HEAD~1", str(repository)) == 1
    told = capsys.readouterr().out
    assert "section 0.75 mm² is now 1 mm²" in told and "moved from `-X1:2` to `-X1:3`" in told
    assert run(f"HEAD~1:{repository}", f"HEAD:{repository / 'plant.netdsl'}") == 1
    told = capsys.readouterr().out
    assert "section" not in told and "moved from `-X1:2` to `-X1:3`" in told
    monkeypatch.chdir(repository.parent)
    assert run("HEAD:site", "HEAD:site/plant.netdsl") == 0
    git(repository, "mv", "plant.netdsl", "../plant.netdsl")  # a plant that moved its folder
    assert run("HEAD:site", ".") == 1
    assert "section 0.75 mm² is now 1 mm²" in capsys.readouterr().out


# later ones miss it where they unpack
@pytest.mark.parametrize("with_filter", [True, False] if sys.version_info < (3, 12) else [True])
def test_a_revision_with_links_is_unpacked_and_none_leads_out(
    with_filter: bool, repository: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    if not with_filter:  # as before Python 3.11.4
        monkeypatch.delattr(tarfile, "data_filter", raising=False)
    (repository / "parts.netdsl").symlink_to("plant.netdsl")
    git(repository, "add", ".")
    git(repository, "commit", "-q", "-m", "A link within")
    assert run("HEAD~1", str(repository)) == 1
    assert "section 0.75 mm² is now 1 mm²" in capsys.readouterr().out
    (repository / "elsewhere").symlink_to("../../outside")
    git(repository, "add", ".")
    git(repository, "commit", "-q", "-m", "A link that leads out")
    assert run("HEAD", str(repository)) == 2
    assert (
        "`HEAD` holds files that cannot be unpacked: the link `site/elsewhere` leads out of the repo" in capsys.readouterr().err
    )


def test_what_cannot_be_compared_is_one_clear_line(
    repository: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*arguments: str) -> str:
        assert run(*arguments) == 2
        shown = capsys.readouterr()
        (line,) = [line for line in shown.err.splitlines() if " ..." not in line and not line.endswith(" s")]
        assert shown.out == ""
        return line

    plant = str(repository)
    neither = "`no-such` is neither a file nor a folder, nor a revision of git that `plant.netdsl` is in"
    assert f"{neither}: the repository has no such revision" in refused("no-such", plant)
    moved = refused(f"HEAD:{repository / 'gone'}", plant)
    assert "`gone` is not there at `HEAD`, or holds no plant.netdsl there: plants were in `site` of the repository" in moved
    outside = str(write(repository.parent.parent / "outside" / "plant.netdsl", PLANT).parent)
    assert refused("HEAD", outside).endswith("is in: it lies in no repository")
    write(repository / "plant.netdsl", "")
    (repository / "plant.netdsl").unlink()
    (repository / "plant.netdsl").mkdir()
    assert "is not a file that can be read" in refused("HEAD", plant)
    (repository / "plant.netdsl").rmdir()
    monkeypatch.setenv("PATH", "")
    write(repository / "plant.netdsl", PLANT)
    assert "is in: git cannot be run: no such file or directory" in refused("HEAD", plant)


def test_a_text_with_errors_is_compared_as_far_as_it_goes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new = write(tmp_path / "old.netdsl", PLANT), write(tmp_path / "new.netdsl", MOVED + "wire -X1:4 to -X9:1\n")
    assert run(str(old), str(new)) == 2
    shown = capsys.readouterr()
    assert "moved from `-X1:2` to `-X1:3`" in shown.out
    assert "finding" not in shown.out and "note " not in shown.out
    write(old, "\0\1\2 noise")
    assert run(str(old), str(new)) == 2
    shown = capsys.readouterr()
    assert f"the text at `{new}` has errors" in shown.err


def test_check_since_tells_what_is_new_alone(repository: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def told() -> list[str]:
        return [line.split(": ")[1] for line in capsys.readouterr().out.splitlines() if line.startswith("plant.netdsl:")]

    plant = str(repository)
    check(plant, "--fail-on", "note")
    whole = told()
    assert whole
    # another figure, another name, another place in the text: the same findings
    renamed = (repository / "plant.netdsl").read_text().replace("-K1", "-K8").replace("netdsl 1", "netdsl 1\n\n# remark")
    write(repository / "plant.netdsl", renamed)
    assert check(plant, "--since", "HEAD", "--fail-on", "note") == 0
    shown = capsys.readouterr()
    assert f"{len(whole)} findings of `HEAD` left out, they are there still" in shown.err
    assert shown.out.startswith("no finding")
    write(repository / "plant.netdsl", renamed + "wire -X1:4 to -X1:9\n")
    assert check(plant, "--since", "HEAD") == 1
    assert told()[0] == "error unknown-terminal"
    assert check(plant, "--since", "no-such") == 2
    assert "nor a revision of git" in capsys.readouterr().err


def test_check_since_takes_what_was_excepted_or_less_severe_as_new(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new = write(tmp_path / "old.netdsl", PLANT), write(tmp_path / "new.netdsl", PLANT)
    assert check(str(new), "--since", str(old), "--format", "json", "--fail-on", "note") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["findings"] == [] and sum(found["summary"].values()) == 0
    check(str(new), "--format", "json")
    first = json.loads(capsys.readouterr().out)["findings"][0]
    write(old, PLANT + f'allow {first["rule"]} on {first["subjects"][0]} because "so far"\n')
    assert check(str(new), "--since", str(old), "--format", "json", "--fail-on", "note") == 1
    assert [each["rule"] for each in json.loads(capsys.readouterr().out)["findings"]] == [first["rule"]]


def test_a_page_needs_nothing_from_elsewhere_and_shows_what_a_text_holds_as_text(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old = write(tmp_path / "old.netdsl", PLANT)
    new = write(tmp_path / "new.netdsl", MOVED.replace('"Ramp"', '"<b>Ramp & ferry"'))
    assert run(str(old), str(new), "--format", "html") == 1
    page = capsys.readouterr().out
    ElementTree.fromstring(
        page.replace("<!DOCTYPE html>", "").replace('<meta charset="utf-8">', "").replace('width">', 'width"/>')
    )
    assert "<h2>=RA1 &lt;b&gt;Ramp &amp; ferry</h2>" in page
    assert "wire at <code>=RA1-K1:A1</code> moved from <code>-X1:2</code> to <code>-X1:3</code>" in page
    assert "http" not in page and "src=" not in page and "<b>" not in page


def test_sarif_says_what_came_went_and_changed_at_its_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = write(tmp_path / "old.netdsl", PLANT)
    new = write(
        tmp_path / "new.netdsl",
        MOVED.replace("  wire -T9:+ to -X1:1\n", "").replace("  device", "  device -K2 relay-2co\n  device"),
    )
    assert run(str(old), str(new), "--format", "sarif") == 1
    (one,) = json.loads(capsys.readouterr().out)["runs"]
    results = {each["ruleId"]: each for each in one["results"]}
    states = {name: results[name]["baselineState"] for name in ("device-added", "conductor-removed", "conductor-moved")}
    assert states == {"device-added": "new", "conductor-removed": "absent", "conductor-moved": "updated"}
    moved = results["conductor-moved"]
    assert moved["locations"][0]["physicalLocation"]["region"]["startLine"] == 10
    assert moved["relatedLocations"][0]["physicalLocation"]["region"]["startLine"] == 10
    assert {rule["id"] for rule in one["tool"]["driver"]["rules"]} == set(results)


def test_every_figure_is_listed_where_that_is_asked_for(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    old, new = EXAMPLES / "two-wire-start", tmp_path / "new"
    text = (old / "plant.netdsl").read_text("utf-8").replace('"motor cable" length=16m', '"motor cable" length=19m')
    write(new / "plant.netdsl", text)
    assert run(str(old), str(new)) == 1
    short = capsys.readouterr().out
    assert run(str(old), str(new), "--all") == 1
    whole = capsys.readouterr().out
    assert "2 computed figures changed, each limit kept: Voltage drop in service, Motor cable length" in short
    assert "Motor cable length of `=DF1-T1`: 16 m is now 19 m" in whole and "each limit kept" not in whole
