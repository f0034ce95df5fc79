"""Least sections of a project that are below what the standards ask stand among the exceptions, or are refused."""

from __future__ import annotations

from collections.abc import Callable

import lint
from lint.frame import FRAME
from netdsl.findings import Severity
from netdsl.network import Network

Connect = Callable[..., Network]


def test_a_smaller_section_stands_on_the_cover_with_its_reason(connect: Connect) -> None:
    verdict = lint.verdict(connect('least-section bond=2.5mm2 pen=16mm2 because "a strap, agreed"\n', FRAME))
    assert verdict.extent.lowered == ("the least section `bond` is 2.5 mm², where 4 mm² are asked for: a strap, agreed",)
    assert "section-looser" not in {finding.rule for finding in verdict.findings}


def test_without_a_reason_it_is_an_error_and_stands_nowhere(connect: Connect) -> None:
    verdict = lint.verdict(connect("least-section bond=2.5mm2\n", FRAME))
    (told,) = (finding for finding in verdict.findings if finding.rule == "section-looser")
    assert told.severity is Severity.ERROR
    assert told.message == "the least section `bond` is 2.5 mm², where 4 mm² are asked for, without a reason: that stays"
    assert verdict.extent.lowered == ()


def test_a_larger_section_is_no_exception(connect: Connect) -> None:
    verdict = lint.verdict(connect("least-section bond=4mm2 arrester=10mm2\n", FRAME))
    assert verdict.extent.lowered == ()
    assert "section-looser" not in {finding.rule for finding in verdict.findings}
