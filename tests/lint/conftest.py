"""Small plants in the language, read, connected and checked. What is found is held to the letter, beside what each test asks.

`NETDSL_KEEP=1 pytest -n 0 tests/lint` writes `golden/found.txt` anew. What is meant to change shows there.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from pathlib import Path

import pytest

from lint import check
from lint.frame import FRAME
from netdsl.findings import Finding, Severity
from netdsl.network import Network, build_network
from tests.readings import judged_text, read_text
from tests.said import Kept, told

KEPT = Kept(Path(__file__).parent / "golden" / "found.txt")
Check = Callable[..., tuple[Finding, ...]]
Connect = Callable[..., Network]


@pytest.fixture
def connect() -> Connect:
    """The network of a text, which may continue a `frame`; a text that reads with errors fails the test."""

    def run(text: str, frame: str = "") -> Network:
        plant, findings = read_text(text, frame)
        assert plant is not None
        network, more = build_network(plant)
        errors = [finding for finding in (*findings, *more) if finding.severity is Severity.ERROR]
        assert errors == []
        return network

    return run


@pytest.fixture
def found(connect: Connect, request: pytest.FixtureRequest) -> Check:
    """Findings of a text that continues the frame (or stands alone with `frame=""`), of the rules that the test is about.

    Those are what its module names in `RULES`, or the rule or rules it asks for with `only`; no other is applied.
    """

    def run(text: str, today: str | None = None, frame: str = FRAME, only: str | Collection[str] = ()) -> tuple[Finding, ...]:
        chosen = {only} if isinstance(only, str) else set(only or request.module.RULES)
        findings = check(connect(text, frame), today, only=chosen)
        asked.append(text)
        KEPT.holds(f"{request.node.nodeid.removeprefix('tests/lint/')} {len(asked)}", map(told, findings))
        return findings

    asked: list[str] = []
    return run


@pytest.fixture
def found_by_all(request: pytest.FixtureRequest) -> Callable[[str], tuple[Finding, ...]]:
    """Findings of a text that continues the frame, of all rules."""

    def run(text: str) -> tuple[Finding, ...]:
        findings = judged_text(text, FRAME).findings
        asked.append(text)
        KEPT.holds(f"{request.node.nodeid.removeprefix('tests/lint/')} {len(asked)}", map(told, findings))
        return findings

    asked: list[str] = []
    return run
