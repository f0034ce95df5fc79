"""Texts made by chance through everything: `python -m tests.fuzz.run --inputs 1000000 --kept /tmp/fuzz`.

A process does the inputs one after the other; another looks after it, begins it anew where it is killed, hangs or has grown, and
says how far it is. What breaks is kept in the folder by where it broke, three texts each, the first made small. An input of a
number and seed is the same every time, so that a run goes on with `--first` where it was stopped.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import multiprocessing
import os
import random
import signal
import tempfile
import time
import traceback
from multiprocessing.sharedctypes import RawArray
from pathlib import Path
from typing import Any

from tests.fuzz import commands, made
from tests.fuzz.held import LIMIT_S, Depth, TooLong, bound_memory, holds_of_text, within
from tests.fuzz.shrink import shrunk

#: inputs after which a process is replaced: what it keeps would grow
BATCH = 20_000
#: seconds of the processor after which an input is taken to hang where nothing interrupts it
HANGS_S = 30.0
COMMAND_LIMIT_S = 20.0  # a command reads, computes and draws, some of them twice
PER_MILLE = {"edit": 3, "list": 0.2, "command": 5, "plant": 15}  # the rest are small texts


def one(seed: int, number: int, scratch: Path) -> tuple[str, dict[str, Any]]:
    """Make input `number`; the kind of trial and what it takes."""
    chance = random.Random(f"{seed}/{number}")
    share = chance.random() * 1000
    if share < PER_MILLE["list"]:
        motors, signals = made.list_text(chance)
        return "list", {"data": motors, "signals": signals, "arguments": chance.choice(commands.NEW).split(), "folder": scratch}
    if share < PER_MILLE["list"] + PER_MILLE["command"]:
        data, before = made.plant_text(chance), chance.choice(made.words().plants).encode()
        arguments = commands.call_for(data.decode("utf-8", "replace"), chance)
        return "command", {"data": data, "before": before, "arguments": arguments, "folder": scratch}
    if share > 1000 - PER_MILLE["edit"]:
        return "edit", {"data": made.plant_text(chance), "before": chance.choice(made.words().plants).encode()}
    plant = share < PER_MILLE["list"] + PER_MILLE["command"] + PER_MILLE["plant"]
    data = made.plant_text(chance) if plant else made.small_text(chance)
    return "text", {"data": data, "depth": Depth(plant or number % 5 == 0, plant or number % 10 == 0, number % 40 == 0)}


def tried(kind: str, given: dict[str, Any]) -> tuple[str, str] | None:
    """Try one input: None where all holds, else where it broke, as a name to tell failures apart, and the traceback."""
    try:
        with within(LIMIT_S if kind == "text" else COMMAND_LIMIT_S):
            if kind == "text":
                holds_of_text(given["data"], given["depth"])
                return None
            if kind == "edit":
                commands.holds_of_edit(given["data"], given["before"])
                return None
            with tempfile.TemporaryDirectory(dir=given["folder"]) as name:
                if kind == "list":
                    commands.holds_of_lists(Path(name), given["data"], given["signals"], given["arguments"])
                else:
                    commands.holds_of_command(Path(name), given["data"], given["before"], given["arguments"])
        return None
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        frames = [frame for frame in traceback.extract_tb(error.__traceback__) if "/tests/fuzz/" not in frame.filename] or [None]
        place = f"{Path(frames[-1].filename).stem}-{frames[-1].name}" if frames[-1] else str(error)[:30]
        if isinstance(error, TooLong):
            place = "-"
        name = f"{type(error).__name__}-{place}-{hashlib.sha256(str(error).encode()).hexdigest()[:4] if not frames[-1] else ''}"
        return "".join(each if each.isalnum() or each in "-_" else "_" for each in name), traceback.format_exc(limit=-12)


def work(seed: int, first: int, past: int, kept: Path, progress: Any) -> None:
    """The inputs from `first` to before `past`."""
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    bound_memory()
    scratch = Path(tempfile.mkdtemp(prefix="netdsl-fuzz-"))
    for number in range(first, past):
        progress[0] = number
        kind, given = one(seed, number, scratch)
        broke = tried(kind, given)
        if broke is not None:
            keep(kept, f"{seed}-{number}", kind, given, *broke)
    progress[0] = past
    os._exit(0)


def keep(kept: Path, label: str, kind: str, given: dict[str, Any], name: str, trace: str) -> None:
    """Keep an input that broke something, three of a kind; the first is made small."""
    folder = kept / name
    folder.mkdir(parents=True, exist_ok=True)
    count = len(list(folder.glob("*.txt")))
    if count >= 3:
        with (folder / "more").open("a") as more:
            more.write(label + "\n")
        return
    (folder / f"{label}.input").write_bytes(given["data"])
    said = {key: str(value) for key, value in given.items() if key not in ("data", "folder")}
    (folder / f"{label}.txt").write_text(f"{kind} {json.dumps(said)}\n\n{trace}", "utf-8", "surrogateescape")
    if count == 0:

        def breaks(data: bytes) -> bool:
            again = tried(kind, {**given, "data": data})
            return again is not None and again[0] == name

        (folder / f"{label}.small").write_bytes(shrunk(given["data"], breaks, 60.0))


def processor_seconds(pid: int) -> float:
    """What a process has used of the processor."""
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--inputs", type=int, default=10_000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kept", type=Path, required=True)
    options = parser.parse_args()
    options.kept.mkdir(parents=True, exist_ok=True)
    progress = RawArray("l", 1)
    made.words()
    at, begin = options.first, time.monotonic()
    while at < options.first + options.inputs:
        past = min(at + BATCH, options.first + options.inputs)
        process = multiprocessing.get_context("fork").Process(target=work, args=(options.seed, at, past, options.kept, progress))
        progress[0] = at
        process.start()
        assert process.pid is not None
        seen, since = at, 0.0
        while process.is_alive():
            process.join(5)
            if not process.is_alive():
                break
            used = processor_seconds(process.pid)
            print(f"\r{progress[0]}", end="", flush=True)
            if progress[0] != seen:
                seen, since = progress[0], used
            elif used - since > HANGS_S + 60:  # making a failure small takes a minute
                process.kill()
        process.join()
        at = progress[0]
        if process.exitcode != 0 and at < past:
            kind, given = one(options.seed, at, Path(tempfile.gettempdir()))
            keep_dead(options.kept, f"{options.seed}-{at}", kind, given, f"exit code {process.exitcode}")
            at += 1
        kinds = len(list(options.kept.iterdir()))
        print(f"\r{at} inputs, {time.monotonic() - begin:.0f} s, kinds of failures: {kinds}", flush=True)


def keep_dead(kept: Path, label: str, kind: str, given: dict[str, Any], how: str) -> None:
    """Keep an input at which the process ended or had to be ended."""
    folder = kept / "process-ended"
    folder.mkdir(exist_ok=True)
    (folder / f"{label}.input").write_bytes(given["data"])
    (folder / f"{label}.txt").write_text(f"{kind} {how} {given.get('arguments')}\n")


if __name__ == "__main__":
    main()
