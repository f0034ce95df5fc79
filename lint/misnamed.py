"""Names in the text that are no device's, and which device they may mean."""

from __future__ import annotations

from lint.facts import Facts
from netdsl.model.plant import Device


def may_be_misnamed(facts: Facts, device: Device) -> bool:
    """Whether a name in the text that is no device's may mean this one: it has its letter."""
    letters = device.product.rstrip("0123456789")
    unknown = facts.plant.doubtful - facts.plant.devices.keys()
    return any(name[name.index("-") :].rstrip("0123456789") == letters for name in unknown if "-" in name)
