"""The page of shipped schemes and its pictures are what the library and the examples give now."""

from __future__ import annotations

import base64
import re
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

from fontTools.ttLib import TTFont

from render.scheme_pages import EXAMPLES, PAGE, PICTURE, page, stale, without_fonts
from tests.cases import each_of
from tests.render.plants import example

REFRESH = "run python -m render.scheme_pages"
FACE = re.compile(rb"font-weight:(\d+);src:url\(data:font/woff;base64,([A-Za-z0-9+/=]+)\)")
PICTURES = sorted(EXAMPLES.glob(f"*/{PICTURE}"))


def test_the_page_is_fresh() -> None:
    assert PAGE.read_text("utf-8") == page(), REFRESH


def test_the_pictures_are_fresh() -> None:
    assert len(PICTURES) > 10
    assert list(stale(example)) == [], REFRESH


def test_pictures_are_compared_without_the_packing_of_their_fonts_but_with_all_else() -> None:
    picture = PICTURES[0].read_bytes()
    (weight, font), *_ = FACE.findall(picture)
    assert without_fonts(picture.replace(font, b"AAAA")) == without_fonts(picture)
    assert without_fonts(picture.replace(b"font-weight:" + weight, b"font-weight:100")) != without_fonts(picture)
    assert without_fonts(picture.replace(b"</text>", b".</text>", 1)) != without_fonts(picture)


@each_of("path", PICTURES)
def test_the_fonts_of_a_picture_have_every_letter_of_it(path: Path) -> None:
    picture = path.read_bytes()
    fonts = {weight: TTFont(BytesIO(base64.b64decode(data))).getBestCmap() for weight, data in FACE.findall(picture)}
    for text in ElementTree.fromstring(picture).iter("{http://www.w3.org/2000/svg}text"):
        known = fonts[b"600" if text.get("class") == "b" else b"400"]
        assert set(map(ord, text.text or "")) <= set(known), text.text
