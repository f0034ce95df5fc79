"""How protective devices act: rated and conventional currents, time against current, what they let through and break."""

from __future__ import annotations

from math import exp, log

from msgspec.structs import replace

from netdsl.calc.basis import Gap, Given, Question, amount
from netdsl.calc.circuit import Circuit
from netdsl.calc.devices import releases
from netdsl.calc.devices.tripping import Characteristic as Characteristic
from netdsl.calc.devices.tripping import Point
from netdsl.kept import alike, kept
from netdsl.model.kinds import PROTECTIVE
from netdsl.model.plant import Device
from netdsl.model.word_forms import UPSTREAM

_AT_ONCE = "instantaneous tripping current"
#: results that are absent without it
_TRIPPING = ("disconnection", "tripping by the source", "selectivity")
_OF_THE_TRADE = frozenset({"K", "Z"})
_ABSENT = ("overload protection", "disconnection", "let-through")


class Characteristics(Question):
    """Characteristics by device."""

    def apart_from_sections(self) -> bool:
        """Devices alone decide."""
        return True

    @kept
    def of(self, device: str) -> Characteristic | None:
        """The characteristic of a protective device; None for any other, or where its rating is not stated."""
        made = self._calculation.plant.devices.get(device)
        if made is None or made.kind not in PROTECTIVE:
            return self.upstream(device) if made is not None and made.category == "supply" else None
        release = releases.of_device(made, self._calculation.settings)
        clearing = amount(made, "clearing-time")
        if release is None:
            self._note_unrated(made)
        else:
            self._note_untold(made, release)
        if release is not None and clearing is not None:
            stated = Given("t", clearing, "s", f"stated time in which {device} breaks a fault", made.span)
            release = replace(release, clearing=stated)
        return release

    def _note_unrated(self, device: Device) -> None:
        """Note a device in the power circuit that does not state its rated current; an overload relay may be set by a setting."""
        circuit = self._calculation.of(Circuit)
        if device.kind != "overload" and (circuit.into.get(device.id) or circuit.out_of.get(device.id)):
            gap = Gap(circuit.feeder(device.id), "rated current", (device.id,), _ABSENT, device.span, "give its `current=`")
            self._calculation.gaps.note(gap)

    def _note_untold(self, device: Device, release: Characteristic) -> None:
        """Note a breaker of a curve that its maker alone knows (K, Z) and that does not say at which current it trips at once."""
        if release.kind == "breaker" and release.curve in _OF_THE_TRADE and release.instantaneous_a is None:
            remedy = "give its `instantaneous=` by the maker's data"
            gap = Gap(self._calculation.of(Circuit).feeder(device.id), _AT_ONCE, (device.id,), _TRIPPING, device.span, remedy)
            self._calculation.gaps.note(gap)

    @kept
    def upstream(self, supply: str) -> Characteristic | None:
        """What the `upstream` of a supply says (`fuse-gG-125A`, `mcb-C-32A`, `mccb-160A`); None without one."""
        made = self._calculation.plant.devices.get(supply)
        said = UPSTREAM.fullmatch(str(made.ratings.get("upstream") or "")) if made is not None else None
        if made is None or said is None:
            return None
        kind, curve = said["kind"], said["curve"] or ("gG" if said["kind"] == "fuse" else "")
        return releases.of_words(made, kind, curve, float(said["amps"]), self._calculation.settings)

    @property
    def opening_time(self) -> Given:
        """The time for which a breaker without a stated let-through lets a short circuit flow, s."""
        return self._calculation.settings.given("opening-time", "t")

    def unset(self, device: Characteristic) -> bool:
        """Whether a release can be set and is not: where it is taken to trip latest it may trip much earlier."""
        made = self._calculation.plant.devices[device.device]
        kind = made.part.settings.get("instantaneous") if made.part is not None else None
        return kind is not None and kind.range is not None and amount(made, "instantaneous") is None

    def borne_while_waiting(self, device: Characteristic) -> Given | None:
        """The short-time current, A, that a breaker whose release waits states to bear; None where it states none."""
        made = self._calculation.plant.devices[device.device]
        amps = amount(made, "short-time-withstand")
        return Given("I_cw", amps, "A", f"current that {made.id} bears while it waits", made.span) if amps else None

    def current_for(self, device: Characteristic, seconds: float) -> Given | None:
        """The current, A, at which a device is certain to have operated within `seconds`; None where nothing says so."""
        return _current(device.points, seconds)

    def residual_for(self, device: Characteristic, seconds: float) -> Given | None:
        """The current to earth, A, at which a residual-current device is certain to have operated within `seconds`."""
        return _current(device.residual_points, seconds)

    def time_given(self, device: Characteristic, amps: float) -> Given | None:
        """The same with where it comes from."""
        if device.clearing is not None:
            return device.clearing
        return self._time(device, amps)

    @alike(lambda _, device, amps: (id(device), amps))
    def _time(self, device: Characteristic, amps: float) -> Given | None:
        reached = [n for n, point in enumerate(device.points) if point.amps <= amps * (1 + 1e-9)]
        if not reached:
            return None
        here = device.points[reached[-1]]
        beyond = device.points[reached[-1] + 1] if reached[-1] + 1 < len(device.points) else None
        seconds = here.seconds
        if beyond is not None and beyond.joined:
            seconds = _along(here, beyond, amps)
        elif beyond is None and device.kind == "fuse":
            energy = _melting(device, amps)
            words = f"operating time of {device.device}, {energy:.0f} A²s over the square of the current"
            return Given("t", energy / amps**2, "s", words, here.span, here.source, here.confidence)
        return Given("t", seconds, "s", f"longest operating time of {device.device}", here.span, here.source, here.confidence)

    def let_through(self, device: Characteristic, amps: float) -> Given | None:
        """Energy per ohm, A2s, that a device lets through at a prospective current; None where nothing says so."""
        if not device.short_circuit:
            return None
        limit = device.energy
        words = f"energy that {device.device} lets through"
        if device.clearing is not None:
            return Given("E", amps**2 * device.clearing.value, "A²s", words, device.clearing.span)
        if device.kind == "fuse":
            return self._let_through_of_fuse(device, amps, words)
        taken = self.time_given(device, amps)
        if taken is None:
            return limit if limit is not None and limit.span is not None else None
        if device.instantaneous_a is None or amps < device.instantaneous_a[1]:
            return Given("E", amps**2 * taken.value, "A²s", words, taken.span, taken.source, taken.confidence)
        opening = self.opening_time
        energy = amps**2 * (opening.value + (device.delay.value if device.delay is not None else 0.0))
        if limit is not None and (most := _limit_at(device, limit, amps)) <= energy:
            return replace(limit, value=most)
        words += f" in {opening.shown}" + (f" after {device.delay.shown}" if device.delay is not None else "")
        return Given("E", energy, "A²s", words, opening.span, opening.source, opening.confidence)

    def _let_through_of_fuse(self, device: Characteristic, amps: float, words: str) -> Given | None:
        taken = self.time_given(device, amps)
        if taken is None:
            return None if device.points else device.energy
        stated = device.energy if amps >= device.points[-1].amps and device.energy is not None else taken
        return Given("E", amps**2 * taken.value, "A²s", words, stated.span, stated.source, stated.confidence)


