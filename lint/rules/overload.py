"""Load current, protective device and conductor, held against each other."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import wires_and_cores
from lint.wording import amps, listed
from netdsl.calc.basis import Result
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors import Overloads
from netdsl.calc.control import ControlBranches, ControlOverloads, ControlReturns
from netdsl.calc.devices import Characteristics
from netdsl.calc.loads import RatedLoads
from netdsl.calc.protection import Disconnections
from netdsl.findings import Related, Severity, Span
from netdsl.model.kinds import SET_TO_MOTOR, Category
from netdsl.network.queries import downstream, upstream
from netdsl.sums import sum_of


@rule(
    "overload",
    Severity.ERROR,
    source="IEC 60364-4-43, 433.1; IEC 60204-1, 7.2.4",
    silences=("rating-exceeded", "clamp-range", "fault-loop", "earth-undersized"),
    judges=wires_and_cores,
)
def overload(facts: Facts, this: Rule) -> Iterator[Report]:
    """Load current, the device that protects against overload and the conductor as it is laid do not rank in this order.

    Reports:
      A load current above the rated current of the device that protects the conductors; a rated or set current above what they
      carry as they are laid; a tripping current above 1.45 times that. Of a control circuit: a protective device rated above what
      the thinnest wire behind it carries, or below all that it feeds together; a return wire that carries less than what the
      branches that come back by it, or their supply, let flow. One finding for all conductors that the same device overloads
      alike. A drive counts with its rated input current where its motors need less, whatever motor it is set to.
    Silent:
      Conductors whose overload protection is at the load: an overload relay or motor breaker behind them, a drive, the breakers
      of all branches together. Behind a drive its own limit counts, behind a 24 V supply that supply's. Conductors of which the
      capacity or the device is not known. A load whose `measured-current=` or `limited-current=` is less. Settings of motor
      protection are left to `overload-setting`.
    Why:
      A conductor that carries more than it sheds ages in weeks what should last decades, and in a bundle nobody feels it.
    Failing:
      device -F1 mcb-1p "Heating" at=+MCP current=20A
      device -E1 heater at=+MCP
      wire -WB1:L1 to -F1:1 4mm2   length=1m BK
      wire -F1:2   to -E1:L 1.5mm2 length=1m BK
      wire -WB1:N  to -E1:N 1.5mm2 length=1m BU
      wire -E1:PE  to -XE1:3 2.5mm2 length=1m GNYE
    Passing:
      - device -F1 mcb-1p "Heating" at=+MCP current=20A
      + device -F1 mcb-1p "Heating" at=+MCP current=10A
    Remedy:
      Take a device of smaller rating, or a larger section; or lay the conductors so that they shed more heat: fewer circuits in
      one duct, another way.
    """
    failing: dict[str, list[Result]] = {}
    told: set[str] = set()
    questions = (Overloads, ControlOverloads, ControlBranches, ControlReturns)
    for result in (each for question in questions for each in facts.calculation.results_of(question)):
        if not result.holds:
            failing.setdefault(result.subject, []).append(result)
    alike: dict[tuple[str, str, float], list[Result]] = {}
    for results in failing.values():
        result = results[0]
        device = _device(facts, result)
        if result.question == "overload.rated":
            # what is set to a motor is held against the motor's current by `overload-setting`
            if device in told or facts.plant.devices[device].kind in SET_TO_MOTOR:
                results = [other for other in results if other.question != "overload.rated"]
            told.add(device)
        if results:
            first = results[0]
            alike.setdefault((first.question, device, first.value), []).append(first)
    chains: dict[object, list[list[Result]]] = {}
    too_large = _too_large(alike)
    of_control = {device for question, device, _ in alike if question == "overload.control"}
    for (question, device, _), results in alike.items():
        if question == "overload.capacity" and _follows(facts, device, results[0], too_large):
            continue
        if question == "overload.return" and results[0].givens[0].span in {facts.plant.devices[name].span for name in of_control}:
            continue  # the device that lets so much flow is too large for the way there already
        one = question != "overload.rated" and device in of_control
        chains.setdefault(device if one else (question, _span(facts, results[0])), []).append(results)
    for groups in chains.values():
        worst = max(groups, key=lambda each: (each[0].question == "overload.control", each[0].value / (each[0].limit or 1.0)))
        yield _report(facts, this, worst, [result for group in groups for result in group])


def _too_large(alike: dict[tuple[str, str, float], list[Result]]) -> dict[str, tuple[float, float]]:
    """Devices that let more flow than conductors of theirs carry, with both currents, A."""
    found: dict[str, tuple[float, float]] = {}
    for (question, device, value), results in alike.items():
        if question == "overload.capacity":
            found[device] = (value, min(result.limit or 0.0 for result in results))
    return found


def _follows(facts: Facts, device: str, result: Result, too_large: dict[str, tuple[float, float]]) -> bool:
    """Whether conductors that several branches load together would do, were single devices behind them no larger than their own
    conductors carry: those are the cause."""
    calculation = facts.calculation
    step = calculation.of(Circuit).step_of[result.conductors[0]]
    own = facts.plant.devices[device]
    behind = (
        calculation.of(Overloads).limits.behind(step.fed)
        if own.category in (Category.SUPPLY, Category.BUSBAR, Category.STRIP)
        else None
    )
    if behind is None:
        return False
    excess = [
        value - limit
        for name, (value, limit) in too_large.items()
        if name != device
        and name in downstream(facts.network, step.fed)
        and facts.plant.devices[name].category == Category.DEVICE
    ]
    return bool(excess) and behind.amps - sum_of(excess) <= (result.limit or 0.0)


def _report(facts: Facts, this: Rule, results: list[Result], together: list[Result]) -> Report:
    """One finding for all conductors for which one device is too large; `together`: with the rest of their chain, which one
    statement writes."""
    device = _device(facts, results[0])
    message, remedy = _words(facts, device, results)
    subjects = list(dict.fromkeys(each.subject for each in results))
    conductors = [name for each in together for name in each.conductors]
    cables = [cable for name in conductors if (cable := facts.plant.conductors[name].cable)]
    behind = [step.fed for step in facts.calculation.of(Circuit).out_of.get(device, ())]  # their ratings may be what is added
    spans = {other.subject: _span(facts, other) for other in results}
    return this.report(
        message,
        remedy,
        spans[subjects[0]],
        (*subjects, device),
        about=(*conductors, *cables, *behind),
        explains=(*_in_series(facts, device, results[0]), *_too_slow(facts, device, results), *_grows_with(facts, cables)),
        related=[Related(f"`{name}` carries too little too", span) for name, span in spans.items() if span != spans[subjects[0]]],
    )


def _grows_with(facts: Facts, cables: list[str]) -> Iterator[str]:
    """Protective cores that become thicker with the live ones, for the cable is of one section."""
    for name in dict.fromkeys(cables):
        cable = facts.plant.cables[name]
        if len({core.section_mm2 for core in cable.cores}) == 1:
            yield from cable.conductors


def _words(facts: Facts, device: str, results: list[Result]) -> tuple[str, str]:
    """Message and remedy for results of one question about one device."""
    result, limit = results[0], results[0].limit or 0.0
    names = list(dict.fromkeys(each.subject for each in results))
    smaller = "take a device of smaller rating, a larger section, or a way with fewer circuits"
    if result.question == "overload.rated":
        message = f"{listed(names)} {_verb(names, 'carry')} {amps(result.value)}, `{device}` before it or behind is for "
        return (
            f"{message}{amps(limit)}: at least {amps(result.value)} needed",
            "take a device of that rating and conductors that carry it, or less load",
        )
    if result.question == "overload.tripping":
        least = min(each.limit or 0.0 for each in results)
        message = f"`{device}` trips for certain at {amps(result.value)}, {listed(names)} as laid {_verb(names, 'bear')} "
        return f"{message}1.45 times {amps(least / 1.45)}, {amps(least)}: at most that is allowed", smaller
    if result.question == "overload.control":
        return (
            f"`{device}` is for {amps(result.value)}, `{result.conductors[0]}` behind it carries {amps(limit)}",
            "take a device of smaller rating, or a larger section for this conductor",
        )
    if result.question == "overload.return":
        return (
            f"up to {amps(result.value)} of `{device}` can come back by `{result.conductors[0]}`, which carries {amps(limit)}",
            "take a larger section for this conductor, or lead the branches back apart",
        )
    if result.question == "overload.branch":
        return (
            f"`{device}` is for {amps(limit)}, what it feeds takes {amps(result.value)} together",
            "take a device of that rating and conductors that carry it, or divide the branch",
        )
    return f"{_lets(facts, device, result)}, {_carry(results)} as laid", smaller


def _carry(results: list[Result]) -> str:
    """What conductors carry: those of one capacity together."""
    by_limit: dict[float, list[str]] = {}
    for result in results:
        by_limit.setdefault(result.limit or 0.0, []).append(result.subject)
    parts = [f"{listed(names)} {_verb(names, 'carry')} {amps(limit)}" for limit, names in by_limit.items()]
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _too_slow(facts: Facts, device: str, results: list[Result]) -> Iterator[str]:
    """Parts at which a fault is disconnected too late by a device that would do it in time were it no larger than its conductors
    carry."""
    release = facts.calculation.of(Characteristics).of(device)
    if results[0].question != "overload.capacity" or release is None or not release.instantaneous_a or not release.rated_a:
        return
    disconnections = facts.calculation.of(Disconnections)
    current = release.instantaneous_a[1] / release.rated_a * min(result.limit or 0.0 for result in results)
    for result in facts.calculation.results_of(Disconnections):
        trip = disconnections.trip_at(result.subject)
        if result.holds or trip is None or device not in upstream(facts.network, result.subject):
            continue
        if result.value <= (result.limit or 0.0) * trip.current.value / current:
            yield result.subject


def _in_series(facts: Facts, device: str, result: Result) -> Iterator[str]:
    """Devices that carry the same current as one whose rating it exceeds."""
    if result.question == "overload.rated":
        around = (*upstream(facts.network, device), *downstream(facts.network, device))
        loads = facts.calculation.of(RatedLoads)
        yield from (name for name in around if abs((loads.device(name) or 0.0) - result.value) < 0.001 * result.value)


def _span(facts: Facts, result: Result) -> Span:
    return result.span or facts.plant.conductors[result.conductors[0]].span


def _verb(subjects: list[str], verb: str) -> str:
    """A verb for one subject or several: `carries`, `carry`."""
    if len(subjects) > 1:
        return verb
    return f"{verb[:-1]}ies" if verb.endswith("y") else f"{verb}s"


def _lets(facts: Facts, device: str, result: Result) -> str:
    """Who lets the current flow: the device alone, several together, what stands ahead of a supply."""
    current = amps(result.value)
    step = facts.calculation.of(Circuit).step_of.get(result.conductors[0])
    limit = facts.calculation.of(Overloads).limits.of(step) if step is not None else None
    if limit is not None and limit.release.kind == "branches":
        return f"what protects the branches behind `{device}` lets {current} flow together for long"
    if limit is not None and limit.share > 1 + 1e-9:
        return f"`{device}` and what is fed beside it let {current} flow together for long"
    if limit is not None and limit.share < 1 - 1e-9:
        return f"`{device}` lets {current} flow here for long"
    if facts.plant.devices[device].category == Category.SUPPLY:
        return f"what protects ahead of `{device}` lets {current} flow for long"
    return f"`{device}` lets {current} flow for long"


def _device(facts: Facts, result: Result) -> str:
    """The device that a result is about."""
    if result.question in ("overload.control", "overload.branch", "overload.return"):
        return result.subject
    step = facts.calculation.of(Circuit).step_of[result.conductors[0]]
    release = facts.calculation.of(Overloads).device_for(step)
    return release.device if release is not None else step.feeder
