"""A slice of a plant: the pieces that were edited, what they name, what names them, lands beside them and feeds them; and what it
changes.

Rules look at whole plants. To say at once what an edit brings, the slice is judged before and after it as if it were the plant,
and what the two differ by is laid over what was found in the whole plant before: whatever is wrong with a slice for being one is
wrong with both, and drops out. What holds for the whole plant alone, as the heat of an enclosure, is told when that was judged.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from netdsl.findings import Finding
from netdsl.model.build import plant_of
from netdsl.model.files import Texts
from netdsl.network import build_network
from netdsl.network.types import Network
from netdsl.serving.naming import declared, everywhere, may_mean, mentioned, terminals_in, words_of
from netdsl.serving.pieces import Piece
from netdsl.syntax import tree

#: characters of text up to which a slice takes in more than what the edited pieces name: judging takes 4 ms for a thousand
_MOST = 5_000
#: conductors of a net that is followed; more are those of a supply for many functions
_SMALL = 12
_ANY = 1 << 40
#: characters of a piece, such as a strip, that is taken in because a wire of the slice lands on it
_SHORT = 600


class Index:
    """The pieces of a plant by what they declare and mention."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        self.pieces = pieces
        self.by_name: dict[str, list[Piece]] = {}
        for piece in pieces:
            for name in declared(piece):
                self.by_name.setdefault(name, []).append(piece)

    def needed_by(self, piece: Piece, first: frozenset[str] = frozenset()) -> Iterator[Piece]:
        """Pieces that declare what a piece mentions, those of `first` before others, other parts of its functions too."""
        words = set(mentioned(piece)) | declared(piece)
        for word in (*sorted(words & first), *sorted(words - first)):
            for name in may_mean(word):
                yield from self.by_name.get(name, ())

    def users_of(self, names: frozenset[str]) -> Iterator[Piece]:
        """Pieces that mention one of `names`, by its whole name or as it is written in its function."""
        if not names:
            return
        short = names | {name[name.index("-") :] for name in names if name.startswith("=") and "-" in name}
        functions = {name.partition("-")[0] for name in names if name.startswith("=")}
        for piece in self.pieces:
            found = mentioned(piece) & short
            if found & names or (found and functions & declared(piece)):
                yield piece


def slice_of(edited: Sequence[Piece], gone: Sequence[Piece], index: Index, network: Network | None) -> list[Piece]:
    """The pieces, in order of text, with which `edited` ones are judged. `gone`: what was there before them; `network`: the plant
    as it was last connected. What the lines name that differ comes first."""
    names = frozenset().union(*map(declared, edited), *map(declared, gone))
    before = {line for piece in gone for line in piece.source.text.splitlines()}
    lines = "\n".join(line for piece in edited for line in piece.source.text.splitlines() if line not in before)
    first = words_of(lines)
    chosen: dict[int, Piece] = {id(piece): piece for piece in edited}
    size = 0

    def take(pieces: Iterable[Piece], most: int = _MOST) -> list[Piece]:
        nonlocal size
        taken = []
        for piece in pieces:
            length = len(piece.source.text)
            if id(piece) not in chosen and size + length <= most:
                chosen[id(piece)] = piece
                size += 0 if _is_ground(piece) else length
                taken.append(piece)
        return taken

    needed = [other for piece in (*edited, *gone) for other in index.needed_by(piece, first)]
    take((other for other in needed if _is_ground(other)), _ANY)
    near = [*edited, *take((other for other in needed if not _is_ground(other)), 2 * _MOST)]
    if network is not None:
        own = {id(piece.source): piece for piece in index.pieces}
        near += take((own[mark] for mark in _beside(network, edited, lines) if mark in own), 2 * _MOST)
        near += take(own[mark] for mark in _behind(network, near) if mark in own)
    near += take(index.users_of(names))
    _close(chosen, index)
    chosen.update((id(piece), piece) for piece in index.pieces if _is_default(piece, chosen, index))
    _close(chosen, index)
    _prune(chosen, {id(piece) for piece in (*edited, *needed)}, index)
    for piece in index.pieces:
        if everywhere(piece) or _says_of(piece, chosen, index):
            chosen[id(piece)] = piece
    return [piece for piece in index.pieces if id(piece) in chosen]


def _close(chosen: dict[int, Piece], index: Index) -> None:
    """Take in what chosen pieces name: what others stand on, and short declarations, without which a wire would be a mistake."""
    size = 0
    pending = list(chosen.values())
    while pending:
        for other in index.needed_by(pending.pop()):
            length = len(other.source.text)
            ground = _is_ground(other)
            if id(other) in chosen or not (ground or (length <= _SHORT and size + length <= _MOST)):
                continue
            size += 0 if ground else length
            chosen[id(other)] = other
            pending.append(other)


def _prune(chosen: dict[int, Piece], kept: set[int], index: Index) -> None:
    """Leave out again, but for those `kept`, pieces that name what the plant has and the slice has not, and so on: what they join
    would not be judged."""
    while lost := [mark for mark, piece in chosen.items() if mark not in kept and _lacks(piece, chosen, index)]:
        for mark in lost:
            del chosen[mark]


def _lacks(piece: Piece, chosen: dict[int, Piece], index: Index) -> bool:
    if _is_ground(piece):
        return False
    own = declared(piece)
    short = {name[name.index("-") :] for name in own if name.startswith("=") and "-" in name}
    names = (word for word in mentioned(piece) - own - short if word[0] in "=+-")
    return any(found and not any(id(owner) in chosen for owner in found) for found in map(index.by_name.get, names))


