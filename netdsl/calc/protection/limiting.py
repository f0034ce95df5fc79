"""What protects ahead of a device, and whether it is of the kind and size with which a maker states a conditional rating."""

from __future__ import annotations

import re
from typing import NamedTuple

from netdsl.calc.basis import Given, Question
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.devices import Characteristic
from netdsl.calc.protection.trips import Trips
from netdsl.findings import Span
from netdsl.model.ratings import Ratings

_LISTED = re.compile(r"[,;/ ]+")


class Conditional(NamedTuple):
    """A fault current, A, that is borne or broken where what protects ahead is of one of `kinds` (any where empty) and is rated
    `most`, A, or less; `told`: whether that is stated, not merely the thing's own rated current; `span`: where it stands."""

    amps: float
    most: float | None
    told: bool
    kinds: tuple[str, ...]
    span: Span


def conditional(ratings: Ratings, own: float | None, span: Span) -> Conditional | None:
    """The conditional rating that ratings state, None without one. Where they state no `max-upstream`, the device ahead may be
    rated as the thing itself, `own`, A."""
    amps = ratings.amount("conditional-current")
    if not amps:
        return None
    most = ratings.amount("max-upstream")
    kinds = tuple(each for each in _LISTED.split(ratings.text("upstream-kind")) if each)
    return Conditional(amps, own if most is None else most, most is not None, kinds, span)


def named_kinds(device: Characteristic) -> tuple[str, ...]:
    """The names under which others refer to a kind of protective device: `fuse`, `fuse-gG`."""
    return kind_names("breaker" if device.kind == "residual-device" else device.kind, device.curve)


def kind_names(kind: str, curve: str) -> tuple[str, ...]:
    """The same of a kind of device and its curve or class, "" without one."""
    words = {"breaker": ("breaker", "mcb" if curve in ("B", "C", "D") else "mccb")}.get(kind, (kind,))
    return tuple(name for word in words for name in (word, f"{word}-{curve}" if curve else word))


class Limiting(Question):
    """What limits or breaks a fault current on the ways to a device."""

    def ahead(self, path: Path, itself: str) -> list[Characteristic]:
        """Devices on a path that break short circuits, what protects ahead of its supply first, without `itself`."""
        found = self._calculation.of(Trips).protecting(path)
        return [each for each in found if each.short_circuit and each.device != itself]

    def paths(self, device: str) -> tuple[Path, ...]:
        """Ways to a device that lie before any drive."""
        return tuple(path for path in self._calculation.of(Circuit).paths(device) if not path.drive)

    def fitting(self, device: str, stated: Conditional) -> tuple[Characteristic, ...] | None:
        """On each way to a device one that a conditional rating names and allows, the nearest of them; None where a way has
        none."""
        found = []
        for path in self.paths(device):
            each = next((each for each in reversed(self.ahead(path, device)) if allows(stated, each)), None)
            if each is None:
                return None
            found.append(each)
        return tuple(found) or None

    def too_large(self, device: str, stated: Conditional) -> Characteristic | None:
        """The device nearest ahead that a conditional rating names and that is rated higher than it states, on a way without any
        that it allows; None where there is none, or where the nearest is of another kind."""
        if not stated.told:
            return None
        for path in self.paths(device):
            ahead = self.ahead(path, device)
            if ahead and not any(allows(stated, each) for each in ahead) and _is_of(stated, ahead[-1]) and ahead[-1].rated_a:
                return ahead[-1]
        return None

    def given(self, device: Characteristic) -> Given:
        """Its rated current as a value."""
        made = self._calculation.plant.devices[device.device]
        words = f"rated current of {self._calculation.of(Trips).named(device)}"
        return Given("I_n", device.rated_a or 0.0, "A", words, made.span)


def _is_of(stated: Conditional, device: Characteristic) -> bool:
    return not stated.kinds or bool(set(stated.kinds) & set(named_kinds(device)))


def allows(stated: Conditional, device: Characteristic) -> bool:
    """Whether a conditional rating names the kind of a device and allows its rated current."""
    small = stated.most is not None and device.rated_a is not None and device.rated_a <= stated.most * (1 + 1e-9)
    return small and _is_of(stated, device)
