"""Control voltages at the far end: of coils and loads, of coils that pull in, of digital inputs."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.subjects import results_of
from netdsl.calc.basis import Result, figure_text
from netdsl.calc.control import CoilVoltages, ControlDrops, InputVoltages
from netdsl.findings import Severity


@rule(
    "control-drop",
    Severity.WARNING,
    source="IEC 60204-1, 12.5 and 9.1; IEC 60947-4-1, 8.2.1.2",
    judges=results_of(ControlDrops, CoilVoltages, InputVoltages),
)
def control_drop(facts: Facts, this: Rule) -> Iterator[Said]:
    """Too much of a control voltage is lost on the way to a coil or load and back.

    Reports:
      A coil or load fed from a supply, drive or transformer of the plant: the drop along the conductors there and back, with
      everything on that shares them, is above the project's `control-drop-limit`. A digital input of 24 V at which less is left
      than 15 V, or than its `input-on-voltage`. A coil on alternating voltage, or one that states its `pull-in`, that gets less
      than 85 % of its rated voltage while it pulls in, or than its `operates-from`.
    Silent:
      Transmitters, which work over a wide range; what is left of a coil's voltage while it pulls in, where it loses too much for
      good; cables without a length (`data-missing` names them).
    Why:
      A contactor below 85 % of its voltage chatters, and its contacts burn.
    Failing:
      part demo-supply "DC supply 24 V 5 A" {
        kind = supply-24v   letter = T   class = I   voltage = 230V   input-current = 1A   peak-current = 8A
        terminal :L line-in
        terminal :N neutral
        terminal :PE earth
        terminal :+ supply-out
        terminal :- supply-common clamps=2
        source :+ to :- voltage=24V dc current=5A
      }
      part demo-valve "Valve 24 V" {
        kind = valve   letter = M   class = III
        terminal :1 :2 load
        load :1 to :2 voltage=24V dc power=24W
      }
      device -T2 demo-supply at=+MCP
      wire -T2:- to -XE1:4 2.5mm2 GNYE
      earthing of -T2:- at -XE1:4
      device -F1 mcb-1p at=+MCP current=6A
      device -M1 demo-valve at=+HALL
      wire -WB1:L1 to -F1:1 1.5mm2 BK
      wire -F1:2 to -T2:L 1.5mm2 BK
      wire -WB1:N to -T2:N 1.5mm2 BU
      wire -T2:PE to -XE1:3 2.5mm2 GNYE
      cable -W1 2x0.75 length=60m {
        BN -T2:+ to -M1:1
        BU -T2:- to -M1:2
      }
    Passing:
      - cable -W1 2x0.75 length=60m {
      + cable -W1 2x2.5 length=60m {
    Remedy:
      Take a larger section, or a supply near the load, which an interposing relay switches there.
    """
    told = set[str]()
    for result in facts.calculation.results_of(ControlDrops):
        if not result.holds and result.limit is not None:
            told.add(result.subject)
            message = (
                f"`{result.subject}` loses {figure_text(result.value)} % of its voltage on the way there and back, "
                f"at most {figure_text(result.limit)} % is wanted"
            )
            remedy = "take a larger section, or a supply near the load, switched there by an interposing relay"
            yield _report(facts, this, result, message, remedy)
    for name, why in facts.calculation.of(CoilVoltages).not_judged():
        yield this.not_judged(name, why)
    for result in facts.calculation.results_of(CoilVoltages):
        if not result.holds and result.limit is not None and result.subject not in told:  # of the same wires
            message = (
                f"`{result.subject}` gets {figure_text(result.value)} % of its voltage while it pulls in, "
                f"it does so from {figure_text(result.limit)} %"
            )
            remedy = "take a larger section or transformer, or switch it nearby by an interposing relay"
            yield _report(facts, this, result, message, remedy)
    for result in facts.calculation.results_of(InputVoltages):
        if not result.holds and result.limit is not None:
            message = f"{figure_text(result.value)} V are left at `{result.subject}`, it is on from {figure_text(result.limit)} V"
            yield _report(facts, this, result, message, "take a larger section, or feed it nearby, over an interposing relay")


def _report(facts: Facts, this: Rule, result: Result, message: str, remedy: str) -> Report:
    """A report at the device that gets too little, with the cables on the way to it."""
    device = result.subject.partition(":")[0]
    cables = [facts.plant.conductors[name].cable or "" for name in result.conductors]
    return this.report(message, remedy, facts.plant.devices[device].span, (device, *cables), about=(device,))
