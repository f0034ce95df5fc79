"""The texts of drafts, with sizes still open, and what they assume: kept word by word in `golden/`.

`python -m tests.refresh tests/starting` refreshes them. That such texts read, can be sized and give no finding is tested beside
this.
"""

from __future__ import annotations

import sys
from pathlib import Path

from netdsl.starting import read_io_list, read_motor_list, write_texts
from tests.cases import each_of

HERE = Path(__file__).parent
GOLDEN = HERE / "golden"
ONE = "designation,power,way of running\nP1,4,two-wire\n"
#: name -> list of motors, airflow of the cabinet in m3/h
DRAFTS = {
    "ways": ((HERE / "ways.csv").read_text("utf-8"), 850.0),
    "tasks": ((HERE / "tasks.csv").read_text("utf-8"), 0.0),
    "large": ((HERE / "large.csv").read_text("utf-8"), 400.0),
    "one": (ONE, 0.0),
    "io": ("tag,kW,control,place\nP1,2.2,hand-off-auto,Trout hall\nP2,4,HOA,Well house\n", 0.0),
}
#: name -> list of inputs and outputs beside it
SIGNALS = {"io": (HERE.parent.parent / "examples" / "signals.csv").read_text("utf-8")}


def told(name: str) -> str:
    """All texts of a draft, behind their names, and what it assumes and leaves to the designer."""
    motors, findings = read_motor_list(DRAFTS[name][0], f"{name}.csv")
    assert findings == ()
    signals, findings = read_io_list(SIGNALS[name], f"{name}-io.csv", motors) if name in SIGNALS else ((), ())
    assert findings == ()
    draft = write_texts(motors, f"A draft of {name}", {"MCP": DRAFTS[name][1]}, signals)
    lists = {"assumed": "\n".join(draft.assumed) + "\n", "decisions": "\n".join(draft.decisions) + "\n"}
    return "\n".join(f"=== {key} ===\n{text}" for key, text in (draft.texts | lists).items())


@each_of("name", DRAFTS)
def test_a_draft_is_as_kept(name: str) -> None:
    assert told(name) == (GOLDEN / f"{name}.txt").read_text("utf-8")


if __name__ == "__main__":
    GOLDEN.mkdir(exist_ok=True)
    for each in DRAFTS:
        (GOLDEN / f"{each}.txt").write_text(told(each), "utf-8")
        sys.stdout.write(f"{GOLDEN / each}.txt\n")
