"""Voltages and potentials that only one state of the contacts brings together."""

from __future__ import annotations

from functools import partial

import pytest

from lint import switching
from netdsl.findings import Finding, Severity
from netdsl.states import Prover
from tests.cases import each_of
from tests.lint.conftest import Check as Found

RULES = ("potentials-joined", "voltage-mismatch")

#: two sources of 24 V with one zero, a relay of 24 V that returns to it, and a phase of 230 V against the neutral
SOURCES = """
part psu "24 V supply" {
  kind = supply-24v   letter = T   class = II   current = 5A
  terminal :L line-in 0.5..2.5mm2
  terminal :N neutral 0.5..2.5mm2
  terminal :+ supply-out 0.5..2.5mm2 clamps=4 common=:-
  terminal :- supply-common 0.5..2.5mm2 clamps=4
  source :+ to :- voltage=24V dc current=5A
}
part relay "Relay" {
  kind = relay   letter = K   class = II
  terminal :A1 :A2 coil 0.5..2.5mm2 clamps=4
  terminal :11 :12 :14 contact 0.5..2.5mm2 clamps=4
  coil :A1 to :A2 voltage=24V dc power=1W
  changeover :11 to :12 :14 by=coil
}
device -T1 psu at=+MCP
device -T2 psu at=+MCP
device -F1 mcb-1p at=+MCP current=6A
device -S1 push-button at=+MCP
device -S2 push-button at=+MCP
device -S3 selector-3 at=+MCP
device -K1 relay at=+MCP
device -K2 relay at=+MCP
wire -WB1:L1 to -F1:1 1.5mm2 BK
wire -F1:2 to -T1:L to -T2:L 1.5mm2 BK
wire -WB1:N to -T1:N to -T2:N 1.5mm2 BU
wire -T1:- to -T2:- to -K1:A2 to -K2:A2 1.5mm2 BU
"""


def told(findings: tuple[Finding, ...]) -> list[tuple[str, str, Severity]]:
    return [(finding.rule, finding.span.text, finding.severity) for finding in findings]


JOINED, WRONG = "potentials-joined", "voltage-mismatch"


@each_of(
    ("text", "rule", "place", "words"),
    [
        (  # two buttons, pressed together
            "wire -T1:+ to -S1:13 1mm2 BU\nwire -T2:+ to -S2:13 1mm2 BU\n"
            "wire -S1:14 to -K1:A1 1mm2 BU\nwire -S2:14 to -K1:A1 1mm2 BU\n",
            JOINED,
            "wire -S1:14 to -K1:A1 1mm2 BU",
            "`-T1:+` and `-T2:+` meet in some state, over `-T1:+ > -S1:13-14 > -S2:14-13 > -T2:+`: "
            "1. press `-S1` and press `-S2`",
        ),
        (  # a contact between a phase and 24 V, which a relay closes
            "wire -T1:+ to -S1:13 1mm2 BU\nwire -S1:14 to -K2:A1 1mm2 BU\n"
            "wire -F1:2 to -K2:11 1mm2 BK\nwire -K2:14 to -T1:+ 1mm2 BU\n",
            JOINED,
            "wire -K2:14 to -T1:+ 1mm2 BU",
            "`-G0:L1` and `-T1:+` meet in some state, over `-G0:L1 > -F1:1-2 > -K2:11-14 > -T1:+`: 1. press `-S1`: `-K2` pulls",
        ),
        (  # a live pole that a button earths
            "wire -T1:+ to -S1:13 1mm2 BU\nwire -S1:14 to -XE1:5 1mm2 GNYE\n",
            JOINED,
            "wire -S1:14 to -XE1:5 1mm2 GNYE",
            "`-T1:+` and `-G0:PE` meet in some state, over `-T1:+ > -S1:13-14 > -G0:PE`: 1. press `-S1`",
        ),
        (  # the zero of a source that a button joins to the neutral
            "wire -T1:- to -S1:13 1mm2 BU\nwire -S1:14 to -WB1:N 1mm2 BU\n",
            JOINED,
            "wire -S1:14 to -WB1:N 1mm2 BU",
            "`-T1:-` and `-G0:N` meet in some state, over `-T1:- > -S1:13-14 > -G0:N`: 1. press `-S1`",
        ),
        (  # one position of a selector brings another voltage
            "wire -T1:+ to -S3:13 1mm2 BU\nwire -F1:2 to -S3:23 1mm2 BK\nwire -S3:14 to -S3:24 to -K1:A1 1mm2 BU\n",
            WRONG,
            "wire -S3:14 to -S3:24 to -K1:A1 1mm2 BU",
            "`-K1:A1`, rated for 24 V DC, gets 231 V AC from `-G0:L1` in some state, "
            "over `-G0:L1 > -F1:1-2 > -S3:23-24 > -K1:A1`: 1. turn `-S3` to auto",
        ),
        (  # a changeover contact of a relay does, as long as a button is pressed
            "wire -T1:+ to -K2:12 1mm2 BU\nwire -F1:2 to -K2:14 1mm2 BK\nwire -K2:11 to -S2:13 1mm2 BU\n"
            "wire -S2:14 to -K1:A1 1mm2 BU\nwire -T2:+ to -S1:13 1mm2 BU\nwire -S1:14 to -K2:A1 1mm2 BU\n",
            WRONG,
            "wire -S2:14 to -K1:A1 1mm2 BU",
            "over `-G0:L1 > -F1:1-2 > -K2:14-11 > -S2:13-14 > -K1:A1`: 1. press `-S1` and press `-S2`: `-K2` pulls",
        ),
    ],
)
def test_what_one_state_brings_is_told_with_the_way_there(found: Found, text: str, rule: str, place: str, words: str) -> None:
    findings = found(SOURCES + text)
    assert told(findings) == [(rule, place, Severity.ERROR)]
    assert words in findings[0].message


