"""The pages as a person uses them: in a browser, from a running desk and from the file system."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pdfplumber
import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright
from pypdf import PdfReader

from netdsl.viewing.desk import Desk
from netdsl.viewing.exporting import export
from render.build import drawing_set
from render.drawing import Drawing
from render.layout.frame import sheet_size
from render.sheet import Sheet
from render.writers.pdf import pdf_bytes
from tests.viewing.desks import PLANT, read

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
#: what a browser may take to show something on a machine with other work
PATIENCE_MS = 30_000

# a run that decides what lands must not pass for want of a browser: there the tests fail without one
pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(
        CHROMIUM is None and not os.environ.get("CI"), reason="no chromium on this machine: apt-get install chromium"
    ),
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    assert CHROMIUM is not None, "no chromium on this machine: apt-get install chromium"
    with sync_playwright() as player:
        started = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture(scope="module")
def plant(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("viewed") / "plant.netdsl"
    file.write_text(PLANT, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def desk(plant: Path) -> Iterator[subprocess.Popen[str]]:
    """`netdsl view`, which serves the plant."""
    command = [sys.executable, "-m", "netdsl.cli", "view", str(plant), "--no-open", "--editor", "editor://{path}#{line}:{column}"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as desk:
        yield desk
        desk.terminate()


@pytest.fixture(scope="module")
def address(desk: subprocess.Popen[str], browser: Browser) -> str:
    """Where it is served: a desk starts while the browser does."""
    assert desk.stdout is not None and browser.is_connected()
    return desk.stdout.readline().strip()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page; what its scripts or its policy complain of fails the test."""
    context = browser.new_context(viewport={"width": 1300, "height": 800}, reduced_motion="reduce")
    opened = context.new_page()
    opened.set_default_timeout(PATIENCE_MS)
    expect.set_options(timeout=PATIENCE_MS)
    wrong: list[str] = []
    opened.on("pageerror", lambda error: wrong.append(str(error)))
    opened.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    yield opened
    context.close()
    assert wrong == []


def shown(page: Page, key: str) -> None:
    """Wait until a sheet is shown."""
    expect(page.locator("#paper")).to_have_attribute("data-key", key)


def click_at(page: Page, x: float, y: float) -> None:
    """Click on a point of the sheet, mm."""
    box = page.locator("#paper").bounding_box()
    assert box is not None
    scale = box["width"] / 420
    page.mouse.click(box["x"] + x * scale, box["y"] + y * scale)


def lines_marked(page: Page) -> list[str]:
    """The lines that the page says made what is chosen, without their numbers."""
    expect(page.locator("#chosen pre .made").first).to_be_visible()
    return [re.sub(r"^\d+", "", line) for line in page.locator("#chosen pre .made").all_inner_texts()]


def test_search_click_and_change(page: Page, address: str, plant: Path) -> None:
    page.goto(address)
    shown(page, "cover-1")
    # search without a mouse
    page.keyboard.press("/")
    page.keyboard.type("p2 h1")
    expect(page.locator("#found li").first).to_contain_text("=P2-H1")
    page.keyboard.press("Enter")
    shown(page, "devices-P2.1")
    expect(page.locator("#marks .chosen").first).to_be_attached()
    assert lines_marked(page) == ["  device -H1 lamp"]
    page.keyboard.press("Escape")
    # a click on a conductor leads to its line, and on to the editor
    page.goto(f"{address}#terminals-at-MCP")
    shown(page, "terminals-at-MCP")
    wire = "-X1:2 -- =P2-H1:X1"
    hits = next(each for each in Desk().take(read(plant)).sheets.values() if each.page.key == "terminals-at-MCP").hits
    at = next(hit.at for hit in hits.hits if hit.of >= 0 and hits.names[hit.of] == wire and hit.kind == 0)
    click_at(page, (at[0] + at[2]) / 2, (at[1] + at[3]) / 2)
    expect(page.locator("#chosen-name")).to_have_text(wire)
    assert lines_marked(page) == ["  wire -X1:2 to -H1:X1 1mm2 BU"]
    link = page.locator("#chosen a.editor").first.get_attribute("href")
    assert link == f"editor://{plant.as_posix()}#17:3"
    # a change of the text is drawn, at the place that is looked at
    page.click("#larger")
    page.click("#larger")
    board = "() => [document.getElementById('board').scrollLeft, document.getElementById('board').scrollTop]"
    page.evaluate("() => document.getElementById('board').scrollTo(150, 120)")
    before, place, size = page.locator("#sheet").get_attribute("src"), page.evaluate(board), page.locator("#zoom").inner_text()
    plant.write_text(PLANT.replace("to -H1:X1 1mm2 BU\n}\nfunction =P2", "to -H1:X1 1mm2 BK\n}\nfunction =P2"), encoding="utf-8")
    expect(page.locator("#following")).to_contain_text("redrawn")
    expect(page.locator("#sheet")).not_to_have_attribute("src", str(before))
    assert (page.evaluate(board), page.locator("#zoom").inner_text()) == (place, size)
    expect(page.locator("#list a[href='#circuit-P1.1']")).to_have_class("redrawn")
    expect(page.locator("#list a[href='#circuit-P2.1']")).not_to_have_class("redrawn")
    # a slip is found, and shown where it is
    plant.write_text(PLANT.replace("-X1:2 to -H1:X1 1mm2", "-X1:2 to -H1:X1 4mm2"), encoding="utf-8")
    expect(page.locator("#findings-list button")).to_have_count(2)
    page.locator("#findings-list button").first.click()
    expect(page.locator("#marks .finding").first).to_be_attached()
    expect(page.locator("#chosen-body")).to_contain_text("4 mm² does not fit")
    assert lines_marked(page) == ["  wire -X1:2 to -H1:X1 4mm2 BU"]
    # without the text the last sheets are called old, and it comes back
    plant.unlink()
    expect(page.locator("#trouble")).to_contain_text("These sheets are old: the text gives no plant to draw")
    plant.write_text(PLANT, encoding="utf-8")
    expect(page.locator("#trouble")).to_be_hidden()
    expect(page.locator("#findings-list button")).to_have_count(0)


