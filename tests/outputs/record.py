"""Records everything the commands say and draw about many plants, so that two versions of the program can be compared.

    python tests/outputs/record.py --examples examples /tmp/now
    PYTHONPATH=/path/to/another/checkout python tests/outputs/record.py --examples examples /tmp/before
    diff -r /tmp/before /tmp/now

The program recorded is the one that Python finds first; the plants are the same for both as long as `--examples` is. Embedded
fonts are left out of the SVG files, and a PDF is recorded by what is on its pages.
"""

from __future__ import annotations

import argparse
import hashlib
import multiprocessing
import os
import re
import sys
import tempfile
from pathlib import Path

from plants import written

COMMANDS = {
    "check.txt": ("check", "plant.netdsl"),
    "check.json": ("check", "plant.netdsl", "--format", "json"),
    "calc.txt": ("calc", "plant.netdsl"),
    "calc.json": ("calc", "plant.netdsl", "--format", "json"),
    "calc.csv": ("calc", "plant.netdsl", "--format", "csv"),
    "size.txt": ("size", "plant.netdsl"),
    "build.txt": ("build", "plant.netdsl", "-o", "drawings"),
}
TIME = re.compile(rb"; \d+\.\d s$", re.MULTILINE)
FONT = re.compile(r"@font-face\s*\{[^}]*\}|url\(data:[^)]*\)")


def run(arguments: tuple[str, ...], output: Path) -> None:
    """Runs one command in this process, with what it prints and its exit code in `output`."""
    from netdsl.cli import main

    with output.open("wb") as file:
        sys.stdout.flush()
        kept = os.dup(1), os.dup(2)
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)
        code: object = None
        try:
            main(list(arguments))
        except SystemExit as leaving:
            code = leaving.code
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            for number, saved in zip((1, 2), kept, strict=True):
                os.dup2(saved, number)
                os.close(saved)
        file.write(f"\nexit code {code}\n".encode())
    output.write_bytes(TIME.sub(b"", output.read_bytes()))


def record(task: tuple[Path, Path]) -> None:
    """Records one plant, in a process of its own: the commands stand in its folder, so that no output names it."""
    plant, output = task
    output.mkdir(parents=True)
    os.chdir(plant)
    if (plant / "motors.csv").exists():
        run(("new", "begun", "--from", "motors.csv"), output / "new.txt")
        begun = plant / "begun"
        for path in sorted(begun.rglob("*.netdsl")):
            (output / path.name).write_bytes(path.read_bytes())
        if not begun.exists():
            return
        os.chdir(begun)
    for name, arguments in COMMANDS.items():
        run(arguments, output / name)
    for path in sorted(Path("drawings").rglob("*")):
        if path.is_file():
            target = output / path.as_posix()
            target.parent.mkdir(parents=True, exist_ok=True)
            _keep(path, target)


def _keep(path: Path, target: Path) -> None:
    if path.suffix == ".svg":
        target.write_text(FONT.sub("", path.read_text("utf-8")), "utf-8")
    elif path.suffix == ".pdf":
        target.with_suffix(".pdf.sha256").write_text(hashlib.sha256(path.read_bytes()).hexdigest() + "\n")
    else:
        target.write_bytes(path.read_bytes())


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("output", type=Path)
    parser.add_argument("--examples", type=Path, required=True)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    options = parser.parse_args()
    output = options.output.resolve()
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder).resolve()
        plants = written(options.examples.resolve(), target, options.seed)
        with multiprocessing.Pool(options.jobs, maxtasksperchild=1) as pool:
            tasks = [(plant, output / plant.relative_to(target)) for plant in plants]
            for number, _ in enumerate(pool.imap_unordered(record, tasks, chunksize=1), 1):
                print(f"\r{number} of {len(tasks)}", end="", file=sys.stderr)
    import netdsl

    print(f"\n{len(plants)} plants of {Path(netdsl.__file__).parent.parent} recorded in {output}", file=sys.stderr)


if __name__ == "__main__":
    main()
