"""Load currents as results: of single loads with what they were found from, of steps as the sum of what lies behind."""

from __future__ import annotations

from cmath import polar
from collections.abc import Iterator, Mapping, Sequence
from math import pi

from msgspec.structs import replace

from netdsl.calc.basis import Answer, Formula, Given, Result, Settings, SheetQuestion, Words, formula
from netdsl.calc.circuit import Circuit, Step
from netdsl.calc.loads.currents import LoadCurrents
from netdsl.calc.loads.rated import RatedLoads
from netdsl.findings import Span

#: current, A, formula, values put in, note
_Made = tuple[float, Formula, tuple[Given, ...], str]
#: a neutral current below which the phases count as balanced, A
_NOTHING_A = 1e-3
#: what a conductor carries of the current of the one load behind it, if not all of it, and why
_SHARES = (
    (Formula("{I_M} / sqrt(3)"), "in delta each end of a winding carries the line current over the square root of 3"),
    (Formula("{I_M} / 3"), "in star the windings draw a third of the line current in delta"),
)
#: the question of what conductors are judged by
_RATED = "rated-load-current"
_WHOLE, _SHARE = Formula("{I_b}"), Formula("{s} * {I_M}")
_SUM = Words("|sum of {n} load currents as phasors|")
_NEUTRAL = Formula("sqrt({I_1}^2 + {I_3}^2)")


class LoadResults(SheetQuestion):
    """Load currents as results."""

    place = 100
    answers = (
        Answer("load-current", "Load current", "I_b"),
        Answer("neutral-current", "Neutral current", "I_N", of_conductors=True),
    )

    def apart_from_sections(self) -> bool:
        """As the currents."""
        return self._calculation.of(LoadCurrents).apart_from_sections()

    def results(self) -> Iterator[Result]:
        """`load-current` of every load and every step, `neutral-current` of steps of several phases that load their neutral."""
        loads, circuit = self._calculation.of(LoadCurrents), self._calculation.of(Circuit)
        for device in filter(loads.is_load, loads.wiring.devices()):
            found = _of_load(loads, circuit, self._calculation.settings, device)
            if found is not None:
                yield found
        for step in circuit.steps.values():
            value = loads.step(step)
            if value is not None and step.poles:
                yield _of_step(loads, circuit, step, value)
                if step.neutral and step.phases > 1 and (neutral := _of_neutral(loads, circuit, step)) is not None:
                    yield neutral


class RatedLoadResults(SheetQuestion):
    """Load currents by which conductors are judged, where they are not those expected."""

    place = 110
    answers = (Answer(_RATED, "Rated load current", "I_r"),)

    def apart_from_sections(self) -> bool:
        """As the currents."""
        return self._calculation.of(RatedLoads).apart_from_sections()

    def results(self) -> Iterator[Result]:
        """`rated-load-current` of every load and every step of which it differs from `load-current`."""
        loads, circuit = self._calculation.of(RatedLoads), self._calculation.of(Circuit)
        for device in filter(loads.is_load, loads.wiring.devices()):
            if loads.key_of(device).startswith(_RATED):
                found = _of_load(loads, circuit, self._calculation.settings, device, _RATED)
                if found is not None:
                    yield found
        for step in circuit.steps.values():
            value = loads.step(step) if step.poles else None
            if value is not None and loads.key_of_step(step).startswith(_RATED):
                yield _of_step(loads, circuit, step, value, _RATED, loads.stated(step))


def _of_load(
    loads: LoadCurrents, circuit: Circuit, settings: Settings, device: str, question: str = "load-current"
) -> Result | None:
    """The current of a load; None where it is unknown."""
    demand, made = loads.demands.of(device), circuit.plant.devices[device]
    if demand is None:
        return None
    how, givens = demand.formula, demand.givens
    if loads.phasors.margin != 1:
        how, givens = formula(f"{{k}} * ({how.text})"), (*givens, settings.given("load-margin", "k"))
    return Result.worked(
        question,
        device,
        circuit.feeder(device),
        how,
        "A",
        givens,
        demand.source,
        note=demand.note,
        span=made.span,
    )


