"""Names of sheets are names of files everywhere: plain letters, short enough, none that a file system takes for another."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from netdsl.cli import main
from render.build import write_set
from render.sheet import Label, Sheet, sheet_key

LONG = "x" * 195
NAMES = (
    *("=A", "=a", "=A.B", "=A_B", "=A_b", "=a_2", "=CON", "=con", "+aux", "+NUL.1", "-COM1", "=.", "=..", "=...", "=A.", "=A "),
    *(
        "+../../etc/passwd",
        "=A/B",
        "=A\\B",
        "=A:B",
        "=A\x00B",
        "=A\nB",
        "=\u00e9",
        "=e\u0301",
        "=\u00e8",
        "=\u202eA",
        "=" + "\u20ac" * 198,
    ),
    *(f"={LONG}", f"={LONG.upper()}", f"={LONG}.{LONG}", f"={LONG}.{LONG}y", f"={LONG}.{LONG}Y", "=" + ".".join([LONG] * 100)),
)


def test_every_name_gives_a_name_of_a_file_of_its_own() -> None:
    taken: set[str] = set()
    keys = [sheet_key("terminals", name, taken) for name in NAMES for _ in range(2)]
    assert len({key.casefold() for key in keys}) == len(keys)
    assert [key for key in keys if not re.fullmatch(r"terminals-[A-Za-z0-9_.-]{0,190}", key)] == []


def test_what_is_short_keeps_its_name_whatever_else_there_is() -> None:
    assert sheet_key("circuit", "=WTR.RP1", set()) == "circuit-WTR.RP1"
    taken: set[str] = set()
    assert [sheet_key("circuit", name, taken) for name in ("=A", "=a", "=A")] == ["circuit-A", "circuit-a_2", "circuit-A_3"]


def test_sheets_of_names_that_differ_by_the_size_of_letters_are_files_of_their_own(tmp_path: Path) -> None:
    sheets = [Sheet(key, key, key, "Test", "", (Label(50, 50, key),)) for key in ("a-1", "A-1", "b")]
    write_set(sheets, tmp_path, ("svg", "dxf"), "Hall")
    for form in ("svg", "dxf"):
        names = [path.name.casefold() for path in tmp_path.glob(f"*.{form}")]
        assert len(set(names)) == len(names) == 3


def function(name: str, inside: str = "") -> str:
    """A function with a motor on a strip of its own."""
    return f"""\
function ={name} at=+BOX {{
  device -M1 motor at=+HALL power=4kW current=8A power-factor=0.8 winding=230/400V
  strip -X1 {{
    :1..4 2.5mm2
  }}
  cable -W1 4G1.5 length=5m {{
    BN -X1:1 to -M1:U1
    GNYE -X1:4 to -M1:PE
  }}
{inside}}}
"""


def plant(folder: Path, current: int = 8) -> Path:
    """A plant whose names are as hard on a file system as the language lets them be."""
    deep = function(LONG, function(LONG, function(LONG + "1") + function(LONG + "2")))
    names = ("A", "a", "CON", "con", "NUL", "aux", "A_2", "a_2", "A_1", LONG.upper())
    text = 'netdsl 1\nproject "P" {\n  number = "N"\n}\nplace +HALL kind=field\nplace +BOX kind=box material=plastic\n'
    text += "".join(f"place +{place} kind=box material=plastic\n" for place in ("box", LONG, LONG.upper()))
    for place in ("box", LONG, LONG.upper()):
        text += f"device -H{place[0]}{len(place)} lamp at=+{place}\n"
    text += "".join(map(function, names)) + deep
    folder.mkdir(exist_ok=True)
    file = folder / "plant.netdsl"
    file.write_text(text.replace("current=8A", f"current={current}A"), "utf-8")
    return file


@pytest.mark.parametrize("command", ["build", "view", "compare"])
def test_every_sheet_of_names_that_are_hard_on_a_file_system_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: str
) -> None:
    monkeypatch.setenv("NETDSL_CACHE", "")
    for written in ("render.shares._made", "netdsl.viewing.desk.svg_bytes"):
        monkeypatch.setattr(written, lambda *_, **_named: b"")  # what is in the files of a set is not looked at
    then, file, out = plant(tmp_path / "then", 7), plant(tmp_path / "now"), tmp_path / "out"
    arguments = {
        "build": ["build", str(file), "-o", str(out), "--format", "svg,dxf", "--jobs", "1"],
        "view": ["view", str(file), "--export", str(out)],
        "compare": ["compare", str(then), str(file), "--draw", str(out)],
    }[command]
    with pytest.raises(SystemExit) as leaving:
        main(arguments)
    assert leaving.value.code in (0, 1), capsys.readouterr().err
    names = [path.name for path in out.iterdir()]
    assert len({name.casefold() for name in names}) == len(names)
    for form in (".svg", ".dxf") if command == "build" else (".svg",):
        assert sum(name.endswith(form) for name in names) > 20
    assert [name for name in names if not re.fullmatch(r"[A-Za-z0-9_.-]{1,240}", name)] == []
    assert sorted(path.name for path in tmp_path.iterdir()) == ["now", "out", "then"]
