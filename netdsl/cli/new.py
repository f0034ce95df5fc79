"""`netdsl new`: a plant to begin with, from a list of motors and one of inputs and outputs."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec.structs import replace

from netdsl.cli.progress import step
from netdsl.cli.refusal import Refusal, reason_of
from netdsl.cli.report import text_report
from netdsl.cli.work import judge
from netdsl.findings import Severity
from netdsl.plain_files import read_plain

if TYPE_CHECKING:
    from collections.abc import Iterable

    from netdsl.findings import Finding
    from netdsl.starting import Motor, Settled, Signal

#: the plant of a list that nobody gave: one pump
STARTER = "designation,description,power,voltage,way of running,cable length,place\nP1,Pump,4kW,400V,two-wire,20m,Pump room\n"


@click.command(short_help="Write a plant to begin with, from a list of motors.")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option(
    "--from",
    "motors",
    metavar="MOTORS",
    type=click.Path(path_type=Path),
    help="Motors, CSV or XLSX: designation, description, power, voltage, way of running, cable length, place, panel, quantity.",
)
@click.option(
    "--io",
    "signals",
    metavar="SIGNALS",
    type=click.Path(path_type=Path),
    help="Inputs and outputs, CSV or XLSX: tag, description, type, address, place, cable length, panel.",
)
@click.option("--empty", is_flag=True, help="All that stands before the first function, and none.")
def new(folder: Path, motors: Path | None, signals: Path | None, empty: bool) -> int:
    """Write into DIR, new or empty, a plant with one function per motor of a list; without a list, one with a single pump.

    With --empty: project, places, supply, isolator, busbars, earth bar, defaults and 24 V in one file, with a function shown
    behind comment signs, for a designer who writes the functions.

    Parts, protection and cables are those of the shipped library. What was assumed and what the designer must still decide is
    printed and stands at the head of plant.netdsl. Where one incoming supply does not carry all motors, or the list names several
    panels, each panel has a supply of its own. With --io each signal of a list has its channel on a card beside a head station,
    with text, tag and address, its terminals and its cable.

    Exit code: 0 written, 2 nothing was written.

    \b
    Examples:
      netdsl new my-plant
      netdsl new my-plant --from examples/motors.csv
      netdsl new my-plant --from examples/motors.csv --io examples/signals.csv
      netdsl new my-plant --empty
    """
    for option, given in (("--from", motors), ("--io", signals)):
        if empty and given is not None:
            raise Refusal(f"`--empty` and `{option}` exclude each other: give one of them")
    if folder.exists() and not folder.is_dir():
        raise Refusal(f"`{folder}` is a file: give the name of a new folder")
    if folder.exists() and any(folder.iterdir()):
        raise Refusal(f"`{folder}` is there already and not empty: give the name of a new folder")
    if empty:
        from netdsl.starting.empty_plant import empty_plant

        _write(folder, empty_plant(f"{' '.join(folder.resolve().name.split())}: an empty plant"))
        return 0
    listed = _listed(motors)
    exchanged = () if signals is None or listed is None else _exchanged(signals, listed)
    if listed is None or exchanged is None:
        return 2
    with step("choosing parts and sizes"):
        from netdsl.starting import settle

        title = f"{folder.resolve().name}: first draft{f' from {motors.name}' if motors else ''}"
        settled = settle(listed, " ".join(title.split()), exchanged)
    if any(finding.severity is Severity.ERROR for finding in settled.findings):
        for line in text_report(settled.findings, False):
            click.echo(line)
        raise Refusal("a fault in netdsl itself: the draft cannot be read, nothing was written")
    _write(folder, settled)
    return 0


def _listed(path: Path | None) -> tuple[Motor, ...] | None:
    """The motors of a list; None where it has faults, which are then printed, all of them."""
    from netdsl.starting import read_motor_list

    motors, findings = read_motor_list(STARTER if path is None else _text(path), str(path or "starter"))
    return motors if _is_sound(findings) else None


def _exchanged(path: Path, motors: tuple[Motor, ...]) -> tuple[Signal, ...] | None:
    """The signals of a list; None where it has faults, which are then printed, all of them."""
    from netdsl.starting import read_io_list

    signals, findings = read_io_list(_text(path), str(path), motors)
    return signals if _is_sound(findings) else None


def _text(path: Path) -> str:
    """A list as text, of a workbook its first sheet."""
    from netdsl.starting import NoWorkbook, text_of
    from netdsl.starting.workbook import ENDING, MAX_BYTES

    try:
        return text_of(path) if path.suffix.lower() == ENDING else read_plain(path, MAX_BYTES).decode("utf-8-sig")
    except NoWorkbook as error:
        raise Refusal(f"`{path}` cannot be read: {error}") from error
    except OSError as error:
        raise Refusal(f"`{path}` cannot be read: {reason_of(error)}") from error
    except UnicodeDecodeError as error:
        raise Refusal(f"`{path}` is not UTF-8 text: save it as UTF-8") from error


def _is_sound(findings: Iterable[Finding]) -> bool:
    """Whether a list has no fault; what is said of it is printed."""
    said = tuple(findings)
    for line in text_report(said, False):
        click.echo(line)
    if any(finding.severity is Severity.ERROR for finding in said):
        click.echo("netdsl: nothing was written", err=True)
        return False
    return True


def _write(folder: Path, settled: Settled) -> None:
    """Write everything beside the folder, check it, and move it into place."""
    from netdsl.starting.narrowing import narrowed

    folder.parent.mkdir(parents=True, exist_ok=True)
    beside = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", dir=folder.resolve().parent))
    try:
        draft = settled.draft
        for name, text in draft.texts.items():
            (beside / name).write_text(text, "utf-8", newline="\n")
        findings = judge(beside / "plant.netdsl").findings
        open_ones = tuple(f"{finding.rule}: {finding.message}; remedy: {finding.remedy}" for finding in findings)
        head = "".join(narrowed(f"#   - {line}\n") for line in open_ones)
        plant = (
            draft.texts["plant.netdsl"].replace("\n\nnetdsl 1\n", f"\n{head}\nnetdsl 1\n", 1)
            if head
            else draft.texts["plant.netdsl"]
        )
        (beside / "plant.netdsl").write_text(plant, "utf-8", newline="\n")
        _move(beside, folder)
    except BaseException:
        shutil.rmtree(beside, ignore_errors=True)
        raise
    _say(folder, replace(settled, draft=replace(draft, decisions=(*draft.decisions, *open_ones))))


def _move(beside: Path, folder: Path) -> None:
    """Put `beside` in the place of `folder`; into it where it is there, as somebody may work in it. All of it or nothing."""
    if not folder.exists():
        beside.chmod(0o755)
        beside.replace(folder)
        return
    moved = list[Path]()
    try:
        for file in sorted(beside.iterdir()):
            moved.append(file.replace(folder / file.name))
    except BaseException:
        for file in moved:
            file.unlink(missing_ok=True)
        raise
    beside.rmdir()


def _say(folder: Path, settled: Settled) -> None:
    from netdsl.starting.plant_texts import CAUTIONS

    draft = settled.draft
    click.echo(f"{folder} written: {', '.join(draft.texts)}")
    for title, lines in (("Assumed; decide each:", draft.assumed), ("The designer must still decide:", draft.decisions)):
        click.echo(f"\n{title}")
        for line in lines:
            click.echo(f"  - {line}")
    click.echo("\n" + "\n".join(CAUTIONS))
