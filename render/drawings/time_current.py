"""Time-current diagrams: per circuit the curves of its protective devices, of its weakest conductor and of its motor, with the
fault currents, on logarithmic axes.

Every curve is known by a letter beside it and by its dashes, never by a colour. Nothing is drawn but what `TimeCurrents` gives.
"""

from __future__ import annotations

from itertools import pairwise
from math import ceil, floor, log10

from netdsl.calc.coordination import Curve, Mark, Selectivities, TimeCurrent, TimeCurrents
from netdsl.calc.sheet import IN_SHORT
from render.drawing import Drawing, in_set
from render.drawings.log_paper import Paper, Segment
from render.layout.fonts import Box, shorten, wrap
from render.layout.remarks import Remarks
from render.sheet import DESIGNATION, MEDIUM, NORMAL, WIDE, Label, Line, Primitive, Sheet

KIND = "Time-current diagram"
KEY = "time-current"
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
#: lengths on and off, mm, by turns for devices; then those of conductors, motors and marks
_DASHES: tuple[tuple[float, ...], ...] = ((), (5.0, 1.2), (2.0, 1.0), (8.0, 1.2, 1.2, 1.2))
_OTHERS: dict[str, tuple[float, ...]] = {
    "conductor": (1.0, 0.8),
    "motor": (6.0, 1.2, 1.0, 1.2, 1.0, 1.2),
    "mark": (10.0, 1.5, 1.5, 1.5),
}
_PITCH, _HEAD, _GUTTER, _SAMPLE = 4.6, 19.0, 14.0, 16.0
_BELOW_TOP = 3.0  # of the heading, below what the frame says at the top
_LEFT, _BELOW = 17.0, 13.0  # room for the figures and names of the axes
_LEGEND = 66.0  # height of the legend below a chart


@in_set(120)
def time_current_sheets(drawing: Drawing) -> list[Sheet]:
    """The diagrams, keys `time-current-1` and on: two on a sheet A3, one on A4; none where no fault current is known."""
    return diagrams(drawing, "C1")


def diagrams(drawing: Drawing, cautions: str) -> list[Sheet]:
    """The same in another set: `cautions` is the number of the sheet that has them in full."""
    side = 2 if drawing.size == "A3" else 1
    circuits = tuple(drawing.calculation.of(TimeCurrents).circuits())
    pages = [circuits[first : first + side] for first in range(0, len(circuits), side)]
    return [_sheet(drawing, number, shown, side, cautions) for number, shown in enumerate(pages, start=1)]


def _sheet(drawing: Drawing, number: int, shown: tuple[TimeCurrent, ...], side: int, cautions: str) -> Sheet:
    area = drawing.area
    width = (area.width - _GUTTER * (side - 1)) / side
    primitives: list[Primitive] = []
    for place, circuit in enumerate(shown):
        left = area.left + place * (width + _GUTTER)
        primitives += _Diagram(drawing, circuit, Box(left, area.top, left + width, area.bottom)).primitives()
    primitives += Remarks.of((f"{IN_SHORT} Cautions in full: sheet {cautions}.",), drawing.notes).labels
    feeders = list(dict.fromkeys(name for circuit in shown for name in (circuit.feeder, *circuit.alike)))
    title = f"Time-current diagrams, sheet {number}"
    return Sheet(f"{KEY}-{number}", f"T{number}", title, KIND, _named(feeders), tuple(primitives), drawing.size)


def _named(feeders: list[str]) -> str:
    return " and ".join(feeders) if len(feeders) < 3 else f"{feeders[0]} and {len(feeders) - 1} more"


