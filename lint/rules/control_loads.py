"""What control voltages have to give: load of sources and contacts, voltage at the far end, tripping of branches."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.subjects import results_of
from lint.wording import listed
from netdsl.calc.basis import Given, Result, figure_text
from netdsl.calc.control import BufferTimes, ContactLoads, ControlCircuits, Feed, SourceLoads
from netdsl.findings import Related, Severity
from netdsl.model.kinds import INNER_SUPPLIES

#: how many of the largest consumers a finding shows
_SHOWN = 3


@rule(
    "source-overloaded",
    Severity.ERROR,
    source="IEC 61204-7; drive installation instructions; Kirchhoff's current law",
    judges=results_of(SourceLoads, BufferTimes),
)
def source_overloaded(facts: Facts, this: Rule) -> Iterator[Report]:
    """More can take current from a control voltage than its source gives.

    Reports:
      A 24 V supply, a drive's auxiliary 24 V or 10 V, a control transformer: the sum of all coils, lamps, loads, inputs and
      transmitters that it can reach is above its rated current. A battery or buffer that feeds them for less than its
      `needed-buffer-time`.
    Silent:
      Sources without a stated current, and consumers without a stated power or current (`data-missing` names them).
    Why:
      An overloaded electronic supply folds back: everything on it drops out together, as a rule only when all is on at once.
    Failing:
      device -T1 drive at=+MCP
      part demo-valve "Valve 24 V" {
        kind = valve   letter = M   class = III
        terminal :1 :2 load
        load :1 to :2 voltage=24V dc power=8W
      }
      device -M1 demo-valve at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -M1:1 0.75mm2 RD
      wire -M1:2 to -T1:COM 0.75mm2 RD
    Passing:
      -   load :1 to :2 voltage=24V dc power=8W
      +   load :1 to :2 voltage=24V dc power=4W
    Remedy:
      Feed part of it from another supply, through an interposing relay where two voltages must stay apart, or take a larger one
      where it is no part of a drive or controller.
    """
    for result in facts.calculation.results_of(SourceLoads):
        if result.question == "source-load" and not result.holds and result.limit is not None:
            feeds = facts.calculation.of(ControlCircuits).by_source[result.subject]
            device = feeds[0].source.device
            inner = facts.plant.devices[device].kind not in INNER_SUPPLIES
            yield this.report(
                f"`{result.subject}` gives at most {_amps(result.limit)}, what it feeds can take {_amps(result.value)}",
                "feed part of it from another supply" + ("" if inner else ", or take a larger one"),
                facts.plant.devices[device].span,
                (device, result.subject),
                about=(result.subject,),
                related=_largest(facts, feeds),
            )
    for result in facts.calculation.results_of(BufferTimes):
        if not result.holds and result.limit is not None:
            feeds = facts.calculation.of(ControlCircuits).by_source[result.subject]
            yield this.report(
                f"`{result.subject}` lasts {figure_text(result.value)} h, {figure_text(result.limit)} h are needed",
                "take a battery or buffer that holds more, or feed less by it",
                facts.plant.devices[feeds[0].source.device].span,
                (feeds[0].source.device, result.subject),
                about=(result.subject,),
                related=_largest(facts, feeds),
            )


@rule(
    "contact-overloaded", Severity.ERROR, source="IEC 60947-5-1; drive installation instructions", judges=results_of(ContactLoads)
)
def contact_overloaded(facts: Facts, this: Rule) -> Iterator[Said]:
    """What a contact or an output switches takes more current than it is rated for.

    Reports:
      A contact, a relay output or an electronic output with a stated current: the coils, lamps, loads and inputs that have a
      way to their source through it take more together, in steady state.
    Silent:
      Contacts without a stated current; what is switched beside it, by another contact; the current in the moment of switching.
    Why:
      An overloaded contact welds and then never opens again, an overloaded output switches itself off.
    Failing:
      device -F0 mcb-3p at=+MCP current=13A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      device -T1 drive at=+MCP
      part demo-heater "Heater, 230 V" {
        kind = heater   letter = E   class = II
        terminal :L :N load
        load :L to :N voltage=230V ac power=500W
      }
      part demo-switch "Switch" {
        kind = thermostat   letter = B   class = II
        terminal :1 :2 contact voltage=250V current=1A
        contact :1 to :2 make by=temperature
      }
      device -E1 demo-heater at=+MCP
      device -B1 demo-switch at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -F0:2 to -B1:1 2.5mm2 BK
      wire -B1:2 to -E1:L 1.5mm2 BK
      wire -E1:N to -WB1:N 1.5mm2 BU
    Passing:
      - device -T1 drive at=+MCP
      -   load :L to :N voltage=230V ac power=500W
      +   load :L to :N voltage=230V ac power=200W
      - wire -T1:PE to -XE1:3 6mm2 GNYE
    Remedy:
      Switch it through a relay or contactor, or share several loads out over several contacts.
    """
    for device in facts.calculation.of(ContactLoads).unrated():
        yield this.not_judged(device, "what its contacts may switch is not stated")
    for result in facts.calculation.results_of(ContactLoads):
        if not result.holds and result.limit is not None:
            device = result.subject.partition(":")[0]
            several = "+" in result.formula.text or result.formula.text[:1].isdigit()
            yield this.report(
                f"`{result.subject}` is rated for {_amps(result.limit)} and switches {_amps(result.value)}",
                "switch it through a relay or contactor" + (", or share the loads out over several contacts" if several else ""),
                facts.plant.devices[device].span,
                (device, result.subject),
                about=(result.subject,),
                related=_rated(result),
            )


@rule(
    "supply-cannot-trip",
    Severity.WARNING,
    source="IEC 60204-1, 7.2.1 and 7.2.9; IEC 60898-1, table 7",
    judges=results_of(SourceLoads),
)
def supply_cannot_trip(facts: Facts, this: Rule) -> Iterator[Said]:
    """A short circuit behind a branch's protective device draws too little to trip it.

    Reports:
      A breaker or fuse behind a 24 V supply: what the supply gives into a short circuit, or what the conductors to the farthest
      consumer and back let flow, is below the current at which the device is certain to act: a breaker's instantaneous release
      on direct current, a fuse within 5 s, an electronic one when it switches off. Of a device ahead of others the short circuit
      is at the next of them. What a supply gives for less than the device takes, by its `peak-time`, does not count. One finding
      for all equal devices that the same supply cannot trip.
    Silent:
      Supplies without a stated `peak-current`, cables without a length (`data-missing` names them). Devices of which nothing says
      when they trip are not judged. Batteries, which do not fold back: an overload release trips then, if later.
    Why:
      The supply folds back instead: everything on it fails for one fault, and the faulty branch keeps its current.
    Failing:
      part demo-supply "DC supply 24 V 2 A" {
        kind = supply-24v   letter = T   class = I   voltage = 230V   input-current = 1A   peak-current = 3A
        terminal :L line-in
        terminal :N neutral
        terminal :PE earth
        terminal :+ supply-out
        terminal :- supply-common clamps=2
        source :+ to :- voltage=24V dc current=2A
      }
      part demo-lamp "Lamp, 24 V" {
        kind = lamp   letter = P   class = II
        terminal :X1 :X2 load
        load :X1 to :X2 voltage=24V dc power=1W
      }
      device -T2 demo-supply at=+MCP
      wire -T2:- to -XE1:4 2.5mm2 GNYE
      earthing of -T2:- at -XE1:4
      device -F2 mcb-1p at=+MCP current=4A curve=C
      device -P1 demo-lamp at=+MCP
      device -F1 mcb-1p at=+MCP current=6A
      wire -WB1:L1 to -F1:1 1.5mm2 BK
      wire -F1:2 to -T2:L 1.5mm2 BK
      wire -WB1:N to -T2:N 1.5mm2 BU
      wire -T2:PE to -XE1:3 2.5mm2 GNYE
      wire -T2:+ to -F2:1 1.5mm2 RD
      wire -F2:2 to -P1:X1 0.75mm2 RD
      wire -P1:X2 to -T2:- 0.75mm2 RD
    Passing:
      - part demo-supply "DC supply 24 V 2 A" {
      -   kind = supply-24v   letter = T   class = I   voltage = 230V   input-current = 1A   peak-current = 3A
      + part demo-supply "DC supply 24 V 20 A" {
      +   kind = supply-24v   letter = T   class = I   voltage = 230V   input-current = 1A   peak-current = 30A
      -   source :+ to :- voltage=24V dc current=2A
      +   source :+ to :- voltage=24V dc current=20A
      - device -F2 mcb-1p at=+MCP current=4A curve=C
      + device -F2 mcb-1p at=+MCP current=2A curve=B
    Remedy:
      Take a smaller or quicker device or an electronic one; a larger supply or, where the conductors limit it, thicker ones.
    """
    for name, why in facts.calculation.of(SourceLoads).not_judged():
        yield this.not_judged(name, why)
    alike: dict[object, list[Result]] = {}
    for result in facts.calculation.results_of(SourceLoads):
        if result.question == "supply-trip" and not result.holds and result.limit is not None:
            supply = _supply(result)
            by_supply = supply is not None and supply.value <= result.value and supply.span is not None
            alike.setdefault((supply.span, result.limit) if supply and by_supply else result.subject, []).append(result)
    order = {name: number for number, name in enumerate(facts.plant.devices)}
    for results in alike.values():
        names = sorted((result.subject for result in results), key=order.__getitem__)
        are, each = ("are", " each") if len(names) > 1 else ("is", "")
        supply = _supply(results[0])
        limited = supply is not None and supply.value <= results[0].value
        yield this.report(
            f"{listed(names)} {are} certain to trip at {_amps(results[0].limit or 0.0)}{each}, a short circuit behind draws "
            f"{_amps(results[0].value)}",
            f"take a smaller or quicker device or an electronic one, or {'a larger supply' if limited else 'thicker conductors'}",
            facts.plant.devices[names[0]].span,
            tuple(names),
            about=names,
            related=[Related(f"what its supply gives into a short circuit: {supply.shown}", supply.span)]
            if supply and supply.span
            else [],
        )


def _supply(result: Result) -> Given | None:
    """What the supply gives into a short circuit."""
    return next((given for given in result.givens if given.symbol == "I_p"), None)


def _amps(value: float) -> str:
    return f"{figure_text(value)} A"


def _largest(facts: Facts, feeds: tuple[Feed, ...]) -> list[Related]:
    """The devices that take the most, with their current."""
    taken: dict[str, float] = {}
    for feed in feeds:
        taken[feed.sink.device] = taken.get(feed.sink.device, 0.0) + (feed.amps or 0.0)
    most = sorted(taken, key=lambda name: -taken[name])[:_SHOWN]
    return [Related(f"`{name}` takes {_amps(taken[name])}", facts.plant.devices[name].span) for name in most]


def _rated(result: Result) -> list[Related]:
    given = result.limit_given
    return [Related(f"{given.shown} is stated here", given.span)] if given is not None and given.span is not None else []
