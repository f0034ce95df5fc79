"""What may lie together: in one route, in one cable."""

from __future__ import annotations

from collections.abc import Iterator

from lint.bundling import Bundle, Bundles, Clash, Item
from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.separation import JUDGED, judged_class, separation
from lint.subjects import cables
from netdsl.findings import Related, Severity
from netdsl.network.types import CableUse, ConductorClass, Run


def _holding(facts: Facts) -> Iterator[str]:
    """Routes that hold something whose class is known."""
    return (bundle.route for bundle in facts.of(Bundles).all if bundle.items)


@rule(
    "bundle-mixed",
    Severity.ERROR,
    source="IEC 60204-1 13.1.3; IEC TR 61000-5-2; drive installation instructions",
    judges=_holding,
)
def bundle_mixed(facts: Facts, this: Rule) -> Iterator[Said]:
    """Conductors of classes that must not lie together share a route.

    Reports:
      Two classes along one route, or one compartment of it, that the separation table keeps apart. Inside an enclosure
      mains and control may share, and `voltage-segregation` judges their insulation; analogue, bus, thermistor and
      encoder circuits keep off power; a drive's motor cable shares only with screened motor cables. Outside, the classes
      of which the table asks a distance share no route.
    Silent:
      Compartments of a divided route (`along=TRAY1/1`, `along=TRAY1/2`); loose motor wires of one drive; earth; motor cables
      behind a sine filter, which may lie with the mains and with screened motor cables, and keep the distances of mains.
    Why:
      What radiates couples along the whole length into what lies beside it.
    Failing:
      device -F0 mcb-3p at=+MCP current=13A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      device -T1 drive at=+MCP
      device -B1 transmitter at=+HALL
      route TRAY1 "hall tray" at=+HALL kind=tray
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 5G2.5 length=10m along=TRAY1 {
        BN -F0:2 to -T1:L1
        BK -WB1:L2 to -T1:L2
        GY -WB1:L3 to -T1:L3
      }
      cable -W2 2x0.75 screened length=10m along=TRAY1 {
        BN -T1:AI1 to -B1:+
        BU -T1:AC to -B1:-
        screen -T1:SH clamp to -B1 open
      }
    Passing:
      - route TRAY1 "hall tray" at=+HALL kind=tray
      + route TRAY1 "hall tray" at=+HALL kind=tray divider=yes
      - cable -W1 5G2.5 length=10m along=TRAY1 {
      + cable -W1 5G2.5 length=10m along=TRAY1/1 {
      - cable -W2 2x0.75 screened length=10m along=TRAY1 {
      + cable -W2 2x0.75 screened length=10m along=TRAY1/2 {
    Remedy:
      Lay one of the two in another route, or in its own compartment behind a divider.
    """
    bundles = facts.of(Bundles)
    seen: set[frozenset[str]] = set()
    for bundle in bundles.all:
        known = {frozenset({bundle.route, clash.odd.id, clash.other.id}): clash for clash in bundles.clashes(bundle)}
        clashes = [clash for pair, clash in known.items() if pair not in seen]
        seen |= set(known)
        if clashes:
            yield _mixed(this, bundle, clashes)
    for use in facts.network.cables.values():
        other = _apart_from(facts, use) if not use.cable.routes else None
        if other is not None:
            yield this.not_judged(use.cable.id, f"it takes no route: its separation from others, such as `{other}`, is not known")
        elif use.cable.routes and use.klass is ConductorClass.NONE and any(n in facts.network.runs for n in use.cable.conductors):
            yield this.not_judged(use.cable.id, "what it carries is not known: no source reaches its cores")
    yield from _smooth(this, bundles)


def _smooth(this: Rule, bundles: Bundles) -> Iterator[Said]:
    """What carries a drive's output and may lie with others all the same: behind a sine filter, or loose wires of one drive."""
    for bundle in bundles.all:
        for items in bundle.items.values():
            yield from (
                this.spared(item.id, "it lies behind a sine filter and is held to what is asked of mains")
                for item in items
                if item.smooth
            )
        loose = [item for item in bundle.items.get(ConductorClass.MOTOR, ()) if not item.screened]
        if len(loose) > 1 and len({item.drive for item in loose}) == 1 and loose[0].drive:
            yield this.spared(loose[0].id, f"it lies beside other wires of the same drive `{loose[0].drive}`")


def _apart_from(facts: Facts, use: CableUse) -> str | None:
    """A cable of a class from which that of a cable is to be kept, None where there is none."""
    klass = judged_class(use.klass)
    others = (other for other in facts.network.cables.values() if klass is not None and other.cable.id != use.cable.id)
    for other in others:
        far = judged_class(other.klass)
        if klass is not None and far is not None and facts.of(Bundles).table.answer(klass, far, "outside").word != "share":
            return other.cable.id
    return None


def _mixed(this: Rule, bundle: Bundle, clashes: list[Clash]) -> Report:
    """One report for a bundle, at the first clash; the others are named with a conductor of each class."""
    first = clashes[0]
    items = list({item.id: item for clash in clashes for item in (clash.odd, clash.other)}.values())
    others = [item for item in items if item.klass not in (first.odd.klass, first.other.klass)]
    and_also = f", and with them {', '.join(map(_said, others))}" if others else ""
    return this.report(
        f"`{bundle.name}` holds {_said(first.odd)} together with {_said(first.other)}{and_also}: {_because(first)}",
        f"lay `{first.odd.id}` in another route, or put a divider between them",
        first.odd.span,
        (*_names(first.odd), *_names(first.other), *(name for item in items for name in _names(item)), bundle.route, bundle.name),
        about=(first.odd.id if first.answer.condition == "screened" else bundle.name,),
        related=[Related(f"{_said(item)} lies there too", item.span) for item in items if item is not first.odd],
    )


