"""Canonical text: golden cases `cases/NAME.in.netdsl` to `cases/NAME.out.netdsl`."""

from __future__ import annotations

from pathlib import Path

from netdsl.findings import Source, Span
from netdsl.syntax import format_text, parse
from tests.cases import each_of
from tests.records import held

CASES = Path(__file__).with_name("cases")
NAMES = sorted(path.name.removesuffix(".in.netdsl") for path in CASES.glob("*.in.netdsl"))


def shape(node: object) -> object:
    """A node without its spans."""
    if isinstance(node, tuple):
        return tuple(shape(one) for one in node)
    if (inside := held(node)) is not None:
        return (type(node).__name__, *(shape(value) for value in inside.values() if not isinstance(value, (Span, Source))))
    return node


@each_of("name", NAMES)
def test_golden(name: str) -> None:
    text = (CASES / f"{name}.in.netdsl").read_bytes().decode()
    wanted = (CASES / f"{name}.out.netdsl").read_bytes().decode()
    result = format_text(Source(name, text))
    assert result == wanted
    assert format_text(Source(name, wanted)) == wanted
    assert shape(parse(Source(name, text))[0].statements) == shape(parse(Source(name, wanted))[0].statements)


def test_refuses_text_with_findings() -> None:
    assert format_text(Source("a", "device -T1 x\n}\n")) is None


@each_of("text", ["", "\n\n", "  \t"])
def test_empty(text: str) -> None:
    assert format_text(Source("a", text)) == ""


def test_only_comments() -> None:
    assert format_text(Source("a", "\n\n   # one  \r\n\r\n\r\n# two")) == "# one\n\n# two\n"
