"""`netdsl check`: what is wrong with a plant."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click
from msgspec.structs import replace

from netdsl.cli.refusal import Refusal
from netdsl.cli.report import closing_line, json_report, reaches, text_report, wants_colour
from netdsl.cli.work import Judged, judge, whole_plant
from netdsl.findings import Finding, Source


@click.command(short_help="Say what is wrong with a plant.")
@click.argument("plant", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "sarif", "junit"]),
    default="text",
    show_default=True,
    help="Text for a person, JSON for a program, SARIF 2.1.0 for code hosts and editors, JUnit XML for what shows tests.",
)
@click.option(
    "--fail-on",
    "level",
    type=click.Choice(["error", "warning", "note"]),
    default="error",
    show_default=True,
    help="The least severity that makes the exit code 1.",
)
@click.option("--fix", is_flag=True, help="Show what the text alone can mend, and write it after a yes.")
@click.option("--yes", is_flag=True, help="With --fix: write without asking.")
@click.option(
    "--coverage",
    is_flag=True,
    help="Say rule by rule what was judged, left alone and not judged, and why; and what is narrow on assumptions.",
)
@click.option(
    "--since",
    metavar="REV",
    help="Say only what is new since a revision of git, or since another folder or file that holds the plant as it was.",
)
def check(plant: Path, form: str, level: str, fix: bool, yes: bool, coverage: bool, since: str | None) -> int:
    """Say what is wrong with PLANT, a file or a folder that holds one plant.netdsl.

    The last line says how many rules looked at how much, and of how much something could not be judged.

    With --since a finding is known again by its rule and what it is about, whatever figures its message has and whatever that is
    called now; only the others are told and counted for the exit code. What was excepted or less severe then is new.

    Exit code: 0 nothing at or above the level, 1 findings, 2 could not read or wrong usage.

    \b
    Example:
      netdsl check examples/hatchery --fail-on warning
    """
    # the only clock that is read: whether an exception has run out is asked on the day; drawings stay the same on every day
    file, today = whole_plant(plant), date.today().isoformat()
    judged = judge(file, today)
    if fix and _mend(file, judged, today, yes):
        judged = judge(file, today)
    if since is not None:
        judged = _since(since, file, judged, today)
    if form == "json":
        import json

        click.echo(json.dumps(json_report(judged), indent=2))
    elif form == "sarif":
        import json

        from netdsl.cli.report_exchange import sarif_report

        click.echo(json.dumps(sarif_report(judged, file.parent), indent=2))
    elif form == "junit":
        from netdsl.cli.report_exchange import junit_report

        click.echo(junit_report(judged))
    else:
        if coverage and judged.verdict is not None:
            from netdsl.cli.coverage import coverage_lines

            for line in coverage_lines(judged.verdict, judged.calculation):
                click.echo(line)
        show(judged)
    if judged.network is None:
        return 2
    return 1 if reaches(judged.findings, level) else 0


def _since(since: str, file: Path, judged: Judged, today: str) -> Judged:
    """The same with those findings alone that are new since then, said on standard error."""
    from netdsl.cli.since import since_words, state_at
    from netdsl.comparing import names_between, new_findings

    with state_at(since, file) as found:
        before = judge(found, today)
    if before.network is None:
        raise Refusal(f"the text at `{since_words(since)}` gives no plant: `netdsl check` there says why")
    if judged.network is None:
        return judged
    if not before.checked:
        click.echo(f"netdsl: the text at `{since_words(since)}` has errors: what was not judged then counts as new", err=True)
    new = new_findings(before.findings, judged.findings, names_between(before.network, judged.network))
    old = len(judged.findings) - len(new)
    click.echo(f"netdsl: {old} finding{'s'[: old != 1]} of `{since_words(since)}` left out, they are there still", err=True)
    return replace(judged, findings=new)


def _mend(file: Path, judged: Judged, today: str, yes: bool) -> bool:
    """Show what can be mended, and write it where that is wanted; True where something was written."""
    from netdsl.cli.fix import difference, harmless, mended, write

    def with_texts(texts: dict[Source, str]) -> tuple[Finding, ...]:
        return judge(file, today, {source.path: text for source, text in texts.items()}).findings

    kept, left = harmless(judged.findings, with_texts)
    for finding in left:
        click.echo(f"netdsl: what would mend `{finding.rule}` {_of(finding)} brings another finding: it is left", err=True)
    texts = mended(kept)
    for line in difference(texts):
        click.echo(line, err=True)
    if not texts:
        click.echo("netdsl: nothing that the text alone can mend", err=True)
        return False
    if not yes and not (sys.stdin.isatty() and click.confirm("write this?", err=True)):
        click.echo("netdsl: nothing is written; `--yes` writes without asking", err=True)
        return False
    write(file.parent, texts)
    return True


def _of(finding: Finding) -> str:
    line, column = finding.span.begin
    return f"at {finding.span.source.path}:{line}:{column}"


def show(judged: Judged) -> None:
    """Print the findings and their number for a person."""
    colour = wants_colour(sys.stdout)
    for line in text_report(judged.findings, colour):
        click.echo(line, color=colour)
    click.echo(closing_line(judged))
