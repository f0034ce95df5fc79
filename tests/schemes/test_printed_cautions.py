"""What a scheme says to whoever wires or operates: read back from the PDF of the connection drawings of its example."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.model import read_plant
from netdsl.network import build_network
from render.drawing import Drawing
from render.drawings.connections import connection_sheets
from render.layout.frame import framed
from render.writers.pdf import pdf_bytes
from tests.readback import pdf_letters

EXAMPLES = sorted(path.parent for path in (Path(__file__).parents[2] / "examples").glob("*/plant.netdsl"))


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_cautions_and_truth_tables_are_printed_on_the_connection_drawing(folder: Path, tmp_path: Path) -> None:
    plant, _ = read_plant(folder)
    assert plant is not None and plant.notes
    network, _ = build_network(plant)
    sheets = [framed(sheet, plant.project, 0) for sheet in connection_sheets(Drawing(network))]
    file = tmp_path / "drawings.pdf"
    file.write_bytes(pdf_bytes(sheets, plant.project.title))
    printed: dict[str, str] = {}
    for sheet, letters in zip(sheets, pdf_letters(file), strict=True):
        printed[sheet.title] = printed.get(sheet.title, "") + letters
    for note in plant.notes:
        assert "".join(note.text.split()) in printed[f"Connections {note.subject}"], note.text