def _said(item: Item) -> str:
    klass = ConductorClass.MOTOR if item.smooth else item.klass
    return f"{klass.value} {'cable' if item.cable else 'wire'} `{item.id}`"


def _names(item: Item) -> tuple[str, ...]:
    return (item.id, *item.devices)


def _because(clash: Clash) -> str:
    answer = clash.answer
    if answer.word == "distance":
        return f"{answer.mm:g} mm are to be kept between them"
    if answer.word == "never":
        return "they never share a route"
    return "motor cables of several drives share only where each is screened"


@rule(
    "cable-mixed",
    Severity.ERROR,
    source="IEC 60204-1 13.1.3; drive installation instructions",
    silences=("pair-split", "pair-untwisted"),
    judges=cables,
)
def cable_mixed(facts: Facts, this: Rule) -> Iterator[Said]:
    """Cores of classes that must not share a cable lie in one.

    Reports:
      Two classes among the cores of one cable that the separation table keeps apart; extra-low voltage with more.
    Silent:
      A pair with an inner screen of its own; the 24 V supply and common of a signal; earth and spare cores; cores that no
      source reaches, whose voltage is not known.
    Why:
      Cores of one cable lie closer together and longer than anything else: nothing separates them later.
    Failing:
      device -T1 drive at=+MCP
      device -M1 motor at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 7G2.5 screened length=10m {
        1 -T1:U to -M1:U1
        2 -T1:V to -M1:V1
        3 -T1:W to -M1:W1
        GNYE -T1:PE2 to -M1:PE
        4 -T1:THP to -M1:TP1
        5 -T1:THN to -M1:TP2
        screen -T1:SH clamp to -M1:SH gland
      }
    Passing:
      device -T1 drive at=+MCP
      device -M1 motor at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 4G2.5+2x(2x1) screened pair-screened length=10m {
        BN -T1:U to -M1:U1
        BK -T1:V to -M1:V1
        GY -T1:W to -M1:W1
        GNYE -T1:PE2 to -M1:PE
        1a -T1:THP to -M1:TP1
        1b -T1:THN to -M1:TP2
        screen -T1:SH clamp to -M1:SH gland
        screen pair 1 -T1:SH clamp to -M1:SH open
      }
    Remedy:
      Use a cable of its own for each, or a pair with its own inner screen.
    """
    for use in facts.network.cables.values():
        for core in _of_unknown_voltage(facts, use):
            yield this.not_judged(use.cable.id, f"no source reaches its core `{core}`, whose voltage is not known")
        found = _mixed_cores(facts, use)
        if found is None:
            continue
        a, b, why = found
        yield this.report(
            f"`{use.cable.id}` holds {a.klass.value} core `{a.conductor.core}` "
            f"and {b.klass.value} core `{b.conductor.core}`: {why}",
            "take a cable of its own for one of them, or a pair with an inner screen of its own",
            b.conductor.span,
            (use.cable.id, *use.devices[0], *use.devices[1], a.id, b.id),
            related=[Related(f"{a.klass.value} core", a.conductor.span)],
            about=(use.cable.id,),
        )


def _of_unknown_voltage(facts: Facts, use: CableUse) -> list[str]:
    """Cores of circuits that no source reaches, beside some that one does."""
    runs = [facts.network.runs[name] for name in use.cable.conductors if name in facts.network.runs]
    fed = [run for run in runs if facts.network.nets[run.net].possible]
    bare = [run for run in runs if run not in fed and judged_class(run.klass) is not None]
    return [run.conductor.core or run.id for run in bare] if fed else []


def _mixed_cores(facts: Facts, use: CableUse) -> tuple[Run, Run, str] | None:
    """The first two cores of one cable, under no different screens, that must not lie together."""
    own = {screen.pair for screen in use.cable.screens if screen.pair}
    group = {f"{use.cable.id} {core.name}": core.pair if core.pair in own else 0 for core in use.cable.cores}
    firsts: dict[tuple[int, ConductorClass, bool | None], Run] = {}
    for name in use.cable.conductors:
        run = facts.network.runs.get(name)
        klass = judged_class(run.klass) if run is not None else None
        if run is not None and klass is not None:
            # behind a contact of which nobody says what it brings, the voltage is not known: that is not extra-low
            known = bool(facts.network.nets[run.net].possible)
            extra_low = facts.circuit_volts(run.net) <= separation().extra_low_v if known else None
            firsts.setdefault((group.get(name, 0), klass, extra_low), run)
    keys = sorted(firsts, key=lambda key: (key[0], JUDGED.index(key[1]), key[2] is not None, key[2] or False))
    for number, a in enumerate(keys):
        for b in keys[number + 1 :]:
            answer = separation().answer(a[1], b[1], "cable")
            if a[0] == b[0] and answer.word != "share":
                return firsts[a], firsts[b], "they never share a cable"
            if a[0] == b[0] and answer.condition == "same-band" and None not in (a[2], b[2]) and a[2] != b[2]:
                return firsts[a], firsts[b], "extra-low voltage shares no cable with a higher one"
    return None
