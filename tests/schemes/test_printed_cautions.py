"""What a scheme says to whoever wires or operates: read back from the device sheets of its example.

From the SVG, which costs a tenth of the PDF to read; that the PDF says the same is held in `tests/test_example_drawings.py`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from render.writers.svg import svg_bytes
from tests.readback import svg_texts
from tests.readings import PLANTS, network_of, sheets_of


@pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: plant.parent.name)
def test_cautions_and_truth_tables_are_printed_on_the_device_sheet(plant: Path, tmp_path: Path) -> None:
    notes = network_of(plant).plant.notes
    assert notes
    file = tmp_path / "sheet.svg"
    printed = ""
    for sheet in (each for each in sheets_of(plant) if each.title.startswith("Devices ")):
        file.write_bytes(svg_bytes(sheet))
        printed += "".join("".join(text.text.split()) for text in svg_texts(file))
    for note in notes:
        assert "".join(note.text.split()) in printed, note.text