@each_of(
    "text",
    [
        # a changeover contact of one relay
        "wire -T1:+ to -K2:12 1mm2 BU\nwire -T2:+ to -K2:14 1mm2 BU\nwire -K2:11 to -K1:A1 1mm2 BU\n"
        "wire -T1:+ to -S1:13 1mm2 BU\nwire -S1:14 to -K2:A1 1mm2 BU\n",
        # two positions of one selector
        "wire -T1:+ to -S3:13 1mm2 BU\nwire -T2:+ to -S3:23 1mm2 BU\nwire -S3:14 to -S3:24 to -K1:A1 1mm2 BU\n",
        # outputs of two supplies declared to work together
        "wire -T1:+ to -S1:13 1mm2 BU\nwire -T2:+ to -S2:13 1mm2 BU\nwire -S1:14 to -S2:14 to -K1:A1 1mm2 BU\n"
        "potential P of -T1:+ parallel=yes\n",
        # a neutral that a contact earths, as that of a generator
        "wire -WB1:N to -S1:13 1mm2 BU\nwire -S1:14 to -XE1:5 1mm2 BU\n",
        # two zeros
        "wire -T1:- to -S1:13 1mm2 BU\nwire -S1:14 to -T2:- 1mm2 BU\n",
    ],
)
def test_what_contacts_exclude_or_the_text_declares_is_silent(found: Found, text: str) -> None:
    assert found(SOURCES + text) == ()


@pytest.mark.parametrize(
    ("text", "rule", "words"),
    [
        (
            "wire -T1:+ to -S1:13 1mm2 BU\nwire -T2:+ to -S2:13 1mm2 BU\nwire -S1:14 to -S2:14 to -K1:A1 1mm2 BU\n",
            JOINED,
            "not proved that `-T1:+` and `-T2:+` never meet over `-S1`, `-S2`: the search was given up at its limit",
        ),
        (
            "wire -T1:+ to -S3:13 1mm2 BU\nwire -F1:2 to -S3:23 1mm2 BK\nwire -S3:14 to -S3:24 to -K1:A1 1mm2 BU\n",
            JOINED,
            "not proved that `-G0:L1` and `-T1:+` never meet over `-S3`: the search was given up at its limit",
        ),
        (
            "wire -T1:+ to -K2:12 1mm2 BU\nwire -F1:2 to -K2:14 1mm2 BK\nwire -K2:11 to -K1:A1 1mm2 BU\n"
            "wire -T2:+ to -S1:13 1mm2 BU\nwire -S1:14 to -K2:A1 1mm2 BU\n",
            WRONG,
            "not proved that `-K1:A1`, rated for 24 V DC, never gets 231 V AC from `-G0:L1`: "
            "the search was given up at its limit",
        ),
    ],
)
def test_what_is_not_proved_is_a_warning(found: Found, monkeypatch: pytest.MonkeyPatch, text: str, rule: str, words: str) -> None:
    monkeypatch.setattr(switching, "Prover", partial(Prover, questions=0))
    findings = [finding for finding in found(SOURCES + text) if finding.rule == rule]
    assert [(finding.severity, finding.message) for finding in findings] == [(Severity.WARNING, words)]
