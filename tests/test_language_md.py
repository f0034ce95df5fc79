"""Every complete example of the language reference is a plant in which `check` finds nothing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from netdsl.cli.work import judge
from netdsl.model import document, vocabulary
from netdsl.model.files import library_index
from netdsl.model.language import LINES, STATEMENTS
from netdsl.model.rating_table import RATING
from netdsl.quantities import UNITS

REFERENCE = Path(__file__).parent.parent / "netdsl" / "LANGUAGE.md"
BLOCK = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def examples() -> list[object]:
    """The complete examples, named by the line on which they begin."""
    text = REFERENCE.read_text("utf-8")
    return [
        pytest.param(match[2], id=f"line {text.count(chr(10), 0, match.start()) + 1}")
        for match in BLOCK.finditer(text)
        if match[1] == "netdsl"
    ]


@pytest.mark.parametrize("example", examples())
def test_example_passes_check(example: str, tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text(example, "utf-8")
    judged = judge(file)
    assert judged.checked
    assert [f"{finding.rule}: {finding.message}" for finding in judged.findings] == []


def test_every_block_is_an_example_or_a_fragment() -> None:
    assert {match[1] for match in BLOCK.finditer(REFERENCE.read_text("utf-8"))} == {"netdsl", "text"}


def test_the_reference_names_every_word_it_must() -> None:
    words = set(re.findall(r"[\w./%+-]+", REFERENCE.read_text("utf-8")))
    statements = (*STATEMENTS.values(), *(line for lines in LINES.values() for line in lines))
    taken = {choice for statement in statements for take in statement.takes for choice in take.kind.choices}
    lists = (taken, vocabulary.COLOURS, filter(None, UNITS), RATING, library_index())
    assert [word for each in lists for word in sorted(each) if word not in words] == []


def test_the_tables_of_the_reference_are_current() -> None:
    page = REFERENCE.read_text("utf-8")
    assert document.refreshed(page) == page
