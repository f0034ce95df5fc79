"""Sound plants of this folder with one thing changed: what they are silent about is then said."""

from __future__ import annotations

import pytest

from netdsl.cli.work import judge
from netdsl.findings import Severity
from tests.field.test_field import PLANTS

#: plant, what is written there, what stands in its place, the rule that then speaks, words of its message
CHANGED = (
    ("04b", "  interlock -K1 -K2 mechanical\n  interlock -K1 -K2 electrical\n", "", "contactor-undersized", "takes 17 A"),
    ("04a", "device -M2 motor-4kw-4p", "device -M2 motor-2.2kw-4p", "overload-setting", "`=GT1-M2` takes 4.9 A"),
    ("04a", "  interlock -K1 -K2 mechanical\n  interlock -K1 -K2 electrical\n", "", "motor-unprotected", "`=GT1-M1`"),
    ("04g", "earthed-with=-G1", "earthed-with=-G9", "unknown-name", "no supply is called `-G9`"),
    (
        "04d",
        "voltage=400V ac required\n  terminal :2 load 0.5..2.5mm2 voltage=400V",
        "voltage=230V ac required\n  terminal :2 load 0.5..2.5mm2 voltage=230V",
        "voltage-mismatch",
        "400 V",
    ),
    ("03a", "along=COND1 {\n    GNYE", "along=TRAY2 {\n    GNYE", "earth-in-series", "`=RP1-M1`"),
)


@pytest.mark.parametrize(("name", "before", "after", "rule", "words"), CHANGED, ids=[f"{c[0]}-{c[3]}" for c in CHANGED])
def test_what_is_changed_is_said(name: str, before: str, after: str, rule: str, words: str) -> None:
    (file,) = PLANTS.glob(f"{name}-*.netdsl")
    text = file.read_text("utf-8")
    assert text.count(before) == 1
    findings = judge(file, instead={file.name: text.replace(before, after)}).findings
    said = [finding for finding in findings if finding.severity is not Severity.NOTE]
    assert any(finding.rule == rule and words in finding.message for finding in said), [(f.rule, f.message) for f in said]
