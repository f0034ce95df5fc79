"""The cover: contents that lead to every sheet, totals, revisions, findings, exceptions, cautions, on as many pages as needed."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.findings import Finding, Severity
from netdsl.model.plant import Exception_, ProjectRevision
from netdsl.network.types import Network
from render.drawing import Drawing
from render.drawings.cover import CAUTIONS, REFERENCES, cover_sheets
from render.layout.frame import framed
from render.layout.overlap import overlaps
from render.sheet import DESIGNATION, Label, Sheet
from tests.cases import each_of
from tests.render.hand_built import HERE, Workshop, hall


def other(number: int, size: str = "A3") -> Sheet:
    kind = "Single-line diagram" if number < 3 else "Terminal diagram"
    return Sheet(f"sheet-{number}", f"RP{number}/T1", f"Terminals =RP{number}-T1", kind, f"=RP{number} Pump {number}", (), size)


def excepted(network: Network, count: int) -> Network:
    granted = tuple(
        Exception_("earth-loop", f"=RP{number}-T1", "meshed bonding required by the site's EMC plan, sheet 4", "2027-06-30", HERE)
        for number in range(count)
    )
    return replace(network, plant=replace(network.plant, exceptions=granted))


def labels(sheets: list[Sheet]) -> list[Label]:
    return [part for sheet in sheets for part in sheet.primitives if isinstance(part, Label)]


def words(sheets: list[Sheet]) -> str:
    return " ".join(label.text for label in labels(sheets))


@each_of("count", [0, 1, 30, 60, 400])
def test_contents_lead_to_every_sheet_once_in_order(count: int) -> None:
    sheets = [other(number) for number in range(count)]
    cover = cover_sheets(Drawing(hall()), sheets)
    links = list(dict.fromkeys(label.link for label in labels(cover) if label.link))
    assert sorted(links) == sorted([sheet.key for sheet in (*cover, *sheets)])
    assert len(labels(cover)) == len([label for label in labels(cover) if label.text])


def test_on_an_upright_sheet_every_number_and_title_is_whole() -> None:
    network = hall()
    project = replace(network.plant.project, attributes={**network.plant.project.attributes, "sheet-size": "A4"})
    drawing = Drawing(replace(network, plant=replace(network.plant, project=project)))
    sheets = [replace(other(number, "A4"), number=f"RP{number}/T.MCP-inside.{number}") for number in range(3, 60)]
    cover = cover_sheets(drawing, sheets, "0123456789ab")
    assert "…" not in words(cover)
    said = [label.text for label in labels(cover)]
    for sheet in sheets:
        assert sheet.number in said and f"{sheet.title}, {sheet.part_of}" in " ".join(said)
    assert [fault for page in cover for fault in overlaps(framed(page, project))] == []


def test_totals_count_the_cover_too() -> None:
    sheets = [other(number) for number in range(30)]
    cover = cover_sheets(Drawing(hall()), sheets)
    texts = [label.text for label in labels(cover)]
    assert texts[texts.index("All sheets") + 1] == str(len(cover) + 30)
    assert {
        f"Cover, {len(cover)} sheet{'s'[: len(cover) != 1]}",
        "Single-line diagram, 3 sheets",
        "Terminal diagram, 27 sheets",
    } <= {*texts}


def test_all_cautions_and_revisions_are_on_the_first_sheet() -> None:
    first = words(cover_sheets(Drawing(hall()), [other(number) for number in range(300)])[:1])
    for caution in CAUTIONS:
        assert caution in first
    assert REFERENCES in first
    assert "B 2026-06-11 second pump added" in first


@each_of("count", range(1, 8))
def test_what_a_revision_changed_stays_on_one_sheet_with_its_date(count: int) -> None:
    network = hall("A4")
    made = tuple(
        ProjectRevision(str(number), f"2026-05-{number:02}", "a second pump and its drive added beside the first")
        for number in range(count)
    )
    project = replace(network.plant.project, revisions=made)
    cover = cover_sheets(Drawing(replace(network, plant=replace(network.plant, project=project))), [])
    for revision in made:
        (page,) = [sheet for sheet in cover if revision.date in words([sheet])]
        texts = [label.text for label in labels([page])]
        at = texts.index(revision.date) + 1
        assert " ".join(texts[at : at + 4]).startswith(revision.text)


@each_of("count", range(20, 60))
def test_no_heading_of_the_contents_stands_alone_at_the_foot_of_an_upright_sheet(count: int) -> None:
    sheets = [
        replace(
            other(number, "A4"),
            kind="Circuit diagram" if number < count else "Terminal diagram",
            number=f"RP{number}/T.MCP-inside.1",
        )
        for number in range(1, count + 6)
    ]
    cover = cover_sheets(Drawing(hall("A4")), sheets)
    assert {"Circuit diagram", "Terminal diagram"} <= {label.text.partition(",")[0] for label in labels(cover)}
    for page in cover:
        found = labels([page])
        heads = [label for label in found if " diagram, " in label.text and label.height == DESIGNATION]
        for head in heads:
            assert any(label.link and label.x == head.x and label.y > head.y for label in found), (page.number, head.text)


@each_of("count", range(1, 30, 3))
def test_no_paragraph_is_parted_between_two_columns(count: int) -> None:
    """The cautions, how references read, what was found: whatever stands above them."""
    network = excepted(hall("A4"), count)
    network = replace(network, plant=replace(network.plant, project=replace(network.plant.project, title="Hall " * 9)))
    cover = cover_sheets(Drawing(network), [other(number, "A4") for number in range(count)])
    reason = "meshed bonding required by the site's EMC plan, sheet 4"
    for text, times in ((REFERENCES, 1), *((caution, 1) for caution in CAUTIONS), (reason, count)):
        assert sum(words([page]).count(text) for page in cover) == times, text


def test_exceptions_are_printed_with_reason_and_date() -> None:
    said = words(cover_sheets(Drawing(excepted(hall(), 1)), []))
    assert "earth-loop on =RP0-T1, until 2027-06-30: meshed bonding required by the site's EMC plan, sheet 4" in said


def test_findings_are_counted() -> None:
    finding = Finding("earth-missing", Severity.ERROR, "no path to the main bar", "add a wire", HERE)
    said = words(cover_sheets(Drawing(hall(), (finding, finding, finding.allow("reviewed"))), []))
    assert "2 errors, 0 warnings, 0 notes; 1 excepted" in said


@each_of("size", ["A3", "A4"])
@each_of(("count", "granted"), [(0, 0), (20, 3), (45, 0), (150, 90)])
def test_nothing_touches(size: str, count: int, granted: int) -> None:
    network = excepted(hall(size), granted)
    cover = cover_sheets(Drawing(network), [other(number, size) for number in range(count)])
    assert [fault for sheet in cover for fault in overlaps(framed(sheet, network.plant.project))] == []


def test_long_title_and_reason_stay_on_the_sheet() -> None:
    shop = Workshop("A recirculation plant with a title far longer than anyone would ever want to print on a cover " * 3)
    network = shop.network()
    granted = (Exception_("earth-loop", "-T1", "because of " + "a very long reason " * 40, None, HERE),)
    network = replace(network, plant=replace(network.plant, exceptions=granted))
    cover = cover_sheets(Drawing(network), [])
    assert [fault for sheet in cover for fault in overlaps(framed(sheet, network.plant.project))] == []
    assert "without a date of expiry" in words(cover)
