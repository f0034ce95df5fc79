"""Words at the conductors of a circuit diagram: what wires usually are, said once on a sheet, and what of each is otherwise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from math import inf

from msgspec import Struct

from netdsl.kept import kept
from netdsl.network.types import ConductorClass, Network
from render.drawings.circuit_groups import COUNTER, Group
from render.drawings.circuit_homes import Mention
from render.drawings.circuit_ranks import Circuit
from render.drawings.circuit_words import Words
from render.layout.columns import broken, words
from render.layout.fonts import widest
from render.words.terminals import section_text

#: classes of conductors that belong to power
POWER = frozenset({ConductorClass.MAINS, ConductorClass.MOTOR})


#: an end of a part, what is said there, and of what
Said = tuple[tuple[str, int, bool], str, str]


class Usual(Struct, frozen=True):
    """What wires of a group are where nothing is said: section and colour by "power", "control", "earth"."""

    wires: Mapping[str, tuple[float | None, str | None]]

    def words(self) -> str:
        """As stated on a sheet."""
        said = [
            f"{kind} {text}"
            for kind, (section, colour) in self.wires.items()
            if (text := " ".join(part for part in (f"{section:g} mm²" if section else "", colour or "") if part))
        ]
        return f"Wires where nothing is said: {', '.join(said)}." if said else ""


class Wires:
    """The conductors of one group. `usual`: what they are where nothing is said."""

    def __init__(self, network: Network, group: Group, looks: Words) -> None:
        self.network = network
        self.group = group
        self.looks = looks
        self.usual = self._usual()
        self._own = {link.key for link in group.links if link.kind != "counter"}

    def _kind(self, name: str) -> str:
        run = self.network.runs[name]
        if run.klass == ConductorClass.EARTH:
            return "earth"
        return "power" if run.klass in POWER else "control"

    def _usual(self) -> Usual:
        counts: dict[str, Counter[tuple[float | None, str | None]]] = {kind: Counter() for kind in ("power", "control", "earth")}
        for link in self.group.links:
            run = self.network.runs.get(link.key)
            if run is not None and run.conductor.cable is None and not run.conductor.is_tooth:
                counts[self._kind(link.key)][run.section_mm2, run.colour] += 1
        return Usual({kind: counted.most_common(1)[0][0] for kind, counted in counts.items() if counted})

    @kept
    def _label(self, key: str, kind: str) -> str:
        """What is said of a link. Of what a reference names it is said once in a group, but again in another: what wires usually
        are there may differ."""
        name = _conductor(key)
        if kind == "counter" and name in self._own:
            return ""
        run = self.network.runs.get(name)
        if run is None:
            return {"bridge": "bridge", "plug": "plug"}.get(kind, "")
        conductor = run.conductor
        if conductor.cable:
            said = f"{self.looks.names.of(conductor.cable)} {conductor.core}"
        else:
            usual = self.usual.wires.get(self._kind(name))
            plain = usual == (run.section_mm2, run.colour) or conductor.is_tooth
            said = "" if plain else " ".join(text for text in (section_text(run), run.colour or "") if text)
            said = "comb" if conductor.is_tooth else said
        return " ".join(text for text in (conductor.mark or "", said) if text)

    def labels(self, circuit: Circuit) -> dict[tuple[str, int, bool], list[Mention]]:
        """Words at the ends, each on one line."""
        return within(self.said(circuit), inf)

    def said(self, circuit: Circuit) -> list[Said]:
        """What is said of each link: at the end where fewest lines meet, with where its line leads where several meet."""
        counts: Counter[tuple[str, int, bool]] = Counter()
        for pair in circuit.ends.values():
            counts.update((end.part, end.way, end.top) for end in pair)
        found: list[Said] = []
        for link in circuit.links:
            text = self._label(link.key, link.kind)
            if not text:
                continue
            ends = [(end.part, end.way, end.top) for end in circuit.ends[link.key]]
            number = min((0, 1), key=lambda n: (counts[ends[n]], circuit.parts[ends[n][0]].kind == "rail", n))
            if counts[ends[number]] > 1:
                text += f" → {self._short(link.ends[1 - number][1])}"
            # of what is no conductor, as a bridge, the device at whose end it stands
            name = _conductor(link.key)
            of = name if name in self.network.runs else ""
            found.append((ends[number], text, of))
        return found

    def _short(self, node: str) -> str:
        owner, _, name = node.rpartition(":")
        return f"{self.looks.names.of(owner)}:{name}"


def within(said: Iterable[Said], reach: float) -> dict[tuple[str, int, bool], list[Mention]]:
    """Words at the ends in lines no wider than `reach` mm where no word is."""
    found: dict[tuple[str, int, bool], list[Mention]] = {}
    for end, text, of in said:
        lines = broken(text, max(reach, widest(words(text, united=True))), united=True)
        found.setdefault(end, []).extend(Mention(line, of=of) for line in lines)
    return found


def _conductor(key: str) -> str:
    """The conductor of a link, of that too which is drawn where a reference names it."""
    return key.partition(COUNTER)[0]
