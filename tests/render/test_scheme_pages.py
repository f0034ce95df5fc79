"""The page of shipped schemes and its pictures are what the library and the examples give now."""

from __future__ import annotations

from render.scheme_pages import PAGE, page, pictures

REFRESH = "run python -m render.scheme_pages"


def test_the_page_is_fresh() -> None:
    assert PAGE.read_text("utf-8") == page(), REFRESH


def test_the_pictures_are_fresh() -> None:
    found = pictures()
    assert len(found) > 10
    assert [path.name for path, content in found.items() if not path.exists() or path.read_bytes() != content] == [], REFRESH
