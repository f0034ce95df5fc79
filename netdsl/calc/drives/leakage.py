"""Touch currents of drives and filters, and what leaks at each residual-current device."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Gap, Given, Limit, Result, Sense, SheetQuestion, amount, formula, one_table
from netdsl.calc.circuit import Circuit
from netdsl.calc.drives.motor_cables import MotorCables
from netdsl.kept import cached_property
from netdsl.model.kinds import CONVERTERS
from netdsl.model.plant import Device
from netdsl.network.search import walk

_LEAKING = ("drive", "filter")
_TOUCH = "IEC 61800-5-1, 4.3.5.5.2"
_SHARE = "IEC 60364-5-53, 531.3.2"


class Leakages(SheetQuestion):
    """Touch currents of drives and filters, and what leaks at each residual-current device: the standing currents that devices
    state, of drives and filters that state none their touch currents."""

    place = 1000
    answers = (
        Answer("touch-current", "Touch current", "I_t"),
        Answer("standing-leakage", "Standing leakage current", "I_l"),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._plant = calculation.plant

    def results(self) -> Iterator[Result]:
        """`touch-current` of every drive and `standing-leakage` of every residual-current device."""
        for device in self._plant.devices.values():
            if device.kind == "drive" and "touch-current" in device.ratings:
                yield self._touch(device)
            elif device.kind == "residual-device":
                yield from self._standing(device)

    # --- touch current --------------------------------------------------------------------------------------------
    def _touch(self, drive: Device) -> Result:
        """What flows to earth over the protective conductor of a drive and the line filter that feeds it alone."""
        devices = (drive, *self._own_filters(drive))
        givens = tuple(_touch_given(device, number) for number, device in enumerate(devices, 1))
        total = " + ".join("{" + given.symbol + "}" for given in givens)
        above = formula(total).of(givens) > self._calculation.settings.number("touch-current-limit")
        return Result.worked(
            "touch-current",
            drive.id,
            self._calculation.of(Circuit).feeder(drive.id),
            formula(total),
            "A",
            givens,
            _TOUCH,
            note="so much that the protective conductor is reinforced" if above else "",
            span=drive.span,
        )

    def _own_filters(self, drive: Device) -> Iterator[Device]:
        """Filters directly ahead of a drive that feed nothing else."""
        circuit, here = self._calculation.of(Circuit), drive.id
        while len(steps := circuit.into.get(here, ())) == 1 and len(circuit.out_of.get(steps[0].feeder, ())) == 1:
            here = steps[0].feeder
            device = self._plant.devices[here]
            if device.kind == "filter" and amount(device, "touch-current"):
                yield device

    # --- residual-current devices ---------------------------------------------------------------------------------
    def behind(self, device: str) -> tuple[str, ...]:
        """Drives and filters that a device feeds, and what else states a standing current, up to the next converter, in order of
        the power tree."""
        return self._behind.get(device, ())

    @cached_property
    def _behind(self) -> dict[str, tuple[str, ...]]:
        """Leaking devices behind each residual-current device."""
        found = {}
        out_of = self._calculation.of(Circuit).out_of

        def beyond(name: str) -> Iterator[str]:
            return (step.fed for step in out_of.get(name, ()) if self._plant.devices[name].kind not in CONVERTERS)

        for device in self._plant.devices.values():
            if device.kind != "residual-device":
                continue
            found[device.id] = tuple(name for name in walk((device.id,), beyond) if self._leaks(self._plant.devices[name]))
        return found

    def _leaks(self, made: Device) -> bool:
        return made.kind in _LEAKING or amount(made, "standing-current") is not None

    def _standing(self, device: Device) -> Iterator[Result]:
        leaking = [self._plant.devices[name] for name in self.behind(device.id)]
        unknown = tuple(made.id for made in leaking if made.kind == "drive" and _leak_a(made) is None)
        feeder = self._calculation.of(Circuit).feeder(device.id)
        if unknown:
            self._calculation.gaps.note(
                Gap(
                    feeder,
                    "touch current",
                    unknown,
                    ("standing leakage",),
                    self._plant.devices[unknown[0]].span,
                    "add `touch-current=` to the drive or its part",
                )
            )
        leaking = [made for made in leaking if _leak_a(made)]
        if unknown or not leaking:
            return
        givens = tuple(self._leak(made, number) for number, made in enumerate(leaking, 1))
        limit, total = self._limit(device), " + ".join("{" + given.symbol + "}" for given in givens)
        yield Result.worked(
            "standing-leakage",
            device.id,
            feeder,
            formula(total),
            "A",
            givens,
            _SHARE,
            Limit(limit.value, Sense.AT_MOST, "share of its rated residual current", limit) if limit else None,
            note="of what states it; other equipment leaks besides",
            span=device.span,
        )

    def _leak(self, made: Device, number: int) -> Given:
        """What one device leaks: as stated, of a drive with long motor cables that states its touch current alone at least the
        listed figure."""
        standing = amount(made, "standing-current")
        if standing is not None:
            return Given(f"I_{number}", standing, "A", f"standing current of {made.id}", made.span)
        rated = _touch_given(made, number)
        figure = one_table("emc", "long_cable_leakage")
        length = self._calculation.of(MotorCables).total_m(made.id) if made.kind == "drive" else None
        if length is None or length < figure["from_m"] or rated.value >= figure["amps"]:
            return rated
        words = f"leakage of {made.id} with {length:.4g} m of motor cable"
        return Given(f"I_{number}", figure["amps"], "A", words, None, figure["source"], figure["confidence"])

    def _limit(self, device: Device) -> Given | None:
        rated = amount(device, "residual-current")
        if rated is None:
            return None
        share = self._calculation.settings.given("standing-share")
        words = f"{share.value:g} of the rated residual current {rated * 1000:.4g} mA of {device.id}"
        return Given("I_max", share.value * rated, "A", words, share.span or device.span, share.source, share.confidence)


def _leak_a(made: Device) -> float | None:
    """The standing current that a device states, else its touch current, A."""
    standing = amount(made, "standing-current")
    return amount(made, "touch-current") if standing is None else standing


def _touch_given(device: Device, number: int) -> Given:
    return Given(f"I_{number}", amount(device, "touch-current") or 0.0, "A", f"touch current of {device.id}", device.span)
