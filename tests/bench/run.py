"""Benchmark: `python -m tests.bench.run` from the project's folder prints one table; `--dot-limit 60` stops dot after a minute.

Every figure is a whole cold process, Python's start included, as a person at the keyboard has it; the last rows are the stages
of one such process, each without the others. `build again` is of the same plant with the title of one motor changed, into the
same folder.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from netdsl.cli.build import CACHE_VARIABLE
from netdsl.sums import sum_of
from tests.bench.generator import plant_text
from tests.bench.measure import Measured, growth, run

SIZES = (30, 100, 300)
PARSE = """
import pathlib, sys
from netdsl.syntax import decode, parse
parse(decode(pathlib.Path(sys.argv[1]).read_bytes(), "plant.netdsl")[0])
"""
STAGES = """
import gc, json, pathlib, sys, time
from netdsl.calc import calculate
from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.syntax import decode, parse
gc.disable()  # as the command does
file, clock, seconds = pathlib.Path(sys.argv[1]), time.process_time, {}
begin = clock(); parse(decode(file.read_bytes(), "plant.netdsl")[0]); seconds["parse"] = clock() - begin
begin = clock(); plant, _ = read_plant(file); seconds["parse and read"] = clock() - begin
begin = clock(); network, _ = build_network(plant); seconds["connect"] = clock() - begin
begin = clock(); calculate(network).results; seconds["calculate"] = clock() - begin
print(json.dumps(seconds))
"""
NETDSL = ("-m", "netdsl.cli")
EXAMPLE = Path(__file__).parents[2] / "examples" / "hatchery"


def connection_graph(file: Path) -> str:
    """The plant in the dot language: a device is a record with a port for each terminal used, a conductor a labelled edge."""
    from netdsl.model import read_plant

    plant, _ = read_plant(file)
    assert plant is not None
    ports: dict[str, dict[str, int]] = {}
    edges = []
    for conductor in plant.conductors.values():
        a, b = (
            f'"{end.device}":p{ports.setdefault(end.device, {}).setdefault(end.terminal, len(ports[end.device]))}'
            for end in conductor.ends
        )
        edges.append(f'  {a} -- {b} [label="{conductor.cable or ""} {conductor.core or conductor.colour or ""}"];')
    nodes = [
        f'  "{device}" [label="{device}|' + "|".join(f"<p{port}> {name}" for name, port in used.items()) + '"];'
        for device, used in ports.items()
    ]
    return "\n".join(["graph plant {", "  node [shape=record];", *nodes, *edges, "}", ""])


def measure_plant(feeders: int, folder: Path, dot_limit_s: float) -> dict[str, Measured]:
    """All steps on a plant of `feeders`."""
    file = folder / f"{feeders}" / "plant.netdsl"
    file.parent.mkdir()
    file.write_text(plant_text(feeders), "utf-8")
    result = {
        "parse": run((sys.executable, "-c", PARSE, str(file))),
        "check": run((sys.executable, *NETDSL, "check", str(file))),
        "calc": run((sys.executable, *NETDSL, "calc", str(file))),
        "size": run((sys.executable, *NETDSL, "size", str(file))),
        "build": run((sys.executable, *NETDSL, "build", str(file), "-o", str(folder / f"{feeders}" / "out"))),
    }
    file.write_text(file.read_text("utf-8").replace('motor "Conveyor 7"', 'motor "Belt 7"'), "utf-8")
    result["build again"] = run((sys.executable, *NETDSL, "build", str(file), "-o", str(folder / f"{feeders}" / "out")))
    if shutil.which("dot") and dot_limit_s:
        graph = file.with_suffix(".dot")
        graph.write_text(connection_graph(file), "utf-8")
        result["dot -Tpdf"] = run(("dot", "-Tpdf", "-o", str(graph.with_suffix(".pdf")), str(graph)), dot_limit_s)
    return result


def example_again(copy: Path) -> Measured:
    """A build of the example after each of three changes of its title, the first build left out; the quickest."""
    shutil.copytree(EXAMPLE, copy, ignore=shutil.ignore_patterns("out", "*.png", "*.svg"))
    file, command = copy / "plant.netdsl", (sys.executable, *NETDSL, "build", str(copy))
    run(command)
    text, measured = file.read_text("utf-8"), []
    for number in range(3):
        file.write_text(text.replace('project "', f'project "{number} ', 1), "utf-8")
        measured.append(run(command))
    return min(measured, key=lambda one: one.seconds)


def megabytes_in(folder: Path) -> float:
    """All files in a folder."""
    return sum_of(file.stat().st_size for file in folder.iterdir()) / 1e6


def stages(file: Path) -> dict[str, float]:
    """Seconds of processor time of each stage, in a process of its own."""
    found = subprocess.run((sys.executable, "-c", STAGES, str(file)), capture_output=True, check=True, text=True)
    seconds: dict[str, float] = json.loads(found.stdout)
    return seconds


def shown(measured: Measured) -> str:
    """A cell of the table."""
    if measured.code is None:
        return f"> {measured.seconds:.0f} s"
    mark = "" if measured.code == 0 else f" exit {measured.code}"
    return f"{measured.seconds:.2f} s {measured.mebibytes:.0f} MiB{mark}"


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--sizes", type=int, nargs="+", default=SIZES, help="numbers of feeders")
    options.add_argument("--dot-limit", type=float, default=120.0, help="stop dot after so many seconds; 0: leave it out")
    chosen = options.parse_args()
    if EXAMPLE.exists():
        best = min((run((sys.executable, *NETDSL, "check", str(EXAMPLE))) for _ in range(5)), key=lambda one: one.seconds)
        print(f"check of the hatchery, best of 5: {shown(best)}")
    with tempfile.TemporaryDirectory() as folder:
        os.environ[CACHE_VARIABLE] = str(Path(folder) / "cache")  # empty: what is built first is built cold
        if EXAMPLE.exists():
            print(f"build of the hatchery again after one line, best of 3: {shown(example_again(Path(folder) / 'example'))}")
        table = {size: measure_plant(size, Path(folder), chosen.dot_limit) for size in chosen.sizes}
        written = {size: megabytes_in(Path(folder) / f"{size}" / "out") for size in chosen.sizes}
        inside = {size: stages(Path(folder) / f"{size}" / "plant.netdsl") for size in chosen.sizes}
    for step in next(iter(table.values())):
        cells = [f"{size}: {shown(row[step])}" for size, row in table.items()]
        finished = [(float(size), row[step].seconds) for size, row in table.items() if row[step].code is not None]
        exponent = f"exponent {growth(finished):.2f}" if len(finished) > 1 else ""
        print(f"{step:16} {'  '.join(cells)}  {exponent}")
    print(f"{'files of build':16} {'  '.join(f'{size}: {megabytes:.1f} MB' for size, megabytes in written.items())}")
    for stage in next(iter(inside.values())):
        print(f"{stage:16} {'  '.join(f'{size}: {seconds[stage]:.2f} s' for size, seconds in inside.items())}")


if __name__ == "__main__":
    main()
