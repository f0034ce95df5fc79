"""A circuit that is too wide for a sheet laid out in less width: closer, with words below each other."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from render.drawings.circuit_columns import columns
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_looks import Labels, Looks, Remembered
from render.drawings.circuit_ordered import Ordered
from render.drawings.circuit_wires import Wires, within

#: of words at conductors, mm: tried one after the other
_REACHES = (inf, 60.0, 45.0, 30.0, 20.0, 12.0)
_WORDS = 24.0, 20.5, 17.5  # of words beside symbols, mm


class Narrower:
    """The ways in which a circuit stands in less width, none laid out before it is asked for."""

    def __init__(self, layout: Layout, looks: Looks, wires: Wires) -> None:
        circuit = self._circuit = layout.circuit
        self._looks = Remembered(looks, circuit)
        self._usual, self._less = layout.ordered, Ordered(circuit, columns(circuit, narrow=True))
        self._said = wires.said(circuit)
        self._shortest = within(self._said, _REACHES[-1])

    def layouts(self) -> Iterator[Layout]:
        """The circuit in one way after the other, the easiest to read first."""
        labels: list[Labels] = []
        for shorter in (within(self._said, reach) for reach in _REACHES):
            labels += [shorter] if shorter not in labels[-1:] else []  # none of the words is so long
        yield self._laid(_WORDS[0], labels[0], narrow=False)
        for tight in _WORDS[1:]:
            for narrow in (False, True):
                for words in labels:
                    yield self._laid(tight, words, narrow)

    def least(self) -> float:
        """How wide it is with the shortest words, mm: others make it no narrower, or hardly so."""
        return min(self._laid(_WORDS[-1], self._shortest, narrow).width for narrow in (False, True))

    def _laid(self, tight: float, words: Labels, narrow: bool) -> Layout:
        return Layout(self._circuit, self._looks, words, self._less if narrow else self._usual, narrow, tight)
