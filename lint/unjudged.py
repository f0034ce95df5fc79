"""What the rules could not judge, and why, gathered from the text, the parts, the calculation and the switching states."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Spared
from lint.switching import Switched
from lint.wording import lacking
from netdsl.calc.protection import Disconnections, Withstands
from netdsl.findings import NotJudged
from netdsl.model.kinds import Category
from netdsl.model.plant import Device, Role


def unjudged(facts: Facts) -> Iterator[NotJudged]:
    """All of it but what a rule says itself; asked once the rules have been applied, so that what they ask for is known."""
    for name in sorted(facts.plant.doubtful):
        yield NotJudged("", name, "its text could not be read")
    for device in facts.plant.devices.values():
        if device.category == Category.DEVICE and _says_nothing(facts, device):
            yield NotJudged("", device.id, "its part states no ratings, and of no terminal what it is")
    for gap in facts.calculation.missing:
        yield NotJudged("", gap.feeder, f"{lacking(gap)}: {', '.join(gap.absent)} not computed")
    yield from facts.of(Switched).not_judged


def spared(facts: Facts) -> Iterator[Spared]:
    """What the calculation leaves out because an exemption of its rule holds."""
    of = facts.calculation.of
    for rule, left in (("fault-loop", of(Disconnections).not_judged()), ("fault-withstand", of(Withstands).not_judged())):
        yield from (Spared(rule, device, reason) for device, reason in left)


def _says_nothing(facts: Facts, device: Device) -> bool:
    """Whether a device is wired and its part tells nothing by which a rule could judge what lands there."""
    wired = [terminal for name, terminal in device.terminals.items() if f"{device.id}:{name}" in facts.landed]
    return bool(wired) and not device.ratings and all(terminal.role is Role.PLAIN for terminal in wired)
