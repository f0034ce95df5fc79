"""The least and the most that values can be: at the limit they are taken, beyond it they are refused in words."""

from __future__ import annotations

from pathlib import Path

from reading import findings_of, read

from tests.cases import each_of

SITE = "place +A kind=cabinet\n"
#: a line with a hole for the value, values that are taken, values that are refused, what is then said to do
LIMITS = [
    ("device -M1 motor at=+A power-factor={}", "0.01 0.5 1", "0 -0.1 1.1 0.5..1.1", "give 0.01 to 1"),
    ("device -M1 motor at=+A starting-power-factor={}", "0 1", "1.1", "give 0 to 1"),
    ("device -M1 motor at=+A efficiency={}", "1% 100%", "0% 101%", "give 1% to 100%"),
    ("device -M1 motor at=+A simultaneity={}", "0 1", "2", "give 0 to 1"),
    ("device -M1 motor at=+A correction={}", "0.01 10", "0 11", "give 0.01 to 10"),
    ("device -T1 vsd-15kw at=+A choke={}", "0% 20%", "21%", "give 0% to 20%"),
    ("device -T1 vsd-15kw at=+A current-distortion={}", "0% 300%", "301%", "give 0% to 300%"),
    ("device -M1 motor at=+A voltage={}", "1V 230/400V", "0V", "give a value above 0"),
    ("device -M1 motor at=+A frequency={}", "1Hz", "0Hz", "give a value above 0"),
    ("device -Q1 mcb-1p at=+A instantaneous={}", "1A 0..5A", "0A", "give a value above 0"),
    ("device -Q1 mccb at=+A operates-in-0.4s={}", "1A", "0A", "give a value above 0"),
    ("device -M1 motor at=+A power={}", "1W 1MW", "0W -1W", "give a value above 0"),
    ("device -M1 motor at=+A ambient={}", "-40degC 0degC", "", ""),
    ("device -M1 motor at=+A unit-load={}", "0 1", "-1", "give a value from 0 on"),
    ("device -M1 motor at=+A service-factor={}", "1 1.15", "0 0.5 3", "give 1 to 2"),
    ("supply -G0 system=TT voltage=400V r-over-x={}", "0 2", "-1", "give a value from 0 on"),
    ("supply -G0 system=TT voltage={}", "1V", "0V", "give a value above 0"),
    ("supply -G0 system=TT voltage={}", "400kV", "1001kV", "look at the number and its unit"),
    ("device -Q1 mcb-1p at=+A current={}", "0.5A", "0A", "give a value above 0"),
    ("device -Q1 mcb-1p at=+A current={}", "100kA", "100001kA", "look at the number and its unit"),
    ("device -M1 motor at=+A starts-per-hour={}", "1000000000", "1000000001", "look at the number and its unit"),
    ("supply -G0 system=TT voltage=400V power-factor={}", "0 1", "1.01", "give 0 to 1"),
    ("supply -G0 system=TT voltage=400V simultaneity={}", "0 1", "1.01", "give 0 to 1"),
    ("supply -G0 system=TT voltage=400V phases={}", "1 3", "2", "give 1 or 3"),
    ("place +B kind=cabinet size={}", "1x1x1mm", "1x0x1mm", "give a value above 0"),
    ("place +B kind=cabinet cooling-surface={}", "1m2", "0m2", "give a value above 0"),
    ("place +B kind=cabinet air-constant={}", "3.1", "0", "give a value above 0"),
    ("place +B kind=cabinet heat-transfer={}", "0 100", "-1 101", "give 0 to 100, in W/(m²K)"),
    ("route D1 size={}", "60x80mm", "0x80mm", "give a value above 0"),
    ("route D1 length={}", "0m", "-1m", "give a value from 0 on"),
    ('project "P" {{\n  voltage-factor-max = {}\n}}', "0.5 2", "0.4 2.1", "give 0.5 to 2"),
    ('project "P" {{\n  voltage-factor-min = {}\n}}', "0.5 2", "0.4 2.1", "give 0.5 to 2"),
    ('project "P" {{\n  loop-factor = {}\n}}', "0.1 1", "0 1.1", "give 0.1 to 1"),
    ('project "P" {{\n  load-margin = {}\n}}', "0.1 10", "0 11", "give 0.1 to 10"),
    ('project "P" {{\n  let-through-factor-d = {}\n}}', "0.1 10", "0 11", "give 0.1 to 10"),
    ('project "P" {{\n  load-power-factor = {}\n}}', "0.01 1", "0 1.1", "give 0.01 to 1"),
    ('project "P" {{\n  drive-power-factor = {}\n}}', "0.01 1", "0 1.1", "give 0.01 to 1"),
    ('project "P" {{\n  drive-power-factor-without-choke = {}\n}}', "0.01 1", "0 1.1", "give 0.01 to 1"),
    ('project "P" {{\n  starting-power-factor = {}\n}}', "0 1", "1.1", "give 0 to 1"),
    ('project "P" {{\n  simultaneity = {}\n}}', "0 1", "1.1", "give 0 to 1"),
    ('project "P" {{\n  reflection-factor = {}\n}}', "1 10", "0.9 11", "give 1 to 10"),
    ('project "P" {{\n  dc-link-capacitance = {}\n}}', "1 10000", "0.9 10001", "give 1 to 10000, in microfarads per kilowatt"),
    ('project "P" {{\n  stock-sections = {}\n}}', "1mm2 1mm2,2.5mm2", "0mm2", "give a value above 0"),
    ("cable -W1 2x1.5 parallel={} {{\n}}", "1 20", "0 21", "give a whole number from 1 to 20"),
    ("strip -X1 at=+A {{\n  :1..{}\n}}", "2 1000", "1001", "write the lower number first, at most 1000 terminals"),
    ('project "P" {{\n  stock-ratings = {}\n}}', "6A,10A", "0A", "give a value above 0"),
]


@each_of(("line", "taken", "refused", "remedy"), LIMITS)
def test_a_value_lies_within_its_limits(tmp_path: Path, line: str, taken: str, refused: str, remedy: str) -> None:
    for value in taken.split():
        _, findings = read(tmp_path, f"{SITE}{line.format(value)}\n")
        assert [(value, finding.message) for finding in findings] == []
    for value in refused.split():
        findings = findings_of(f"netdsl 1\n{SITE}{line.format(value)}\n")
        assert [(value, finding.rule) for finding in findings] == [(value, "out-of-range")]
        assert findings[0].remedy in (remedy, "give a value from 0 on")


def test_what_a_project_chooses_is_kept_as_numbers_and_words(tmp_path: Path) -> None:
    text = """\
project "Title" {
  number = "N-1"   sheet-size = A4   marks = potential
  voltage-drop-limit = 4%   stock-sections = 1.5mm2,2.5mm2   wiring-table = machine-all   altitude = 1km
  revision A 2026-05-04 "first issue"
  revision B 2026-06-11
}
"""
    plant, findings = read(tmp_path, text)
    assert findings == ()
    project = plant.project
    assert (project.title, project.attributes) == ("Title", {"number": "N-1", "sheet-size": "A4", "marks": "potential"})
    assert {name: (choice.values, choice.word) for name, choice in project.choices.items()} == {
        "voltage-drop-limit": ((4.0,), ""),
        "stock-sections": ((1.5, 2.5), ""),
        "wiring-table": ((), "machine-all"),
        "altitude": ((1000.0,), ""),
    }
    revisions = [(each.index, each.date, each.text) for each in project.revisions]
    assert revisions == [("A", "2026-05-04", "first issue"), ("B", "2026-06-11", "")]
