"""What contactors join in some state: the output of a drive and another source, two phases."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import of_kind, such
from lint.switching import Switched
from lint.wording import listed
from netdsl.findings import Severity
from netdsl.model.kinds import Kind
from netdsl.states import Answer, Verdict
from netdsl.states.told import joining, way_words


@rule(
    "output-backfed",
    Severity.ERROR,
    source="drive installation instructions; IEC 60204-1, 9.3.4",
    judges=of_kind(Kind.DRIVE),
)
def output_backfed(facts: Facts, this: Rule) -> Iterator[Report]:
    """The output of a drive meets another source in some state of the contactors.

    Reports:
      A drive whose output some sequence of operations, from rest, joins to another source or to another drive's output: also in
      the moment in which one contactor drops and another pulls, as an arc still burns between the poles of the first. The
      shortest sequence and the closed way are told. With "not proved" where the search was given up, or where relays do not
      come to rest (a warning then).
    Silent:
      Contactors that a mechanical interlock or a delay keeps from following each other at once, if their coils are never wanted
      together or the mechanical interlock keeps the second out; what is joined in every state (`potentials-joined`); contacts
      that weld; equipment beyond the scope of which only the terminals are stated.
    Why:
      A voltage from outside on its output destroys a drive in that instant.
    Failing:
      part contactor "Contactor" {
        kind = contactor   letter = K   class = II   current = 9A
        terminal :1 :3 :5 line-in 0.5..6mm2
        terminal :2 :4 :6 load-out 0.5..6mm2 clamps=2
        terminal :A1 :A2 coil 0.5..2.5mm2 clamps=2
        terminal :21 :22 contact 0.5..2.5mm2
        pole :1,3,5 to :2,4,6 switched by=coil
        coil :A1 to :A2 voltage=24V dc power=2W
        contact :21 to :22 break by=coil
      }
      device -F0 mcb-3p at=+MCP current=10A
      device -T1 drive at=+MCP
      device -K1 contactor at=+MCP
      device -K2 contactor at=+MCP
      device -S1 selector-3 at=+MCP
      device -F1 mcb-3p at=+MCP current=10A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      wire -WB1:L1,L2,L3 to -F1:1,3,5 4mm2 BK
      wire -F0:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T1:U,V,W to -K1:1,3,5 2.5mm2 BK length=0.2m
      wire -F1:2,4,6 to -K2:1,3,5 2.5mm2 BK
      wire -K1:2,4,6 to -K2:2,4,6 2.5mm2 BK length=0.2m
      wire -T1:24V to -S1:13 to -S1:23 0.75mm2 RD
      wire -S1:14 to -K1:A1 0.75mm2 RD
      wire -S1:24 to -K2:A1 0.75mm2 RD
      wire -T1:COM to -K1:A2 to -K2:A2 0.75mm2 RD
    Passing:
      + fit mechanical-interlock on -K1
      + interlock -K1 -K2 mechanical
      - wire -S1:14 to -K1:A1 0.75mm2 RD
      + wire -S1:14 to -K2:21 0.75mm2 RD
      + wire -K2:22 to -K1:A1 0.75mm2 RD
      - wire -S1:24 to -K2:A1 0.75mm2 RD
      + wire -S1:24 to -K1:21 0.75mm2 RD
      + wire -K1:22 to -K2:A1 0.75mm2 RD
    Remedy:
      Keep the contactors apart by a mechanical interlock, stated with `interlock`, and lead each coil through the break contact
      of the other contactor.
    """
    switched = facts.of(Switched)
    for verdict in switched.verdicts:
        drive = verdict.question.drive
        if drive and verdict.question.foreign:
            yield from _reported(switched, this, verdict, drive, f"the output of drive `{drive}`", "another source")


@rule("switching-short", Severity.ERROR, source="IEC 60204-1, 9.3.4", judges=such(lambda device: bool(device.paths)))
def switching_short(facts: Facts, this: Rule) -> Iterator[Report]:
    """Contactors or contacts join two phases, or two poles of a source, in some state.

    Reports:
      Star and delta, forward and reverse, two supplies: a sequence of operations, from rest, that joins two poles of one source,
      two phases of a drive's output, or phases of two sources; also in the moment of changing over, as for `output-backfed`,
      with "not proved" as there.
    Silent:
      What is joined in every state (`potentials-joined`); sources declared `parallel=yes`; contactors kept apart by a mechanical
      interlock, a delay, or a stop between them; contacts that weld.
    Why:
      A short circuit over two contactors burns their contacts and trips the feeder, or does not.
    Failing:
      part contactor "Contactor" {
        kind = contactor   letter = K   class = II   current = 9A
        terminal :1 :3 :5 line-in 0.5..6mm2 clamps=3
        terminal :2 :4 :6 load-out 0.5..6mm2 clamps=2
        terminal :A1 :A2 coil 0.5..2.5mm2 clamps=2
        terminal :21 :22 contact 0.5..2.5mm2
        pole :1,3,5 to :2,4,6 switched by=coil
        coil :A1 to :A2 voltage=230V ac power=3W
        contact :21 to :22 break by=coil
      }
      device -F0 mcb-3p at=+MCP current=10A
      device -K1 contactor at=+MCP
      device -K2 contactor at=+MCP
      device -S1 selector-3 at=+MCP
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      wire -F0:2,4,6 to -K1:1,3,5 to -K2:1,3,5 2.5mm2 BK
      wire -K1:2,4,6 to -K2:6,4,2 2.5mm2 BK
      wire -K1:1 to -S1:13 to -S1:23 0.75mm2 BK
      wire -S1:14 to -K1:A1 0.75mm2 BK
      wire -S1:24 to -K2:A1 0.75mm2 BK
      wire -WB1:N to -K1:A2 to -K2:A2 0.75mm2 BU
    Passing:
      + fit mechanical-interlock on -K1
      + interlock -K1 -K2 mechanical
      - wire -S1:14 to -K1:A1 0.75mm2 BK
      + wire -S1:14 to -K2:21 0.75mm2 BK
      + wire -K2:22 to -K1:A1 0.75mm2 BK
      - wire -S1:24 to -K2:A1 0.75mm2 BK
      + wire -S1:24 to -K1:21 0.75mm2 BK
      + wire -K1:22 to -K2:A1 0.75mm2 BK
    Remedy:
      Keep the contactors apart by a mechanical interlock, stated with `interlock`, and lead each coil through the break contact
      of the other contactor.
    """
    switched = facts.of(Switched)
    for verdict in switched.verdicts:
        question = verdict.question
        if question.drive and question.foreign:
            continue
        if question.drive:
            yield from _reported(switched, this, verdict, question.drive, f"a phase of drive `{question.drive}`", "another")
        elif question.devices:
            yield from _reported(
                switched, this, verdict, question.devices[0], f"what {listed(list(question.devices))} switch", ""
            )


def _reported(switched: Switched, this: Rule, verdict: Verdict, at: str, what: str, other: str) -> Iterator[Report]:
    """The finding about a verdict, none where it is proved."""
    span = switched.network.plant.devices[at].span
    devices = verdict.question.devices
    if verdict.answer is Answer.NOT_PROVED:
        yield this.report(
            f"not proved that {what} never {f'meets {other}' if other else 'joins two poles'}: {verdict.reason}",
            "keep the contactors apart by a mechanical interlock",
            span,
            (at, *devices),
            about=(at,),
            severity=Severity.WARNING,
        )
    if verdict.answer is not Answer.REACHED or verdict.poles is None:
        return
    one, far = (pole.potential.id for pole in verdict.poles)
    when = "in the moment of changing over" if verdict.in_a_moment else "in some state"
    yield this.report(
        f"`{one}` and `{far}` meet {when}, over `{way_words(one, verdict.way, far)}`: {joining(switched.circuit, verdict)}",
        _remedy(verdict),
        span,
        (at, *dict.fromkeys(edge.device for edge, _ in verdict.way)),
        about=(at,),
        related=switched.along(verdict.way),
    )


def _remedy(verdict: Verdict) -> str:
    contactors = list(dict.fromkeys(edge.device for edge, _ in verdict.way if edge.path and not edge.path.certain))
    if verdict.in_a_moment:
        return f"interlock {listed(contactors)} mechanically, or let a time pass between them"
    return f"interlock {listed(contactors)} mechanically, and lead each coil through the break contact of the other"
