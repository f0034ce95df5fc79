"""`netdsl size`: the smallest standard sizes that pass, and writing them where the text says `auto`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from netdsl.cli.check import show
from netdsl.cli.excerpt import cells
from netdsl.cli.fix import write
from netdsl.cli.progress import step
from netdsl.cli.work import connect, whole_plant
from netdsl.findings import Span

if TYPE_CHECKING:
    from netdsl.sizing import Proposal, Sizing


@click.command(short_help="Propose sections and ratings, and write them where the text says auto.")
@click.argument("plant", type=click.Path(path_type=Path))
@click.option("--write", is_flag=True, help="Write the proposals into the text where a value is left as `auto`, and only there.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def size(plant: Path, write: bool, form: str) -> int:
    """Propose for each cable, wire, protective conductor and protective device of PLANT the smallest standard size with which
    every check that applies is computed and kept. A proposal supports the designer, who decides.

    Of each it says: proposed or kept, with the check that decided, that is the one that fails with the next smaller size; not
    decidable, with what is missing; or none fits, with the check that fails and what keeps a larger size away.

    Exit code: 0 every open value has a proposal, 1 one has none or a check fails whatever the sizes, 2 could not read or write.

    \b
    Examples:
      netdsl size examples/hatchery
      netdsl size my-plant --write
    """
    file = whole_plant(plant)
    judged = connect(file)
    if judged.network is None or not judged.checked:
        show(judged)
        click.echo("netdsl: nothing is proposed for a text with errors", err=True)
        return 2
    from netdsl.sizing import propose

    with step("looking for sizes"):
        sizing = propose(judged.network)
    if form == "json":
        click.echo(json.dumps(_object(sizing), indent=2, ensure_ascii=False))
    else:
        for line in _lines(sizing):
            click.echo(line)
    done = _write(file.parent, sizing) if write else True
    passing = all(proposal.holds for proposal in sizing.proposals if proposal.item.open_values)
    return 0 if done and passing and not sizing.unresolved else 1


def _lines(sizing: Sizing) -> list[str]:
    from netdsl.calc.sheet import CAUTIONS
    from netdsl.sizing import limit_of

    rows = [("what", "as written", "verdict", "size", "decided by")]
    rows += [(p.item.name, p.item.written, p.verdict.value, p.text if p.holds else "-", _because(p)) for p in sizing.proposals]
    widths = [min(60, max(len(row[n]) for row in rows)) for n in range(4)]
    lines = ["  ".join([*(cells(row[n])[0].ljust(widths[n]) for n in range(4)), cells(row[4])[0]]).rstrip() for row in rows]
    if sizing.unresolved:
        lines += ["", "Not kept with any of these sizes:"]
        for result, cure in zip(sizing.unresolved, sizing.cures, strict=True):
            cured = f"; kept with {cure}" if cure else ""
            lines.append(f"  {cells(result.key)[0]}: {result.shown}{limit_of(result)}{cured}")
    return [*lines, "", *CAUTIONS]


def _because(proposal: Proposal) -> str:
    """`load current 8.5 A (8 A is less)`; `smallest of the series; closest: voltage drop, running of -M1, 12 % left`."""
    from netdsl.sizing import STANDARD

    because = proposal.because
    if proposal.holds and proposal.smaller is not None and proposal.item.kind == "rating":
        because += f" ({proposal.smaller:g} A is less)"
    closest = f"closest: {proposal.tightest}" if proposal.tightest and proposal.because == STANDARD else ""
    return "; ".join(part for part in (because, proposal.obstacle, proposal.lacking, closest, proposal.note) if part)


def _object(sizing: Sizing) -> dict[str, Any]:
    from netdsl.calc.sheet import CAUTIONS

    return {
        "tool": "netdsl",
        "cautions": list(CAUTIONS),
        "proposals": [
            {
                "what": p.item.name,
                "kind": p.item.kind,
                "written": p.item.written,
                "verdict": p.verdict.value,
                "proposed": p.text if p.holds else None,
                "decided_by": p.because,
                "next_smaller": p.smaller,
                "closest": p.tightest,
                "obstacle": p.obstacle,
                "missing": p.lacking,
                "note": p.note,
                "unit": p.item.unit,
                "open": bool(p.item.open_values),
                "place": _place(p.item.span),
            }
            for p in sizing.proposals
        ],
        "unresolved": [
            {"key": result.key, "value": result.value, "limit": result.limit, "unit": result.unit, "kept_with": cure}
            for result, cure in zip(sizing.unresolved, sizing.cures, strict=True)
        ],
    }


def _place(span: Span) -> str:
    return f"{span.source.path}:{span.begin[0]}"


def _write(folder: Path, sizing: Sizing) -> bool:
    """Write the proposals for open values; True where all of them were written."""
    from netdsl.sizing import texts_with

    texts, left = texts_with(sizing.proposals)
    write(folder, texts)
    for unwritten in left:
        click.echo(f"netdsl: {_place(unwritten.value.span)}: `auto` stays: {unwritten.reason}", err=True)
    return not left
