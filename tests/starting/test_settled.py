"""Drafts with their sizes: the comments that say what decided them, the fans of the cabinet, what no size can mend."""

from __future__ import annotations

import pytest

from netdsl.findings import Source, Span
from netdsl.model.open_values import OpenValue
from netdsl.sizing import Proposal, Verdict
from netdsl.sizing.items import Item
from netdsl.sizing.proposals import STANDARD
from netdsl.starting import read_motor_list, settle
from netdsl.starting.reasons import with_reasons
from netdsl.starting.settling import Settled

OPEN = Source(
    "circuits.netdsl",
    "netdsl 1\n"
    "function =P1 {\n"
    "  wire -A:1 to -B:1 auto  # kept\n"
    "  cable -W1 4Gauto {\n"
    "  }\n"
    "  device -Q1 mcb-3p current=auto\n"
    "  use direct-on-line(breaker=-Q1, current=auto, section=auto)\n"
    "  wire -A:2 to -B:2 auto\n"
    "  wire -A:3 to -B:3 auto\n"
    "}\n",
)


def proposed(word: int, kind: str, text: str, because: str, *, holds: bool = True, source: Source = OPEN) -> Proposal:
    """A proposal for the open value of that number in the text."""
    start = [n for n in range(len(OPEN.text)) if OPEN.text.startswith("auto", n)][word]
    span = Span(source, start, start + 4)
    value = OpenValue(kind, ("-X",), span, span)
    item = Item("section", "thing", (), "", (), "auto", None, (value,), "", span)
    return Proposal(item, Verdict.PROPOSED if holds else Verdict.NONE, 1.0 if holds else None, text, because)


def test_what_decided_a_size_is_said_at_its_line_once_and_only_where_something_did() -> None:
    filled = OPEN.text.replace("4Gauto", "4G6").replace("auto", "10A")
    said = with_reasons(
        OPEN,
        filled,
        [
            proposed(0, "section", "6mm2", "load"),
            proposed(0, "section", "6mm2", "load"),
            proposed(0, "section", "6mm2", "drop"),
            proposed(1, "construction", "4G6", "length"),
            proposed(2, "current", "10A", "inrush"),
            proposed(3, "current", "16A", "load"),
            proposed(4, "section", "2.5mm2", "fault"),
            proposed(5, "section", "1.5mm2", STANDARD),
            proposed(6, "section", "1.5mm2", "fails", holds=False),
            proposed(6, "section", "1.5mm2", "elsewhere", source=Source("plant.netdsl", OPEN.text)),
        ],
    )
    assert said.splitlines() == [
        "netdsl 1",
        "function =P1 {",
        "  wire -A:1 to -B:1 10A  # kept; wires 6 mm²: load; wires 6 mm²: drop",
        "  cable -W1 4G6 {  # cable 4G6: length",
        "  }",
        "  device -Q1 mcb-3p current=10A  # rating 10 A: inrush",
        "  # rating 16 A: load; wires 2.5 mm²: fault",
        "  use direct-on-line(breaker=-Q1, current=10A, section=10A)",
        "  wire -A:2 to -B:2 10A",
        "  wire -A:3 to -B:3 10A",
        "}",
    ]


def settled(*rows: str) -> Settled:
    head = "designation,power,way of running,cable length"
    motors, findings = read_motor_list("\n".join((head, *rows)), "m.csv")
    assert findings == ()
    made = settle(motors, "Plant")
    assert made.findings == ()
    return made


@pytest.mark.parametrize(
    ("rows", "airflow"),
    [
        (("P1,4,two-wire,20",), None),
        (("P1,4,two-wire,20", "P2,11,two-wire,20"), "150m3/h"),
        (("P1,22,serial-bus,20",), "250m3/h"),
    ],
)
def test_a_cabinet_has_fans_where_its_walls_do_not_shed_the_heat(rows: tuple[str, ...], airflow: str | None) -> None:
    draft = settled(*rows).draft
    fans = [line for text in draft.texts.values() for line in text.splitlines() if " cabinet-fan " in line]
    assert [line.partition("airflow=")[2] for line in fans] == ([airflow] if airflow else [])
    assert any(f"fans {airflow}".replace("m3", " m3") in words for words in draft.assumed) is (airflow is not None)
    assert not any("auto" in line.split() for text in draft.texts.values() for line in text.splitlines())
    assert not any(words.startswith("left") for words in draft.decisions)


def test_what_no_size_can_mend_stays_open_and_is_left_to_the_designer() -> None:
    draft = settled("P1,15,direct-on-line,500").draft
    said = [words for words in draft.decisions if words.startswith("left `auto`: none fits: ")]
    names = ("wire -WB1:L1 -- =P1-Q1:1 and 5 more", "cable =P1-W1")
    assert [words.rpartition(" (")[2] for words in said] == [f"{name})" for name in (names[0], *names)]
    assert all("not cured up to " in words and "the clamp of" in words for words in said)
    assert [line.split()[:2] for text in draft.texts.values() for line in text.splitlines() if "auto" in line] == [
        ["section", "="],
        ["construction", "="],
    ]
