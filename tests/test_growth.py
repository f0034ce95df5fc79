"""Small texts that ask for very much: refused with a finding, in little time and memory."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.signal_box import PLANT

pytestmark = pytest.mark.long

HEAD = "netdsl 1\nplace +A kind=box material=plastic\n"


def doubling(levels: int) -> str:
    """Schemes of which each uses the one before twice."""
    text = "scheme s0() {\n  device -H1 lamp at=+A\n}\n"
    for level in range(1, levels):
        text += f"scheme s{level}() {{\n  use s{level - 1}\n  use s{level - 1}\n}}\n"
    return f"{HEAD}{text}use s{levels - 1}\n"


def empty_doubling(levels: int) -> str:
    return doubling(levels).replace("  device -H1 lamp at=+A\n", "")


TEXTS = {
    "schemes that double": doubling(40),
    "empty schemes that double": empty_doubling(40),
    "a strip without end": f"{HEAD}strip -X1 at=+A {{\n  :1..99999999 2.5mm2\n}}\n",
    "a bar without end": f"{HEAD}device -XE1 earth-bar at=+A ways=99999999\n",
    "a range without end": f"{HEAD}wire -X1:1..99999999 to -X2:1..99999999\n",
    "a cable of very many cores": f"{HEAD}cable -W1 99999999x1.5 {{\n}}\n",
    "very deep functions": HEAD + "function =A {\n" * 20_000,
    "very deep arithmetic": f"{HEAD}wire -X1:{'(' * 20_000}1 to -X2:1\n",
    "one very long line": f"{HEAD}wire {'-X1:1 to ' * 50_000}-X2:1\n",
    "ranges of very many terminals": HEAD + "".join(f"strip -X{n} at=+A {{\n  :1..1000 2.5mm2\n}}\n" for n in range(300)),
    "a wire of very many conductors": f"{HEAD}device -X1 earth-bar at=+A ways=500\nscheme s() {{\n"
    + f"  wire {','.join(['-X1:1'] * 1000)} to {','.join(['-X1:2'] * 1000)}\n" * 500
    + "}\nuse s\n",
    "a part of very many terminals": f"{HEAD}part p {{\n  kind = lamp   letter = P   class = II\n"
    + "".join(f"  terminal :{n}000..{n}999 plain\n" for n in range(1, 100))
    + "}\n"
    + "".join(f"device -P{n} p at=+A\n" for n in range(1000)),
    "a scheme of very many lines": f"{HEAD}scheme s() {{\n"
    + "".join(f"  device -H{n} lamp at=+A\n" for n in range(1000))
    + "}\n"
    + "".join(f"function =F{n} at=+A {{\n  use s\n}}\n" for n in range(300)),
    "very many cables": HEAD + "".join(f"cable -W{n}000..{n}999 200x1.5 {{\n}}\n" for n in range(1, 31)),
    "very many lines": HEAD + "device -H1 lamp at=+A\n" * 510_000,
    "very many blank lines": HEAD + "\n" * 510_000,
    "very many faults": HEAD + "wyre -X1:1 to -X2:1\n" * 5_000,
}

#: checks each text in a process of its own, which is limited; all of them come from one that has checked a small plant, and so
#: has loaded what they need
LIMITED = """
import contextlib, io, os, resource, sys
from netdsl.cli import main, script
with contextlib.suppress(SystemExit), contextlib.redirect_stdout(io.StringIO()):
    main(["check", sys.argv[1]])
for file in sys.argv[2:]:
    child = os.fork()
    if child == 0:
        for number, end in ((1, "out"), (2, "err")):
            os.dup2(os.open(f"{file}.{end}", os.O_WRONLY | os.O_CREAT), number)
        resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30))
        resource.setrlimit(resource.RLIMIT_CPU, (5, 5))
        sys.argv = ["netdsl", "check", file]
        script()
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""


@pytest.fixture(scope="module")
def checked(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[int, str, str]]:
    """By name of a text: exit code, output and errors of its check."""
    files = {name: tmp_path_factory.mktemp("text") / "plant.netdsl" for name in TEXTS}
    for name, file in files.items():
        file.write_text(TEXTS[name], "utf-8")
    small = tmp_path_factory.mktemp("small") / "plant.netdsl"
    small.write_text(PLANT, "utf-8")
    command = [sys.executable, "-c", LIMITED, str(small), *map(str, files.values())]
    done = subprocess.run(command, capture_output=True, text=True, timeout=200)
    codes = [int(line) for line in done.stdout.splitlines()]
    assert len(codes) == len(files), done.stderr[-300:]
    told = [[Path(f"{file}.{end}").read_text("utf-8") for end in ("out", "err")] for file in files.values()]
    return {name: (code, *texts) for name, code, texts in zip(files, codes, told, strict=True)}


@pytest.mark.parametrize("name", TEXTS)
def test_a_text_that_asks_for_very_much(name: str, checked: dict[str, tuple[int, str, str]]) -> None:
    code, out, err = checked[name]
    assert code == (2 if "split the plant" in out else 1), err[-300:]
    assert "error" in out
    assert "Traceback" not in err
