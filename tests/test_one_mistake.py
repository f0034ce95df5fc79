"""One slip of the pen in the hatchery's text gives one finding, of the right kind, where the slip is; slips in several parts of
it give one each."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

import pytest

from netdsl.findings import Finding
from tests.readings import HATCHERY
from tests.rules_together import found_together


class Slip(NamedTuple):
    """What is written, what stands in its place, the rule that tells of it, and at which word."""

    before: str
    after: str
    rule: str
    at: str


#: those of one group are made in one text: each in another part of the plant
GROUPS = (
    (
        Slip("wire -WB1:L2 to -F2:1", "wyre -WB1:L2 to -F2:1", "unknown-word", "wyre"),
        Slip("wire -F3:2 to -X2:1", "wire -F3:2 at -X2:1", "syntax", "at"),
        Slip("address=11", "adress=11", "unknown-setting", "adress"),
        Slip("1 -X1:1 to", "11 -X1:1 to", "core-unknown", "11"),
    ),
    (
        Slip('"Main busbars" at', '"Main busbars at', "unclosed-string", '"Main'),
        Slip("address=11", "address=911", "out-of-range", "911"),
        Slip("2 -X1:2 to", "1 -X1:2 to", "core-reused", "1"),
    ),
    (
        Slip("thermostat at=", "thermostad at=", "unknown-part", "thermostad"),
        Slip("wire -F3:2 to -X2:1", "wire -F3:9 to -X2:1", "unknown-terminal", "9"),
        Slip("use preset-speeds drive=-T1", "use preset-speed drive=-T1", "unknown-scheme", "preset-speed"),
    ),
    (
        Slip("wire -WB1:L2 to -F2:1", "wire -WB7:L2 to -F2:1", "unknown-name", "-WB7"),
        Slip("rail=-X2 feed=4 zero=25", "rail=-X2 fed=4 zero=25", "unknown-parameter", "fed"),
        Slip("length=22m method=E along=TRAY2", "length=22V method=E along=TRAY2", "wrong-unit", "22V"),
    ),
    (
        Slip("device -F2 mcb-1p", "device -F2 mcb-1p at=+MCP current=6A\ndevice -F2 mcb-1p", "duplicate-name", "-F2"),
        Slip("wire -Q0:2,4,6 to -WB1:L1,L2,L3", "wire -Q0:2,4 to -WB1:L1,L2,L3", "count-mismatch", ":"),
    ),
    (Slip('include "parts/site.netdsl"', 'include "parts/cite.netdsl"', "include-missing", "parts/cite"),),
    (Slip('include "parts/site.netdsl"', 'include "../site.netdsl"', "include-outside", "../site"),),
)
SLIPS = [(slip, group) for group in GROUPS for slip in group]


def found(text: str) -> tuple[Finding, ...]:
    """What is found in the hatchery with this text as its main file."""
    return found_together(HATCHERY, {HATCHERY.name: text})


@cache
def made(group: tuple[Slip, ...]) -> tuple[dict[Slip, int], tuple[Finding, ...]]:
    """The line at which each slip of a group stands in the text that has them all, and what is found there."""
    text = HATCHERY.read_text("utf-8")
    places: list[tuple[int, int, Slip]] = []
    for slip in group:
        place = re.search(r"\s+".join(map(re.escape, slip.before.split())), text)
        assert place is not None
        places.append((*place.span(), slip))
    written, end = "", 0
    lines: dict[Slip, int] = {}
    for start, after, slip in sorted(places):
        written += text[end:start] + slip.after
        lines[slip] = written.count("\n") + 1
        end = after
    return lines, found(written + text[end:])


@pytest.mark.parametrize(("slip", "group"), SLIPS, ids=[f"{slip.rule} {slip.at}" for slip, _ in SLIPS])
def test_one_slip(slip: Slip, group: tuple[Slip, ...]) -> None:
    lines, findings = made(group)
    assert sorted(finding.rule for finding in findings) == sorted(each.rule for each in group), [
        finding.message for finding in findings
    ]
    (finding,) = [finding for finding in findings if finding.rule == slip.rule]
    assert finding.span.text.strip('"').startswith(slip.at.strip('"')) or slip.at in finding.span.text
    assert finding.span.begin[0] == lines[slip]
    assert finding.remedy


@pytest.mark.parametrize("kind", ["block", "brace"])
def test_braces(kind: str) -> None:
    text = HATCHERY.read_text("utf-8")
    end = re.search(r"GNYE +-G0:PE +to +-X0:PE\n(}\n)", text)
    assert end is not None
    findings = found(text[: end.start(1)] + ("" if kind == "block" else "}\n}\n") + text[end.end(1) :])
    assert [finding.rule for finding in findings] == ["unclosed-block" if kind == "block" else "stray-brace"]
