"""All that commands write and print of a plant, in several surroundings: `python -m tests.fuzz.same_bytes hatchery star-delta`.

The bytes must be the same whatever the seed of hashes, the folder, the user, the time zone, the locale, the number of
processes, what earlier builds kept, and the Python: name others with `--python`. `--here FOLDER` does it once, where it is
started.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from contextlib import chdir, redirect_stderr, redirect_stdout
from pathlib import Path

ROOT = Path(__file__).parents[2]
PLANT = "plant.netdsl"
#: called in the folder of a plant, which holds another one, `before.netdsl`
COMMANDS = (
    *("check .|check --format json .|check --format sarif .|check --coverage .|calc .|calc --format csv .".split("|")),
    *("calc --format pdf -o calculation.pdf .|calc --format xlsx -o calculation.xlsx .|states --proofs .|size .".split("|")),
    *("facts .|table parts .|table labels --format xlsx -o labels.xlsx .|compare --format html before.netdsl .".split("|")),
    *("compare --draw marked before.netdsl .|view --export pages .|unfold .".split("|")),
)
BUILD = "build . -o out --format svg,pdf,dxf"


def written(folder: Path, build: str = BUILD, commands: Sequence[str] = COMMANDS) -> dict[str, str]:
    """Check sums of all that the commands print and write in a folder that holds a plant, by name."""
    from netdsl.cli.entry import main

    sums = {}
    for command in (build, *commands):
        out = io.StringIO()
        with chdir(folder), redirect_stdout(out), redirect_stderr(io.StringIO()):
            try:
                main(command.split())
            except SystemExit as leaving:
                out.write(f"exit code {leaving.code}")
        sums[BUILD if command == build else command] = _sum(out.getvalue().encode())
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.suffix != ".netdsl":
            sums[path.relative_to(folder).as_posix()] = _sum(path.read_bytes())
    return sums


def _sum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def elsewhere(
    texts: dict[str, bytes],
    scratch: Path,
    settings: dict[str, str | None],
    python: str = sys.executable,
    words: Sequence[str] = (),
    before: Sequence[str] = (),
    commands: Sequence[str] = COMMANDS,
) -> dict[str, str]:
    """The check sums in other surroundings: `settings` of the environment, None for none; `words` for the build; `before`: what
    starts it; `commands`: what is called besides."""
    folder = Path(tempfile.mkdtemp(dir=scratch, prefix="wörk folder "))
    folder.chmod(0o777)
    for name, data in texts.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(data)
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "NETDSL_CACHE": "", **settings}
    command = [*before, python, "-m", "tests.fuzz.same_bytes", "--here", str(folder), " ".join((BUILD, *words)), *commands]
    done = subprocess.run(
        command, env={name: value for name, value in environment.items() if value is not None}, cwd="/", capture_output=True
    )
    assert done.returncode == 0, done.stderr.decode()
    shutil.rmtree(folder)
    lines = (line.rpartition(" ") for line in done.stdout.decode().splitlines())
    return {name: each for name, _, each in lines}


def other_than(one: dict[str, str], other: dict[str, str]) -> list[str]:
    """What differs between two."""
    return sorted(name for name in {*one, *other} if one.get(name) != other.get(name))


def surroundings(scratch: Path, pythons: Iterable[str]) -> dict[str, dict[str, object]]:
    """Each with what is other in it."""
    store = str(scratch / "store")
    ways: dict[str, dict[str, object]] = {
        "seed of hashes": {"settings": {"PYTHONHASHSEED": "4711"}},
        "time zone, locale, user": {"settings": {"TZ": "Pacific/Kiritimati", "LC_ALL": "C", "USER": "other", "PYTHONUTF8": "0"}},
        "no home": {"settings": {"HOME": None, "LANG": None, "PATH": "/usr/bin:/bin"}},
        "one process": {"settings": {}, "words": ("--jobs", "1")},
        "three processes": {"settings": {}, "words": ("--jobs", "3")},
        "what is kept, first": {"settings": {"NETDSL_CACHE": store}},
        "what is kept, then": {"settings": {"NETDSL_CACHE": store, "PYTHONHASHSEED": "7"}},
        **{f"{python}": {"settings": {}, "python": python} for python in pythons},
    }
    if os.geteuid() == 0:
        # who reads everything, as the Python of this user may lie in a folder that is closed to others
        reads = ("--inh-caps=+dac_read_search", "--ambient-caps=+dac_read_search")
        ways["another user"] = {"settings": {}, "before": ("setpriv", "--reuid=65534", "--regid=65534", "--clear-groups", *reads)}
    return ways


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("examples", nargs="*")
    parser.add_argument("--here", type=Path)
    parser.add_argument("--python", action="append", default=[])
    options = parser.parse_args()
    if options.here:
        for name, each in written(options.here, options.examples[0], options.examples[1:]).items():
            print(name, each)
        return
    worst = 0
    with tempfile.TemporaryDirectory() as name:
        scratch = Path(name)
        scratch.chmod(0o777)
        for example in options.examples:
            folder = ROOT / "examples" / example
            texts = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.netdsl")}
            texts["before.netdsl"] = texts[PLANT].replace(b"7.5kW", b"5.5kW").replace(b"2.5mm2", b"4mm2")
            usual = elsewhere(texts, scratch, {"PYTHONHASHSEED": "0"})
            for way, given in surroundings(scratch, options.python).items():
                differs = other_than(usual, elsewhere(texts, scratch, **given))  # type: ignore[arg-type]
                print(f"{example:12} {way:24} {len(usual)} outputs {differs[:6] or 'the same'}", flush=True)
                worst |= bool(differs)
    sys.exit(worst)


if __name__ == "__main__":
    main()
