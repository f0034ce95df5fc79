"""`netdsl view`: the sheets of a plant in a browser, live while the text is written, or as static pages."""

from __future__ import annotations

import gc
import os
import re
import sys
from contextlib import closing, suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from netdsl.cli.refusal import Refusal, reason_of
from netdsl.cli.work import judge, whole_plant

if TYPE_CHECKING:
    from netdsl.viewing.desk import Reading

_SCHEME = re.compile(r"([a-z][a-z0-9+.-]*):", re.IGNORECASE)
#: what a browser would run or show by itself instead of handing it to an editor
_NO_EDITOR = ("javascript", "data", "vbscript", "blob", "about", "view-source", "filesystem")
_WORDS = re.compile(r"\{([^{}]*)\}")


def _link(_context: click.Context, _option: click.Parameter, value: str | None) -> str:
    """The link of an editor: an address of a known kind that says which file."""
    if not value:
        return ""
    scheme = _SCHEME.match(value)
    if scheme is None or scheme[1].lower() in _NO_EDITOR:
        raise click.BadParameter(f"{value!r} is no address of an editor, such as `editor://open?file={{path}}&line={{line}}`")
    named = _WORDS.findall(value)
    strange = [word for word in named if word not in ("path", "file", "line", "column")]
    if strange or not {"path", "file"} & set(named):
        raise click.BadParameter("it takes {path} or {file}, and may take {line} and {column}")
    return value


@click.command(short_help="Show the sheets of a plant in a browser, live.")
@click.argument("plant", type=click.Path(path_type=Path))
@click.option("--no-open", is_flag=True, help="Only print the address; open no browser.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="The port to serve at.  [default: any that is free]")
@click.option(
    "--editor",
    "link",
    callback=_link,
    envvar="NETDSL_EDITOR",
    default=None,
    metavar="LINK",
    help="How a line opens in an editor: its address with {path}, {line}, {column}, as vscode://file/{path}:{line}:{column}; with"
    " {file}, the path from the plant's folder, that of a code host. Also by the variable NETDSL_EDITOR.",
)
@click.option(
    "--export", "folder", type=click.Path(path_type=Path), default=None, metavar="DIR", help="Write static pages into DIR."
)
@click.pass_context
def view(context: click.Context, plant: Path, no_open: bool, port: int, link: str, folder: Path | None) -> int:
    """Show the sheets of PLANT, a file or a folder that holds one plant.netdsl, in a browser on this machine: search, findings,
    and for anything on a sheet the line of text that made it. Where the text changes, what changed is drawn anew. Ctrl-C ends it.

    Nobody else is let in: it answers on the loopback address alone, under an address that cannot be guessed. Exit code: 0 ended
    or written, 2 could not read, serve or write.

    \b
    Examples:
      netdsl view examples/hatchery
      netdsl view examples/hatchery --export pages
    """
    file = whole_plant(plant).resolve()
    if folder is not None:
        # the editor that a person has said once for all is that of this machine
        said_here = context.get_parameter_source("link") is not click.core.ParameterSource.ENVIRONMENT
        return _export(file, folder, link if said_here else "")
    import secrets

    from netdsl.viewing.desk import Desk
    from netdsl.viewing.running import listening, serve

    try:
        bound = listening(port)
    except OSError as error:
        raise Refusal(
            f"port {port} cannot be served at: {reason_of(error)}: name another, or none for any that is free"
        ) from error

    def ready(address: str) -> None:
        click.echo(address)
        sys.stdout.flush()
        click.echo("netdsl: for this machine alone; Ctrl-C ends it", err=True)
        if not no_open and not _opened(address):
            click.echo("netdsl: no browser could be opened: open the address above in one", err=True)

    # unlike other commands this one lives for hours
    gc.enable()
    root = file.parent.as_posix() if "{path}" in link else ""
    # Ctrl-C is how it ends
    with closing(bound), suppress(KeyboardInterrupt):
        serve(bound, file, Desk(link, root), lambda: _read(file), secrets.token_urlsafe(16), ready)
    return 0


def _read(file: Path) -> Reading:
    """The plant as `netdsl check` finds it, on the day."""
    from netdsl.viewing.desk import Reading

    judged = judge(file, date.today().isoformat())
    extent = judged.verdict.extent if judged.verdict else None
    return Reading(judged.network, judged.findings, judged.checked, judged.calculation, extent)


def _export(file: Path, folder: Path, link: str) -> int:
    """Write the pages into `folder`."""
    from netdsl.viewing.desk import Desk
    from netdsl.viewing.exporting import Foreign, export

    if "{path}" in link:
        raise Refusal("pages for others must not say where a file lies on this machine: give `--editor` with {file}")
    reading = _read(file)
    if reading.network is None:
        said = reading.findings[0].message if reading.findings else "nothing was read"
        raise Refusal(f"the text gives no plant to draw: {said}")
    try:
        written = export(Desk(link).take(reading), folder)
    except Foreign as foreign:
        raise Refusal(f"`{foreign}` is none of these pages: name another folder, lest it be lost") from None
    except OSError as error:
        raise Refusal(f"the pages cannot be written to `{folder}`: {reason_of(error)}") from error
    click.echo(str(written))
    return 0


def _opened(address: str) -> bool:
    """Whether a browser opened; none is tried where there is no screen, for one of the terminal would take this one."""
    if sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        return False
    import webbrowser

    try:
        return webbrowser.open(address)
    except webbrowser.Error:
        return False
