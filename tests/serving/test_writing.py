"""What is offered where one writes, and a feeder that is written with it alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lsprotocol import types
from talking import Editor, Talk

from netdsl.serving.checking import judge
from netdsl.serving.completion import complete
from netdsl.serving.desk import Desk
from netdsl.serving.told import Asked
from tests.cases import each_of

pytestmark = pytest.mark.forks

FOLDER = Path(__file__).parents[2] / "examples"


def offered(example: str, old: str, new: str) -> dict[str, str]:
    """What is offered at `|` in an example in which `new` stands in place of `old`, with what is said of each."""
    text = (FOLDER / example / "plant.netdsl").read_text("utf-8")
    assert old in text
    text = text.replace(old, new, 1)
    before = text[: text.index("|")].split("\n")
    desk = Desk()
    here = desk.open((FOLDER / example / "plant.netdsl").as_uri(), text.replace("|", "", 1))
    assert here is not None
    found = complete(here, types.Position(len(before) - 1, len(before[-1])), True)
    return {item.label: item.detail or "" for item in found.items}


DOL = "device -T9 supply-24v"


@each_of(
    ("new", "first", "among"),
    [
        ("device -T9 |", "", {"supply-24v", "contactor-12a", "vsd-4kw"}),
        ("wire -XE1:|\n" + DOL, "-XE1:6", {"-XE1:12", "-XE1:1"}),
        ("device -T8 x at=|\n" + DOL, "+MCP", {"+MCP.D", "+HALL"}),
        ("wire -X0:PE to -XE1:6 along=|\n" + DOL, "DUCT1", {"TRAY1"}),
        ("use |\n" + DOL, "", {"direct-on-line", "reversing"}),
        ("|\n" + DOL, "function", {"device", "cable", "allow"}),
        ("allow |\n" + DOL, "", {"earth-missing"}),
        ("supply -G9 system=|\n" + DOL, "TN-S", {"TT"}),
        ("strip -X9 at=+MCP {\n  |\n}\n" + DOL, "", {"bridge", "partition"}),
    ],
)
def test_what_can_stand_here_is_offered(new: str, first: str, among: set[str]) -> None:
    found = offered("direct-on-line", DOL, new)
    assert among <= found.keys(), list(found)[:10]
    assert not first or next(iter(found)) == first


def test_cores_that_are_used_are_not_offered() -> None:
    text = (FOLDER / "hatchery/plant.netdsl").read_text("utf-8")
    line = next(line for line in text.split("\n") if line.strip().startswith("GNYE") and "-M1:PE" in line)
    found = offered("hatchery", line, "    |")
    assert "GNYE" in found and "BN" not in found


def chosen(item: types.CompletionItem) -> str:
    """What an editor inserts when each stop of a snippet is left as it is offered."""
    assert isinstance(item.text_edit, types.TextEdit)
    text = item.text_edit.new_text
    if item.insert_text_format != types.InsertTextFormat.Snippet:
        return text
    text = re.sub(r"\$\{\d+\|([^,|]*)[^|]*\|\}", r"\1", text)
    return re.sub(r"\$\d+", "", re.sub(r"\$\{\d+:([^}]*)\}", r"\1", text))


async def take(it: Editor, offset: int, label: str) -> int:
    """Ask at a place and take what is offered under `label`; the place behind what was inserted, or its last stop."""
    found = await it.client.text_document_completion_async(types.CompletionParams(it.document, it.place(offset)))
    assert isinstance(found, types.CompletionList)
    item = next(each for each in found.items if each.label == label)
    assert isinstance(item.text_edit, types.TextEdit)
    start = offset - (item.text_edit.range.end.character - item.text_edit.range.start.character)
    new = chosen(item)
    it.edit(start, offset, new)
    stop = item.text_edit.new_text.find("$0")
    return start + (new.rindex("\n}") if stop >= 0 else len(new))


def test_a_feeder_is_written_from_nothing_by_completion_alone(talk: Talk) -> None:
    async def write(it: Editor) -> None:
        await it.shows()
        it.edit(len(it.text), len(it.text), "\n")
        at = await take(it, len(it.text), "function")
        at = await take(it, at, "use")
        for between, label in ((" ", "direct-on-line"), ("\n  ", "connect"), (" ", "-M1"), (" ", "delta")):
            it.edit(at, at, between)
            at = await take(it, at + len(between), label)
        assert "function =TD2" in it.text and "connect -M1 delta\n}" in it.text
        symbols = await it.client.text_document_document_symbol_async(types.DocumentSymbolParams(it.document))
        assert "=TD2" in {each.name for each in symbols or ()}
        await it.shows()
        whole = Asked(str(FOLDER / "direct-on-line" / "plant.netdsl"), "2026-01-01", {"plant.netdsl": it.text})
        assert [each.message for each in judge(whole)] == []

    talk.about(FOLDER / "direct-on-line" / "plant.netdsl", write)
