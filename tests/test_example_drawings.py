"""The drawings of the examples: everything in the plant is where it belongs, read back out of the SVG and the PDF; nothing
touches."""

from __future__ import annotations

import os
import re
from collections import Counter
from functools import cache
from pathlib import Path

import ezdxf
import pytest
from msgspec.structs import replace

from netdsl.cli.work import connect
from netdsl.model.plant import Conductor, End
from netdsl.network.isolation import main_isolators
from netdsl.network.types import Network
from render.build import PDF_NAME, drawing_set, write_set
from render.drawing import Drawing
from render.drawings.single_line import KIND, single_line_sheets
from render.drawings.terminal_plan import TerminalPlan
from render.layout.overlap import overlaps_of
from render.sheet import Label
from render.tables.wires import cores
from tests.cases import each_of
from tests.readback import Written, pdf_texts, svg_texts
from tests.readings import drawing_of, network_of, sheets_of, small_drawing_of
from tests.test_language_md import examples

EXAMPLES = Path(__file__).parent.parent / "examples"
HATCHERY = EXAMPLES / "hatchery"
SMALL = EXAMPLES / "preset-speeds"
PLANTS = sorted(EXAMPLES.rglob("plant.netdsl"))
#: a text belongs to the row of another when their base lines are no further apart, mm
ROW = 4.0


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The hatchery's sheets as SVG."""
    folder = tmp_path_factory.mktemp("built")
    write_set(sheets_of(HATCHERY / "plant.netdsl"), folder, ("svg",), "Hatchery")
    return folder


# tests that share it follow each other plant by plant, so that one process draws the sheets for all of them
@pytest.fixture(scope="module", params=PLANTS, ids=lambda path: path.parent.name)
def plant(request: pytest.FixtureRequest) -> Path:
    """Each plant of the examples."""
    found: Path = request.param
    return found


def hatchery() -> Network:
    return network_of(HATCHERY / "plant.netdsl")


@cache
def read(folder: Path, kind: str) -> list[list[Written]]:
    """The texts of each SVG sheet whose name begins with `kind`."""
    sheets = [svg_texts(path) for path in sorted(folder.glob(f"{kind}-*.svg"))]
    assert sheets
    return sheets


def named(text: str, end: End) -> bool:
    """Whether `text` is the designation of `end`, in full or as it is said inside its function."""
    return text in (end.id, f"{end.device[max(end.device.find('-'), 0) :]}:{end.terminal}")


def in_row(sheet: list[Written], of: Written, end: End, reach: float = ROW) -> bool:
    """Whether the designation of `end` stands in the row of the text `of`."""
    return any(abs(text.y - of.y) <= reach and named(text.text, end) for text in sheet)


# --- where it belongs ---------------------------------------------------------------------------------------------
def test_every_conductor_is_a_row_of_the_wire_list(built: Path) -> None:
    sheets = read(built, "wires")
    missing = [
        conductor.id
        for conductor in hatchery().plant.conductors.values()
        if not any(
            text.of == conductor.id and all(in_row(sheet, text, end, 1.0) for end in conductor.ends)
            for sheet in sheets
            for text in sheet
        )
    ]
    assert missing == []


def drawn_terminals(network: Network) -> set[str]:
    """Strips, and every device on which a cable lands."""
    strips = {device.id for device in network.plant.devices.values() if device.category == "strip"}
    cabled = {end.device for conductor in network.plant.conductors.values() if conductor.cable for end in conductor.ends}
    return strips | (cabled & set(network.plant.devices))


def terminal_of(sheet: list[Written], text: Written) -> str:
    """The terminal in whose rows `text` stands: the last one labelled at its height or above."""
    labels = [label for label in sheet if label.of.endswith(f":{label.text}") and label.y < text.y + ROW and label.text]
    return max(labels, key=lambda label: label.y).of if labels else ""


def landed(sheets: list[list[Written]], conductor: Conductor, near: End, far: End) -> bool:
    """Whether some sheet shows `conductor` on the terminal `near`, going to `far`."""
    return any(
        text.of == conductor.id and in_row(sheet, text, far) and terminal_of(sheet, text) == near.id
        for sheet in sheets
        for text in sheet
    )


