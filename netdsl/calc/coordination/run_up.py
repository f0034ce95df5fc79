"""Time in which a motor runs up on the mains: as stated, or from what turns and the torque that accelerates it."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, amount, formula, rating, word
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors import VoltageDrops
from netdsl.calc.loads import LoadCurrents
from netdsl.kept import kept
from netdsl.model.plant import Device

#: share of the torque at rated speed that what is driven asks on the way up, by how it grows
_SHARES = {"constant": "1", "linear": "1 / 2", "square": "1 / 3", "none": "0"}
_SOURCE = "mean of starting and breakdown torque, 0.45 of their sum; motor application guides"
#: least torques of design N, over the rated torque
_LEAST = 1.6


class RunUps(SheetQuestion):
    """Mean torque that accelerates a motor, and the time until it runs at rated speed."""

    place = 715
    answers = (
        Answer("starting.torque", "Torque that accelerates a starting motor", "M_a", graded=False),
        Answer("starting.time", "Time in which a motor runs up", "t_s"),
    )

    def results(self) -> Iterator[Result]:
        """`starting.time` of every motor on the mains that states its time or inertia, s, held to what it bears at rest where
        that is stated; `starting.torque`, N m, of one that does not run up."""
        for device in self.motors():
            found = self.of(device)
            if found is not None:
                yield found

    def motors(self) -> Iterator[str]:
        """Motors that start on the mains."""
        loads = self._calculation.of(LoadCurrents)
        for device in loads.wiring.stages:
            if device in self._calculation.plant.devices and loads.is_load(device) and loads.starts.of(device) is not None:
                yield device

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Motors on the mains whose time is not known, with the reason."""
        reason = "neither its `starting-time` nor its `inertia` with power and speed is stated"
        return tuple((device, reason) for device in self.motors() if self.of(device) is None)

    @kept
    def of(self, device: str) -> Result | None:
        """`starting.time`, or `starting.torque` where nothing is left to accelerate; None where neither can be told."""
        made = self._calculation.plant.devices[device]
        if amount(made, "starting-time") is not None:
            given = rating(made, "starting-time", "t", "s", f"starting time of {device}")
            return self._result("time", made, "{t}", (given,), "s", "as stated", self._borne(made))
        turning = self._turning(made)
        if turning is None:
            return None
        torque, givens = self._torque(made)
        if formula(torque).of(givens) <= 0:
            none = Limit(0.0, Sense.AT_LEAST, "any torque that accelerates")
            return self._result("torque", made, torque, givens, "N m", "it does not run up", none)
        text = f"2 * pi * {{n}} / 60 * {{J}} / ({torque})"
        return self._result("time", made, text, (*turning, *givens), "s", "", self._borne(made))

    def _turning(self, made: Device) -> tuple[Given, ...] | None:
        if not all(amount(made, name) for name in ("inertia", "power", "speed")):
            return None
        return (
            rating(made, "speed", "n", "1/min", f"rated speed of {made.id}"),
            rating(made, "inertia", "J", "kg m²", f"moment of inertia at the shaft of {made.id}"),
        )

    def _torque(self, made: Device) -> tuple[str, tuple[Given, ...]]:
        """The mean of what the motor gives, in star a third and at less voltage with its square, less what is driven."""
        rated = "60 * {P} / (2 * pi * {n})"
        givens = [
            rating(made, "power", "P", "W", f"power at the shaft of {made.id}"),
            rating(made, "speed", "n", "1/min", f"rated speed of {made.id}"),
            self._ratio(made, "starting-torque", "k_S", "torque at rest over rated torque"),
            self._ratio(made, "breakdown-torque", "k_M", "largest torque over rated torque"),
        ]
        text = f"0.45 * ({{k_S}} + {{k_M}}) * {rated}"
        if self._calculation.of(LoadCurrents).starts.star_delta(made.id):
            text += " / 3"
        drop = self._calculation.of(VoltageDrops).starting(made.id)
        if drop is not None:
            text += " * (1 - {dU} / 100)^2"
            givens.append(Given("dU", drop.value, "%", f"voltage drop while {made.id} starts", result=drop.key))
        curve = word(made, "load-curve")
        if not curve:
            words = "what motors drive asks its whole torque from rest, where they state no `load-curve`"
            self._calculation.settings.assume("load-curve", words, "the slowest way to run up", "common practice")
        share = _SHARES[curve or "constant"]
        stated = amount(made, "load-torque")
        if stated is not None:
            givens.append(rating(made, "load-torque", "M_L", "N m", f"torque of what {made.id} drives"))
        if share != "0":
            text += f" - {share} * {'{M_L}' if stated is not None else rated}"
        return text, tuple(givens)

    def _ratio(self, made: Device, name: str, symbol: str, words: str) -> Given:
        if amount(made, name) is not None:
            return rating(made, name, symbol, "", f"{words} of {made.id}")
        source, sure = "IEC 60034-12, design N, about the least of medium sizes", "memory"
        self._calculation.settings.assume(name, f"{words} of motors that state none: {_LEAST:g}", source, sure)
        return Given(symbol, _LEAST, "", words, None, source, sure)

    def _borne(self, made: Device) -> Limit | None:
        if amount(made, "locked-rotor-time") is None:
            return None
        given = rating(made, "locked-rotor-time", "t_E", "s", f"time for which {made.id} bears its starting current")
        return Limit(given.value, Sense.AT_MOST, "time for which it bears its starting current", given)

    def _result(
        self, kind: str, made: Device, text: str, givens: tuple[Given, ...], unit: str, note: str, limit: Limit | None
    ) -> Result:
        unique = tuple({given.symbol: given for given in givens}.values())
        feeder = self._calculation.of(Circuit).feeder(made.id)
        source = "nameplate" if text == "{t}" else _SOURCE
        question = f"starting.{kind}"
        return Result.worked(question, made.id, feeder, formula(text), unit, unique, source, limit, note=note, span=made.span)
