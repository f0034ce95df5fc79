"""Circuit diagrams: of each function, and of what belongs to none at each place, every conductor, contact and load."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from render.drawing import Drawing, in_set
from render.drawings.circuit_plan import CircuitPlan
from render.sheet import Sheet

KIND = "Circuit diagram"


def circuit_keys(drawing: Drawing) -> Mapping[str, str]:
    """Key of the sheet that shows each device."""
    return drawing.of(CircuitPlan).keys


@in_set(190, keys=circuit_keys, count=lambda drawing: len(drawing.of(CircuitPlan).planned), plan=CircuitPlan)
def circuit_sheets(drawing: Drawing, share: slice = slice(None)) -> Iterator[Sheet]:
    """The circuit diagrams of the whole plant, or of a share of its functions, without frames."""
    plan = drawing.of(CircuitPlan)
    for planned in plan.planned[share]:
        group = planned.group
        part_of = drawing.part_of(group.function, group.place)
        title = f"Circuits {', '.join(group.also) or group.function or group.place}".strip()
        for index, pen in enumerate(planned.pens):
            key, number = f"{planned.key}.{index + 1}", f"{planned.number}{index + 1}"
            parts = pen.drawn(plan.where, key, number)
            yield Sheet(key, number, title, KIND, part_of, (*parts, *planned.remarks.labels), drawing.size)
