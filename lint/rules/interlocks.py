"""Coils that must not be pulled together, and coils that open their own circuit."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.poles import Poles
from lint.registry import Report, Rule, rule
from lint.subjects import such
from lint.switching import Switched
from lint.wording import listed
from netdsl.findings import Related, Severity, Span
from netdsl.model.kinds import Kind
from netdsl.states.holding import Free, free, unsteady
from netdsl.states.types import Mover


def _interlocked(facts: Facts) -> Iterator[str]:
    """Devices that are said to be interlocked."""
    return (name for pair in facts.plant.interlocks for name in pair.devices)


@rule("interlock-claimed", Severity.ERROR, source="IEC 60204-1, 9.3.4", silences=("interlock-missing",), judges=_interlocked)
def interlock_claimed(facts: Facts, this: Rule) -> Iterator[Report]:
    """An `interlock` statement says what the plant does not have.

    Reports:
      `electrical` where the coil of one device is not led through a break contact of the other, or something passes that contact
      by; `mechanical` between contactors where no part that does it is fitted on either of them (a warning).
    Silent:
      Coils that another relay keeps apart, or the contacts of a timer that leave a pause; devices without a coil, which a handle
      or a key keeps apart; coils that are not wired.
    Why:
      Other checks, and whoever reads the drawing, take the statement for what keeps two sources apart.
    Failing:
      part contactor "Contactor" {
        kind = contactor   letter = K   class = II   current = 9A
        terminal :21 :22 contact 0.5..2.5mm2
        terminal :A1 :A2 coil 0.5..2.5mm2 clamps=2
        contact :21 to :22 break by=coil
        coil :A1 to :A2 voltage=24V dc power=2W
      }
      device -T1 drive at=+MCP
      device -K1 contactor at=+MCP
      device -K2 contactor at=+MCP
      device -S1 selector-3 at=+MCP
      interlock -K1 -K2 electrical
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T1:24V to -S1:13 to -S1:23 0.75mm2 RD
      wire -S1:14 to -K2:21 0.75mm2 RD
      wire -K2:22 to -K1:A1 0.75mm2 RD
      wire -S1:24 to -K2:A1 0.75mm2 RD
      wire -T1:COM to -K1:A2 to -K2:A2 0.75mm2 RD
    Passing:
      - wire -S1:24 to -K2:A1 0.75mm2 RD
      + wire -S1:24 to -K1:21 0.75mm2 RD
      + wire -K1:22 to -K2:A1 0.75mm2 RD
    Remedy:
      Wire or fit the interlock, or take the statement back.
    """
    mechanical = {frozenset(pair.devices) for pair in facts.plant.interlocks if pair.kind == "mechanical"}
    for pair in facts.plant.interlocks:
        if pair.kind == "electrical":
            loose = free(facts.of(Switched).prover, pair.devices)
            if loose:
                yield this.report(
                    f"{_words(loose)}: the interlock is not wired",
                    "lead each coil through a break contact of the other device"
                    + (
                        ""
                        if frozenset(pair.devices) in mechanical
                        else ", or take the statement back where they may pull together"
                    ),
                    pair.span,
                    (*dict.fromkeys(one.coil.device for one in loose), *pair.devices),
                    about=pair.devices,
                )
        elif pair.kind == "mechanical" and not _is_fitted(facts, pair.devices):
            yield this.report(
                f"nothing that keeps {listed(list(pair.devices))} apart mechanically is fitted",
                f"add `fit mechanical-interlock on {pair.devices[0]}`, or another part that does it",
                pair.span,
                pair.devices,
                about=(f"fitting on {pair.devices[0]}",),
                severity=Severity.WARNING,
            )


def _words(loose: tuple[Free, ...]) -> str:
    said = [
        f"`{one.coil.device}` can pull past the break contact of `{one.other.device}`"
        if one.led_through
        else f"the coil of `{one.coil.device}` is not led through a break contact of `{one.other.device}`"
        for one in loose
    ]
    return ", ".join(said)


def _is_fitted(facts: Facts, names: tuple[str, ...]) -> bool:
    """Whether a part that keeps contactors apart is fitted on one of them; other devices do it by what they are."""
    devices = [facts.plant.devices[name] for name in names if name in facts.plant.devices]
    if not devices or any(device.kind != Kind.CONTACTOR for device in devices):
        return True
    parts = [accessory.part.kind for device in devices for accessory in device.accessories]
    return Kind.INTERLOCK in parts


@rule("interlock-missing", Severity.WARNING, source="IEC 60204-1, 9.3.4; common practice", judges=_interlocked)
def interlock_missing(facts: Facts, this: Rule) -> Iterator[Report]:
    """Two contactors are kept apart by their mechanical interlock alone.

    Reports:
      Contactors with a mechanical interlock of which one's coil can be energised while the other is pulled: it is not led through
      a break contact of the other. Also where a selector or a changeover contact commands one coil at a time: it says which is
      to pull, and nothing of a contactor that has not dropped, as one whose contacts have welded.
    Silent:
      Coils that another relay keeps apart, or the contacts of a timer that leave a pause; an interlock that is also stated as
      `electrical`, which `interlock-claimed` holds to the wiring.
    Why:
      A coil that is energised while the interlock holds its armature draws its inrush current until it burns, and leans on the
      interlock until that gives way.
    Failing:
      part contactor "Contactor" {
        kind = contactor   letter = K   class = II   current = 9A
        terminal :21 :22 contact 0.5..2.5mm2
        terminal :A1 :A2 coil 0.5..2.5mm2 clamps=2
        contact :21 to :22 break by=coil
        coil :A1 to :A2 voltage=24V dc power=2W
      }
      device -T1 drive at=+MCP
      device -K1 contactor at=+MCP
      device -K2 contactor at=+MCP
      fit mechanical-interlock on -K1
      device -S1 selector-3 at=+MCP
      interlock -K1 -K2 mechanical
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T1:24V to -S1:13 to -S1:23 0.75mm2 RD
      wire -S1:14 to -K2:21 0.75mm2 RD
      wire -K2:22 to -K1:A1 0.75mm2 RD
      wire -S1:24 to -K2:A1 0.75mm2 RD
      wire -T1:COM to -K1:A2 to -K2:A2 0.75mm2 RD
    Passing:
      - wire -S1:24 to -K2:A1 0.75mm2 RD
      + wire -S1:24 to -K1:21 0.75mm2 RD
      + wire -K1:22 to -K2:A1 0.75mm2 RD
    Remedy:
      Lead each coil through a break contact of the other contactor.
    """
    electrical = {frozenset(pair.devices) for pair in facts.plant.interlocks if pair.kind == "electrical"}
    for pair in facts.plant.interlocks:
        if pair.kind != "mechanical" or frozenset(pair.devices) in electrical:
            continue
        loose = free(facts.of(Switched).prover, pair.devices)
        if loose:
            first = loose[0].coil
            yield this.report(
                f"{_words(loose)}: if the other does not drop, the mechanical interlock alone keeps them apart",
                "lead each coil through a break contact of the other contactor",
                _at_coil(facts, first),
                (first.device, *pair.devices),
                about=pair.devices,
                related=[Related("interlocked here", pair.span)],
            )


@rule(
    "coil-unsteady",
    Severity.ERROR,
    source="common practice",
    judges=such(lambda device: any(consumer.kind == "coil" for consumer in device.consumers)),
)
def coil_unsteady(facts: Facts, this: Rule) -> Iterator[Report]:
    """A coil opens its own circuit as soon as it pulls.

    Reports:
      A coil that is energised only over a break contact of its own, whatever else is closed.
    Silent:
      Contacts that wait (`delayed`); coils that another way holds once they have pulled; a resistor at the coil, through which
      less current holds it.
    Why:
      The relay buzzes until its contacts are burnt.
    Failing:
      device -T1 drive at=+MCP
      device -K1 relay-1co at=+MCP
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T1:24V to -K1:11 0.75mm2 RD
      wire -K1:12 to -K1:A1 0.75mm2 RD
      wire -T1:COM to -K1:A2 0.75mm2 RD
    Passing:
      - wire -T1:24V to -K1:11 0.75mm2 RD
      - wire -K1:12 to -K1:A1 0.75mm2 RD
      + wire -T1:24V to -K1:A1 0.75mm2 RD
    Remedy:
      Lead the coil through a contact of what is to command it.
    """
    for coil in unsteady(facts.of(Switched).prover):
        yield this.report(
            f"a break contact of `{coil.device}` opens its own coil: it never stays pulled",
            "lead the coil through a contact of what is to command it",
            _at_coil(facts, coil),
            (coil.device,),
            about=(coil.device,),
            related=[Related(f"`{coil.device}` is declared here", facts.plant.devices[coil.device].span)],
        )


def _at_coil(facts: Facts, coil: Mover) -> Span:
    """The conductor at the live end of a coil, else its device."""
    circuit = facts.of(Switched).circuit
    conductor = facts.of(Poles).conductor(circuit.coils[coil][0].nodes[0])
    return conductor.span if conductor is not None else facts.plant.devices[coil.device].span
