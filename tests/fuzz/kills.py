"""Builds and rewrites killed at random with all their processes: `python -m tests.fuzz.kills --builds 200 --rewrites 200`.

What is left must be the old files or the new ones, whole; or a journal stands, and the next command makes them the new ones.
After that nothing else is left. A run is measured first: when it opens, moves and removes what. A moment is then chosen between
two such steps, in each third run from the first, in each third from its first file beside, in each third from its journal: hardly
ever would chance choose those. The run ends itself there, so that it does so while it works however busy the machine is.
`--pairs 80`: two builds at once into one folder.
"""

from __future__ import annotations

import argparse
import importlib
import multiprocessing
import os
import random
import shutil
import signal
import struct
import sys
import tempfile
import time
from bisect import bisect_right
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import NamedTuple

from netdsl.replacing import JOURNAL as TEXT_JOURNAL
from render.exchange import JOURNAL as SET_JOURNAL
from tests.fuzz.rewritten import REWRITES, put, texts

ROOT = Path(__file__).parents[2]
#: plants that are built, with the share of builds; the last has sheets enough for two processes
EXAMPLES = {"faults/clamp-range": 0.85, "star-delta": 0.1, "hatchery": 0.05}
#: what a run does to files, as Python tells of it
STEPS = frozenset(("open", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "os.chmod", "os.chown", "os.truncate"))
_NOTED = struct.Struct("=dB")
Files = dict[str, bytes]


class Course(NamedTuple):
    """When, in seconds, a run takes its steps, and which of them is its first file beside, and which its journal."""

    times: list[float]
    beside: int
    journal: int


class End(NamedTuple):
    """Where a run is to end: so long after a step."""

    step: int
    seconds: float


def _work(arguments: list[str], folder: Path, hook: Callable[[str, tuple[object, ...]], None] | None) -> None:
    """A command in a folder, in a group of processes of its own, silent, which keeps no finished sheets."""
    from netdsl.cli.entry import script

    os.setsid()
    os.chdir(folder)
    os.environ["NETDSL_CACHE"] = ""
    silence = os.open(os.devnull, os.O_RDWR)
    for stream in (1, 2):
        os.dup2(silence, stream)
    sys.argv = ["netdsl", *arguments]
    own = os.getpid()
    if hook is not None:
        sys.addaudithook(lambda event, given: hook(event, given) if event in STEPS and os.getpid() == own else None)
    script()


def started(arguments: list[str], folder: Path, hook: Callable[[str, tuple[object, ...]], None] | None = None) -> BaseProcess:
    """A command begun: forked from this process, which has loaded all, so that most of its time goes into its work. `hook`: is
    told of its steps."""
    process = multiprocessing.get_context("fork").Process(target=_work, args=(arguments, folder, hook))
    process.start()
    return process


def ended(arguments: list[str], folder: Path) -> int | None:
    """Exit code of a command that nobody kills."""
    process = started(arguments, folder)
    process.join()
    return process.exitcode


def course(arguments: list[str], folder: Path, journal: str) -> Course:
    """The course of a command that nobody kills and that does its work."""
    reading, writing = os.pipe()
    begin = time.monotonic()

    def note(_event: str, given: tuple[object, ...]) -> None:
        names = [Path(os.fsdecode(each)).name for each in given if isinstance(each, (str, bytes, os.PathLike))]
        mark = 2 if journal in names else 1 if any(name.startswith(".") for name in names) else 0
        os.write(writing, _NOTED.pack(time.monotonic() - begin, mark))

    process = started(arguments, folder, note)
    os.close(writing)
    with os.fdopen(reading, "rb") as stream:
        noted = list(_NOTED.iter_unpack(stream.read()))
    process.join()
    assert process.exitcode == 0
    marks = [mark for _, mark in noted]
    beside = next((number for number, mark in enumerate(marks) if mark), 0)
    return Course([seconds for seconds, _ in noted], beside, marks.index(2) if 2 in marks else beside)


def killed(arguments: list[str], folder: Path, measured: Course, number: int, chance: random.Random) -> bool:
    """Run a command that ends in the middle of its work, with its group; whether it did."""
    times, first = measured.times, (0, measured.beside, measured.journal)[number % 3]
    moment = chance.uniform(times[first], times[-1])
    step = max(0, bisect_right(times, moment) - 1)
    end, taken = End(step, max(1e-6, moment - times[step])), 0

    def count(_event: str, _given: tuple[object, ...]) -> None:
        nonlocal taken
        if taken == end.step:
            signal.setitimer(signal.ITIMER_REAL, end.seconds)  # which ends it, wherever it is then
        taken += 1

    process = started(arguments, folder, count)
    process.join()
    with suppress(ProcessLookupError):
        os.killpg(process.pid or 0, signal.SIGKILL)
    return process.exitcode == -signal.SIGALRM


def held(folder: Path) -> Files:
    """All files below a folder by their names, but for those that are hidden."""
    paths = [path for path in sorted(folder.rglob("*")) if path.is_file()]
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in paths
        if not any(part.startswith(".") for part in path.relative_to(folder).parts)
    }


def hidden(folder: Path) -> list[str]:
    """What is left beside the files."""
    return sorted(path.name for path in folder.rglob(".*"))


