"""Every command that writes, where it may not or cannot: `python -m tests.fuzz.disks`, as root of a machine of its own.

A full disk and a read-only one are small file systems in memory; without permission a command runs as a user to whom the folder
does not belong; one file that cannot be replaced is immutable. Each time one line must say what was not done, the exit code be
2, every file be as it was, and nothing be left beside. Where a command is told to end at a random moment (`--ends 5` times each,
by Ctrl-C or by the system), files are as they were or all new.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.fuzz.kills import ROOT, Files, held, hidden
from tests.fuzz.rewritten import REWRITES, put, texts

#: commands that write something new, called in the folder that holds the plant `p`, the lists, and what was written before
WRITES = {
    "build": "build p -o out --jobs 2",
    "build dxf": "build p -o out --format dxf",
    "build as said": "build p",
    "calc pdf": "calc p --format pdf -o calculation.pdf",
    "calc csv": "calc p --format csv -o calculation.csv",
    "calc xlsx": "calc p --format xlsx -o calculation.xlsx",
    "table csv": "table parts p --format csv -o parts.csv",
    "table xlsx": "table parts p --format xlsx -o parts.xlsx",
    "view": "view p --export pages",
    "compare": "compare before p --draw marked",
    "new": "new begun",
    "new list": "new begun --from motors.csv --io signals.csv",
    "git": "git install p",
}
#: a file of those that a command replaces, the first of the pattern
IMMUTABLE = {"build": "out/drawings.pdf", "build dxf": "out/*.dxf", "rename": "part2.netdsl", "fix": "part3.netdsl"}
#: bytes of the file systems
SIZE = 24 << 20
NOBODY = 65534


def prepared(folder: Path, what: str) -> list[str]:
    """Put into a folder what a command works on; its arguments."""
    if what in REWRITES:
        put(folder, texts(what))
        return REWRITES[what].split()
    examples = ROOT / "examples"
    for name, example in (("p", "star-delta"), ("before", "direct-on-line")):
        shutil.copytree(examples / example, folder / name, ignore=shutil.ignore_patterns("out", "*.svg"))
    for name in ("motors.csv", "signals.csv"):
        shutil.copy(examples / name, folder)
    subprocess.run(["git", "init", "-q", str(folder / "p")], check=True)
    arguments = WRITES[what].split()
    if what in ("build", "build dxf", "calc csv"):  # over what an earlier run wrote
        assert run(arguments, folder).returncode in (0, 1)
        file = folder / "p" / "plant.netdsl"
        file.write_text(file.read_text("utf-8").replace('project "', 'project "Other '), "utf-8")
    return arguments


def command(arguments: list[str]) -> tuple[list[str], dict[str, str]]:
    """How a command is started, which keeps no finished sheets."""
    return [sys.executable, "-m", "netdsl.cli", *arguments], {**os.environ, "PYTHONPATH": str(ROOT), "NETDSL_CACHE": ""}


def run(arguments: list[str], folder: Path, before: tuple[str, ...] = ()) -> subprocess.CompletedProcess[str]:
    """Run a command to its end."""
    words, environment = command(arguments)
    return subprocess.run([*before, *words], cwd=folder, env=environment, capture_output=True, text=True)


@contextmanager
def small_disk(where: Path) -> Iterator[Path]:
    """A file system in memory, mounted at `where`."""
    where.mkdir(exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "none", str(where)], check=True)
    try:
        yield where
    finally:
        subprocess.run(["umount", str(where)], check=True)


def filled(folder: Path) -> None:
    """Leave no byte free."""
    with (folder / "filler").open("wb", buffering=0) as file:
        for size in (1 << 20, 4096, 1):
            try:
                while True:
                    file.write(b"x" * size)
            except OSError:
                continue


def obstructed(what: str, how: str, scratch: Path) -> str:
    """What a command did that could not write: "" where it is as it should be."""
    with small_disk(scratch / "disk") as disk:
        folder = disk / "work"
        folder.mkdir()
        arguments = prepared(folder, what)
        before, prefix = held(folder), ()
        if how == "full":
            filled(disk)
        elif how == "read-only":
            subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        elif how == "no permission":
            prefix = ("setpriv", f"--reuid={NOBODY}", f"--regid={NOBODY}", "--clear-groups")
        done = run(arguments, folder, prefix)
        lines = len(before) if what == "format" else 1  # it does each file for itself
        return judged(done.returncode, done.stderr, before, folder, lines)


def immutable(what: str, scratch: Path) -> str:
    """What a command did of whose files one cannot be replaced."""
    folder = scratch / f"immutable-{what}"
    folder.mkdir()
    arguments = prepared(folder, what)
    before, locked = held(folder), str(min(folder.glob(IMMUTABLE[what])))
    subprocess.run(["chattr", "+i", locked], check=True)
    try:
        done = run(arguments, folder)
    finally:
        subprocess.run(["chattr", "-i", locked], check=True)
    return judged(done.returncode, done.stderr, before, folder)


def judged(code: int, said: str, before: Files, folder: Path, lines: int = 1) -> str:
    """What is not as it should be, "" where all is. `lines`: how many may be said."""
    # `check --fix` shows the lines first that it would mend
    told = [line for line in said.splitlines() if not line.endswith(("...", " s")) and line[:1] not in ("+", "-", "@", " ")]
    wrong = [] if code == 2 else [f"exit code {code}"]
    plain = all(line.startswith("netdsl: ") and "fault in" not in line for line in told)
    wrong += [] if plain and 1 <= len(told) <= lines else [f"said {told}"]
    after = held(folder)
    wrong += [f"changed {sorted(name for name in {*before, *after} if before.get(name) != after.get(name))[:4]}"] * (
        before != after
    )
    wrong += [f"left {hidden(folder)}"] * (hidden(folder) not in ([], [".git"]))
    return ", ".join(wrong)


def told_to_end(what: str, times: int, chance: random.Random, scratch: Path) -> str:
    """What commands did that were told to end at random moments."""
    template = scratch / f"template-{what}"
    template.mkdir()
    arguments = prepared(template, what)
    old, folder = held(template), scratch / f"ended-{what}"
    shutil.copytree(template, folder)
    begin = time.monotonic()
    run(arguments, folder)
    lasts, new = time.monotonic() - begin, held(folder)
    for number in range(times):
        shutil.rmtree(folder)
        shutil.copytree(template, folder)
        words, environment = command(arguments)
        process = subprocess.Popen(
            words, cwd=folder, env=environment, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True
        )
        time.sleep(lasts * (0.3 + chance.random()))
        process.send_signal((signal.SIGINT, signal.SIGTERM)[number % 2])
        said = process.communicate()[1]
        now = held(folder)
        each = what == "format" and all(now.get(name) in (old[name], new[name]) for name in old)
        wrong = judged(process.returncode, said, now if now == new or each else old, folder)
        done = process.returncode in (0, 1) and now == new
        unbegun = process.returncode == -signal.SIGTERM and now == old and not said
        if wrong and not done and not unbegun:
            return f"ended: {wrong}"
    return ""


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--ends", type=int, default=5)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("commands", nargs="*", help="such of the commands alone")
    options = parser.parse_args()
    chance, worst = random.Random(options.seed), 0
    for what in options.commands or (*WRITES, *REWRITES):
        with tempfile.TemporaryDirectory() as name:
            scratch = Path(name)
            scratch.chmod(0o755)
            rows = [(how, obstructed(what, how, scratch)) for how in ("full", "read-only", "no permission")]
            rows += [("one immutable", immutable(what, scratch))] if what in IMMUTABLE else []
            rows += [("told to end", told_to_end(what, options.ends, chance, scratch))] if options.ends else []
        for how, wrong in rows:
            print(f"{what:14} {how:14} {wrong or 'as it should be'}", flush=True)
            worst |= bool(wrong)
    sys.exit(worst)


if __name__ == "__main__":
    main()
