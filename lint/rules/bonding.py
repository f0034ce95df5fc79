"""Installations with an earth of their own each, screens that join them, and what else does."""

from __future__ import annotations

from collections.abc import Iterator

from lint.earthing import Earthing
from lint.facts import Facts
from lint.registry import Rule, Said, rule
from lint.screening import BONDED, screen_class
from netdsl.findings import Severity
from netdsl.network.types import ConductorClass


def _analogue(facts: Facts) -> Iterator[str]:
    """Cables with a screen around analogue signals."""
    return (use.cable.id for use in facts.network.cables.values() if _is_analogue(facts, use.cable.id))


def _others(facts: Facts) -> Iterator[str]:
    """All other cables."""
    return (use.cable.id for use in facts.network.cables.values() if not _is_analogue(facts, use.cable.id))


def _is_analogue(facts: Facts, name: str) -> bool:
    use = facts.network.cables[name]
    return any(screen_class(facts, use, screen) is ConductorClass.ANALOGUE for screen in use.cable.screens)


@rule("bonding-missing", Severity.ERROR, source="IEC 60364-4-44, 444.5; IEC TR 61000-5-2", judges=_others)
def bonding_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """A screen is earthed in two installations between which there is no equipotential bonding.

    Reports:
      A screen that is earthed at both ends, where each end has a main earth bar of its own and no protective conductor joins the
      two.
    Silent:
      Screens that one side leaves `open` or joins over a `capacitor`; ends of which one reaches no earth at all, which
      `earth-missing` names; supplies that say by `earthed-with=` that the site earths them together; screens of analogue signals,
      which `screen-both-ends` judges.
    Why:
      In a fault to earth, or with lightning near by, the two earths differ by hundreds of volts: the current between them flows
      over the screen and burns it, and what hangs on it.
    Failing:
      place +SUB "Second panel" kind=cabinet
      supply -G2 "Other building" system=TN-S voltage=230V phases=1 fault-current=1kA earth-fault-current=1kA
      device -XE2 earth-bar at=+SUB ways=4
      cable -W2 3G2.5 length=5m {
        GNYE -G2:PE to -XE2:1
      }
      wire -XE2:2 to +SUB:PE 6mm2 GNYE
      device -T1 drive at=+MCP
      device -T2 drive at=+SUB
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T2:PE to -XE2:3 10mm2 GNYE
      cable -W3 2x0.5 screened length=5m {
        BN -T1:A to -T2:A
        screen -T1:SH clamp to -T2:SH clamp
      }
    Passing:
      + cable -W4 1G16 length=5m {
      +   GNYE -XE1:4 to -XE2:4
      + }
    Remedy:
      Lay an equipotential conductor between the two main bars, 16 mm² or more, beside the cable.
    """
    yield from _joined(facts, this, _others(facts), "lay an equipotential conductor between the two bars, beside the cable")


@rule("screen-both-ends", Severity.ERROR, source="IEC TR 61000-5-2; instructions of the equipment", judges=_analogue)
def screen_both_ends(facts: Facts, this: Rule) -> Iterator[Said]:
    """The screen of an analogue signal lies on two earths that are not bonded.

    Reports:
      A screen around analogue signals that is earthed at both ends, where each end has a main earth bar of its own and no
      protective conductor joins the two.
    Silent:
      Screens of which one end is `open` or joined over a `capacitor`; both ends on one earth; ends of which one reaches no earth
      at all, which `earth-missing` names; supplies that say by `earthed-with=` that the site earths them together.
    Why:
      The current between the two earths flows over the screen all the time, and the signal inside follows it; a fault burns it.
    Failing:
      place +SUB "Second panel" kind=cabinet
      supply -G2 "Other building" system=TN-S voltage=230V phases=1 fault-current=1kA earth-fault-current=1kA
      device -XE2 earth-bar at=+SUB ways=4
      cable -W2 3G2.5 length=5m {
        GNYE -G2:PE to -XE2:1
      }
      wire -XE2:2 to +SUB:PE 6mm2 GNYE
      device -T1 drive at=+MCP
      device -T2 drive at=+SUB
      device -B1 transmitter at=+SUB
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T2:PE to -XE2:3 10mm2 GNYE
      cable -W3 2x0.75 screened length=5m {
        BN -T1:AI1 to -B1:+
        BU -T1:AC to -B1:-
        screen -T1:SH clamp to -T2:SH clamp
      }
    Passing:
      -   screen -T1:SH clamp to -T2:SH clamp
      +   screen -T1:SH clamp to -T2:SH open
    Remedy:
      Leave the screen open at the end away from the drive or panel that reads the signal, or lay an equipotential conductor
      between the two main bars.
    """
    remedy = "leave it open at the far end, or lay an equipotential conductor between the two bars, beside the cable"
    yield from _joined(facts, this, _analogue(facts), remedy)


def _joined(facts: Facts, this: Rule, cables: Iterator[str], remedy: str) -> Iterator[Said]:
    """The cables of which a screen joins two earths that nothing bonds, and those that are left alone."""
    earth = facts.of(Earthing)
    for name in cables:
        use = facts.network.cables[name]
        for screen in use.cable.screens:
            ends = [end for end in screen.ends if end.how in BONDED]
            if len(ends) < 2:
                which = f"the screen of pair {screen.pair}" if screen.pair else "its screen"
                yield this.spared(use.cable.id, f"{which} is not earthed at both ends")
                continue
            known = facts.network.earth.node_of
            bars = [earth.bar_of(end.device if end.device in known else facts.where(end.device)) for end in ends]
            if None in bars:
                lost = ends[bars.index(None)].device
                yield this.spared(use.cable.id, f"`{lost}` reaches no main earth bar, which `earth-missing` speaks of")
            if len(ends) != 2 or None in bars or bars[0] == bars[1]:
                continue
            homes = [facts.enclosure_of(end.device) or facts.where(end.device) for end in ends]
            yield this.report(
                f"screen of `{use.cable.id}` is earthed in `{homes[0]}` and in `{homes[1]}`, "
                f"whose main earth bars `{earth.name(bars[0] or '')}` and `{earth.name(bars[1] or '')}` nothing bonds",
                remedy,
                ends[0].span,
                (use.cable.id, *homes, *(end.device for end in ends)),
                about=(use.cable.id,),
            )
