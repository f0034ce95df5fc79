"""`netdsl states`: what conducts for given positions, a list of operations played, the test for the bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from netdsl.cli.check import show
from netdsl.cli.progress import step
from netdsl.cli.refusal import Refusal
from netdsl.cli.work import connect, whole_plant

if TYPE_CHECKING:
    from netdsl.states.operating import Operation
    from netdsl.states.types import Circuit


@click.command(short_help="Say which coils, drives and lamps get voltage for given positions, and why.")
@click.argument("plant", type=click.Path(path_type=Path))
@click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="WHAT=VALUE",
    help="Operate one thing before looking: -S1=on, -S2=hand (a position), -T1:running=on. May be given several times.",
)
@click.option(
    "--sequence",
    "sequence",
    metavar="OPERATIONS",
    help="Play operations one after the other, separated by semicolons: `-S1=push; wait; -S2=push`. `wait` lets delays go by.",
)
@click.option("--table", "table", is_flag=True, help="Write the functional test for the bench: step, operate, expect, tick box.")
@click.option(
    "--proofs", "proofs", is_flag=True, help="Say which poles contactors could join, and what keeps them apart in every state."
)
def states(plant: Path, settings: tuple[str, ...], sequence: str | None, table: bool, proofs: bool) -> int:
    """Follow the control circuits of PLANT, a file or a folder that holds one plant.netdsl, from rest: supplies on, breakers and
    isolators closed, nothing actuated.

    Prints which coils, inputs of drives and lamps get voltage, by which way, and what keeps the others off; with --sequence what
    moves upon each operation. --table writes the steps of a functional test: of the sequence, or without one of every load.
    --proofs asks about every state that some sequence leads to. It follows the text, not what is built, and takes contacts and
    wires as sound.

    \b
    Exit code: 0 followed, 1 a relay does not come to rest or the text has errors, 2 could not read, or an operation names
    nothing.

    \b
    Examples:
      netdsl states examples/reversing --set =SG1-S1=on
      netdsl states examples/star-delta --sequence "=WP1-S1=push; wait; =WP1-S2=push"
      netdsl states examples/direct-on-line --table
    """
    judged = connect(whole_plant(plant))
    if judged.network is None:
        show(judged)
        return 2
    from netdsl.cli import states_text
    from netdsl.states import Simulation, circuit_of
    from netdsl.states.bench import bench_test, bench_tests

    circuit = circuit_of(judged.network)
    operations = _read(circuit, settings, sequence)
    if proofs:
        with step("searching the states"):
            lines = list(states_text.proof_lines(circuit))
        for line in lines:
            click.echo(line)
        return 0 if judged.checked else 1
    if table:
        with step("playing the test"):
            tests = (("", bench_test(circuit, operations)),) if operations else bench_tests(circuit)
        for line in states_text.table_lines(circuit, tests):
            click.echo(line)
        return 0 if judged.checked else 1
    simulation = Simulation(circuit)
    said = states_text.state_lines if sequence is None else states_text.sequence_lines
    for line in said(simulation, operations):
        click.echo(line)
    if not judged.checked:
        click.echo(f"netdsl: `netdsl check {plant}` shows errors: what their text is about is missing or wrong here", err=True)
    return 0 if judged.checked and not simulation.restless else 1


def _read(circuit: Circuit, settings: tuple[str, ...], sequence: str | None) -> list[Operation]:
    """The operations asked for, those of `--set` first."""
    from netdsl.states.operating import UnknownOperation, read_operation

    texts = [*settings, *(text for text in (sequence or "").replace("\n", ";").split(";") if text.strip())]
    try:
        return [read_operation(circuit, text) for text in texts]
    except UnknownOperation as unknown:
        raise Refusal(str(unknown)) from unknown
