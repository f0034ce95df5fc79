"""The plants that tests of drawings share, each read and drawn once in a process."""

from __future__ import annotations

from pathlib import Path

from netdsl.model import read_plant
from netdsl.network import Network, build_network
from render.drawing import Drawing
from render.drawings.device_sheets import device_sheets
from render.drawings.terminals import terminal_sheets
from render.sheet import Label, Sheet
from tests.readings import drawing_of, drawn_by

ROOT = Path(__file__).parents[2]
#: folders of the examples, those of single faults left out
EXAMPLES = sorted(path.parent for path in (ROOT / "examples").glob("*/plant.netdsl"))
HATCHERY = ROOT / "examples" / "hatchery"


def drawing_in(folder: Path, text: str = "") -> Drawing:
    """The plant in a folder, written there first where a text is given; it must give a plant."""
    if text:
        (folder / "plant.netdsl").write_text(text, encoding="utf-8")
    plant, _ = read_plant(folder)
    assert plant is not None
    return Drawing(build_network(plant)[0])


def example(folder: Path) -> Drawing:
    """An example."""
    return drawing_of(folder / "plant.netdsl")


def devices(folder: Path) -> tuple[Sheet, ...]:
    """The device sheets of an example."""
    return drawn_by(device_sheets, example(folder))


def terminals(folder: Path) -> tuple[Sheet, ...]:
    """The terminal drawings of an example."""
    return drawn_by(terminal_sheets, example(folder))


def network_of(folder: Path) -> Network:
    """The network of an example."""
    return example(folder).network


def labels(*sheets: Sheet) -> list[Label]:
    """The texts on sheets."""
    return [part for sheet in sheets for part in sheet.primitives if isinstance(part, Label)]


def texts(*sheets: Sheet) -> list[str]:
    """What is written on sheets."""
    return [label.text for label in labels(*sheets)]
