"""The shipped examples read, calculated, checked and drawn once in a process, for the many tests that only look at them."""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path

from msgspec.structs import replace

from netdsl.calc import Calculation
from netdsl.cli.work import PLANT_FILE, Judged, judge
from netdsl.findings import Finding
from netdsl.model import read_plant
from netdsl.model.plant import Plant
from netdsl.network.types import Network
from render.build import drawing_set
from render.drawing import Draw, Drawing, members
from render.sheet import Sheet

EXAMPLES = Path(__file__).parent.parent / "examples"
HATCHERY = EXAMPLES / "hatchery" / "plant.netdsl"
#: the file of what a text continues
FRAME_FILE = "frame.netdsl"
#: the plants that a newcomer looks at, without the fault plants
PLANTS = tuple(sorted(EXAMPLES.glob("*/plant.netdsl")))


@cache
def judged(plant: Path) -> Judged:
    """What `check` makes of `plant`, a file that no test changes."""
    return judge(plant)


@lru_cache(maxsize=32)
def judged_text(text: str, frame: str = "") -> Judged:
    """What `check` makes of a plant of one file that holds `text`, without that file. The last ones are kept, for tests that
    stand beside each other and look at the same text. `frame`: as of `read_text`."""
    file, texts = _file(text, frame)
    return judge(file, instead=texts)


def read_text(text: str, frame: str = "") -> tuple[Plant | None, tuple[Finding, ...]]:
    """A plant of one file that holds `text`, without that file. `frame`: what the text continues, the same for many; it stands in
    a file of its own before it, which is parsed once."""
    return read_plant(*_file(text, frame))


def _file(text: str, frame: str) -> tuple[Path, dict[str, str]]:
    """A plant's file, and the texts of all of its files."""
    if not frame:
        return Path(PLANT_FILE), {PLANT_FILE: text}
    whole = f'netdsl 1\ninclude "{FRAME_FILE}"\ninclude "{PLANT_FILE}"\n'
    return Path("whole.netdsl"), {"whole.netdsl": whole, FRAME_FILE: frame, PLANT_FILE: text}


def network_of(plant: Path) -> Network:
    """The network of `plant`; it must be one."""
    network = judged(plant).network
    assert network is not None
    return network


def calculation_of(plant: Path) -> Calculation:
    """The calculation of `plant`; there must be one."""
    calculation = judged(plant).calculation
    assert calculation is not None
    return calculation


@cache
def drawing_of(plant: Path) -> Drawing:
    """`plant` as it is drawn, with its findings."""
    found = judged(plant)
    return Drawing(network_of(plant), found.findings, found.calculation)


def on_size(drawing: Drawing, size: str) -> Drawing:
    """The same plant on sheets of a size, with what is calculated of it, which no size changes; the same drawing where it is of
    that size."""
    plant = drawing.plant
    if drawing.size == size:
        return drawing
    project = replace(plant.project, attributes={**plant.project.attributes, "sheet-size": size})
    network = replace(drawing.network, plant=replace(plant, project=project))
    return type(drawing)(network, drawing.findings, drawing.calculation)


class Unlinked(Drawing):
    """A plant whose sheets do not say which other sheet shows a thing, for tests that look at one kind of them: to plan circuit
    diagrams, device sheets and terminal drawings for these links takes longer than to draw, say, a single-line diagram."""

    def key_of(self, _identity: str) -> str:
        """None is looked for."""
        return ""


@cache
def small_drawing_of(plant: Path) -> Drawing:
    """`plant` as it is drawn on sheets A4, with its findings."""
    return on_size(drawing_of(plant), "A4")


def sized(plant: Path, size: str) -> Drawing:
    """`plant` as it is drawn on sheets of a size, with its findings; one drawing for all tests that only look at it."""
    return small_drawing_of(plant) if size == "A4" else on_size(drawing_of(plant), size)


def drawn_by(draw: Draw, drawing: Drawing) -> tuple[Sheet, ...]:
    """The sheets of one kind, without frames, drawn once for all tests that look at a drawing, and for its set."""
    return drawing.drawn(next(member for member in members() if member.draw is draw))


@cache
def sheets_of(plant: Path) -> tuple[Sheet, ...]:
    """The drawing set of `plant`."""
    return drawing_set(drawing_of(plant))
