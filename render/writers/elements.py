"""svgwrite's elements as a sheet of many hundreds takes them: attributes as they are to be written, nothing checked.

svgwrite's own constructors take keywords apart, check and sort them anew for each element, and ElementTree asks of every name for
its namespace before it writes it: each takes longer than all else that is done for a sheet.
"""

from __future__ import annotations

import re
from typing import Any
from xml.etree.ElementTree import Element

from svgwrite import container, path, text
from svgwrite.base import BaseElement
from svgwrite.etree import CDATA_TAG
from svgwrite.params import Parameter

_UNCHECKED = Parameter(debug=False)
_MARKUP = re.compile(r'[&<>"\t\r\n]').search
_ESCAPED = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\t": "&#9;", "\r": "&#13;", "\n": "&#10;"})


class _AsGiven(BaseElement):
    def __init__(self, attributes: dict[str, str]) -> None:
        self._parameter = _UNCHECKED
        self.attribs = attributes
        self.elements: list[Any] = []

    def get_xml(self) -> Element:
        """The element with its children, as ElementTree has it."""
        xml = Element(self.elementname, self.attribs)
        xml.extend([child.get_xml() for child in self.elements])
        return xml


class Group(_AsGiven, container.Group):
    """What belongs together."""


class Symbol(_AsGiven, container.Symbol):
    """What is drawn once, to be used."""


class Use(_AsGiven, container.Use):
    """A symbol in its place."""


class Link(_AsGiven, container.Hyperlink):
    """What leads elsewhere."""


class Path(_AsGiven, path.Path):
    """A path; its data is one of its attributes."""


class Text(_AsGiven, text.Text):
    """One line of text."""

    def __init__(self, attributes: dict[str, str], words: str) -> None:
        super().__init__(attributes)
        self.text = words

    def get_xml(self) -> Element:
        """The text."""
        xml = Element("text", self.attribs)
        xml.text = self.text
        return xml


def written(xml: Element) -> str:
    """An element of ElementTree, and all within it, as text. Names stand as they are: svgwrite's have their prefixes already."""
    parts: list[str] = []
    _write(xml, parts)
    return "".join(parts)


def _write(xml: Element, parts: list[str]) -> None:
    tag, words = xml.tag, xml.text
    if tag == CDATA_TAG:
        parts.append(f"<![CDATA[{words}]]>")
        return
    parts.append(f"<{tag}")
    for name, value in xml.items():
        parts.append(f' {name}="{value.translate(_ESCAPED) if _MARKUP(value) else value}"')
    if not words and not len(xml):
        parts.append(f"/>{xml.tail or ''}")
        return
    parts.append(">")
    if words:
        parts.append(words.translate(_ESCAPED) if _MARKUP(words) else words)
    for child in xml:
        _write(child, parts)
    parts.append(f"</{tag}>{xml.tail or ''}")
