"""What an editor asks about a text: names, outline, hover, formatting, tokens, hints, renaming, remedies."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from lsprotocol import types
from pygls.exceptions import JsonRpcException
from talking import Editor, Talk

from netdsl.serving import formatting, hints, hover, names, outline, plants, renames, tokens
from netdsl.serving.actions import actions
from netdsl.serving.desk import Desk, Open
from netdsl.serving.slices import judge_slice
from tests.cases import each_of

pytestmark = pytest.mark.forks

FOLDER = Path(__file__).parents[2] / "examples/hatchery"
TEXT = (FOLDER / "plant.netdsl").read_text("utf-8")


@pytest.fixture(scope="module")
def desk() -> Desk:
    made = Desk()
    found = made.open((FOLDER / "plant.netdsl").as_uri(), TEXT)
    assert found is not None
    found.plant.refresh()
    return made


@pytest.fixture
def here(desk: Desk) -> Open:
    found = desk.find((FOLDER / "plant.netdsl").as_uri())
    assert found is not None
    return found


def place(words: str, ahead: int = 0) -> types.Position:
    """The place `ahead` characters into the first `words`."""
    before = TEXT[: TEXT.index(words) + ahead].split("\n")
    return types.Position(len(before) - 1, len(before[-1]))


def line(location: types.Location | types.DocumentHighlight) -> str:
    return TEXT.split("\n")[location.range.start.line].strip()


def test_what_is_named_leads_to_where_it_is_declared(desk: Desk, here: Open) -> None:
    at = place("BN     -T1:U   to -M1:U1", 8)
    found = names.definition(desk, here, at)
    assert found is not None and line(found).startswith("device -T1 vsd-")
    part = names.definition(desk, here, place("mcb-1p", 2))
    assert part is not None and part.uri.endswith("library/switching.netdsl")


def test_references_are_every_place_that_names_it(desk: Desk, here: Open) -> None:
    found = names.references(desk, here, place("device -T9", 8))
    assert {line(each).split()[0] for each in found} >= {"device", "wire"}
    assert all("-T9" in line(each) for each in found)


def test_a_terminal_lights_up_its_whole_net(here: Open) -> None:
    found = names.highlight(here, place("BN     -T1:U   to -M1:U1", 11))
    texts = [line(each) for each in found]
    assert any("-M1:U1" in text for text in texts) and len({each.range.start.character for each in found}) > 1


def test_the_outline_has_functions_with_their_devices(desk: Desk, here: Open) -> None:
    top = {each.name: each for each in outline.symbols(here)}
    assert "-T1" in {each.name for each in top["=RP1"].children or ()}
    assert "=RP1-T1" in {each.name for each in outline.workspace_symbols(desk, "rp1-t1")}
    folded = outline.folding(here)
    assert any(each.kind == types.FoldingRangeKind.Comment for each in folded)
    assert any(TEXT.split("\n")[each.start_line].startswith("function =RP1") for each in folded)


@each_of(
    ("words", "ahead", "said"),
    [
        ("BN     -T1:U   to -M1:U1", 8, "=RP1-T1** "),
        ("BN     -T1:U   to -M1:U1", 11, "=RP1-M1:U1"),
        ("cable -W1", 7, "free: "),
        ("mcb-1p", 1, "mcb-1p"),
        ("function =RP1", 2, "takes"),
    ],
)
def test_hover_says_what_is_known(here: Open, words: str, ahead: int, said: str) -> None:
    found = hover.hover(here, place(words, ahead))
    assert found is not None and said in found.contents.value  # type: ignore[union-attr]


def test_hover_explains_a_rule() -> None:
    assert "Why it matters" in hover.about_word("earth-missing")
    assert hover.about_word("no-such-thing") == ""


def test_tokens_cover_the_words_of_a_text_in_their_order(here: Open) -> None:
    data = tokens.semantic_tokens(here).data
    assert len(data) % 5 == 0 and len(data) > 5000
    line_number = column = 0
    shown = []
    for number in range(0, len(data), 5):
        step, across, length, kind, _ = data[number : number + 5]
        line_number, column = (line_number + step, across) if step else (line_number, column + across)
        shown.append((TEXT.split("\n")[line_number][column : column + length], tokens.TYPES[kind]))
    assert ("function", "keyword") in shown and ("=RP1", "variable") in shown and ("along", "property") in shown
    assert ("to", "keyword") in shown


def test_hints_say_which_terminal_meets_which(here: Open) -> None:
    found = {
        hint.position.line: hint.label for hint in hints.inlay_hints(here, types.Range(place("netdsl 1"), types.Position(900, 0)))
    }
    row = next(n for n, text in enumerate(TEXT.split("\n")) if text.strip().startswith("wire -X0:L1,L2,L3"))
    assert str(found[row]).startswith("L1 to 1, L2 to 3")


def test_formatting_brings_back_what_was_moved() -> None:
    desk = Desk()
    moved = desk.open((FOLDER / "plant.netdsl").as_uri(), TEXT.replace("device -T9 ", "device   -T9   "))
    assert moved is not None
    (edit,) = formatting.format_edits(moved)
    assert edit.new_text.startswith("device -T9 ")
    assert formatting.format_edits(moved, types.Range(types.Position(0, 0), types.Position(2, 0))) == []


def test_a_name_is_changed_everywhere_or_refused(desk: Desk, here: Open) -> None:
    edit = asyncio.run(renames.renamed(desk, here, place("device -T9", 8), "-T8"))
    (changes,) = (edit.changes or {}).values()
    assert len(changes) > 3 and all(each.new_text == "-T8" for each in changes)
    with pytest.raises(renames.Refused):
        asyncio.run(renames.renamed(desk, here, place("device -T9", 8), "-Q0"))


def test_a_finding_has_its_remedy_and_an_exception_as_actions() -> None:
    folder = Path(__file__).parents[2] / "examples/faults"
    mended = excepted = 0
    for name in ("core-colour", "colour-wrong", "strip-pe-bond", "earth-colour", "earth-missing"):
        file = folder / name / "plant.netdsl"
        if not file.exists():
            continue
        desk = Desk()
        found = desk.open(file.as_uri(), file.read_text("utf-8"))
        assert found is not None
        found.plant.refresh()
        findings = tuple(judge_slice(found.document.pieces, None).findings.values())
        offered = actions(desk, found, types.Range(types.Position(0, 0), types.Position(10_000, 0)), findings)
        mended += any(each.is_preferred for each in offered)
        excepted += any(each.title.startswith("Grant an exception") for each in offered)
    assert excepted and mended


def test_all_of_it_goes_through_the_protocol(talk: Talk) -> None:
    async def ask(it: Editor) -> None:
        client, where = it.client, it.document
        at = it.after("device -T")
        shown = await client.text_document_hover_async(types.HoverParams(where, at))
        assert shown is not None
        assert await client.text_document_definition_async(types.DefinitionParams(where, at)) is not None
        assert await client.text_document_document_symbol_async(types.DocumentSymbolParams(where))
        with pytest.raises(JsonRpcException, match="-Q0"):
            await client.text_document_rename_async(types.RenameParams(where, at, "-Q0"))
        nowhere = types.TextDocumentIdentifier("file:///nowhere.netdsl")
        assert await client.text_document_hover_async(types.HoverParams(nowhere, at)) is None

    talk.about(FOLDER.with_name("direct-on-line") / "plant.netdsl", ask)


def test_of_a_large_plant_is_told_what_was_last_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plants, "_LARGE", 1000)
    desk = Desk()
    here = desk.open((FOLDER / "plant.netdsl").as_uri(), TEXT)
    assert here is not None and hover.hover(here, place("device -T9", 8)) is None  # nothing was read yet
    read = here.plant.refresh()
    at = place("wire -T9:PE")
    desk.change(here.uri, [types.TextDocumentContentChangePartial(types.Range(at, at), "# ")])
    assert here.plant.at_hand() is read and here.plant.refresh() is not read
    desk.change(here.uri, [types.TextDocumentContentChangePartial(types.Range(at, at), "# ")])
    found = hover.hover(here, place("device -T9", 8))
    assert found is not None and "24 V" in str(found.contents)
    assert hints.inlay_hints(here, types.Range(types.Position(0, 0), at))

    async def edited_meanwhile() -> None:
        renaming = asyncio.create_task(renames.renamed(desk, here, place("device -T9", 8), "-T8"))
        await asyncio.sleep(0)
        desk.change(here.uri, [types.TextDocumentContentChangePartial(types.Range(at, at), "# ")])
        with pytest.raises(renames.Refused, match="edited meanwhile"):
            await renaming
        edit = await renames.renamed(desk, here, place("device -T9", 8), "-T8")
        assert edit.changes

    asyncio.run(edited_meanwhile())
