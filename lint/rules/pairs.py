"""Signals and their returns in the cores and pairs of cables."""

from __future__ import annotations

from collections.abc import Iterator

from lint.analogue import is_loop_fed
from lint.facts import Facts
from lint.pairs import Going, Laid, Pairs, carrying, pairs_of, with_pairs, with_signals
from lint.registry import Rule, Said, rule
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.plant import Cable

_SIGNAL = "put each signal and its return on the two cores of one pair"


@rule(
    "return-shared",
    Severity.WARNING,
    source="IEC TR 61000-5-2; instructions of the equipment",
    silences=("pair-split", "pair-untwisted"),
    judges=carrying,
)
def return_shared(facts: Facts, this: Rule) -> Iterator[Said]:
    """Several analogue signals come back over one core of a cable.

    Reports:
      A core of a cable that is the only way back of two analogue signals or more: of outputs of one device or of several, to
      inputs of their own.
    Silent:
      Wires inside an enclosure; a core beside which another leads back as well; the plus of several transmitters that their loops
      feed; potentiometers and sensors, whose current is small and steady; signals that share an input over contacts.
    Why:
      The current of each signal makes a voltage along the core, which all others read as their own; one break takes all of them.
    Failing:
      part source "Controller" {
        kind = controller   letter = A   class = III
        terminal :AO1 :AO2 analogue-out common=:AC
        terminal :AC analogue-common clamps=2
      }
      part reader "Recorder" {
        kind = meter   letter = P   class = III
        terminal :1 :2 analogue-in common=:M
        terminal :M analogue-common clamps=2
        terminal :SH screen
      }
      device -P1 reader at=+MCP
      device -A1 source at=+HALL
      device -XS1 screen-bar at=+MCP ways=2
      cable -W1 2x2x0.75 screened length=20m spare=insulated {
        1a -P1:1 to -A1:AO1
        1b -P1:M to -A1:AC
        2a -P1:2 to -A1:AO2
        screen -XS1:1 clamp to -A1 open
      }
    Passing:
      -   screen -XS1:1 clamp to -A1 open
      +   2b -P1:M to -A1:AC
      +   screen -XS1:1 clamp to -A1 open
    Remedy:
      Lead each signal back by a core of its own, in one pair with it.
    """
    pairs = facts.of(Pairs)
    for use in facts.network.cables.values():
        laid = pairs.laid(use.cable)
        yield from _left_alone(this, use.cable.id, laid)
        for name in use.cable.conductors:
            run = facts.network.runs.get(name)
            core = run.conductor.core if run is not None else ""
            back = [each.signal for each in laid if core in (each.back or ()) and not is_loop_fed(each.signal.source)]
            back = [signal for signal in back if pairs.is_only_way(name, signal)] if len(back) > 1 else []
            if run is None or len({signal.input for signal in back}) < 2:
                continue
            outputs = [signal.output for signal in back]
            sources = {signal.source.id: signal.source.span for signal in back}
            yield this.report(
                f"core `{core}` of `{use.cable.id}` is the only way back of the signals of {listed(outputs)}",
                "lead each signal back by a core of its own, in one pair with it",
                run.conductor.span,
                (use.cable.id, name, *outputs, *(signal.input for signal in back)),
                about=(use.cable.id, name),
                related=[Related(f"`{name}` is declared here", span) for name, span in sources.items()],
            )


def _left_alone(this: Rule, cable: str, laid: tuple[Laid, ...]) -> Iterator[Said]:
    """Signals of which nothing is known, and loops that one plus feeds."""
    for each in laid:
        if each.back is None:
            yield this.not_judged(cable, f"against what `{each.signal.output}` is given is not stated")
    fed = [each for each in laid if is_loop_fed(each.signal.source)]
    if any(set(one.back or ()) & set(other.back or ()) for one in fed for other in fed if one is not other):
        yield this.spared(cable, f"{listed([each.signal.source.id for each in fed])} are fed by their loops: a plus is no return")


