"""Small plants in the language, read, connected and checked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from lint import check
from lint.frame import FRAME
from netdsl.findings import Finding, Severity
from netdsl.model import read_plant
from netdsl.network import Network, build_network

Check = Callable[..., tuple[Finding, ...]]

#: rules about sizes and data, which a text that shows one thing about the wiring may leave out
SIZING = frozenset({"data-missing", "overload", "protection-missing"})


@pytest.fixture
def connect(tmp_path: Path) -> Callable[[str], Network]:
    """The network of a text; a text that reads with errors fails the test."""

    def run(text: str) -> Network:
        file = tmp_path / "plant.netdsl"
        file.write_text(text, encoding="utf-8")
        plant, findings = read_plant(file)
        assert plant is not None
        network, more = build_network(plant)
        errors = [finding for finding in (*findings, *more) if finding.severity is Severity.ERROR]
        assert errors == []
        return network

    return run


@pytest.fixture
def found(connect: Callable[[str], Network]) -> Check:
    """Findings of a text that continues the frame (or stands alone with `frame=""`).

    A text that shows one thing about the wiring leaves out what a calculation would need: that data is missing, and how
    its conductors are protected, is part of the findings only with `missing=True`.
    """

    def run(text: str, today: str | None = None, frame: str = FRAME, missing: bool = False) -> tuple[Finding, ...]:
        return tuple(finding for finding in check(connect(frame + text), today) if missing or finding.rule not in SIZING)

    return run