def test_every_end_is_on_its_terminal_drawing(built: Path) -> None:
    sheets = read(built, "terminals")
    wanted = drawn_terminals(hatchery())
    missing = []
    for conductor in hatchery().plant.conductors.values():
        for near, far in (conductor.ends, conductor.ends[::-1]):
            if near.device in wanted and not landed(sheets, conductor, near, far):
                missing.append(f"{conductor.id} at {near.id}")
    assert missing == []


def test_every_core_and_screen_is_gathered_into_its_cable(built: Path) -> None:
    sheets = read(built, "terminals")
    for cable in hatchery().plant.cables.values():
        ends = {end.device for name in cable.conductors for end in hatchery().plant.conductors[name].ends}
        shown = [sheet for sheet in sheets if any(text.of == cable.id for text in sheet)]
        assert shown, cable.id
        texts = [text.text for sheet in shown for text in sheet]
        assert any(cable.construction in text for text in texts), cable.id
        assert all(any(device[device.find("-") :] in text for text in texts) for device in ends), cable.id
        for screen in cable.screens:
            for end in screen.ends:
                assert any(end.how in text for text in texts), f"{cable.id} {end.how}"


def test_all_power_is_on_the_single_line_diagram(built: Path) -> None:
    belongs = {text.of for sheet in read(built, "single-line") for text in sheet}
    assert [device for device in hatchery().power.order if device not in belongs] == []


def test_drawings_show_nothing_that_is_not_in_the_plant(built: Path) -> None:
    plant = hatchery().plant
    known = {conductor.id for conductor in plant.conductors.values()}
    for kind in ("wires", "terminals"):
        strange = {text.of for sheet in read(built, kind) for text in sheet if " -- " in text.of} - known
        assert strange == set()


def test_the_pdf_says_what_the_sheets_say(tmp_path: Path) -> None:
    sheets = sheets_of(SMALL / "plant.netdsl")
    write_set(sheets, tmp_path, ("svg", "pdf"), "Preset speeds")
    keys = [sheet.key for sheet in sheets]
    pages = pdf_texts(tmp_path / PDF_NAME)
    assert len(pages) == len(keys)
    for key, texts in zip(keys, pages, strict=True):
        assert Counter(texts) == Counter("".join(text.text.split()) for text in svg_texts(tmp_path / f"{key}.svg")), key


def test_svg_pdf_and_dxf_hold_the_same_texts(tmp_path: Path) -> None:
    """Of each example another sheet, of all of them every one with NETDSL_SHEETS=1, all in one set."""
    shown = []
    for plant in sorted(EXAMPLES.glob("*/plant.netdsl")):
        sheets = sheets_of(plant)
        at = PLANTS.index(plant) % len(sheets)
        chosen = sheets if os.environ.get("NETDSL_SHEETS") else sheets[at : at + 1]
        shown += [replace(sheet, key=f"{plant.parent.name}-{sheet.key}") for sheet in chosen]
    assert len(shown) > 25
    write_set(shown, tmp_path, ("svg", "pdf", "dxf"), "Plants")
    for sheet, printed in zip(shown, pdf_texts(tmp_path / PDF_NAME), strict=True):
        texts = Counter(text.text for text in svg_texts(tmp_path / f"{sheet.key}.svg"))
        drawing = ezdxf.readfile(tmp_path / f"{sheet.key}.dxf").modelspace()
        assert Counter(text.dxf.text for text in drawing.query("TEXT")) == texts, sheet.key
        assert Counter("".join(text.split()) for text in texts.elements()) == Counter(printed), sheet.key


# --- how it reads -------------------------------------------------------------------------------------------------
def faults(plant: Path) -> list[tuple[str, str]]:
    return overlaps_of(sheets_of(plant))


def test_nothing_touches_on_the_sheets_of_an_example(plant: Path) -> None:
    assert faults(plant) == []


@pytest.mark.parametrize("example", examples())
def test_nothing_touches_on_the_sheets_of_the_reference(example: str, tmp_path: Path) -> None:
    (tmp_path / "plant.netdsl").write_text(example, "utf-8")
    assert faults(tmp_path / "plant.netdsl") == []


def test_errors_are_noted_on_every_sheet() -> None:
    for sheet in sheets_of(EXAMPLES / "faults" / "earth-missing" / "plant.netdsl"):
        said = " ".join(getattr(primitive, "text", "") for primitive in sheet.primitives).lower()
        assert "not for construction" in said
        assert "1 error" in said


