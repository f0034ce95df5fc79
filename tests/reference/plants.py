"""Plants of the reference tests: a circuit in the language, read and connected as any plant, then computed."""

from __future__ import annotations

import tempfile
from pathlib import Path

from netdsl.calc import Calculation, calculate
from netdsl.findings import Severity
from netdsl.model import read_plant
from netdsl.network import build_network
from tests.computed import noted


def calculated(text: str) -> Calculation:
    """The calculation of a plant's text (`netdsl 1` is put before it where it is missing).

    Raises AssertionError where the text reads with an error: a misread circuit proves nothing.
    """
    whole = text if text.lstrip().startswith("netdsl") else f"netdsl 1\n{text}"
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "plant.netdsl"
        file.write_text(whole, encoding="utf-8")
        plant, findings = read_plant(file)
    assert plant is not None, [finding.message for finding in findings]
    network, more = build_network(plant)
    errors = [finding.message for finding in (*findings, *more) if finding.severity is Severity.ERROR]
    assert not errors, errors
    return noted(calculate(network), whole)
