"""What is lost of the voltage up to a load in service: phase by phase, there and back, from the origin of its circuit."""

from __future__ import annotations

from cmath import exp
from collections.abc import Sequence
from math import pi, sqrt

from msgspec import Struct

from netdsl.calc.basis import Calculation, Gap, Question, amount, word
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors.reach import Piece, Reach, Reaches
from netdsl.calc.conductors.temperatures import ConductorTemperatures
from netdsl.calc.faults import Faults
from netdsl.calc.loads import LoadCurrents
from netdsl.kept import cached_property, kept
from netdsl.sums import sum_of

_TURN = exp(-2j * pi / 3)


class Loss(Struct, frozen=True):
    """What is lost up to a load: V in phase with its voltage, the whole phasor, V, the terms (current, impedance), and the
    conductors of each term."""

    volts: float
    phasor: complex
    terms: tuple[tuple[complex, complex], ...]
    ways: tuple[tuple[str, ...], ...]
    reach: Reach
    returning: tuple[Piece, ...]


class VoltageLosses(Question):
    """Losses of voltage by load, each worked out once; `loads`: their currents, where they are turned against those of all."""

    def __init__(self, calculation: Calculation, loads: LoadCurrents | None = None) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._loads = loads or calculation.of(LoadCurrents)

    @cached_property
    def reaches(self) -> Reaches:
        """Ways of the current."""
        warm = self._calculation.of(ConductorTemperatures)
        source, celsius = self.of_source if self.from_source else None, self.celsius if warm.chosen else None
        return Reaches(self._circuit, self._loads, source, celsius)

    def celsius(self, conductor: str) -> float | None:
        """Temperature of a conductor at its load, °C; None: that of its insulation in service."""
        found = self._calculation.of(ConductorTemperatures).of(conductor)
        return found.value if found is not None else None

    @cached_property
    def from_source(self) -> bool:
        """Whether the project counts the drop in a supply's own impedance too."""
        return self._calculation.settings.word("drop-from") == "source"

    def of_source(self, origin: str) -> complex | None:
        """Impedance of one pole of a supply, ohm, of direct current that of both poles together; 0 of what is none; None where it
        is not known (the gap is noted)."""
        made = self._circuit.plant.devices[origin]
        if made.category != "supply":
            return 0j
        if word(made, "system") == "DC":
            stated = amount(made, "resistance")
            found = None if stated is None else complex(stated)
        else:
            source = self._calculation.of(Faults).source(origin)
            found = None if source is None else source.smallest
        if found is None:
            kind = "inner resistance" if word(made, "system") == "DC" else "fault level"
            remedy = "state its `resistance=`, of direct current of both poles together, or let drops begin at its terminals"
            gap = Gap(self._circuit.feeder(origin), kind, (origin,), ("voltage drop from the source",), made.span, remedy)
            self._calculation.gaps.note(gap)
        return found

    @kept
    def to(self, device: str) -> Loss | None:
        """What is lost up to a load; None where it cannot be computed."""
        loads = self._loads
        if not self._known(device):
            return None
        phases = list(dict.fromkeys(live.phase for live in loads.wiring.lives(device)))
        count = loads.demands.phases(device)
        if count == 3:
            return self._three(device, self._worth_asking(device))
        reaches = [reach for phase in phases if (reach := self.reaches.to(device, phase, device)) is not None]
        if len(reaches) != len(phases):
            return None
        return self._two(phases, reaches) if count == 2 else self._one(device, phases[0], reaches[0])

    @kept
    def by(self, device: str, giver: str) -> Loss | None:
        """The same by the way from `giver` alone, of a load with three phases."""
        return self._three(device, self._worth_asking(device), giver) if self._known(device) else None

    def _known(self, device: str) -> bool:
        stage = self._loads.wiring.stages.get(device)
        fed = stage is not None and bool(stage.fed_by)
        return fed and self._loads.demands.nominal(device) is not None and self._shown_in_full(device)

    def _worth_asking(self, device: str) -> tuple[int, ...]:
        """Phases to look at: one where all that its source feeds loads them alike."""
        origins = self._loads.wiring.origins(device)
        return (0,) if all(self._even(origin) for origin in origins) else (0, 1, 2)

    @kept
    def _even(self, origin: str) -> bool:
        """Whether all that a source feeds loads its phases alike."""
        loads = self._loads
        total = loads.phasors.total(loads.flows.behind(origin))
        return total is not None and max(abs(total[0] - total[n]) for n in (1, 2)) < 1e-9

    def _shown_in_full(self, device: str) -> bool:
        """Whether all that the sources of a device feed is known to the power circuit."""
        loads = self._loads
        return all(loads.phasors.shows_all(origin) for origin in loads.wiring.origins(device))

    def _three(self, device: str, phases: tuple[int, ...], giver: str = "") -> Loss | None:
        """Three phases: the worst of them, no neutral; by the way from `giver` where one is named."""
        reaches = [self.reaches.to(device, phase, device, giver) for phase in phases]
        known = [reach for reach in reaches if reach is not None]
        if len(known) != len(reaches):
            return None
        worst = max(known, key=lambda reach: round(reach.lost.real, 9))
        terms, ways = _terms(worst.pieces)
        return Loss(sqrt(3) * worst.lost.real, sqrt(3) * worst.lost, terms, ways, worst, ())

    def _two(self, phases: Sequence[int], reaches: Sequence[Reach]) -> Loss:
        """Between two phases: the difference of what each loses, against the voltage between them."""
        one, other = (_TURN**phase for phase in phases)
        axis = (one - other) / abs(one - other)
        phasor = (reaches[0].lost * one - reaches[1].lost * other) / axis
        worst = max(reaches, key=lambda reach: abs(reach.lost))
        names = tuple(name for reach in reaches for piece in reach.pieces for name in piece.conductors)
        return Loss(phasor.real, phasor, (), (tuple(dict.fromkeys(names)),), worst, ())

    def _one(self, device: str, phase: int, reach: Reach) -> Loss | None:
        """One phase and the neutral behind it."""
        loads = self._loads
        way = loads.returns.way(device)
        if way is None:
            return None
        returning = []
        for conductors in way:
            current, impedance = loads.returning(conductors[0]), self.reaches.bundle(conductors, device)
            if current is None or impedance is None:
                return None
            returning.append(Piece(current / _TURN**phase, impedance, conductors, self.reaches.length(conductors)))
        phasor = reach.lost + sum_of(piece.current * piece.impedance for piece in returning)
        terms, ways = _terms((*reach.pieces, *reversed(returning)))
        return Loss(phasor.real, phasor, terms, ways, reach, tuple(returning))


def _terms(pieces: Sequence[Piece]) -> tuple[tuple[tuple[complex, complex], ...], tuple[tuple[str, ...], ...]]:
    """Pieces with the same current together, in the order of the way, and the conductors of each."""
    found: dict[complex, complex] = {}
    names: dict[complex, tuple[str, ...]] = {}
    for piece in pieces:
        key = complex(round(piece.current.real, 9), round(piece.current.imag, 9))
        found[key] = found.get(key, 0j) + piece.impedance
        names[key] = (*names.get(key, ()), *piece.conductors)
    return tuple(found.items()), tuple(names.values())
