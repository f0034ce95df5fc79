"""`netdsl parts`: what the library ships."""

from __future__ import annotations

import sys

import click

from netdsl.cli.excerpt import cells
from netdsl.cli.report import wants_colour

_STYLES = {"kind": {"bold": True}, "name": {"bold": True}, "note": {"dim": True}}


@click.command(short_help="List the shipped parts and schemes, or show some of them in full.")
@click.argument("words", nargs=-1, metavar="[WORD...]")
def parts(words: tuple[str, ...]) -> int:
    """Show the shipped parts and schemes whose name, title or kind contains each WORD, or that are called so: terminals and
    ratings of parts; of schemes what each parameter means, which terminals they take and which stay free. Also says what a
    terminal role or a parameter means. Without WORD, list the names of all by kind.

    Ratings are typical values: check them against the data of the manufacturer chosen. Exit code: 0 something was found,
    1 nothing was.

    \b
    Examples:
      netdsl parts
      netdsl parts vsd-15kw
      netdsl parts reactor
      netdsl parts safety relay
      netdsl parts two-wire-start vsd-15kw
      netdsl parts digital-in
    """
    from netdsl.library.catalogue import description, entries, matching, overview

    word = " ".join(" ".join(words).split())
    if not word:
        for style, text in overview(entries()):
            _print(style, text)
        click.echo("\n`netdsl parts WORD` shows terminals and ratings.")
        return 0
    found = matching(word)
    if not found:
        return _nothing(word)
    for number, entry in enumerate(found):
        if number:
            click.echo()
        for style, text in description(entry):
            _print(style, text)
    return 0


def _print(style: str, text: str) -> None:
    """One line, in its style where the terminal shows such."""
    click.echo(click.style(text, **_STYLES[style]) if style in _STYLES and wants_colour(sys.stdout) else text)


def _nothing(word: str) -> int:
    """Say that nothing contains `word`, with the nearest spelling, on standard error."""
    from netdsl.library.catalogue import nearest_word

    near = nearest_word(word)
    hint = f"did you mean `{near}`?" if near else "`netdsl parts` lists all of them"
    click.echo(f"netdsl: no shipped part or scheme has `{cells(word)[0]}` in its name, title or kind; {hint}", err=True)
    return 1