def _is_ground(piece: Piece) -> bool:
    """Whether a piece is what others stand on and costs little: places, routes, parts and schemes."""
    return all(
        isinstance(each, tree.Part | tree.Scheme) or (isinstance(each, tree.Declaration) and each.keyword in ("place", "route"))
        for each in piece.tree.statements
    )


def _is_default(piece: Piece, chosen: dict[int, Piece], index: Index) -> bool:
    """Whether a piece says how wires are where the slice has some, whatever ways it names."""
    if not piece.tree.statements or not all(isinstance(each, tree.Defaults) for each in piece.tree.statements):
        return False
    places = [owner for word in mentioned(piece) if word.startswith("+") for owner in index.by_name.get(word, ())]
    return not places or any(id(owner) in chosen for owner in places)


def _says_of(piece: Piece, chosen: dict[int, Piece], index: Index) -> bool:
    """Whether a piece says something of things that are all in the slice: defaults, relations, exceptions, settings."""
    said = (
        tree.Defaults,
        tree.Relation,
        tree.Layout,
        tree.Allow,
        tree.Setting,
        tree.Fit,
        tree.Connect,
        tree.Interlock,
        tree.Remark,
    )
    more = (tree.Twin, tree.Teeth, tree.Channel, tree.Couple, tree.Earthing, tree.PotentialName)
    if not piece.tree.statements or not all(isinstance(each, (*said, *more)) for each in piece.tree.statements):
        return False
    owners = [owner for word in mentioned(piece) for owner in index.by_name.get(word, ())]
    return all(id(owner) in chosen for owner in owners)


def _beside(network: Network, edited: Iterable[Piece], lines: str) -> Iterator[int]:
    """Marks of the sources with what lands on the terminals that `lines` of `edited` pieces name, however large their nets."""
    for piece in edited:
        for node in terminals_in(lines, declared(piece)):
            for wire in network.at_terminal.get(node, ()):
                yield id(network.plant.conductors[wire].span.source)


def _behind(network: Network, pieces: Iterable[Piece]) -> Iterator[int]:
    """Marks of the sources with what feeds the things of `pieces`, what earths them, and what shares their small nets."""
    import networkx as nx

    marks = {id(piece.source) for piece in pieces}
    plant, power, earth = network.plant, network.power.graph, network.earth
    devices = [device.id for device in plant.devices.values() if id(device.span.source) in marks]
    names: dict[str, None] = {}
    wires: dict[str, None] = {}
    pending = [name for name in devices if name in power]
    while pending:
        name = pending.pop()
        for feeder in power.pred[name]:
            wires.update(dict.fromkeys((*power.edges[feeder, name]["conductors"],)))
            if feeder not in names:
                names[feeder] = None
                pending.append(feeder)
    for name in (*devices, *names):
        node = earth.node_of.get(name)
        if node is None or earth.root is None or not nx.has_path(earth.graph, node, earth.root):
            continue
        way = nx.shortest_path(earth.graph, node, earth.root)
        for one, other in pairwise(way):
            wires.update(dict.fromkeys(earth.graph.edges[one, other]["conductors"]))
            names.update(dict.fromkeys(earth.graph.nodes[other]["node"].members))
    for name in devices:
        for terminal in plant.devices[name].terminals:
            net = network.net(f"{name}:{terminal}")
            for potential in net.certain if net is not None else ():
                names[potential.device] = None
            if net is not None and len(net.conductors) <= _SMALL:
                wires.update(dict.fromkeys(net.conductors))
    for wire in wires:
        conductor = plant.conductors[wire]
        yield id(conductor.span.source)
        names.update(dict.fromkeys(end.device for end in conductor.ends))
    for name in names:
        thing = plant.devices.get(name) or plant.places.get(name)
        if thing is not None:
            yield id(thing.span.source)


class Judged(NamedTuple):
    """A slice judged: how many findings there are of each kind and text, and one of each."""

    counts: Counter[tuple[object, ...]]
    findings: dict[tuple[object, ...], Finding]

    @property
    def loosely(self) -> Counter[tuple[str, str]]:
        """How many there are of each rule about each thing."""
        found: Counter[tuple[str, str]] = Counter()
        for mark, count in self.counts.items():
            found[loosely(self.findings[mark])] += count
        return found


def judge_slice(pieces: Sequence[Piece], today: str | None) -> Judged:
    """What is found in `pieces` as if they were a plant, what is wrong with their writing included."""
    import lint

    texts = Texts(
        [piece.tree for piece in pieces if piece.tree.statements], [each for piece in pieces for each in piece.findings], True
    )
    found: list[Finding] = []
    if texts.trees:
        plant, reading = plant_of(texts)
        found += reading
        if plant is not None:
            network, joining = build_network(plant)
            found += joining
            found += lint.verdict(network, today).findings
    else:
        found += texts.findings
    keyed = {key(finding): finding for finding in reversed(found)}
    return Judged(Counter(key(finding) for finding in found), keyed)


def key(finding: Finding) -> tuple[object, ...]:
    """What a finding is known by in two states of a text: its rule and subjects, for its words have figures that move with all
    else; one without subjects, by its words."""
    return (finding.rule, finding.severity, finding.subjects or finding.message, finding.allowed is None)


def loosely(finding: Finding) -> tuple[str, str]:
    """What stays of a finding where others of its subjects come or go."""
    return finding.rule, finding.subjects[0] if finding.subjects else ""
