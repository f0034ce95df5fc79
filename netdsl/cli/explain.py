"""`netdsl explain`: what a rule looks for, and why."""

from __future__ import annotations

import click

from netdsl.cli.refusal import Refusal


@click.command(short_help="Say what a rule looks for, or list all rules.")
@click.argument("rule", required=False)
def explain(rule: str | None) -> int:
    """Say what RULE looks for, why it matters and what to do; without RULE, list all of them.

    \b
    Example:
      netdsl explain earth-in-series
    """
    import lint
    from lint.rules import rules

    if rule is not None and rule not in rules():
        raise Refusal(lint.explain(rule))
    click.echo(lint.explain(rule))
    return 0
