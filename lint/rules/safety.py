"""What is safe to stop with: two channels, and contactors that are heard."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from lint.subjects import of_kind
from lint.switching import Switched
from netdsl.findings import Severity, Span
from netdsl.model.kinds import Kind
from netdsl.network.search import between, trace_by
from netdsl.states.channels import SafetyRelays, Single


@rule(
    "safety-single-channel",
    Severity.ERROR,
    source="ISO 13849-1, category 3; drive installation instructions",
    silences=("clamp-overfilled",),
    judges=of_kind(Kind.SAFETY_RELAY),
)
def safety_single_channel(facts: Facts, this: Rule) -> Iterator[Said]:
    """The two channels of a safety relay are one somewhere.

    Reports:
      A channel that nothing opens; an emergency stop or safety switch that opens one channel of a relay and not the other; two
      channels that a wire or a contact joins; both safe-torque-off inputs of a drive behind one contact or on one wire, and such
      inputs that nothing takes the voltage from, of a drive set to `safe-torque-off=wired`; a contact of the relay that a wire
      leads past, if none of these is found.
    Silent:
      Relays whose part does not say which its channels are; common supplies and returns.
    Why:
      One weld, one short, one loose wire then takes the whole safety function away, unseen.
    Failing:
      device -T9 supply-24v at=+MCP
      device -F1 mcb-1p at=+MCP current=6A
      wire -WB1:L1 to -F1:1 1.5mm2 BK
      wire -F1:2 to -T9:L 1.5mm2 BK
      wire -WB1:N to -T9:N 1.5mm2 BU
      wire -T9:PE to -XE1:3 2.5mm2 GNYE
      wire -T9:- to -XE1:4 2.5mm2 GNYE
      earthing of -T9:- at -XE1:4
      device -F2 mcb-1p-b at=+MCP current=2A voltage=60V
      wire -T9:+ to -F2:1 1mm2 RD
      strip -X2 at=+MCP {
        :1..2 2.5mm2 clamps=4
      }
      wire -F2:2 to -X2:1 0.75mm2 RD
      wire -T9:- to -X2:2 0.75mm2 RD
      device -K1 safety-relay at=+MCP
      device -S1 emergency-stop at=+MCP
      device -S2 push-button at=+MCP
      wire -X2:1 to -K1:A1 0.75mm2 RD
      wire -K1:A2 to -X2:2 0.75mm2 RD
      wire -K1:S11 to -S1:11 0.75mm2 RD
      wire -S1:12 to -K1:S12 0.75mm2 RD
      wire -K1:S21 to -K1:S22 0.75mm2 RD
      wire -K1:S33 to -S2:13 0.75mm2 RD
      wire -S2:14 to -K1:S34 0.75mm2 RD
    Passing:
      - wire -K1:S21 to -K1:S22 0.75mm2 RD
      + wire -K1:S21 to -S1:21 0.75mm2 RD
      + wire -S1:22 to -K1:S22 0.75mm2 RD
    Remedy:
      Lead each channel through a contact of its own of every stop, and each input of the drive through a contact of its own of
      the relay.
    """
    for relay in _unspoken(facts):
        yield this.not_judged(relay, "its part does not say which its channels are")
    for single in SafetyRelays(facts.of(Switched).prover).singles():
        yield this.report(
            single.why,
            "give each channel a contact and wires of its own",
            _place(facts, single),
            single.subjects,
            about=(single.at,),
            explains=single.joined,
        )


def _unspoken(facts: Facts) -> Iterator[str]:
    """Safety relays of which it is not stated what releases them."""
    known = {relay.device for relay in facts.of(Switched).circuit.releases}
    return (d.id for d in facts.plant.devices.values() if d.kind == Kind.SAFETY_RELAY and d.id not in known)


def _place(facts: Facts, single: Single) -> Span:
    """The conductor by which a channel goes wrong, of several the last in the text; else where the device is declared."""
    plant, steps = facts.plant, facts.neighbours
    if len(single.joined) == 1:
        names = list(facts.network.at_terminal.get(single.joined[0], ()))
    else:
        start, end = single.joined or ("", "")
        way = between(end, trace_by((start,), lambda node: steps.get(node, ())))
        names = [name for name in way if name is not None]
    spans = [plant.conductors[name].span for name in names]
    return max(spans, key=lambda span: (span.source.path, span.start), default=plant.devices[single.at].span)


@rule(
    "feedback-missing",
    Severity.ERROR,
    source="ISO 13849-1, category 3; IEC 60947-4-1, annex F",
    judges=of_kind(Kind.CONTACTOR, Kind.RELAY),
)
def feedback_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """A contactor that a safety relay drops can stick closed without the relay noticing.

    Reports:
      A contactor whose coil a contact of a safety relay opens, while the reset loop of that relay is not opened by the contactor
      when it is closed: its break contact is not in the loop, or is bridged there.
    Silent:
      Contactors behind other relays; relays whose part does not say which its reset loop is; drives, which watch their own
      inputs.
    Why:
      A welded contactor is a stop that does not work; the reset must refuse to release until it is repaired.
    Failing:
      device -T9 supply-24v at=+MCP
      device -F1 mcb-1p at=+MCP current=6A
      wire -WB1:L1 to -F1:1 1.5mm2 BK
      wire -F1:2 to -T9:L 1.5mm2 BK
      wire -WB1:N to -T9:N 1.5mm2 BU
      wire -T9:PE to -XE1:3 2.5mm2 GNYE
      wire -T9:- to -XE1:4 2.5mm2 GNYE
      earthing of -T9:- at -XE1:4
      device -F2 mcb-1p-b at=+MCP current=2A voltage=60V
      wire -T9:+ to -F2:1 1mm2 RD
      strip -X2 at=+MCP {
        :1..2 2.5mm2 clamps=4
      }
      wire -F2:2 to -X2:1 0.75mm2 RD
      wire -T9:- to -X2:2 0.75mm2 RD
      device -K1 safety-relay at=+MCP
      device -K2 contactor-9a at=+MCP
      device -S1 emergency-stop at=+MCP
      device -S2 push-button at=+MCP
      wire -X2:1 to -K1:A1 0.75mm2 RD
      wire -K1:A2 to -X2:2 0.75mm2 RD
      wire -K1:S11 to -S1:11 0.75mm2 RD
      wire -S1:12 to -K1:S12 0.75mm2 RD
      wire -K1:S21 to -S1:21 0.75mm2 RD
      wire -S1:22 to -K1:S22 0.75mm2 RD
      wire -K1:S33 to -S2:13 0.75mm2 RD
      wire -S2:14 to -K1:S34 0.75mm2 RD
      wire -X2:1 to -K1:13 0.75mm2 RD
      wire -K1:14 to -K2:A1 0.75mm2 RD
      wire -K2:A2 to -X2:2 0.75mm2 RD
    Passing:
      - wire -K1:S33 to -S2:13 0.75mm2 RD
      + wire -K1:S33 to -K2:21 0.75mm2 RD
      + wire -K2:22 to -S2:13 0.75mm2 RD
    Remedy:
      Lead the reset loop through the guided break contact of each contactor that the relay drops.
    """
    for relay in _unspoken(facts):
        yield this.not_judged(relay, "its part does not say which its reset loop is")
    for unheard in SafetyRelays(facts.of(Switched).prover).unheard():
        yield this.report(
            f"safety relay `{unheard.relay}` drops contactor `{unheard.contactor}`, and resets while that sticks closed",
            f"lead the reset loop of `{unheard.relay}` through a guided break contact of `{unheard.contactor}`",
            facts.plant.devices[unheard.contactor].span,
            (unheard.contactor, unheard.relay),
            about=(unheard.contactor,),
        )
