"""Bytes to text: UTF-8, with or without byte-order mark."""

from __future__ import annotations

import re

from netdsl.findings import Finding, Related, Severity, Source, Span

_UNREADABLE = re.compile("[\udc80-\udcff]+")
_MARKS_16 = (b"\xff\xfe", b"\xfe\xff")
_SHOWN = 5


def decode(data: bytes, path: str) -> tuple[Source, tuple[Finding, ...]]:
    """The source that `data` holds, shown as `path`; never raises.

    Bytes that are not UTF-8 become U+FFFD and are reported, all in one finding. UTF-16 with its byte-order mark is read, and
    reported.
    """
    if data.startswith(_MARKS_16):
        source = Source(path, data.decode("utf-16", errors="replace"))
        return source, (_finding("the file is written in UTF-16", Span(source, 0, 0), ()),)
    text = data.removeprefix(b"\xef\xbb\xbf").decode("utf-8", errors="surrogateescape")
    places = [match.span() for match in _UNREADABLE.finditer(text)] if not text.isascii() else []
    if not places:
        return Source(path, text), ()
    first = " ".join(f"0x{ord(character) - 0xDC00:02X}" for character in text[places[0][0] : places[0][1]][:4])
    source = Source(path, _UNREADABLE.sub(lambda match: "\ufffd" * len(match[0]), text))
    related = tuple(Related("and here", Span(source, start, end)) for start, end in places[1 : _SHOWN + 1])
    more = f", and at {len(places) - 1} more places" if len(places) > 1 else ""
    return source, (_finding(f"bytes that are not UTF-8: {first}{more}", Span(source, *places[0]), related),)


def _finding(message: str, span: Span, related: tuple[Related, ...]) -> Finding:
    return Finding("encoding", Severity.ERROR, message, "save the file as UTF-8", span, related=related)
