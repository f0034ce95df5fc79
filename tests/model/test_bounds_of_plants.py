"""What a plant as a whole may have: at the bound it is read, beyond it that is told where it is passed, and nothing judged."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.findings import Finding
from netdsl.model import Plant, read_plant

SITE = "netdsl 1\nplace +A kind=box material=plastic\ndevice -H1 lamp at=+A\ndevice -H2 lamp at=+A\n"
#: where a bound stands, what it is set to, the text that reaches it, a line that passes it, what is then said
BOUNDS = [
    ("build.MAX_TERMINALS", 8, "device -H3 lamp at=+A\ndevice -H4 lamp at=+A\n", "device -H5 lamp at=+A", "8 terminals"),
    ("build.MAX_TERMINALS", 8, "strip -X1 at=+A {\n  :1..4\n}\n", "outside -A1 at=+A {", "8 terminals"),
    ("build.MAX_CONDUCTORS", 2, "wire -H1:X1,X2 to -H2:X1,X2\n", "wire -H1:X1 to -H2:X1", "2 conductors"),
    (
        "build.MAX_CONDUCTORS",
        2,
        "cable -W1 2x1 {\n  BN -H1:X1 to -H2:X1\n  BU -H1:X2 to -H2:X2\n}\n",
        "wire -H1:X1 to -H2:X1",
        "2 conductors",
    ),
    ("statements.cables.MAX_ALL_CORES", 4, "cable -W1 4x1 {\n}\n", "cable -W2 2x1 {", "4 cores"),
    ("terminals.MAX_STEPPED", 4, "strip -X1 at=+A {\n  :1..4\n}\n", "wire -X1:1..2 to -X1:3,4", "4 terminals"),
    ("several_cables.MAX_CABLES", 3, "cable -W1..3 2x1 {\n}\n", "cable -W4..5 2x1 {", "3 cables by ranges"),
    ("unfold.MAX_USES", 2, "scheme s() {\n}\nuse s\nuse s\n", "use s", "more than 2 times"),
    ("unfold.MAX_UNFOLDED", 6, "scheme s() {\n  device -H3 lamp at=+A\n}\nuse s\n", "use s", "more than 6 statements"),
]


def _read(folder: Path, text: str) -> tuple[Plant | None, tuple[Finding, ...]]:
    (folder / "plant.netdsl").write_text(text, "utf-8")
    return read_plant(folder)


@pytest.mark.parametrize(
    ("bound", "most", "within", "line", "said"), BOUNDS, ids=[f"{bound} {line}" for bound, _, _, line, _ in BOUNDS]
)
def test_a_plant_has_so_much_and_no_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bound: str, most: int, within: str, line: str, said: str
) -> None:
    monkeypatch.setattr(f"netdsl.model.{bound}", most)
    plant, findings = _read(tmp_path, SITE + within)
    assert plant is not None and findings == ()
    body = "\n  terminal :1 plain\n}" if line.startswith("outside") else "\n}" if line.endswith("{") else ""
    plant, findings = _read(tmp_path, f"{SITE}{within}{line}{body}\n")
    assert plant is None, "nothing of it is judged"
    (finding,) = findings
    assert (finding.rule, finding.remedy) == ("out-of-range", "split the plant")
    assert said in finding.message
    assert finding.span.source.line(finding.span.begin[0]).split("#")[0] in (line, "  device -H3 lamp at=+A", "scheme s() {")


def test_lines_and_bytes_of_all_files_are_counted_together(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "one.netdsl").write_text("netdsl 1\n\n", "utf-8")
    (tmp_path / "two.netdsl").write_text('netdsl 1\ninclude "one.netdsl"\nplace +B kind=box material=plastic\n', "utf-8")
    whole = f'{SITE}include "one.netdsl"\ninclude "two.netdsl"\n'
    for bound, most in (("MAX_LINES", 11), ("MAX_BYTES", len(whole) + 10 + 66)):
        monkeypatch.setattr(f"netdsl.model.includes.{bound}", most)
        plant, findings = _read(tmp_path, whole)
        assert plant is not None and findings == (), "a file that is included twice counts once"
        plant, (finding,) = _read(tmp_path, f"# more\n{whole}")
        assert plant is None
        assert (finding.rule, finding.span.text) == ("out-of-range", '"two.netdsl"')
        monkeypatch.undo()


def test_the_line_that_is_one_too_many_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("netdsl.model.includes.MAX_LINES", 4)
    assert _read(tmp_path, SITE)[1] == ()
    (finding,) = _read(tmp_path, f"{SITE}\ndevice -H1 nothing at=+B\n")[1]
    assert finding.span.begin[0] == 5
