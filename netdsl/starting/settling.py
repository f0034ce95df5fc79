"""Settling a draft: its sizes by the project's own search, its cabinet's air by the heat balance."""

from __future__ import annotations

import tempfile
from pathlib import Path

from msgspec import Struct

from netdsl.calc import Calculation
from netdsl.calc.heat import Enclosures
from netdsl.findings import Finding, Severity
from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.network.types import Network
from netdsl.sizing import propose_open, texts_with
from netdsl.starting.io_list import Signal
from netdsl.starting.motor_list import Motor
from netdsl.starting.narrowing import narrowed
from netdsl.starting.plant_texts import Draft, Texts, write_texts
from netdsl.starting.practice import practice
from netdsl.starting.reasons import with_reasons


class Settled(Struct, frozen=True):
    """A draft with real sizes, and what could not be read or sized."""

    draft: Draft
    findings: tuple[Finding, ...]


def settle(motors: tuple[Motor, ...], title: str, signals: tuple[Signal, ...] = ()) -> Settled:
    """The draft of `motors`, inputs and outputs with sizes and fans."""
    draft = write_texts(motors, title, signals=signals)
    network, findings = _network(draft.texts)
    if network is None:
        return Settled(draft, findings)
    calculation = Calculation(network)
    if airflows := _airflows(calculation):
        draft = write_texts(motors, title, airflows, signals)
        network, findings = _network(draft.texts)
        if network is None:
            return Settled(draft, findings)
        calculation = Calculation(network)
    proposals = propose_open(network, calculation)
    changed, left = texts_with(proposals)
    texts = draft.texts | {source.path: with_reasons(source, text, proposals) for source, text in changed.items()}
    open_ones = [f"left `auto`: {unwritten.reason}" for unwritten in left]
    texts = {name: narrowed(text) for name, text in texts.items()}
    return Settled(Draft(texts, draft.assumed, (*draft.decisions, *open_ones)), findings)


def _network(texts: Texts) -> tuple[Network | None, tuple[Finding, ...]]:
    with tempfile.TemporaryDirectory() as folder:
        for name, text in texts.items():
            (Path(folder) / name).write_text(text, "utf-8")
        plant, reading = read_plant(Path(folder) / "plant.netdsl")
    if plant is None:
        return None, reading
    network, joining = build_network(plant)
    found = (*reading, *joining)
    return (None if any(one.severity is Severity.ERROR for one in found) else network), found


def _airflows(calculation: Calculation) -> dict[str, float]:
    """Free-blow airflow that the fans of each cabinet must have, m3/h, rounded up, by its place without `+`; none where the walls
    shed the heat."""
    factor = calculation.settings.number("filter-factor")
    margin = practice()["fans"]["margin"]
    return {
        result.subject.removeprefix("+"): float(-(-int(result.value * margin / factor + 30) // 50) * 50)
        for result in calculation.results_of(Enclosures)
        if result.question == "enclosure.airflow" and result.value > 0
    }
