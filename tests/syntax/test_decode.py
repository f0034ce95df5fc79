"""Bytes to text."""

from __future__ import annotations

from netdsl.syntax import decode, parse
from netdsl.syntax.decode import SHOWN, UNSEEN
from tests.cases import each_of


@each_of("data", [b"device -T1 x\n", b"\xef\xbb\xbfdevice -T1 x\r\n", 'device -T1 x "µΩ"\n'.encode()])
def test_good_bytes(data: bytes) -> None:
    source, findings = decode(data, "plant.netdsl")
    assert findings == () and source.text.startswith("device")
    assert source.path == "plant.netdsl" and parse(source)[1] == ()


def test_bytes_that_are_not_utf8_are_placed_and_reported_once() -> None:
    source, findings = decode(b'device -T1 x\ndevice -T2 x "gr\xfc\xdfe \xe4"\n', "plant.netdsl")
    (finding,) = findings
    assert finding.rule == "encoding" and finding.span.begin == (2, 17)
    assert "0xFC 0xDF" in finding.message and len(finding.related) == 1
    assert parse(source)[1] == ()


def test_the_first_bytes_of_many_are_named() -> None:
    _, findings = decode(b"device -T1 \xe4\xf6\xfc\xdf\xc4\xd6\n", "plant.netdsl")
    assert findings[0].message == "bytes that are not UTF-8: 0xE4 0xF6 0xFC 0xDF"


def test_utf16_is_named() -> None:
    source, findings = decode("device -T1 x\n".encode("utf-16"), "plant.netdsl")
    assert [finding.rule for finding in findings] == ["encoding"] and "UTF-16" in findings[0].message
    assert parse(source)[1] == ()


def test_characters_that_act_on_a_terminal_or_turn_a_text_around_are_told_and_shown() -> None:
    acting = "\x00\x07\x1b\x7f\x9b\u061c\u200b\u202e\u2028\u2066"
    source, findings = decode(f'device -T1 x "a{acting}b"\ndevice -T2 x "\u202e"\n'.encode(), "plant.netdsl")
    assert [finding.message for finding in findings] == ["a character that is not seen, U+0000, and at 10 more places"]
    assert findings[0].span.begin == (1, 16) and findings[0].remedy.startswith("delete it")
    assert f"a{SHOWN * 10}b" in source.text and UNSEEN.search(source.text) is None
    assert parse(source)[1] == ()
    both = decode('x "\u202e'.encode() + b'\xff"', "plant.netdsl")[1]
    assert [finding.message for finding in both] == ["bytes that are not UTF-8: 0xFF", "a character that is not seen, U+202E"]


def test_tabs_line_ends_and_letters_that_join_are_seen() -> None:
    text = "a\tb\r\n\r\u200c\u200d\u00ad\u0301\ufeff\u05d0"
    source, findings = decode(text.encode(), "plant.netdsl")
    assert findings == () and source.text == text
