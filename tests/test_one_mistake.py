"""One slip of the pen in the hatchery's text gives one finding, of the right kind, where the slip is."""

from __future__ import annotations

import re

import pytest

from netdsl.cli.work import judge
from netdsl.findings import Finding
from tests.readings import HATCHERY
from tests.rules_together import together

SLIPS = [
    ("wire -WB1:L2 to -F2:1", "wyre -WB1:L2 to -F2:1", "unknown-word", "wyre"),
    ("wire -F3:2 to -X2:1", "wire -F3:2 at -X2:1", "syntax", "at"),
    ('"Main busbars" at', '"Main busbars at', "unclosed-string", '"Main'),
    ("thermostat at=", "thermostad at=", "unknown-part", "thermostad"),
    ("wire -WB1:L2 to -F2:1", "wire -WB7:L2 to -F2:1", "unknown-name", "-WB7"),
    ("wire -F3:2 to -X2:1", "wire -F3:9 to -X2:1", "unknown-terminal", "9"),
    ("use preset-speeds drive=-T1", "use preset-speed drive=-T1", "unknown-scheme", "preset-speed"),
    ("rail=-X2 feed=4 zero=25", "rail=-X2 fed=4 zero=25", "unknown-parameter", "fed"),
    ("address=11", "adress=11", "unknown-setting", "adress"),
    ("address=11", "address=911", "out-of-range", "911"),
    ("device -F2 mcb-1p", "device -F2 mcb-1p at=+MCP current=6A\ndevice -F2 mcb-1p", "duplicate-name", "-F2"),
    ("length=22m method=E along=TRAY2", "length=22V method=E along=TRAY2", "wrong-unit", "22V"),
    ("wire -Q0:2,4,6 to -WB1:L1,L2,L3", "wire -Q0:2,4 to -WB1:L1,L2,L3", "count-mismatch", ":"),
    ("1 -X1:1 to", "11 -X1:1 to", "core-unknown", "11"),
    ("2 -X1:2 to", "1 -X1:2 to", "core-reused", "1"),
    ('include "parts/site.netdsl"', 'include "parts/cite.netdsl"', "include-missing", "parts/cite"),
    ('include "parts/site.netdsl"', 'include "../site.netdsl"', "include-outside", "../site"),
]


def found(text: str) -> tuple[Finding, ...]:
    """What is found in the hatchery with this text as its main file."""
    return together(judge(HATCHERY, instead={HATCHERY.name: text}).findings)


@pytest.mark.parametrize(("before", "after", "rule", "at"), SLIPS, ids=[f"{slip[2]} {slip[3]}" for slip in SLIPS])
def test_one_slip(before: str, after: str, rule: str, at: str) -> None:
    text = HATCHERY.read_text("utf-8")
    place = re.search(r"\s+".join(map(re.escape, before.split())), text)
    assert place is not None
    findings = found(text[: place.start()] + after + text[place.end() :])
    assert [finding.rule for finding in findings] == [rule], [finding.message for finding in findings]
    (finding,) = findings
    assert finding.span.text.strip('"').startswith(at.strip('"')) or at in finding.span.text
    assert finding.span.begin[0] == (text[: place.start()] + after).count("\n") + 1
    assert finding.remedy


@pytest.mark.parametrize("kind", ["block", "brace"])
def test_braces(kind: str) -> None:
    text = HATCHERY.read_text("utf-8")
    end = re.search(r"GNYE +-G0:PE +to +-X0:PE\n(}\n)", text)
    assert end is not None
    findings = found(text[: end.start(1)] + ("" if kind == "block" else "}\n}\n") + text[end.end(1) :])
    assert [finding.rule for finding in findings] == ["unclosed-block" if kind == "block" else "stray-brace"]