def _limit_at(device: Characteristic, limit: Given, amps: float) -> float:
    """The energy, A2s, that a breaker is limited to at a prospective current: in a straight line between the currents known."""
    rows = device.energies
    if not rows or amps >= rows[-1][0]:
        return limit.value
    if amps <= rows[0][0]:
        return rows[0][1]
    index = next(n for n, (current, _) in enumerate(rows) if current >= amps)
    (low, least), (high, most) = rows[index - 1], rows[index]
    return least + (most - least) * (amps - low) / (high - low)


def _melting(device: Characteristic, amps: float) -> float:
    """Energy of a fuse beyond its last point, A2s: on along the line of its last points down to its operating I2t; where that is
    not known, that of the last point, for it falls as the current rises."""
    last = device.points[-1]
    if device.energy is None or not last.joined:
        return last.amps**2 * last.seconds
    return max(device.energy.value, amps**2 * _along(device.points[-2], last, amps))


def _current(points: tuple[Point, ...], seconds: float) -> Given | None:
    """The least current at which a time is kept: a point, or between two joined ones."""
    before: Point | None = None
    for point in points:
        if point.seconds <= seconds * (1 + 1e-9):
            amps = point.amps
            if before is not None and point.joined and abs(point.seconds - seconds) > 1e-9 * seconds:
                amps = _amps_between(before, point, seconds)
            return Given("I_a", amps, "A", f"{point.words} within {seconds:g} s", point.span, point.source, point.confidence)
        before = point
    return None


def _along(a: Point, b: Point, amps: float) -> float:
    """The time at a current on the straight line through two points on logarithmic axes, s."""
    slope = log(b.seconds / a.seconds) / log(b.amps / a.amps)
    return float(a.seconds * exp(slope * log(amps / a.amps)))


def _amps_between(a: Point, b: Point, seconds: float) -> float:
    """The current at a time on that line, A."""
    slope = log(b.amps / a.amps) / log(b.seconds / a.seconds)
    return float(a.amps * exp(slope * log(seconds / a.seconds)))
