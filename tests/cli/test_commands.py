"""The command line as a person or a program meets it: output, exit codes, and a sentence instead of a traceback."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest

from netdsl.cli import main, progress
from netdsl.cli.build import kept_sheets, processes
from tests.cases import each_of
from tests.forked import code_of_copy, said_by_copy, written_anew
from tests.signal_box import PLANT

pytestmark = pytest.mark.forks

#: one door of metal without a protective conductor
BAD = PLANT + '\nplace +MCP "Panel" kind=cabinet\n'
UNREADABLE = PLANT.replace("wire -S1:14", "wyre -S1:14")


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    (tmp_path / "plant.netdsl").write_text(PLANT, "utf-8")
    return tmp_path


def run(*arguments: str | Path) -> int:
    """Exit code of the command in this process."""
    with pytest.raises(SystemExit) as leaving:
        main([str(argument) for argument in arguments])
    assert isinstance(leaving.value.code, int)
    return leaving.value.code


def process(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """The command started anew."""
    command = [sys.executable, "-m", "netdsl.cli", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


@pytest.mark.parametrize(("until", "noted"), [("2020-01-01", True), ("9999-12-31", False)])
def test_an_exception_that_has_run_out_clears_no_sheet(plant: Path, until: str, noted: bool) -> None:
    granted = f'allow earth-missing on +MCP because "earthed on site" until {until}\n'
    (plant / "plant.netdsl").write_text(BAD + granted, "utf-8")
    assert run("check", plant) == int(noted)
    assert run("build", plant, "--format", "svg") == 0
    sheets = [sheet.read_text("utf-8") for sheet in (plant / "out").glob("*.svg")]
    assert all(("not for construction" in sheet) is noted for sheet in sheets)
    assert any("ended on 2020-01-01" in sheet for sheet in sheets) is noted


@each_of("arguments", [("check", "\x1b[31mx"), ("explain", "a\x07"), ("parts", "a\x9bb"), ("check", "a\u202eb"), ("che\x1bck",)])
def test_what_would_write_over_the_terminal_is_not_repeated(
    arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(*arguments) == 2
    said = "".join(capsys.readouterr())
    assert "control characters" in said
    assert not any(character in said for character in "\x1b\x07\x9b\u202e")


def test_a_link_that_came_with_a_plant_is_not_written_through(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (plant.parent / "elsewhere").mkdir()
    (plant / "out").symlink_to("../elsewhere")
    assert run("build", plant, "--format", "pdf") == 2
    assert "is a link: name the folder to write to with `-o`" in capsys.readouterr().err
    assert not list((plant.parent / "elsewhere").iterdir())


# --- check --------------------------------------------------------------------------------------------------------
def test_check_of_a_sound_plant(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("check", plant) == 0
    assert capsys.readouterr().out.startswith("no finding")
    assert run("check", plant / "plant.netdsl") == 0


def test_check_underlines_and_fails(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (plant / "plant.netdsl").write_text(BAD, "utf-8")
    assert run("check", plant) == 1
    out = capsys.readouterr().out
    assert "error earth-missing: " in out
    assert 'place +MCP "Panel" kind=cabinet' in out
    assert "^^^^" in out
    assert "remedy: " in out
    assert "\x1b" not in out
    assert re.search(r"^1 error; \d+ rules looked at \d+ things\n\Z", out, re.MULTILINE)


def test_check_as_json(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (plant / "plant.netdsl").write_text(BAD, "utf-8")
    assert run("check", plant, "--format", "json") == 1
    report = json.loads(capsys.readouterr().out)
    assert set(report) == {"tool", "version", "findings", "summary", "rules", "subjects", "not_judged"}
    assert "earth-missing" in report["rules"] and report["subjects"] > 1 and report["not_judged"] == []
    assert report["summary"] == {"error": 1, "warning": 0, "note": 0, "allowed": 0}
    (found,) = report["findings"]
    assert set(found) == {"rule", "severity", "message", "remedy", "subjects", "source", "span", "related", "allowed", "fix"}
    assert found["span"]["file"] == "plant.netdsl"
    assert found["span"]["line"] == BAD.count("\n")
    assert found["subjects"][0] == "+MCP"


def test_fail_on_a_lower_level(plant: Path) -> None:
    file = plant / "plant.netdsl"
    file.write_text(PLANT + 'allow earth-loop on -H1 because "tried"\n', "utf-8")  # matches nothing: a warning
    assert run("check", plant) == 0
    assert run("check", plant, "--fail-on", "warning") == 1
    assert run("check", plant, "--fail-on", "note") == 1


def test_what_a_faulty_statement_is_about_is_left_unjudged(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (plant / "plant.netdsl").write_text(UNREADABLE, "utf-8")
    assert run("check", plant) == 1
    out = capsys.readouterr().out
    assert "^^^^" in out
    assert re.search(
        r"^1 error; .* 2 of them could not be judged in some respect .*; what the text with errors", out, re.MULTILINE
    )


@pytest.mark.parametrize("command", ["check", "build"])
def test_what_cannot_be_read_is_said_in_a_sentence(command: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    for path in (tmp_path, tmp_path / "nothing-here.netdsl", Path("/dev/null"), tmp_path / ("n" * 5000)):
        assert run(command, path) == 2
        out, err = capfd.readouterr()
        assert out == ""
        assert err.startswith("netdsl: ")
        assert err.count("\n") == 1
    done = process(command, tmp_path)
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (2, "", 1)


def test_wrong_usage(capfd: pytest.CaptureFixture[str]) -> None:
    for arguments in (("check",), ("check", ".", "--format", "xml"), ("build", ".", "--format", "bmp"), ("weld",)):
        assert run(*arguments) == 2
        err = capfd.readouterr().err
        assert "Traceback" not in err
        assert "Error: " in err
    done = process("weld")
    assert done.returncode == 2 and "Error: " in done.stderr


# --- build --------------------------------------------------------------------------------------------------------
def test_build_says_what_it_wrote_and_how_much_changed(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for first in (True, False):
        assert run("build", plant) == 0
        said = capsys.readouterr()
        sheets = len(list((plant / "out").glob("*.svg")))
        changed = str(sheets) if first else "none"
        assert said.out == ""
        (line,) = (line for line in said.err.splitlines() if "written" in line)
        whole = f"netdsl: {sheets} sheets written to `{plant / 'out'}` as SVG and one PDF, {changed} of them new or changed; "
        assert re.fullmatch(re.escape(whole) + r"[0-9]+\.[0-9] s", line)
    assert run("build", plant, "--format", "pdf") == 0
    assert "as one PDF; " in capsys.readouterr().err


def test_build_keeps_finished_sheets_where_it_is_told(plant: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NETDSL_CACHE", str(plant / "kept"))
    assert run("build", plant, "--no-cache", "--jobs", "2") == 0
    assert not (plant / "kept").exists()
    assert run("build", plant) == 0
    assert [path.name for path in (plant / "kept").iterdir()] == ["sheets.sqlite"]
    monkeypatch.delenv("NETDSL_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", str(plant / "home"))
    assert kept_sheets() == plant / "home" / "netdsl"


def test_a_small_plant_is_drawn_by_one_process_and_a_large_one_by_as_many_as_there_are_cores(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("netdsl.cli.build._cores", lambda: 8)
    assert [processes(devices) for devices in (0, 39, 40, 300, 10_000)] == [1, 1, 2, 8, 8]


def test_build_lists_what_it_wrote(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("build", plant, "--list") == 0
    written = [Path(line) for line in capsys.readouterr().out.splitlines()]
    assert written
    assert all(path.is_file() and path.parent == plant / "out" for path in written)
    assert {path.suffix for path in written} == {".svg", ".pdf"}


def test_build_one_format_elsewhere(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = plant / "drawings" / "of today"
    assert run("build", plant, "-o", target, "--format", "pdf", "--list") == 0
    (line,) = capsys.readouterr().out.splitlines()
    assert Path(line).parent == target
    assert [path.name for path in target.iterdir() if path.suffix in (".svg", ".pdf")] == [Path(line).name]


def test_build_wants_a_folder_with_a_name(
    plant: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(plant)
    before = sorted(plant.iterdir())
    assert run("build", plant, "-o", "") == 2
    assert "empty" in capsys.readouterr().err
    assert sorted(plant.iterdir()) == before


def test_build_draws_whatever_the_findings(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (plant / "plant.netdsl").write_text(BAD, "utf-8")
    assert run("build", plant, "--format", "svg", "--list") == 0
    outcome = capsys.readouterr()
    assert outcome.out
    assert "not for construction" in outcome.err
    for line in outcome.out.splitlines():
        assert "not for construction" in Path(line).read_text("utf-8").lower()


def test_build_of_a_strip_without_rows(plant: Path) -> None:
    (plant / "plant.netdsl").write_text(PLANT + "\nstrip -X1 at=+BOX {\n}\n", "utf-8")
    assert run("build", plant) == 0


def test_build_into_what_is_no_folder(plant: Path, capfd: pytest.CaptureFixture[str]) -> None:
    (plant / "taken").write_text("a file", "utf-8")
    assert run("build", plant, "-o", plant / "taken" / "out") == 2
    err = capfd.readouterr().err
    assert "cannot be written" in err
    assert "Traceback" not in err


# --- format -------------------------------------------------------------------------------------------------------
def test_format_changes_once_and_check_only_tells(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = plant / "plant.netdsl"
    assert run("format", file) == 0
    canonical = file.read_text("utf-8")
    assert run("format", file, "--check") == 0
    ragged = canonical.replace("  BN  ", "      BN ").replace("\n\ncable", "\n\n\n\n\ncable")
    file.write_text(ragged, "utf-8")
    file.chmod(0o640)
    capsys.readouterr()
    assert run("format", file, "--check") == 1
    assert file.read_text("utf-8") == ragged
    assert "would change" in capsys.readouterr().out
    assert run("format", file) == 0
    assert file.read_text("utf-8") == canonical
    assert file.stat().st_mode & 0o777 == 0o640
    assert list(plant.iterdir()) == [file]


def test_format_leaves_a_faulty_file_and_does_the_others(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good, faulty = plant / "plant.netdsl", plant / "faulty.netdsl"
    good.write_text(PLANT.replace("\n\ncable", "\n\n\n\n\ncable"), "utf-8")
    faulty.write_text(UNREADABLE, "utf-8")
    assert run("format", faulty, plant / "missing.netdsl", good) == 2
    assert run("format", good, faulty) == 2 and run("format", good, faulty, "--check") == 2
    assert faulty.read_text("utf-8") == UNREADABLE
    assert "\n\n\n" not in good.read_text("utf-8")
    outcome = capsys.readouterr()
    assert "wyre" in outcome.out
    assert "missing.netdsl" in outcome.err


def test_format_refuses_bytes_that_are_no_text(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = plant / "plant.netdsl"
    file.write_bytes(b"netdsl 1\n# \xff\xfe\n")
    assert run("format", file) == 2
    file.write_bytes(b"caf\xe9\n")  # one slip, told once: what the byte stands in is not judged
    capsys.readouterr()
    assert run("format", file) == 2
    assert capsys.readouterr().out.count(": error ") == 1
    file.write_bytes(b"netdsl 1\n# \xff\xfe\n")
    assert run("format", file) == 2
    assert file.read_bytes() == b"netdsl 1\n# \xff\xfe\n"


# --- unfold -------------------------------------------------------------------------------------------------------
def test_unfold_a_function_or_the_whole(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    plant = "examples/two-wire-start"
    assert run("unfold", plant, "=DF1") == 0
    text = capsys.readouterr().out
    assert text.startswith("function =DF1 ") and "# use two-wire-start" in text and "# library/schemes-running.netdsl:" in text
    assert run("unfold", plant) == 0
    assert capsys.readouterr().out.startswith("# ")
    assert run("unfold", plant, "=DF2") == 2
    assert "did you mean `=DF1`?" in capsys.readouterr().err
    (tmp_path / "plant.netdsl").write_text("netdsl 1\nuse two-wire-strat drive=-T1\n")
    assert run("unfold", str(tmp_path)) == 1
    assert "no scheme is called `two-wire-strat`" in capsys.readouterr().out


# --- explain ------------------------------------------------------------------------------------------------------
def test_explain_one_rule_or_all(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("explain", "earth-in-series") == 0
    one = capsys.readouterr().out
    assert "earth-in-series" in one
    assert run("explain") == 0
    every = capsys.readouterr().out
    for rule in ("earth-missing", "bundle-mixed", "clamp-range", "unclosed-block"):
        assert rule in every


def test_explain_an_unknown_rule(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("explain", "earth-in-serie") == 2
    assert "earth-in-series" in capsys.readouterr().err


# --- everywhere ---------------------------------------------------------------------------------------------------
@each_of("command", ["check", "build", "format", "explain"])
def test_help_has_an_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(command, "--help") == 0
    assert f"Example:\n    netdsl {command} " in capsys.readouterr().out


def test_an_output_that_is_closed_swallows_the_report(plant: Path) -> None:
    (plant / "plant.netdsl").write_text(BAD, "utf-8")
    command = ["sh", "-c", '"$0" -m netdsl.cli check "$1" >&-', sys.executable, str(plant)]
    done = subprocess.run(command, stderr=subprocess.PIPE, text=True, timeout=60)
    # a slow machine may say on standard error how far it is
    assert (done.returncode, "fault" in done.stderr) == (1, False)


def test_a_reader_that_goes_away() -> None:
    command = [sys.executable, "-m", "netdsl.cli", "explain"]
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(command, stdout=write, stderr=subprocess.PIPE, text=True, timeout=60)
    os.close(write)
    assert done.returncode == 2
    assert done.stderr == "netdsl: whoever was reading the output went away before its end\n"


def test_a_fault_of_our_own_is_a_sentence_too(
    plant: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(_path: Path) -> None:
        raise KeyError("lost")

    monkeypatch.setattr("netdsl.model.read_plant", broken)
    assert run("check", plant) == 2
    assert "a fault in netdsl itself" in capsys.readouterr().err


def on_terminal(environment: dict[str, str], *arguments: str) -> str:
    """What the command prints on a terminal of its own, which is less than that can hold. One started anew: test_parts.py."""
    main_end, terminal = pty.openpty()
    code_of_copy(arguments, Path.cwd(), (terminal,) * 3, lambda: os.environ.update({"TERM": "xterm", **environment}))
    os.close(terminal)
    read = b""
    while True:
        try:
            piece = os.read(main_end, 65536)
        except OSError:
            break
        if not piece:
            break
        read += piece
    os.close(main_end)
    return read.decode()


def test_colour_on_a_terminal_unless_refused(plant: Path) -> None:
    (plant / "plant.netdsl").write_text(BAD, "utf-8")
    colour = re.compile(r"\x1b\[[0-9;]*m")  # the sign that turns while a step is long moves the cursor, whatever is refused
    assert "\x1b[31m" in on_terminal({"NO_COLOR": ""}, "check", str(plant))
    assert not colour.search(on_terminal({"NO_COLOR": "1"}, "check", str(plant)))


def test_a_long_step_is_shown_and_a_short_one_is_not(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(progress, "PATIENCE_S", 0.01)
    told, end = "", time.monotonic() + 20
    with progress.shown(), progress.step("welding"):
        while not told and time.monotonic() < end:
            time.sleep(0.005)
            told = capsys.readouterr().err
    assert re.fullmatch(r"netdsl: welding \.\.\.\nnetdsl: welding: [0-9.]+ s\n", told + capsys.readouterr().err)
    monkeypatch.setattr(progress, "PATIENCE_S", 30)
    with progress.shown(), progress.step("soldering"):
        time.sleep(0)
    assert capsys.readouterr().err == ""
    monkeypatch.setattr(progress, "PATIENCE_S", 0.01)
    with progress.step("brazing"):  # of no command
        time.sleep(0.05)
    assert capsys.readouterr().err == ""


def test_text_that_a_terminal_cannot_show(plant: Path) -> None:
    (plant / "plant.netdsl").write_text(BAD.replace('"Panel"', '"Schaltschrank für Ω"'), "utf-8")
    code, _, wrong = said_by_copy(["check", "."], plant, lambda: written_anew("ascii"))
    assert code == 1
    assert b"Traceback" not in wrong
