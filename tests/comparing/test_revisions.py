"""Six revisions of the hatchery as they happen: each gives a comparison that a reviewer can act on, held to the letter.

`python -m tests.comparing.test_revisions` writes the golden files anew.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from netdsl.calc import calculate
from netdsl.cli.compare_text import text_lines
from netdsl.cli.work import Judged, connect, judge
from netdsl.comparing import Comparison, State, compare, condensed
from tests.readings import HATCHERY, judged

GOLDEN = Path(__file__).parent / "golden"


def changed(text: str, start: str, *edits: tuple[str, str]) -> str:
    """The text with each edit made once, behind `start`."""
    head, mark, rest = text.partition(start)
    assert mark
    for old, new in edits:
        assert old in rest, old
        rest = rest.replace(old, new, 1)
    return head + mark + rest


def rerouted(text: str) -> str:
    old = '"motor cable" length=31m method=E along=TRAY1'
    return changed(text, "function =RP2", (old, '"motor cable" length=44m method=E along=TRAY2'))


def stronger(text: str) -> str:
    return changed(
        text,
        "function =AB1",
        ("mcb-3p current=20A", "mcb-3p current=25A"),
        ("line-reactor current=16A", "line-reactor current=20A"),
        ("vsd-5.5kw", "vsd-7.5kw"),
        ("power=5.5kW current=11.5A power-factor=0.83", "power=7.5kW current=15.5A power-factor=0.84"),
        ("motor-current=11.5A", "motor-current=15.5A"),
        ("4G2.5 screened", "4G4 screened"),
    )


def inserted(text: str) -> str:
    text = changed(
        text,
        "strip -X5",
        (':3     2.5mm2 "sump not empty"\n    :4 ', ':3     2.5mm2 "spare"\n    :4     2.5mm2 "sump not empty"\n    :5 '),
        (":5..6", ":6..7"),
        (":7     earth", ":8     earth"),
    )
    for number in (7, 6, 5, 4, 3):
        text = text.replace(f"-X5:{number}", f"-X5:{number + 1}")
    return text


def swapped(text: str) -> str:
    return changed(text, "cable -W1 7G1.5", ("3    -X1:3", "4    -X1:3"), ("4    -X1:4", "3    -X1:4"))


def renamed(text: str) -> str:
    return text.replace("=RP2", "=RC2")


def reformatted(text: str) -> str:
    start, levels, pump, other = (text.index(each) for each in ("# --- Levels", "# --- Rec", "# --- Recirculation pump 2", "\n"))
    moved = text[:start] + text[levels:pump] + text[start:levels] + text[pump:]
    assert other and moved != text
    return moved.replace("  # ", "    # so it was: ").replace("wire -", "wire   -")


def told_of(name: str) -> list[str]:
    found = comparison(name)
    return list(text_lines(found, condensed(found.changes)))


REVISIONS = {each.__name__: each for each in (rerouted, stronger, inserted, swapped, renamed, reformatted)}
#: those in which findings may appear or figures change by more than names
JUDGED = ("rerouted", "stronger")


def state(read: Judged) -> State:
    assert read.network is not None and read.calculation is not None and read.checked
    return State(read.network, read.calculation, read.findings if read.verdict else ())


@cache
def revised(name: str) -> Judged:
    """The hatchery as a revision leaves it."""
    instead = {HATCHERY.name: REVISIONS[name](HATCHERY.read_text("utf-8"))}
    return judge(HATCHERY, None, instead) if name in JUDGED else connect(HATCHERY, instead)


def comparison(name: str) -> Comparison:
    old = state(judged(HATCHERY))
    return compare(old if name in JUDGED else State(old.network, old.calculation, ()), state(revised(name)))


@pytest.mark.parametrize("name", REVISIONS)
def test_a_revision_is_told_as_it_was_made(name: str) -> None:
    told = "".join(f"{line}\n" for line in told_of(name))
    assert told == (GOLDEN / f"{name}.txt").read_text("utf-8"), (
        "look at what moved, then python -m tests.comparing.test_revisions"
    )


def test_a_word_in_the_default_of_a_scheme_is_one_line_where_it_stands() -> None:
    file = "parts/site.netdsl"
    text = (HATCHERY.parent / file).read_text("utf-8")
    old, new = connect(HATCHERY), connect(HATCHERY, {file: changed(text, "scheme drive-feed", ("section=6mm2", "section=10mm2"))})
    assert old.network and new.network
    found = compare(*(State(each.network, calculate(each.network), (), False) for each in (old, new) if each.network))
    (change,) = found.changes
    assert change.text == "section of 27 conductors 6 mm² is now 10 mm², by one line"
    assert change.number == len(set(change.subjects)) == 27
    assert change.before and change.after and change.after.source.path == file
    assert "section=6mm2" in change.before.text and "section=10mm2" in change.after.text


def main() -> None:
    """Write the golden files."""
    GOLDEN.mkdir(exist_ok=True)
    for name in REVISIONS:
        lines = "".join(f"{line}\n" for line in told_of(name))
        (GOLDEN / f"{name}.txt").write_text(lines, encoding="utf-8")


if __name__ == "__main__":
    main()
