"""SVG as text: attributes escaped, elements that a sheet has hundreds of put together directly, svgwrite's document round them.

svgwrite makes an object with a dictionary for each element and ElementTree another, before either is written: that takes longer
than all else that is done for a sheet. So what is drawn comes to svgwrite as one `Ready` element.
"""

from __future__ import annotations

import re
from functools import lru_cache
from xml.etree.ElementTree import Element

from svgwrite.base import BaseElement
from svgwrite.etree import CDATA_TAG
from svgwrite.params import Parameter

_READY = "ready"  # the tag of text that is markup already; never written
_UNCHECKED = Parameter(debug=False)
_MARKUP = re.compile(r'[&<>"\t\r\n]').search
_ESCAPED = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\t": "&#9;", "\r": "&#13;", "\n": "&#10;"})


@lru_cache(maxsize=1 << 14)
def escaped(words: str) -> str:
    """`words` as they stand in a text or between the quotes of an attribute."""
    return words.translate(_ESCAPED) if _MARKUP(words) else words


def grouped(attributes: str, parts: list[str]) -> str:
    """`parts` within a group with `attributes`, each of these after a blank."""
    return f"<g{attributes}>{''.join(parts)}</g>"


def with_attribute(part: str, attribute: str) -> str:
    """An element, which has attributes already, with one more."""
    tag, _, rest = part.partition(" ")
    return f"{tag}{attribute} {rest}"


class Ready(BaseElement):
    """Markup as it is to stand in the document."""

    def __init__(self, markup: str) -> None:
        self._parameter = _UNCHECKED
        self._markup = markup

    def get_xml(self) -> Element:
        """The markup, as `written` takes it."""
        xml = Element(_READY)
        xml.text = self._markup
        return xml


def written(xml: Element) -> str:
    """An element of ElementTree, and all within it, as text. Names stand as they are: svgwrite's have their prefixes already."""
    parts: list[str] = []
    _write(xml, parts)
    return "".join(parts)


def _write(xml: Element, parts: list[str]) -> None:
    tag, words = xml.tag, xml.text
    if tag == _READY:
        parts.append(words or "")
        return
    if tag == CDATA_TAG:
        parts.append(f"<![CDATA[{words}]]>")
        return
    parts.append(f"<{tag}")
    for name, value in xml.items():
        parts.append(f' {name}="{escaped(value)}"')
    if not words and not len(xml):
        parts.append("/>")
        return
    parts.append(">")
    if words:
        parts.append(escaped(words))
    for child in xml:
        _write(child, parts)
    parts.append(f"</{tag}>")
