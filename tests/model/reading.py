"""What the tests of this room share: a text read as a plant, and things of a plant without the places they came from."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from netdsl.findings import Finding, Span
from netdsl.model import Plant, read_plant
from netdsl.model.part_type import PartType
from netdsl.quantities import Quantity
from tests.records import held


def read(folder: Path, text: str) -> tuple[Plant, tuple[Finding, ...]]:
    (folder / "plant.netdsl").write_text("netdsl 1\n" + text, encoding="utf-8")
    plant, findings = read_plant(folder)
    assert plant is not None
    return plant, findings


@cache
def findings_of(text: str) -> tuple[Finding, ...]:
    """What is found in a text with one mistake, which several tests look at."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "plant.netdsl"
        file.write_text(text, encoding="utf-8")
        return read_plant(file)[1]


def sound(folder: Path, text: str) -> Plant:
    """The plant of a text in which nothing is wrong."""
    plant, findings = read(folder, text)
    assert [(finding.rule, finding.message) for finding in findings] == []
    return plant


def plain(value: Any) -> Any:
    """A value without spans: quantities as written, records as what they say beside their defaults, sets sorted."""
    if value is None or isinstance(value, (bool, int, float)):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, dict):
        return {str(name): plain(each) for name, each in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(each) for each in value]
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, PartType):  # the same for many devices
        if id(value) not in _PARTS:
            _PARTS[id(value)] = value, _fields(value)
        return _PARTS[id(value)][1]
    return _fields(value)


#: parts by their identity, with what is said of them
_PARTS: dict[int, tuple[PartType, Any]] = {}


def _fields(value: Any) -> Any:
    """What a record says beside its defaults; anything else as text."""
    said = held(value)
    if said is not None:
        kept = {name: plain(each) for name, each in said.items() if not isinstance(each, Span) and each not in (None, "", (), {})}
        return {name: each for name, each in kept.items() if each not in ({}, []) and each is not False}
    return str(value)