def reset(folder: Path, files: Files) -> None:
    """The folder with these files alone."""
    shutil.rmtree(folder, ignore_errors=True)
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)


def outcome(folder: Path, old: Files, new: Files, journal: str, again: list[str], finishes: bool) -> str:
    """What a killed run left, in a word or two; `again` is the next command, which `finishes` what a journal says, or does so and
    goes on to the new state."""
    now, stands = held(folder), (folder / journal).exists()
    state = "old" if now == old else "new" if now == new else "journal" if stands else "MIXED"
    if not hidden(folder) and state in ("old", "new"):
        return state
    code = ended(again, folder.parent if journal == SET_JOURNAL else folder)
    after = held(folder)
    wanted = new if state in ("journal", "new") or stands or not finishes else old
    if after != wanted:
        return f"{state}, then {sorted({*after} ^ {*wanted})[:4]} WRONG, exit code {code}"
    return f"{state}, then LEFT {hidden(folder)}" if hidden(folder) else state


def builds(count: int, chance: random.Random, scratch: Path) -> Counter[str]:
    """So many builds of a plant that has changed since its last build, killed."""
    found: Counter[str] = Counter()
    for example, share in EXAMPLES.items():
        plant = scratch / Path(example).name
        shutil.copytree(ROOT / "examples" / example, plant, ignore=shutil.ignore_patterns("out"))
        text = (plant / "plant.netdsl").read_text("utf-8")
        arguments = ["build", ".", "-o", "out", *(["--jobs", "2"] if example == "hatchery" else [])]
        states = []
        for title in ("Old title", "New title"):
            (plant / "plant.netdsl").write_text(text.replace('project "', f'project "{title} '), "utf-8")
            measured = course(arguments, plant, SET_JOURNAL)
            states.append(held(plant / "out"))
        for number in range(round(count * share)):
            reset(plant / "out", states[0])
            running = killed(arguments, plant, measured, number, chance)
            said = outcome(plant / "out", *states, SET_JOURNAL, arguments, False)
            found[f"build: {said}{'' if running else ' (ended before)'}"] += 1
            print(f"\r{example} {number + 1}: {dict(found)}", end="", file=sys.stderr)
    return found


def rewrites(count: int, chance: random.Random, scratch: Path) -> Counter[str]:
    """So many rewrites of a plant of four files, killed."""
    found: Counter[str] = Counter()
    for what, command in REWRITES.items():
        folder = scratch / what
        put(folder, texts(what))
        old = held(folder)
        measured = course(command.split(), folder, TEXT_JOURNAL)
        new = held(folder)
        assert old != new and not hidden(folder)
        for number in range(count // len(REWRITES)):
            reset(folder, old)
            running = killed(command.split(), folder, measured, number, chance)
            if what == "format":  # each file for itself: all say the same in either form
                now = held(folder)
                state = "old or new" if all(now.get(name) in (old[name], new[name]) for name in old) else "MIXED"
                ended(command.split(), folder)
                said = state if held(folder) == new and not hidden(folder) else f"{state}, then WRONG or LEFT {hidden(folder)}"
            else:
                said = outcome(folder, old, new, TEXT_JOURNAL, ["facts", "plant.netdsl"], True)
            found[f"{what}: {said}{'' if running else ' (ended before)'}"] += 1
            print(f"\r{what} {number + 1}", end="", file=sys.stderr)
    return found


def pairs(count: int, scratch: Path) -> Counter[str]:
    """So many pairs of builds at once into one folder that is empty, of two plants."""
    found: Counter[str] = Counter()
    plants = []
    for number, example in enumerate(("faults/clamp-range", "faults/bonding-missing")):
        plant = scratch / f"pair-{number}"
        shutil.copytree(ROOT / "examples" / example, plant)
        assert ended(["build", ".", "-o", "out"], plant) == 0
        plants.append((plant, held(plant / "out")))
    together = scratch / "together"
    for number in range(count):
        shutil.rmtree(together, ignore_errors=True)
        running = [started(["build", ".", "-o", str(together)], plant) for plant, _ in plants]
        for process in running:
            process.join()
        codes = sorted(process.exitcode or 0 for process in running)
        said = "one set whole" if any(held(together) == files for _, files in plants) else "MIXED"
        found[f"pair: {said}, exit codes {codes}{f', LEFT {hidden(together)}' if hidden(together) else ''}"] += 1
        print(f"\rpair {number + 1}", end="", file=sys.stderr)
    return found


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    for what in ("builds", "rewrites", "pairs"):
        parser.add_argument(f"--{what}", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    chance = random.Random(options.seed)
    for module in ("netdsl.cli.entry", "lint", "render.build", "render.writers.pdf", "netdsl.sizing", "netdsl.renaming"):
        importlib.import_module(module)
    with tempfile.TemporaryDirectory() as name:
        scratch = Path(name)
        found = builds(options.builds, chance, scratch) if options.builds else Counter()
        found += rewrites(options.rewrites, chance, scratch) if options.rewrites else Counter()
        found += pairs(options.pairs, scratch) if options.pairs else Counter()
    print()
    for said, count in sorted(found.items()):
        print(f"{count:5} {said}")
    sys.exit(1 if any(word in said for said in found for word in ("MIXED", "WRONG", "LEFT")) else 0)


if __name__ == "__main__":
    main()
