"""The command `netdsl`: its group, and the handling of everything that can end a command early."""

from __future__ import annotations

import errno
import gc
import io
import os
import re
import signal
import sys
from collections.abc import Sequence
from contextlib import suppress
from typing import NoReturn

import click

from netdsl import __version__
from netdsl.beyond import Beyond
from netdsl.cli.build import build
from netdsl.cli.calc import calc
from netdsl.cli.check import check
from netdsl.cli.compare import compare
from netdsl.cli.excerpt import cells
from netdsl.cli.explain import explain
from netdsl.cli.facts import facts
from netdsl.cli.format import format_files
from netdsl.cli.git import git
from netdsl.cli.new import new
from netdsl.cli.parts import parts
from netdsl.cli.progress import shown
from netdsl.cli.refusal import Refusal, reason_of
from netdsl.cli.rename import rename, renumber
from netdsl.cli.serve import serve
from netdsl.cli.show import show
from netdsl.cli.size import size
from netdsl.cli.states import states
from netdsl.cli.table import table
from netdsl.cli.unfold import unfold
from netdsl.cli.verify import verify
from netdsl.cli.view import view

#: what acts on a terminal or turns the direction of what follows; loading the rules of texts for it would take longer than this
_ACTING = re.compile("[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2028\u2029\u2066-\u2069]")
DEBUG_VARIABLE = "NETDSL_DEBUG"


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="netdsl")
def netdsl() -> None:
    """Check and compute motor-drive control panels written as plain text, and draw what the shop wires from.

    \b
    Examples:
      netdsl check examples/hatchery
      netdsl build examples/hatchery
    """


COMMANDS = (
    *(new, check, show, calc, states, size, build, view, compare, verify, table, facts),
    *(format_files, rename, renumber, git, unfold, explain, parts, serve),
)
for command in COMMANDS:
    netdsl.add_command(command)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code; 2 and one sentence where it could not do its work."""
    gc.disable()  # a command lives for seconds and makes no garbage in cycles: looking for it costs a third of a build
    _survive_any_text()
    sys.exit(_run(arguments))


def script() -> NoReturn:
    """What the shell starts: `main`, and the end at once, for clearing away each object of a command takes a sixth of `check`."""
    _end_as_by_the_keyboard()
    try:
        main()
        code = 0
    except SystemExit as leaving:
        code = leaving.code if isinstance(leaving.code, int) else 2
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError):  # the reader went away: what could be said of it is said
            stream.flush()
    os._exit(code)


def _end_as_by_the_keyboard() -> None:
    """Where the system ends a command, as before it shuts down, what is half done is put back and said, as after Ctrl-C."""
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, signal.default_int_handler)


def _run(arguments: Sequence[str] | None) -> int:
    """Exit code of one command; nothing but a debugging run lets an exception through."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    strange = next((each for each in given if _ACTING.search(each)), None)
    if strange is not None:  # repeated in a message it would write over the terminal, or be read as something else
        return _say(f"`{cells(strange)[0]}` holds control characters: give a name without them")
    try:
        with shown(), netdsl.make_context("netdsl", given) as context:
            result = netdsl.invoke(context)
        sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    except click.ClickException as fault:
        with suppress(OSError):  # that nobody reads it changes nothing
            fault.show()
        return 2
    except (click.Abort, KeyboardInterrupt):
        return _say("stopped before the work was done: no file is left half written")
    except (Refusal, Beyond) as refusal:
        return _say(str(refusal))
    except OSError as error:
        return _system_fault(error)
    except Exception as error:
        if os.environ.get(DEBUG_VARIABLE):
            raise
        return _say(
            f"a fault in netdsl itself, nothing can be concluded: {type(error).__name__}: {error} "
            f"(set {DEBUG_VARIABLE}=1 to see where)"
        )


def _system_fault(error: OSError) -> int:
    """Say what the system refused. A reader that went away leaves standard output unusable, also at exit."""
    if error.errno in (errno.EPIPE, errno.ESHUTDOWN):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return _say("whoever was reading the output went away before its end")
    # without a name it is what was to be printed
    where = f"`{error.filename}`: " if error.filename else "the output could not be written to its end: "
    return _say(f"{where}{reason_of(error)}")


def _say(sentence: str) -> int:
    """Print `sentence` on standard error; that nobody reads it either changes nothing."""
    try:
        print(f"netdsl: {' '.join(sentence.split())}", file=sys.stderr, flush=True)
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stderr.fileno())
    return 2


def _survive_any_text() -> None:
    """A terminal that cannot show a character gets its escape instead of stopping the program; a closed output swallows all."""
    sys.stdout, sys.stderr = sys.stdout or io.StringIO(), sys.stderr or io.StringIO()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