def test_pages_open_from_the_file_system_and_print_true_to_scale(page: Page, tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    hostile = "<img src=x onerror=alert(1)>"
    file.write_text(PLANT.replace("Pump two", hostile), encoding="utf-8")
    page.on("dialog", lambda dialog: pytest.fail(f"a name became a script: {dialog.message}"))
    page.goto(export(Desk().take(read(file)), tmp_path / "pages").as_uri())
    shown(page, "cover-1")
    page.fill("#find", hostile)
    page.press("#find", "Enter")
    expect(page.locator("#chosen-body")).to_contain_text(hostile)
    assert lines_marked(page) == [f'function =P2 "{hostile}" at=+MCP {{']
    page.goto((tmp_path / "pages" / "index.html").as_uri() + "#circuit-P2.1")
    shown(page, "circuit-P2.1")
    paper = page.pdf(prefer_css_page_size=True)
    printed = PdfReader(BytesIO(paper))
    assert [float(side) * 25.4 / 72 for side in printed.pages[0].mediabox[2:]] == pytest.approx([420, 297], abs=0.5)
    assert len(printed.pages) == 1
    on_paper, wanted = words_of(paper), words_of(pdf_bytes([circuit_of(file)], ""))
    alike = sorted(on_paper.keys() & wanted.keys())
    assert len(alike) > 20
    assert [on_paper[word] for word in alike] == pytest.approx([wanted[word] for word in alike], abs=0.4)


def test_a_small_sheet_is_printed_on_a_page_of_its_size(page: Page, tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text(PLANT.replace('"Two lamps" {', '"Two lamps" {\n  sheet-size = A4'), encoding="utf-8")
    page.goto(export(Desk().take(read(file)), tmp_path / "pages").as_uri())
    shown(page, "cover-1")
    (printed,) = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True))).pages
    assert [float(side) * 25.4 / 72 for side in printed.mediabox[2:]] == pytest.approx(sheet_size("A4"), abs=0.5)


def words_of(pdf: bytes) -> dict[str, float]:
    """How far from the left edge each word that stands once on a page begins, mm."""
    with pdfplumber.open(BytesIO(pdf)) as document:
        words = document.pages[0].extract_words(use_text_flow=True)
    counts = Counter(word["text"] for word in words)
    return {word["text"]: word["x0"] * 25.4 / 72 for word in words if counts[word["text"]] == 1}


def circuit_of(file: Path) -> Sheet:
    """The sheet that is printed."""
    reading = read(file)
    assert reading.network is not None
    drawing = Drawing(reading.network, reading.findings, reading.calculation, reading.extent)
    return next(sheet for sheet in drawing_set(drawing) if sheet.key == "circuit-P2.1")


def test_a_phone_shows_one_part_at_a_time(browser: Browser, tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text(PLANT, encoding="utf-8")
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True, is_mobile=True, color_scheme="dark")
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.goto(export(Desk().take(read(file)), tmp_path / "pages").as_uri())
    shown(page, "cover-1")
    assert page.evaluate("() => document.documentElement.scrollWidth") == 390
    assert page.evaluate("() => document.documentElement.dataset.look") == "dark"
    page.tap("[data-to=sheets]")
    page.fill("#find", "P1-H1")
    page.locator("#found button").first.tap()
    shown(page, "devices-P1.1")
    expect(page.locator("#board")).to_be_visible()
    expect(page.locator("nav")).to_be_hidden()
    # large enough to be read, and in sight
    assert int(page.locator("#zoom").inner_text().split()[0]) > 50
    assert page.locator("#marks .chosen").first.is_visible()
    page.tap("[data-to=chosen]")
    assert lines_marked(page) == ["  device -H1 lamp"]
    context.close()
