"""Sources of control voltage and their poles: those inside devices and the supplies of the plant."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from netdsl.findings import Span
from netdsl.model.plant import Device, Plant


class Source(NamedTuple):
    """A source of control voltage: one inside a device, or (`inner` False) a supply of the plant.

    `group`: that of its potentials; `pole`, `common`: the nodes of its first live pole and of its return, `poles`: all live
    ones; `volts` nominal; `amps` rated, None where not stated; `kind`: "ac" or "dc".
    """

    group: str
    device: str
    pole: str
    common: str
    poles: tuple[str, ...]
    volts: float | None
    amps: float | None
    kind: str
    inner: bool
    span: Span


def sources(plant: Plant) -> Iterator[Source]:
    """Every source of an alternating or direct voltage, in the order of the text."""
    for device in plant.devices.values():
        for inner in device.sources:
            poles = [f"{device.id}:{name}" for name in inner.poles if name in device.terminals]
            if inner.voltage_kind in ("ac", "dc") and len(poles) == len(inner.poles) > 1:
                volts, amps = (value.value if value else None for value in (inner.voltage, inner.current))
                amps = _own_rating(device) or amps
                yield Source(
                    poles[-1],
                    device.id,
                    poles[0],
                    poles[-1],
                    tuple(poles[:-1]),
                    volts,
                    amps,
                    inner.voltage_kind,
                    True,
                    inner.span,
                )
        if device.category == "supply":
            yield from _supply(device)


def _own_rating(device: Device) -> float | None:
    """Rated output current that the device states in place of its part's, A; None where it states none."""
    stated = device.ratings.quantity("current")
    of_part = device.part.ratings.quantity("current") if device.part else None
    return stated.value if device.kind == "supply-24v" and stated is not None and stated != of_part else None


def _supply(device: Device) -> Iterator[Source]:
    back = next((name for name in ("N", "-") if name in device.terminals), None)
    live = [name for name in device.terminals if name not in (back, "PE", "PEN")]
    if live:
        kind = "dc" if "-" in device.terminals else "ac"
        poles = tuple(f"{device.id}:{name}" for name in live)
        yield Source(
            device.id,
            device.id,
            poles[0],
            f"{device.id}:{back or live[0]}",
            poles,
            device.ratings.amount("voltage"),
            None,
            kind,
            False,
            device.span,
        )