#: what a sheet says is off where something stays live
OFF = re.compile(r"live with (?<=\blive with )(-.*?) off\b")


def test_the_check_and_the_sheets_agree_on_what_stays_live_and_with_what_off(plant: Path) -> None:
    drawing = drawing_of(plant)
    printed = [" ".join([part.text for part in sheet.primitives if isinstance(part, Label)]) for sheet in sheets_of(plant)]
    said = {name for text in printed for names in OFF.findall(text) for name in names.split(", ")}
    supplies = [device.id for device in drawing.plant.devices.values() if device.category == "supply"]
    mains = {name for supply in supplies for name in main_isolators(drawing.network, supply)}
    assert not mains or said <= mains
    for finding in drawing.findings:
        if finding.rule == "isolation-missing" and " off: " in finding.message:
            assert said == set(finding.subjects) & mains
            wires = [drawing.network.runs[name].net for name in finding.subjects if name in drawing.network.runs]
            assert wires and drawing.live.nets.issuperset(wires)


def test_a_circuit_ahead_of_the_isolator_is_live_with_that_off_and_with_nothing_else() -> None:
    plant = EXAMPLES / "faults" / "isolation-missing" / "plant.netdsl"
    (finding,) = [finding for finding in drawing_of(plant).findings if finding.rule == "isolation-missing"]
    assert "`-F1` stays live with `-Q0` off" in finding.message
    assert drawing_of(plant).live.isolators == ("-Q0",)
    labels = [part for sheet in sheets_of(plant) for part in sheet.primitives if isinstance(part, Label)]
    assert {label.of for label in labels if label.text == "LIVE"} >= {"-X0:L1", "-X0:L2", "-X0:L3"}
    assert any("LIVE: stays live with -Q0 off." in label.text for label in labels)


# --- as a fitter reads it ---------------------------------------------------------------------------------------
def single_line(name: str) -> list[Label]:
    """Texts of the single-line diagram of an example."""
    sheets = [sheet for sheet in sheets_of(EXAMPLES / name / "plant.netdsl") if sheet.kind == KIND]
    return [part for sheet in sheets for part in sheet.primitives if isinstance(part, Label)]


@each_of(("name", "cable"), [("mains-bypass", "=OB1-W1"), ("reversing", "=SG1-W1")])
def test_ways_that_go_on_in_one_cable_meet_before_it(name: str, cable: str) -> None:
    assert [label.text for label in single_line(name)].count(cable) == 1


def test_star_delta_shows_the_star_point_and_that_both_ways_lie_in_one_cable() -> None:
    said = [label.text for label in single_line("star-delta")]
    assert "star point" in said
    assert [label.text for label in single_line("star-delta") if label.of == "=WP1-W1" and label.text.startswith("7G4")]
    assert "other cores of the cable at" in said


def test_the_bars_of_the_hatchery_have_a_neutral() -> None:
    assert any(label.text.startswith("3/N ~ 400 V 50 Hz") for label in single_line("hatchery") if label.of == "-WB1")


def on_small_sheets(plant: Path, folder: Path) -> Network:
    """A plant on sheets A4, its files copied into `folder`."""
    for path in plant.rglob("*.netdsl"):
        copy = folder / path.relative_to(plant)
        copy.parent.mkdir(exist_ok=True)
        copy.write_text(path.read_text("utf-8").replace("sheet-size = A3", "sheet-size = A4"), "utf-8")
    network = connect(folder / "plant.netdsl").network
    assert network is not None and network.plant.project.attributes["sheet-size"] == "A4"
    return network


@pytest.fixture
def small() -> Drawing:
    """The hatchery on sheets A4, as it is drawn for other tests."""
    return small_drawing_of(HATCHERY / "plant.netdsl")


def test_nothing_touches_on_small_sheets(small: Drawing) -> None:
    assert overlaps_of(drawing_set(small)) == []


@pytest.mark.parametrize("name", ["emergency-stop", "star-delta"])
def test_nothing_touches_on_small_sheets_of_an_example(name: str, tmp_path: Path) -> None:
    network = on_small_sheets(EXAMPLES / name, tmp_path)
    assert overlaps_of(drawing_set(Drawing(network))) == []


