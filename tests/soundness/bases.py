"""Plants to damage, and edits of single statements of their text, found through what the text declares."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from netdsl.cli.work import connect
from netdsl.findings import Span
from netdsl.model.plant import Cable, Conductor, Device, Plant
from netdsl.network.types import ConductorClass, Network

HERE = Path(__file__).parent.parent.parent
EXAMPLES = HERE / "examples"


@dataclass(frozen=True)
class Edit:
    """`new` in place of the characters `start` to `end` of a file (a path within the plant's folder)."""

    file: str
    start: int
    end: int
    new: str


@dataclass(frozen=True)
class Damage:
    """What was done in words, its edits, and what the finding has to be about: one of `about` among its subjects. `plant`: what
    became of the plant where it was changed after reading."""

    what: str
    edits: tuple[Edit, ...]
    about: frozenset[str]
    plant: Plant | None = None


@dataclass
class Base:
    """A plant that nothing is wrong with."""

    name: str
    folder: Path
    file: str = "plant.netdsl"
    texts: dict[str, str] = field(default_factory=dict)

    @cached_property
    def network(self) -> Network:
        found = connect(self.folder / self.file)
        assert found.network is not None
        return found.network

    @property
    def plant(self) -> Plant:
        return self.network.plant

    # --- what stands in the plant's own text ------------------------------------------------------------------------
    def own(self, span: Span) -> bool:
        """Whether a span lies in a file of this plant."""
        return self.text(span.source.path) == span.source.text

    def text(self, file: str) -> str:
        """What one of its files holds, "" where it has none of that name."""
        if file not in self.texts:
            path = self.folder / file
            self.texts[file] = path.read_text("utf-8") if path.exists() else ""
        return self.texts[file]

    @cached_property
    def conductors(self) -> tuple[Conductor, ...]:
        """Those written in the plant itself, not by a scheme."""
        return tuple(c for c in self.plant.conductors.values() if c.use is None and self.own(c.span))

    @cached_property
    def cables(self) -> tuple[Cable, ...]:
        """The same for cables."""
        return tuple(c for c in self.plant.cables.values() if c.use is None and self.own(c.span))

    @cached_property
    def devices(self) -> tuple[Device, ...]:
        """The same for devices."""
        return tuple(d for d in self.plant.devices.values() if d.use is None and self.own(d.whole))

    def klass(self, conductor: Conductor) -> ConductorClass:
        """What a conductor carries."""
        return self.network.runs[conductor.id].klass

    def beside(self, conductor: Conductor) -> list[Conductor]:
        """All conductors of its statement."""
        return [
            c
            for c in self.conductors
            if c.span.source.path == conductor.span.source.path and c.span.start == conductor.span.start
        ]

    # --- edits ----------------------------------------------------------------------------------------------------------
    def remove(self, conductor: Conductor) -> Edit:
        """Without this conductor."""
        return self.rewritten(conductor, None, None)

    def remove_all(self, conductor: Conductor) -> Edit:
        """Without the whole statement of a wire."""
        return Edit(conductor.span.source.path, conductor.span.start, conductor.span.end, "")

    def moved(self, conductor: Conductor, end: int, to: str) -> Edit:
        """With one end at another terminal."""
        ends = [said(each) for each in conductor.ends]
        ends[end] = to
        return self.rewritten(conductor, (ends[0], ends[1]), None)

    def thinner(self, conductor: Conductor, size: float) -> Edit:
        """A wire of another section."""
        return self.rewritten(conductor, (said(conductor.ends[0]), said(conductor.ends[1])), size)

    def coloured(self, conductor: Conductor, colour: str) -> Edit:
        """A wire of another colour."""
        return self.rewritten(conductor, (said(conductor.ends[0]), said(conductor.ends[1])), None, colour)

    def rewritten(self, conductor: Conductor, ends: tuple[str, str] | None, size: float | None, colour: str = "") -> Edit:
        span = conductor.span
        if conductor.cable:
            new = f"{conductor.core} {ends[0]} to {ends[1]}" if ends else ""
            return Edit(span.source.path, span.start, span.end, new)
        beside = self.beside(conductor)
        tail = span.source.text[max(each.ends[1].span.end for each in beside) : span.end]
        lines = []
        for number, each in enumerate(beside):
            own = _one_of(tail, number, len(beside))
            if each.id != conductor.id:
                lines.append(f"wire {said(each.ends[0])} to {said(each.ends[1])}{own}")
            elif ends:
                mine = own
                if size is not None:
                    mine = re.sub(r" *\b[\d.]+mm2", "", mine)
                    mine = f" {size:g}mm2{mine}"
                if colour:
                    mine = re.sub(r" *\b(BK|BN|RD|OG|YE|GN|BU|DBU|VT|GY|WH|PK|TQ|GNYE)\b", "", mine)
                    mine = f"{mine} {colour}" if "along" not in mine and "length" not in mine else f" {colour}{mine}"
                lines.append(f"wire {ends[0]} to {ends[1]}{mine}")
        return Edit(span.source.path, span.start, span.end, "\n".join(lines))

    def valued(self, thing: Device | Cable, **values: str) -> Edit:
        """A device's or cable's statement with these values in place of its own."""
        whole = thing.whole
        text = whole.text.split("\n", 1)[0]
        brace = text.rstrip().endswith("{")
        text = text.rstrip().removesuffix("{").rstrip()
        text, hash_, comment = text.partition("  #")
        for name, value in values.items():
            key = name.replace("_", "-")
            text = re.sub(rf" {key} ?= ?\S+", "", text)
            if value:
                text += f" {key}={value}"
        first = whole.text.split("\n", 1)[0]
        return Edit(whole.source.path, whole.start, whole.start + len(first), text + (" {" if brace else "") + hash_ + comment)

    def replaced(self, span: Span, pattern: str, new: str) -> Edit | None:
        """The first match of a pattern within a span replaced."""
        match = re.search(pattern, span.text)
        if match is None:
            return None
        return Edit(span.source.path, span.start + match.start(), span.start + match.end(), new)

    def added(self, line: str) -> Edit:
        """A line more, at the end of the text."""
        length = len(self.text(self.file))
        return Edit(self.file, length, length, f"\n{line}\n")

    def edited(self, edits: Iterable[Edit]) -> dict[str, str]:
        """The texts of the damaged files, by file."""
        texts: dict[str, str] = {}
        for edit in sorted(edits, key=lambda each: -each.start):
            text = texts.get(edit.file) or self.text(edit.file)
            texts[edit.file] = text[: edit.start] + edit.new + text[edit.end :]
        return texts


def _one_of(tail: str, number: int, count: int) -> str:
    """What stands behind the ends of several wires, for one of them: of lists with a value for each its own."""

    def own(match: re.Match[str]) -> str:
        values = match[0].split(",")
        return values[number] if len(values) == count else match[0]

    return re.sub(r"(?<=[ ])[\w.]+(?:,[\w.]+)+|(?<=length=)[\w.]+(?:,[\w.]+)+", own, tail)


def said(end: object) -> str:
    """An end as it may be written anywhere."""
    return f"{end.id}{'/' + end.side if end.side else ''}"  # type: ignore[attr-defined]


def examples() -> Iterator[Base]:
    """The examples of the project."""
    for file in sorted(EXAMPLES.glob("*/plant.netdsl")):
        yield Base(file.parent.name, file.parent)


def by_chance(seeds: Iterable[int], folder: Path) -> Iterator[Base]:
    """Sound plants of the generator, written to folders of their own."""
    from tests.soundness.plants import sound_plant

    for seed in seeds:
        home = folder / f"sound-{seed}"
        home.mkdir(parents=True, exist_ok=True)
        (home / "plant.netdsl").write_text(sound_plant(seed), "utf-8")
        yield Base(f"sound-{seed}", home)
