"""Loads that never run together: those behind contactors that are interlocked with each other."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import combinations

from netdsl.calc.basis import Calculation, Question
from netdsl.calc.circuit import Circuit
from netdsl.kept import Asking, cached_property, meanwhile
from netdsl.sums import sum_of

#: loads that exclude one another, up to which all choices among them are tried; of more none is left out
_MOST = 12


class Exclusive(Question):
    """Which devices never carry current at the same time, by the `interlock` statements."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)

    def apart_from_sections(self) -> bool:
        """Contactors alone decide."""
        return True

    @cached_property
    def _pairs(self) -> frozenset[frozenset[str]]:
        """Contactors of which only one of two is closed at a time."""
        interlocks = self._calculation.plant.interlocks
        return frozenset(frozenset(pair) for each in interlocks for pair in combinations(dict.fromkeys(each.devices), 2))

    @cached_property
    def _interlocked(self) -> frozenset[str]:
        return frozenset().union(*self._pairs)

    @meanwhile(frozenset())
    def _needs(self, device: str) -> Asking[frozenset[str]]:
        """Interlocked contactors that lie on every way of power to a device, itself included."""
        ways: list[frozenset[str]] = []
        for step in self._circuit.into.get(device, ()):
            ways.append((yield self._needs, step.feeder))
        common = frozenset.intersection(*ways) if ways else frozenset[str]()
        return common | {device} if device in self._interlocked else common

    def never_together(self, one: str, other: str) -> bool:
        """Whether two devices are fed through contactors that are interlocked with each other."""
        if not self._pairs or one == other:
            return False
        ours, theirs = self._needs(one), self._needs(other)
        return any(frozenset((mine, its)) in self._pairs for mine in ours for its in theirs if mine != its)

    def alone(self, devices: Collection[str]) -> bool:
        """Whether of several devices no two ever run together."""
        return all(self.never_together(one, other) for one, other in combinations(devices, 2))

    def together(self, amps: Mapping[str, float]) -> frozenset[str]:
        """Of devices with their currents, A, those that run together and draw most; all where too many exclude one another to
        try every choice."""
        held = [name for name in amps if self._needs(name)] if self._pairs else []  # most loads of a plant are behind none
        clashing = [name for name in held if any(self.never_together(name, other) for other in held)]
        if not clashing or len(clashing) > _MOST:
            return frozenset(amps)
        best: tuple[float, tuple[str, ...]] = (-1.0, ())
        for number in range(len(clashing), 0, -1):
            for chosen in combinations(clashing, number):
                whole = sum_of(amps[name] for name in chosen)
                if whole > best[0] and not any(self.never_together(one, other) for one, other in combinations(chosen, 2)):
                    best = (whole, chosen)
        return frozenset(amps).difference(clashing) | frozenset(best[1])