@rule("pair-split", Severity.ERROR, source="TIA-485-A; IEC TR 61000-5-2; instructions of the equipment", judges=with_pairs)
def pair_split(facts: Facts, this: Rule) -> Iterator[Said]:
    """A signal and its return lie in different pairs of a cable, or two signals in one.

    Reports:
      A core with an analogue signal whose way back lies in the same cable and not in the same pair; the two data cores of a
      serial line in different pairs; two analogue signals on the two cores of one pair.
    Silent:
      The supply of a transmitter in another pair; the common of a serial line; potentiometers and sensors; groups of three or
      four cores; a signal whose way back is not in the cable at all.
    Why:
      The twist cancels what couples into a loop only where both conductors of that loop are twisted with each other.
    Failing:
      device -T1 drive at=+MCP
      part source "Controller" {
        kind = controller   letter = A   class = III
        terminal :AO analogue-out common=:AC
        terminal :AC analogue-common
      }
      device -A1 source at=+HALL
      wire -T1:PE to -XE1:3 10mm2 GNYE
      cable -W1 2x2x0.75 screened length=20m spare=insulated {
        1a -T1:AI1 to -A1:AO
        2a -T1:AC to -A1:AC
        screen -T1:SH clamp to -A1 open
      }
    Passing:
      -   2a -T1:AC to -A1:AC
      +   1b -T1:AC to -A1:AC
    Remedy:
      Put signal and return on the two cores of one pair.
    """
    pairs = facts.of(Pairs)
    for use in facts.network.cables.values():
        number = pairs_of(use.cable)
        for core, output in pairs.unknown(use.cable):
            yield this.not_judged(use.cable.id, f"with what core `{core}`, `{output}`, belongs is not stated")
        split = [
            (go, next(core for core in go.mates if core in number))
            for go in pairs.going(use.cable)
            if go.core in number and any(core in number for core in go.mates)
            if all(number.get(core) != number[go.core] for core in go.mates)
        ]
        doubled = _doubled(pairs, use.cable)
        if split:
            (go, mate), *_ = split
            message = f"core `{go.core}` of `{use.cable.id}` has {go.what}, and core `{mate}` in another pair is {go.other}"
            cores = [go.core, mate]
            remedy = _SIGNAL if go.analogue else "put the two data lines on the two cores of one pair"
        elif doubled:
            one, two = doubled
            message = f"cores `{one.core}` and `{two.core}`, one pair of `{use.cable.id}`, have {one.what} and {two.what}"
            cores, remedy = [two.core, one.core], _SIGNAL
        else:
            continue
        names = [f"{use.cable.id} {core}" for core in cores]
        yield this.report(
            message,
            remedy,
            facts.plant.conductors[names[0]].span,
            (use.cable.id, *names),
            about=(use.cable.id,),
            related=[Related("the other core", facts.plant.conductors[names[1]].span)],
        )


def _doubled(pairs: Pairs, cable: Cable) -> tuple[Going, Going] | None:
    """The first two signals on the two cores of one pair."""
    number = pairs_of(cable)
    of_two = [each for each in set(number.values()) if list(number.values()).count(each) == 2]
    for pair in sorted(of_two):
        here = [go for go in pairs.going(cable) if go.analogue and number.get(go.core) == pair]
        if len({go.core for go in here}) == 2 and here[0].what != here[-1].what:
            return here[0], here[-1]
    return None


@rule("pair-untwisted", Severity.WARNING, source="TIA-485-A; instructions of the equipment", judges=with_signals)
def pair_untwisted(facts: Facts, this: Rule) -> Iterator[Said]:
    """A bus or an analogue signal runs on cores that are no pair.

    Reports:
      A cable with an analogue signal, or with a data core of a serial line, on a core that its construction puts in no pair, as
      all of `3x0.75` and `4x1`.
    Silent:
      A cable of two cores, which counts as a pair; potentiometers and sensors, to which three or four cores lead; the supply of a
      transmitter and the common of a serial line.
    Why:
      Cores that are not twisted in pairs form a loop with all others: what disturbs one is not on its return.
    Failing:
      device -T1 drive at=+MCP
      part source "Controller" {
        kind = controller   letter = A   class = III
        terminal :AO analogue-out common=:AC
        terminal :AC analogue-common
      }
      device -A1 source at=+HALL
      wire -T1:PE to -XE1:3 10mm2 GNYE
      cable -W1 4x0.75 screened length=20m spare=insulated {
        BN -T1:AI1 to -A1:AO
        GY -T1:AC to -A1:AC
        screen -T1:SH clamp to -A1 open
      }
    Passing:
      - cable -W1 4x0.75 screened length=20m spare=insulated {
      -   BN -T1:AI1 to -A1:AO
      -   GY -T1:AC to -A1:AC
      + cable -W1 2x2x0.75 screened length=20m spare=insulated {
      +   1a -T1:AI1 to -A1:AO
      +   1b -T1:AC to -A1:AC
    Remedy:
      Take a cable with twisted pairs, such as `2x2x0.75`.
    """
    pairs = facts.of(Pairs)
    for use in facts.network.cables.values():
        number = pairs_of(use.cable)
        for source in pairs.passive(use.cable):
            yield this.spared(use.cable.id, f"it leads to `{source}`, whose current is small and steady")
        loose = [go for go in pairs.going(use.cable) if go.core not in number]
        if loose:
            names = [f"{use.cable.id} {go.core}" for go in loose]
            core, what = loose[0].core, loose[0].what
            yield this.report(
                f"core `{core}` of `{use.cable.id}` has {what}, and lies in no pair of `{use.cable.construction}`",
                "take a cable with twisted pairs, such as `2x2x0.75`",
                facts.plant.conductors[names[0]].span,
                (use.cable.id, *names),
                about=(use.cable.id,),
            )