class _Diagram:
    """One circuit: heading, chart, legend below it."""

    def __init__(self, drawing: Drawing, circuit: TimeCurrent, box: Box) -> None:
        self.drawing, self.circuit, self.box = drawing, circuit, box
        self.entries: list[tuple[str, tuple[float, ...], float, str, str]] = []
        chart = Box(box.left + _LEFT, box.top + _HEAD, box.right, box.bottom - _LEGEND - 2.0 - _BELOW)
        self.legend = Box(box.left, box.bottom - _LEGEND, box.right, box.bottom)
        self.paper = Paper(chart, *self._decades(), (-2, 4))

    def _decades(self) -> tuple[tuple[int, int]]:
        """Whole decades of current that hold what is shown."""
        amps = [point[0] for curve in self.circuit.curves for point in (*curve.most, *curve.least)]
        amps += [mark.amps for mark in self.circuit.marks]
        low, high = floor(log10(min(amps))), ceil(log10(max(amps)))
        return ((low, max(high, low + 3)),)

    def primitives(self) -> list[Primitive]:
        """All of it. Curves first, so that each letter finds a place that none of them crosses."""
        found: list[Primitive] = [*self._heading(), *self.paper.grid(self.circuit.device)]
        taken: list[Segment] = self.paper.rulings()
        drawn: list[tuple[str, tuple[tuple[float, float], ...]]] = []
        for letter, (thing, dash, width) in zip(_LETTERS, self._things(), strict=False):
            traces = (thing.most, thing.least) if isinstance(thing, Curve) else (((thing.amps, 1e4), (thing.amps, 1e-2)),)
            lines = [line for trace in traces for line in self.paper.trace(trace)]
            found += [Line(line, width, dash, of=thing.of) for line in lines]
            taken += [segment for line in lines for segment in pairwise(line)]
            drawn.append((letter, self.paper.anchors(traces)))
            self.entries.append((letter, dash, width, thing.text, thing.of))
        boxes: list[Box] = []
        for letter, anchors in drawn:
            label = self.paper.lettered(letter, anchors, taken, boxes)
            if label is not None:
                found.append(label)
        return [*found, *self._explained()]

    def _things(self) -> list[tuple[Curve | Mark, tuple[float, ...], float]]:
        devices = [curve for curve in self.circuit.curves if curve.kind == "device"]
        others = [curve for curve in self.circuit.curves if curve.kind != "device"]
        found: list[tuple[Curve | Mark, tuple[float, ...], float]] = [
            (curve, _DASHES[number % len(_DASHES)], WIDE) for number, curve in enumerate(devices)
        ]
        found += [(curve, _OTHERS[curve.kind], WIDE) for curve in others]
        return [*found, *((mark, _OTHERS["mark"], MEDIUM) for mark in self.circuit.marks)]

    def _heading(self) -> list[Primitive]:
        box, plant = self.box, self.drawing.plant
        first = plant.functions.get(self.circuit.feeder)
        named = (
            f"{self.circuit.feeder} {first.title}"
            if first is not None
            else f"{self.circuit.feeder} {plant.devices[self.circuit.device].title}"
        )
        top = box.top + _BELOW_TOP + DESIGNATION
        loads = "for " + ", ".join(self.circuit.loads)
        if self.circuit.device != self.circuit.feeder:  # a function may have several ways, each with its device
            loads = f"behind {self.circuit.device}, {loads}"
        if self.circuit.alike:
            loads = f"{loads}; alike: {', '.join(self.circuit.alike)}"
        return [
            Label(
                box.left,
                top,
                shorten(named.strip(), box.width, DESIGNATION),
                DESIGNATION,
                bold=True,
                of=self.circuit.device,
            ),
            Label(box.left, top + _PITCH, shorten(loads, box.width)),
        ]

    # --- legend -----------------------------------------------------------------------------------------------------
    def _explained(self) -> list[Primitive]:
        found: list[Primitive] = []
        y, left = self.legend.top + NORMAL, self.legend.left
        text_at = left + 5.0 + _SAMPLE + 3.0
        room = self.legend.right - text_at
        wholes = [text if text.startswith(("what protects", of)) else f"{of}: {text}" for _, _, _, text, of in self.entries]
        explained = [wrap(whole, room, lines=2) for whole in wholes]
        if y + _PITCH * sum(map(len, explained)) > self.legend.bottom:
            explained = [(shorten(whole, room),) for whole in wholes]
        for (letter, dash, width, _, of), lines in zip(self.entries, explained, strict=True):
            found.append(Label(left, y, letter, bold=True))
            found.append(Line(((left + 5.0, y - NORMAL / 2), (left + 5.0 + _SAMPLE, y - NORMAL / 2)), width, dash, of=of))
            for line in lines:
                found.append(Label(text_at, y, line, of=of))
                y += _PITCH
        y += _PITCH / 2
        for number, note in enumerate(self._notes()):
            lines = wrap(note, self.legend.width)
            if y + _PITCH * (len(lines) - 1) > self.legend.bottom:
                if number and y <= self.legend.bottom:
                    found.append(Label(left, y, "Further selectivity: on the calculation sheet"))
                return found
            found += [Label(left, y + _PITCH * row, line) for row, line in enumerate(lines)]
            y += _PITCH * len(lines)
        return found

    def _notes(self) -> list[str]:
        """How the curves are meant, what has none, then what is said of the selectivity of each device with the next ahead."""
        both = (
            "Of a pair of lines: above the right one the device has operated, below the left one it has not, at the points that a"
            " standard fixes; between these the lines are drawn straight. Where those of two devices cross, their makers' curves"
            " decide."
        )
        without = [f"Too little stated for a curve: {', '.join(self.circuit.without)}"] if self.circuit.without else []
        selectivities = self.drawing.calculation.of(Selectivities)
        results = [
            each for curve in self.circuit.curves if curve.kind == "device" for each in selectivities.behind(curve.of)[-1:]
        ]
        return [both, *without, *(f"Selectivity of {each.subject}: {each.shown}, {each.note}" for each in results)]