def test_terminals_too_wide_for_a_small_sheet_are_drawn_in_two_halves_with_every_end_once(small: Drawing) -> None:
    stacks = small.of(TerminalPlan).stacks
    halves = {piece.laid.block.half for each in stacks for page in each.stack.pages for piece in page}
    assert halves >= {"inside", "field"}
    shown = Counter(
        (block.points[row.terminal].id, entry.of, side)
        for each in stacks
        for page in each.stack.pages
        for piece in page
        for block in (piece.laid.block,)
        for row in block.rows[piece.first : piece.last]
        for side, entry in enumerate((row.left, row.right))
        if entry is not None and not entry.spare
    )
    whole = Counter((end.id, name) for name, run in small.network.runs.items() for end in run.conductor.ends)
    ends = Counter({key: count for key, count in whole.items() if key[0].rpartition(":")[0] in drawn_terminals(small.network)})
    assert Counter((terminal, of) for terminal, of, _ in shown.elements()) == ends


def test_the_cable_list_breaks_no_word_on_a_small_sheet(small: Drawing) -> None:
    said = [p.text for s in drawing_set(small) if s.key.startswith("cables") for p in s.primitives if isinstance(p, Label)]
    assert {"potentiometer", "thermistors", "transmitter", "=RP1-W11"} <= {word for text in said for word in text.split()}
    assert any("screen clamp =RP1-T1:SH, gland =RP1-M1:SH" in text for text in said)


@each_of("name", ["hatchery", "emergency-stop", "gate-lock", "alternating-pumps"])
def test_terminal_drawings_break_no_word_on_a_small_sheet(name: str) -> None:
    drawing = small_drawing_of(EXAMPLES / name / "plant.netdsl")
    printed: dict[str, set[str]] = {}
    for sheet in drawing.diagrams:
        for part in sheet.primitives if sheet.kind == "Terminal diagram" else ():
            if isinstance(part, Label):
                printed.setdefault(part.of, set()).update(part.text.split())
    for each in drawing.of(TerminalPlan).stacks:
        for block in (piece.laid.block for page in each.stack.pages for piece in page):
            for point in block.points.values():
                size = point.size.removesuffix(" mm²")  # the unit may stand in the heading
                assert {*point.text.split(), size} - {""} <= printed[point.id], point.id
            for entry in (entry for row in block.rows for entry in (row.left, row.right) if entry is not None):
                assert set(entry.route.split()) <= printed[entry.of], entry.of


def test_each_end_of_a_core_leads_to_the_half_on_which_it_is_drawn(small: Drawing) -> None:
    table, ends = small.of(cores), small.of(TerminalPlan).ends
    heads = [column.head for column in table.columns]
    told = 0
    for entry in table.entries:
        for side in ("from", "to") if entry.of in small.network.runs else ():
            terminal, sheet = entry.cells[heads.index(side)], entry.cells[heads.index(f"{side} sheet")]
            assert sheet.link == ends[terminal.text, entry.of] == terminal.link
            told += sheet.link != small.of(TerminalPlan).keys[terminal.text]
    assert told > 3


def test_a_small_sheet_holds_whole_feeders_and_says_where_the_bar_goes_on(small: Drawing) -> None:
    sheets = [[p.text for p in sheet.primitives if isinstance(p, Label)] for sheet in single_line_sheets(small)]
    assert "-G0" in sheets[0] and "-W0" in sheets[0] and any(text.startswith("→ sheet S2 / ") for text in sheets[0])
    assert {"=RP1-Q1", "=RP1-M1"} <= set(sheets[1]) and any(text.startswith("← sheet S1 / ") for text in sheets[1])
    assert not any("continued" in said for said in sheets)


def said_on(name: str, kind: str) -> list[str]:
    """Texts of the sheets of an example whose keys begin with `kind`."""
    sheets = [sheet for sheet in sheets_of(EXAMPLES / name / "plant.netdsl") if sheet.key.startswith(kind)]
    return [part.text for sheet in sheets for part in sheet.primitives if isinstance(part, Label)]


def test_no_link_is_asked_for_where_every_winding_end_has_a_core() -> None:
    assert any("No links: every winding end has its own core." in text for text in said_on("star-delta", "terminals"))
    assert not any("links U1" in text for text in said_on("star-delta", "terminals"))


def test_contactors_say_with_which_others_they_are_mechanically_interlocked() -> None:
    said = {(label.of, label.text) for label in single_line("reversing")}
    assert {("=SG1-K1", "mechanical interlock -K2"), ("=SG1-K2", "mechanical interlock -K1")} <= said
