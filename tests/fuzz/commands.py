"""Every command, in this process, on one plant: it leaves with one of its exit codes, and says no fault of the program."""

from __future__ import annotations

import gc
import io
import json
import os
import random
from contextlib import chdir, redirect_stderr, redirect_stdout
from pathlib import Path

from netdsl.cli.entry import main
from netdsl.serving.plants import OpenPlant
from netdsl.syntax import decode
from tests.fuzz.held import NAME, hold, not_number, sound
from tests.fuzz.made import designations

BEFORE = "before.netdsl"
#: how each command is called; `@` stands for a word of the text, `^` for one after a hyphen that is new
CALLS = (
    *("check plant.netdsl|check --format json plant.netdsl|check --format sarif plant.netdsl|check --format junit .".split("|")),
    *("check --coverage .|check --fix --yes .|check --since before.netdsl .|show . @|show --format json . @".split("|")),
    *("calc .|calc --format json .|calc --format csv .|calc --at @ .|calc --format xlsx -o x.xlsx .".split("|")),
    *("calc --format pdf -o x.pdf .|calc --vary length=1..300 .|calc --vary fault-level=1..50 --format json .".split("|")),
    *("states .|states --table .|states --proofs .|states --set @=on .|states --sequence @=push;wait;@=off .".split("|")),
    *("size .|size --format json .|size --write .|build --jobs 1 -o out .|build --jobs 1 --format svg,dxf -o out .".split("|")),
    *("build --jobs 1 --format pdf --since before.netdsl -o out .|view --export pages --no-open .".split("|")),
    *("compare before.netdsl .|compare --all --format json before.netdsl .|compare --format html before.netdsl .".split("|")),
    *("compare --format md before.netdsl .|compare --format sarif before.netdsl .".split("|")),
    *(
        "compare --draw marked before.netdsl .|verify . 1234-5678-9abc|facts .|facts --format json .|facts --format csv .".split(
            "|"
        )
    ),
    *("table parts .|table cables .|table wires --format csv .|table terminals .|table labels .|table work .".split("|")),
    *("table tests .|table functions .|table settings --format xlsx .|table exceptions .|table io .|table spare .".split("|")),
    *("table rework --since before.netdsl .|format plant.netdsl|format --check plant.netdsl|unfold .|unfold . @".split("|")),
    *("rename . @ ^|rename --show . @ ^|renumber . @ 1 9|renumber . @ --insert 2|explain @|parts @".split("|")),
)
NEW = "new begun --from motors.csv|new begun --from motors.csv --io signals.csv|new begun --io signals.csv".split("|")


def call_for(text: str, chance: random.Random) -> list[str]:
    """The arguments of one command, with words of the text."""
    named = [*designations(text), "-X1"]
    arguments = chance.choice(CALLS).split()
    return [
        chance.choice(("-K77", "=NW1", "+NP", "7", chance.choice(named)))
        if each == "^"
        else each.replace("@", chance.choice(named))
        for each in arguments
    ]


def runs(folder: Path, arguments: list[str], written: str) -> str:
    """Run one command in a folder; what it printed. Raises what it raises, Broken where it leaves with a code that it may not
    have or says a number that is none; `written`: all that was written by whoever runs it."""
    out, err = io.StringIO(), io.StringIO()
    os.environ["NETDSL_DEBUG"], os.environ["NETDSL_CACHE"] = "1", ""
    code: object = None
    collecting = gc.isenabled()
    with chdir(folder), redirect_stdout(out), redirect_stderr(err):
        try:
            main(arguments)
        except SystemExit as leaving:
            code = leaving.code
        finally:  # as it was: a search among all that a run of tests keeps takes seconds
            (gc.enable if collecting else gc.disable)()
    said = out.getvalue()
    hold(code in (0, 1, 2), f"exit code {code}: {err.getvalue()[:200]}")
    hold(code != 2 or bool(err.getvalue().strip() or said.strip()), "exit code 2, and nothing is said")
    hold("internal-error" not in said or "internal-error" in written, f"internal error: {said[:300]}")
    hold("Traceback" not in err.getvalue(), err.getvalue()[-300:])
    if "json" in arguments and code != 2:
        json.loads(said, parse_constant=lambda word: hold(False, f"{word} in JSON"))
    elif "html" not in arguments:
        not_number(said, written)
    return said


def holds_of_command(folder: Path, data: bytes, before: bytes, arguments: list[str]) -> None:
    """One command on a plant with a text, which was `before`."""
    (folder / NAME).write_bytes(data)
    (folder / BEFORE).write_bytes(before)
    runs(folder, arguments, f"{data!r} {before!r} {arguments} {data.decode('utf-8', 'replace')}")


def holds_of_edit(data: bytes, before: bytes) -> None:
    """A text typed over another in an editor: what is found at once, and once the whole is read."""
    plant = OpenPlant(Path(NAME).absolute())
    document = plant.open(NAME, before.decode("utf-8", "replace"))
    plant.refresh()
    plant.findings("2030-01-01")
    document.replace(decode(data, NAME)[0].text)
    plant.version += 1
    sound(list(plant.findings("2030-01-01")))
    plant.refresh()
    sound(list(plant.findings("2030-01-01")))


def holds_of_lists(folder: Path, motors: bytes, signals: bytes, arguments: list[str]) -> None:
    """A plant begun from lists, which then is checked."""
    (folder / "motors.csv").write_bytes(motors)
    (folder / "signals.csv").write_bytes(signals)
    written = f"{motors!r} {signals!r}"
    runs(folder, arguments, written)
    if (folder / "begun" / NAME).exists():
        runs(folder / "begun", ["check", NAME], written)
