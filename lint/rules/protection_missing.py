"""Conductors that nothing protects."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.wording import amps, metres
from netdsl.calc.circuit import Circuit, Step
from netdsl.calc.conductors import Capacities, Overloads
from netdsl.calc.control import ControlOverloads
from netdsl.calc.devices import Characteristics
from netdsl.findings import Severity
from netdsl.model.kinds import PROTECTIVE, TAPPED, Category, Kind
from netdsl.model.plant import Device

#: length, m, up to which a tap inside an enclosure needs no device at its beginning
TAP_M = 3.0


@rule(
    "protection-missing",
    Severity.ERROR,
    source="IEC 60364-4-43, 433.2 and 434.2; IEC 60204-1, 7.2",
    silences=("overload", "fault-withstand"),
)
def protection_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """Conductors begin at a source, or go on thinner, without a device that protects them.

    Reports:
      A circuit that begins at a supply which does not say what protects it (`upstream`), or at a transformer's secondary, and
      reaches no protective device at once; a thinner conductor that leaves a bar or strip for more than 3 m or out of the
      enclosure while the device before it is rated above what it carries.
    Silent:
      A tap up to 3 m long inside an enclosure that carries what the next protective device is rated for; a 24 V supply, which
      limits its own current; thinner conductors that the device before them protects all the same, or of which it is known what a
      short circuit lets through; what lies behind a drive. A tap of which the length is not known.
    Why:
      A short circuit on such a conductor is fed until something burns open.
    Failing:
      device -Q1 mcb-3p at=+HALL current=10A
      cable -W1 5G2.5 length=12m method=E {
        BN   -WB1:L1 to -Q1:1
        BK   -WB1:L2 to -Q1:3
        GY   -WB1:L3 to -Q1:5
      }
    Passing:
      device -Q1 mcb-3p at=+MCP current=10A
      wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 length=1m BK
    Remedy:
      State `upstream=` of the supply; else put a breaker or fuses where the conductor begins, or keep its section up to the next
      device.
    """
    for device in facts.plant.devices.values():
        if device.category == Category.SUPPLY or device.kind == Kind.TRANSFORMER:
            yield from _begins(facts, this, device)
    for step in facts.calculation.of(Circuit).steps.values():
        if facts.plant.devices[step.feeder].category in TAPPED and step.poles:
            yield from _thinner(facts, this, step)


def _begins(facts: Facts, this: Rule, source: Device) -> Iterator[Said]:
    """A circuit that begins at a supply or transformer without protection."""
    if source.ratings.get("upstream"):
        return
    steps = facts.calculation.of(Circuit).out_of.get(source.id, ())
    taps = [step.fed for step in steps if step.poles and _short_tap(facts, step)]
    yield from (this.spared(source.id, f"a short tap leads to `{fed}`, which protects what is behind") for fed in taps)
    bare = [step for step in steps if step.poles and not _short_tap(facts, step) and not _too_large(facts, step.fed)]
    if not bare:
        return
    what = "nothing says what protects it there" if source.category == Category.SUPPLY else "no protective device stands there"
    first = facts.calculation.of(Capacities).subject(bare[0])
    remedy = (
        "state `upstream=` of the supply, such as `upstream=fuse-gG-63A`, or put a protective device beside its terminals, "
        f"within {metres(TAP_M)} in one enclosure"
    )
    if source.kind == Kind.TRANSFORMER:
        remedy = "put a protective device at the secondary terminals"
    if all(_is_tap(facts, step) for step in bare):
        what = f"`{bare[0].fed}` behind it is for more than it carries"
        remedy = "take a protective device of smaller rating, or a larger section up to it"
    conductors = [name for step in bare for name in step.conductors]
    yield this.report(f"`{first}` begins at `{source.id}`, and {what}", remedy, source.span, (source.id, first), about=conductors)


def _short_tap(facts: Facts, step: Step) -> bool:
    """Whether a step is a short tap inside one enclosure to a protective device, which it can carry."""
    if not _is_tap(facts, step):
        return False
    capacity = facts.calculation.of(Capacities).step(step)
    release = facts.calculation.of(Characteristics).of(step.fed)
    return capacity is None or release is None or release.rated_a is None or release.rated_a <= capacity.value * 1.00001


def _is_tap(facts: Facts, step: Step) -> bool:
    return facts.plant.devices[step.fed].kind in PROTECTIVE and _stays_short(facts, step)


def _too_large(facts: Facts, device: str) -> bool:
    """Whether `overload` tells of a protective device that it is for more than the conductors behind it carry."""
    return any(result.subject == device and not result.holds for result in facts.calculation.results_of(ControlOverloads))


def _stays_short(facts: Facts, step: Step) -> bool:
    """Whether the conductors of a step stay in one enclosure and are at most 3 m long, as far as is known."""
    enclosure = facts.enclosure_of(step.feeder)
    if not enclosure or facts.enclosure_of(step.fed) != enclosure:
        return False
    lengths = [facts.network.runs[name].length_m for name in step.conductors]
    return all(length is None or length <= TAP_M for length in lengths)


def _thinner(facts: Facts, this: Rule, step: Step) -> Iterator[Report]:
    """A tap thinner than what feeds it, long or leaving the enclosure, that the device before it does not protect."""
    calculation = facts.calculation
    before = calculation.of(Overloads).limits.upstream(step)
    capacity = calculation.of(Capacities).step(step)
    if before is None or capacity is None or before.amps <= capacity.value or _stays_short(facts, step):
        return
    fed_by = calculation.of(Circuit).into.get(step.feeder, ())
    here = min((facts.network.runs[name].section_mm2 or 0.0 for name in step.conductors), default=0.0)
    there = max((facts.network.runs[name].section_mm2 or 0.0 for way in fed_by for name in way.conductors), default=0.0)
    subject = calculation.of(Capacities).subject(step)
    if here >= there:
        return
    if any(result.key == f"fault-withstand {subject}" for result in calculation.judged):  # `fault-withstand` speaks of it
        return
    lengths = [length for name in step.conductors if (length := facts.network.runs[name].length_m) is not None]
    how = f"runs on for {metres(max(lengths))}" if lengths else "leaves the enclosure"
    device = before.release.device
    yield this.report(
        f"`{subject}`, {here:g} mm² after {there:g} mm², {how} from `{step.feeder}` without a protective device of its own: "
        f"`{device}` lets {amps(before.amps)} flow, it carries {amps(capacity.value)}",
        f"put a breaker or fuses at `{step.feeder}`, or keep {there:g} mm² up to the next device",
        calculation.of(Circuit).span_of(subject) or capacity.span or facts.plant.devices[step.fed].span,
        (subject, step.feeder, device),
        about=(*step.conductors, *step.cables),
        explains=_unlimited(facts, step),
    )


def _unlimited(facts: Facts, step: Step) -> Iterator[str]:
    """Conductors before a branch, and what they feed, in which more may flow because nothing limits the branch."""
    for path in facts.calculation.of(Circuit).paths(step.feeder):
        for before in path.steps:
            yield from (*before.conductors, *before.cables, before.fed)
    yield from (other.fed for other in facts.calculation.of(Circuit).out_of.get(step.feeder, ()))
