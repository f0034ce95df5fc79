"""The desk: the last state of a plant, and of its sheets whatever need not be made anew.

What is kept is what a Sheet came to, by the digest of all that is drawn on it. Files of a sheet depend on the Sheet alone, so
that what is kept under a digest is right as long as the program runs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from hashlib import sha256

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from netdsl.calc import Calculation
from netdsl.collector import collector_paused
from netdsl.findings import Extent, Finding
from netdsl.model.files import is_shipped
from netdsl.network.types import Network
from netdsl.viewing.hits import Hits, hits_of
from netdsl.viewing.shown import Page, Shown, Text, placed, said_of
from netdsl.viewing.things import Texts, name_among, things_of
from render.build import drawing_set
from render.drawing import Drawing
from render.sheet import Sheet
from render.writers.svg import svg_bytes


class Reading(Struct, frozen=True):
    """A plant as it was read. `network`: None where there is no plant to draw; `checked`: all of the text could be read."""

    network: Network | None
    findings: tuple[Finding, ...]
    checked: bool
    calculation: Calculation | None = None
    extent: Extent | None = None


class Drawn:
    """A sheet with its files, made when they are first asked for."""

    def __init__(self, sheet: Sheet, version: str) -> None:
        self._sheet = sheet
        self.page = Page(sheet.key, sheet.number, sheet.title, sheet.kind, sheet.part_of, sheet.about, sheet.size, version)

    @cached_property
    def svg(self) -> bytes:
        """The sheet as SVG, with its font: a picture in a page loads nothing else."""
        return svg_bytes(self._sheet, standalone=True)

    @cached_property
    def hits(self) -> Hits:
        """What a click on it may mean."""
        return hits_of(self._sheet)


class State(Struct, frozen=True):
    """One state of the desk: what it `shown`s, the `sheets` by their keys, the `texts` in the order of their numbers."""

    shown: Shown
    sheets: Mapping[str, Drawn]
    texts: tuple[str, ...]


NOTHING = State(Shown(0, "", "nothing was read yet", True, (), (), {}, {}, ()), {}, ())


class Desk:
    """Takes each reading of a plant, and keeps the sheets that did not change since the last. `link`, `root`: as of `Shown`."""

    def __init__(self, link: str = "", root: str = "") -> None:
        self._link, self._root = link, root
        self._kept: dict[str, Drawn] = {}  # by version
        self.state = NOTHING

    def take(self, reading: Reading) -> State:
        """The state that a reading gives. Where it gives no plant, the last sheets stand as old ones, with what was found."""
        with collector_paused():
            self.state = self._drawn(reading) if reading.network is not None else self._left(reading)
        return self.state

    def read(self, read: Callable[[], Reading]) -> State:
        """As `take` of what `read` gives; a fault of the program leaves the last sheets, and is said."""
        try:
            return self.take(read())
        except Exception as fault:  # whoever looks at the sheets must learn that they are old, and the next state may be drawn
            said = f"a fault in netdsl itself, nothing can be concluded: {type(fault).__name__}: {fault}"
            old = self.state.shown
            shown = replace(old, number=old.number + 1, trouble=said, old=True)
            self.state = replace(self.state, shown=shown)
            return self.state

    def _drawn(self, reading: Reading) -> State:
        network = reading.network
        assert network is not None
        drawing = Drawing(network, reading.findings, reading.calculation, reading.extent)
        sheets = [self._known(sheet) for sheet in drawing_set(drawing)]
        self._kept = {each.page.version: each for each in sheets}
        texts = Texts()
        things = things_of(network, texts)
        called: dict[str, str] = {}
        on: list[list[str]] = []
        for sheet in sheets:
            for name in sheet.hits.names:
                if name not in things and name not in called:
                    called[name] = name_among(things, name)
            on.append([each for each in (called.get(name, name) for name in sheet.hits.names) if each])
        pages = tuple(each.page for each in sheets)
        findings = said_of(reading.findings, texts, things)
        shown = Shown(
            self.state.shown.number + 1,
            network.plant.project.title,
            "" if reading.checked else "the text has errors: what they are about is missing or wrong on the sheets",
            False,
            pages,
            findings,
            placed(things, pages, on, drawing.key_of),
            {name: of for name, of in called.items() if of},
            self._listed(texts),
            self._link,
            self._root,
        )
        return State(shown, {each.page.key: each for each in sheets}, tuple(source.text for source in texts.sources))

    def _known(self, sheet: Sheet) -> Drawn:
        """What is kept of a sheet that is drawn as before, else one anew."""
        version = sha256(msgspec.json.encode(sheet)).hexdigest()
        return self._kept.get(version) or Drawn(sheet, version)

    def _left(self, reading: Reading) -> State:
        """The last sheets, with the findings of a text that gives no plant; lines of a text that is no more lead nowhere."""
        texts = Texts()
        findings = said_of(reading.findings, texts, {})
        trouble = "the text gives no plant to draw" + (f": {findings[0].message}" if findings else "")
        shown = replace(
            self.state.shown,
            number=self.state.shown.number + 1,
            trouble=trouble,
            old=True,
            findings=findings,
            things={name: replace(each, lines=()) for name, each in self.state.shown.things.items()},
            texts=self._listed(texts),
            link=self._link,
            root=self._root,
        )
        return State(shown, self.state.sheets, tuple(source.text for source in texts.sources))

    def _listed(self, texts: Texts) -> tuple[Text, ...]:
        return tuple(Text(source.path, is_shipped(source)) for source in texts.sources)