def _of_step(
    loads: LoadCurrents,
    circuit: Circuit,
    step: Step,
    value: float,
    question: str = "load-current",
    stated: Given | None = None,
) -> Result:
    """The current of a step that carries `value`, A: of several loads a sum of phasors, which is said in words; as `stated`."""
    most = max(step.conductors, key=lambda name: round(loads.whole(name) or 0.0, 9))  # poles, and ways of a ring, may differ
    behind = loads.phasors.counted(loads.through(most) or {})
    subject = f"{step.feeder} -> {step.fed}"
    devices = tuple(dict.fromkeys(name.partition("/")[0] for name in behind))
    alone = loads.device(devices[0]) if len(devices) == 1 else None
    how: Formula | Words
    givens: tuple[Given, ...]
    if stated is not None:
        how, givens, note = formula("{I_r}"), (stated,), "in place of the sum of what lies behind"
    elif alone:
        value, how, givens, note = _of_one(loads, devices[0], alone, value, circuit)
    else:
        how, givens, note = _of_several(loads, devices, behind, circuit.span_of(step.fed))
        if not devices:
            note = "no load of the power circuit behind; coils, lamps and the like of control circuits are not counted"
        if givens and value < abs(_most(loads, behind)) * (1 - 1e-6):
            words = "the most that the drive before it gives, no less than the largest of its motors draws"
            how = Words(f"min({{I_d}}; {how.text})")
            givens = (Given("I_d", value, "A", words, circuit.span_of(step.feeder)), *givens)
    return Result(
        f"{question} {subject}",
        question,
        subject,
        circuit.feeder(step.fed),
        value,
        "A",
        how,
        givens,
        "IEC 60364-1, 311",
        note=note,
        conductors=step.conductors,
        span=circuit.span_of(step.fed),
    )


def _of_neutral(loads: LoadCurrents, circuit: Circuit, step: Step) -> Result | None:
    """`neutral-current` of a step of several phases; None where it carries nothing to speak of, or its loads are not known."""
    parts = loads.neutral_parts(step)
    if parts is None or max(parts) < _NOTHING_A:
        return None
    phases, third = (amps if amps >= _NOTHING_A else 0.0 for amps in parts)  # phases that balance leave a trace of rounding
    subject, span = f"{step.feeder} -> {step.fed}", circuit.span_of(step.fed)
    known = (
        ("I_1", "phasor sum of the phases", phases),
        ("I_3", "third harmonics of the phases, which add up in the neutral", third),
    )
    givens = tuple(Given(symbol, amps, "A", words, span) for symbol, words, amps in known)
    return Result.worked(
        "neutral-current",
        subject,
        circuit.feeder(step.fed),
        _NEUTRAL,
        "A",
        givens,
        "IEC 60364-5-52, 523.6 and annex E",
        conductors=step.neutral,
        span=span,
    )


def _of_one(loads: LoadCurrents, device: str, alone: float, value: float, circuit: Circuit) -> _Made:
    """Of one load: its current, or the share of it that flows here."""
    key = loads.key_of(device)
    given = Given("I_b", alone, "A", f"{'rated ' if key.startswith(_RATED) else ''}load current of {device}", result=key)
    if abs(value - alone) < 1e-6 * alone:
        return alone, _WHOLE, (given,), ""
    given = replace(given, symbol="I_M")
    for share, note in _SHARES:
        amps = share(I_M=alone)
        if abs(value - amps) < 1e-6 * alone:
            return amps, share, (given,), note
    part = Given("s", value / alone, "", f"share of the current of {device} that flows here", circuit.span_of(device))
    return _SHARE.of((part, given)), _SHARE, (part, given), ""


def _of_several(
    loads: LoadCurrents, devices: Sequence[str], behind: Mapping[str, float], span: Span | None
) -> tuple[Words, tuple[Given, ...], str]:
    """Of several loads, in words: their sum in the phase that carries most, each with its angle."""
    whole = _most(loads, behind)
    phase = (loads.phasors.total(behind) or (whole,)).index(whole)
    parts = dict.fromkeys(devices, 0j)
    for name, share in behind.items():
        vector = loads.phasors.vector(name)
        parts[name.partition("/")[0]] += vector[phase] * share if vector else 0j
    adding = [device for device in devices if abs(parts[device]) > 1e-9]
    note = f"in phase L{phase + 1}, angles against its voltage: sum at {_degrees(whole)}"
    each = (
        Given(
            f"I_{number}",
            abs(parts[device]),
            "A",
            f"load current of {device} at {_degrees(parts[device])}",
            result=loads.key_of(device),
        )
        for number, device in enumerate(adding, 1)
    )
    return _SUM, (Given("n", float(len(adding)), "", "loads behind", span), *each), note


def _most(loads: LoadCurrents, behind: Mapping[str, float]) -> complex:
    """The sum of loads in the phase that carries most, A."""
    return max(loads.phasors.total(behind) or (0j,), key=lambda current: round(abs(current), 9))


def _degrees(current: complex) -> str:
    return f"{polar(current)[1] * 180 / pi:.1f}°"
