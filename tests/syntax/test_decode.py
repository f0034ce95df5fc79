"""Bytes to text."""

from __future__ import annotations

import pytest

from netdsl.syntax import decode, parse


@pytest.mark.parametrize("data", [b"device -T1 x\n", b"\xef\xbb\xbfdevice -T1 x\r\n", 'device -T1 x "µΩ"\n'.encode()])
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
