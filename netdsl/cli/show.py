"""`netdsl show`: everything about one thing of a plant."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import click

from netdsl.cli.check import show as show_findings
from netdsl.cli.progress import step
from netdsl.cli.refusal import Refusal
from netdsl.cli.work import judge, whole_plant


@click.command(
    context_settings={"ignore_unknown_options": True},  # `-X1` is a designation
    short_help="Say everything about one device, strip, cable, route, place, function or terminal.",
)
@click.argument("plant", type=click.Path(path_type=Path))
@click.argument("designation")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="Text for a person, JSON for a program.",
)
def show(plant: Path, designation: str, form: str) -> int:
    """Say everything about DESIGNATION in PLANT, a file or a folder that holds one plant.netdsl: its part and place; its
    terminals with what lands on each, what is free, net and potential; contacts, cables, routes; the findings about it, what is
    computed for it, the sheets that show it and the lines that speak of it.

    Exit code: 0 shown, 1 the text has errors, 2 could not read, or nothing is called so.

    \b
    Examples:
      netdsl show examples/hatchery =RP1-T1
      netdsl show examples/hatchery -X1:3
      netdsl show examples/hatchery TRAY1 --format json
    """
    # as `netdsl check`: the clock decides only whether an exception has run out
    judged = judge(whole_plant(plant), date.today().isoformat())
    network = judged.network
    if network is None:
        show_findings(judged)
        return 2
    from netdsl.cli.show_data import about, known_things
    from netdsl.cli.show_text import show_lines
    from netdsl.spelling import alike
    from render.build import drawing_set
    from render.drawing import Drawing

    owner, _, terminal = designation.partition(":")
    known = known_things(network)
    if owner not in known:
        near = alike(owner, known, share=0.5)
        raise Refusal(f"`{owner}` is not in this plant" + (f": did you mean `{near[0]}`?" if near else ""))
    with step("drawing the sheets"):
        sheets = drawing_set(Drawing(network, judged.findings, judged.calculation))
    with step("computing"):
        facts = about(judged, network, designation, sheets)
    if facts is None:
        device = network.plant.devices.get(owner)
        has = f": it has {', '.join(device.terminals)}" if device else ", which has no terminals of its own"
        raise Refusal(f"`{terminal}` is no terminal of `{owner}`{has}")
    if form == "json":
        click.echo(json.dumps(facts, indent=2, ensure_ascii=False))
    else:
        for line in show_lines(facts):
            click.echo(line)
    return 0 if judged.checked else 1
