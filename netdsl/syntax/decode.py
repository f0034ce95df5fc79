"""Bytes to text: UTF-8, with or without byte-order mark, and without what is not seen."""

from __future__ import annotations

import re

from netdsl.findings import Finding, Related, Severity, Source, Span

_UNREADABLE = re.compile("[\udc80-\udcff]+")
#: characters that act on a terminal, have no width or turn the direction in which text is shown: what one reads is not what
#: is written
UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060\u2066-\u2069]")
#: bytes of which a text may be made that is taken as it is
_PLAIN = bytes((*range(0x20, 0x7F), *b"\t\n\r"))
_MARKS_16 = (b"\xff\xfe", b"\xfe\xff")
_SHOWN = 5
#: stands for what cannot be shown
SHOWN = "\N{REPLACEMENT CHARACTER}"


def decode(data: bytes, path: str) -> tuple[Source, tuple[Finding, ...]]:
    """The source that `data` holds, shown as `path`; never raises.

    Bytes that are not UTF-8 become U+FFFD and are reported, all in one finding; so do characters that are not seen. UTF-16 with
    its byte-order mark is read, and reported.
    """
    if not data.translate(None, _PLAIN):
        return Source(path, data.decode("ascii")), ()
    if data.startswith(_MARKS_16):
        source = Source(path, _visible(data.decode("utf-16", errors="replace")))
        return source, (_finding("the file is written in UTF-16", Span(source, 0, 0)),)
    text = data.removeprefix(b"\xef\xbb\xbf").decode("utf-8", errors="surrogateescape")
    places = [match.span() for match in _UNREADABLE.finditer(text)] if not text.isascii() else []
    unseen = [(match.start(), match.end()) for match in UNSEEN.finditer(text)]
    if not places and not unseen:
        return Source(path, text), ()
    code = f"U+{ord(text[unseen[0][0]]):04X}" if unseen else ""
    source = Source(path, _visible(_UNREADABLE.sub(lambda match: SHOWN * len(match[0]), text)))
    found = []
    if unseen:
        message = f"a character that is not seen, {code}"
        remedy = "delete it: it changes how the text around it is shown, not what it says"
        found.append(_finding(message, Span(source, *unseen[0]), _others(source, unseen), remedy))
    if not places:
        return source, tuple(found)
    first = " ".join(f"0x{ord(character) - 0xDC00:02X}" for character in text[places[0][0] : places[0][1]][:4])
    message = f"bytes that are not UTF-8: {first}"
    return source, (_finding(message, Span(source, *places[0]), _others(source, places)), *found)


def _visible(text: str) -> str:
    """`text` with U+FFFD in place of each character that is not seen."""
    return UNSEEN.sub(SHOWN, text)


def _others(source: Source, places: list[tuple[int, int]]) -> tuple[str, tuple[Related, ...]]:
    """How many places there are besides the first, in words, and the first few of them."""
    more = f", and at {len(places) - 1} more places" if len(places) > 1 else ""
    return more, tuple(Related("and here", Span(source, start, end)) for start, end in places[1 : _SHOWN + 1])


def _finding(
    message: str,
    span: Span,
    others: tuple[str, tuple[Related, ...]] = ("", ()),
    remedy: str = "save the file as UTF-8",
) -> Finding:
    more, related = others
    return Finding("encoding", Severity.ERROR, message + more, remedy, span, related=related)
