"""Contacts of a device as they are wired: changeovers as one, and what takes current between two of its terminals."""

from __future__ import annotations

from netdsl.model.plant import Device
from netdsl.network.search import walk

Pairs = list[tuple[str, str]]


def contacts(device: Device) -> list[Pairs]:
    """The contacts of a device, each as the pairs of terminals between which it conducts: several of a changeover."""
    arms = [(path.a, path.b) for path in device.paths if path.kind in ("make", "break")]
    beside: dict[str, list[str]] = {}
    for a, b in arms:
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    found: list[Pairs] = []
    done: set[str] = set()
    for a, _ in arms:
        if a not in done:
            group = set(walk((a,), lambda at: beside[at]))
            done |= group
            found.append([pair for pair in arms if pair[0] in group])
    return found


def poles(device: Device) -> Pairs:
    """The poles of a device, each as its two terminals."""
    return [(path.a, path.b) for path in device.paths if path.kind == "pole"]
