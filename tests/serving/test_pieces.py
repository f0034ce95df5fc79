"""A text kept in pieces is the text, and reads as one that was never edited; `NETDSL_TYPED=1000` edits as many times."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest

from netdsl.findings import Finding, Span
from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.serving.pieces import Document
from netdsl.serving.plants import OpenPlant

ROOT = Path(__file__).parents[2]
EDITS = int(os.environ.get("NETDSL_TYPED", "30"))
TYPED = ("\n", "\r\n", " ", "}", "{", '"', "#", "-T1", ":1", " to ", "wire -Q1:2 to -X1:1\n", "é", "𝄞", "\ufeff", "0.75mm2", "")


def random_edit(document: Document, text: str, chance: random.Random) -> str:
    """Edit the document and the text alike; the text."""
    start = chance.randrange(len(text) + 1)
    end = min(len(text), start + chance.choice((0, 0, 1, 3, 40)))
    if text[start - 1 : start + 1] == "\r\n" or text[end - 1 : end + 1] == "\r\n":
        return text  # no place between the two, for a client
    new = chance.choice(TYPED)
    if chance.random() < 0.3:
        other = chance.randrange(len(text) + 1)
        new = text[other : other + 60]
    document.edit(at(document, text, start), at(document, text, end), new)
    return text[:start] + new + text[end:]


def at(document: Document, text: str, offset: int) -> tuple[int, int]:
    before = text[:offset].replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return document.locate(len(before) - 1, len(before[-1]))


@pytest.mark.parametrize("seed", range(3))
def test_a_text_that_is_edited_piece_by_piece_is_the_text(seed: int) -> None:
    chance = random.Random(seed)
    text = (ROOT / "examples/star-delta/plant.netdsl").read_text("utf-8")
    document = Document("plant.netdsl", text)
    for number in range(EDITS):
        text = random_edit(document, text, chance)
        assert document.text == text
        assert document.line_count == len(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))
        if number % 10 == 9:  # whoever writes closes blocks again
            text = (ROOT / "examples/star-delta/plant.netdsl").read_text("utf-8")
            document.replace(text)
            assert all(piece.whole for piece in document.pieces) and len(document.pieces) > 10


def told(findings: tuple[Finding, ...], document: Document | None) -> list[tuple[object, ...]]:
    """Findings with their places in the whole text."""

    def place(span: Span) -> tuple[int, int]:
        if document is None or not document.holds(span.source):
            line, column = span.begin
            return line - 1, column - 1
        return document.place(span.source, span.start)

    return sorted((each.rule, each.message, each.subjects, place(each.span)) for each in findings)


@pytest.mark.parametrize("seed", range(2))
def test_what_is_kept_after_many_edits_is_what_is_read_afresh(seed: int) -> None:
    chance = random.Random(seed + 100)
    file = ROOT / "examples/star-delta/plant.netdsl"
    text = file.read_text("utf-8")
    plant = OpenPlant(file)
    document = plant.open("plant.netdsl", text)
    compared = 0
    for _ in range(EDITS):
        text = random_edit(document, text, chance)
        plant.version += 1
        whole = plant.refresh()
        if not all(piece.whole for piece in document.pieces):
            text = file.read_text("utf-8")  # what blocks hang together is said of the whole text alone
            document.replace(text)
            continue
        fresh, reading = read_plant(file, {"plant.netdsl": text})
        assert fresh is not None and whole.plant is not None and whole.network is not None
        if any(name.startswith("=?") for name in fresh.functions):
            continue  # a function whose name cannot be read is called by its line, here by that of its piece
        network, joining = build_network(fresh)
        assert list(whole.plant.devices) == list(fresh.devices)
        assert list(whole.plant.conductors) == list(fresh.conductors)
        assert whole.network.net_of == network.net_of
        assert told(whole.findings, document) == told((*reading, *joining), None)
        compared += 1
    assert compared > EDITS // 4
