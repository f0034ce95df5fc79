"""Terminals put in and renumbered from an editor: the edits that it is asked to carry out, over all texts of the plant."""

from __future__ import annotations

from pathlib import Path

import pytest
from lsprotocol import types
from pygls.exceptions import JsonRpcException
from talking import SMALL, Editor, Talk

from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.network.types import Network

pytestmark = pytest.mark.forks

PLANT = SMALL.replace("wire -G0", 'include "hall.netdsl"\nwire -G0', 1)
HALL = """device -M1 motor "é" at=+HALL power=4kW current=8A
cable -W1 4G2.5 length=20m {
  BN   -X1:1 to -M1:U1
  BK   -X1:2 to -M1:V1
  GY   -X1:3 to -M1:W1
}
"""


def applied(text: str, edits: list[types.TextEdit]) -> str:
    """A text with edits carried out, whose columns are in UTF-16 units."""
    lines = [line.encode("utf-16-le") for line in text.split("\n")]
    for edit in sorted(edits, key=lambda each: (each.range.start.line, each.range.start.character), reverse=True):
        assert edit.range.start.line == edit.range.end.line
        line = lines[edit.range.start.line]
        first, last = 2 * edit.range.start.character, 2 * edit.range.end.character
        lines[edit.range.start.line] = line[:first] + edit.new_text.encode("utf-16-le") + line[last:]
    return "\n".join(line.decode("utf-16-le") for line in lines)


class Carrying:
    """An editor that carries out what the server asks it to."""

    def __init__(self, it: Editor) -> None:
        self.it = it
        self.asked: list[types.WorkspaceEdit] = []

        @it.client.feature(types.WORKSPACE_APPLY_EDIT)
        def apply(params: types.ApplyWorkspaceEditParams) -> types.ApplyWorkspaceEditResult:
            self.asked.append(params.edit)
            return types.ApplyWorkspaceEditResult(True)

    async def run(self, command: str, *given: str) -> dict[str, str]:
        """The texts that a command changes, by file. Raises JsonRpcException with the reason where it is refused."""
        asked = types.ExecuteCommandParams(f"netdsl.{command}", [self.it.uri, *given])
        await self.it.client.workspace_execute_command_async(asked)
        texts = {self.it.uri: self.it.text, self.it.uri.replace("plant.netdsl", "hall.netdsl"): HALL}
        changes = self.asked.pop().changes or {}
        return {Path(uri).name: applied(texts[uri], list(edits)) for uri, edits in changes.items()}


def network_of(file: Path, texts: dict[str, str]) -> Network:
    plant, findings = read_plant(file, texts)
    assert plant is not None and not findings, findings
    return build_network(plant)[0]


def joined(network: Network, names: dict[str, str]) -> list[list[str]]:
    """What each net joins, and what lands where, with terminals of `-X1` called by `names`."""

    def now(node: str) -> str:
        device, _, terminal = node.partition(":")
        return f"{device}:{names.get(terminal, terminal)}" if device == "-X1" else node

    nets = sorted(sorted(map(now, net.nodes)) for net in network.nets.values())
    wires = sorted([each.colour, *(now(end.id) for end in each.ends)] for each in network.plant.conductors.values())
    return nets + wires


def test_terminals_are_put_in_and_moved_over_all_texts_and_the_network_stays(tmp_path: Path, talk: Talk) -> None:
    file = tmp_path / "plant.netdsl"
    (tmp_path / "hall.netdsl").write_text(HALL, "utf-8")
    before = network_of(file, {"plant.netdsl": PLANT})

    async def renumber(it: Editor) -> None:
        editing = Carrying(it)
        it.put("16A", "20A")  # which is on no disk: what the editor has is what is renumbered
        put_in = await editing.run("insertTerminal", "-X1", "2")
        assert "  :1..4 2.5mm2\n" in put_in["plant.netdsl"] and "to -X1:1,3..4 2.5mm2" in put_in["plant.netdsl"]
        assert "current=20A" in put_in["plant.netdsl"]
        assert put_in["hall.netdsl"] == HALL.replace("-X1:3", "-X1:4").replace("-X1:2", "-X1:3")
        after = [each for each in joined(network_of(file, put_in), {}) if each != ["-X1:2"]]
        assert after == joined(before, {"2": "3", "3": "4"})
        moved = await editing.run("moveTerminals", "-X1", "2..3", "11")
        assert moved["hall.netdsl"] == HALL.replace("-X1:3", "-X1:12").replace("-X1:2", "-X1:11")
        assert joined(network_of(file, moved), {}) == joined(before, {"2": "11", "3": "12"})
        # what cannot be is refused with its reason, and nothing is to be carried out
        for given, reason in (
            (("insertTerminal", "-X1", "9"), "`-X1` has neither terminal 9 nor 8"),
            (("insertTerminal", "-X7", "1"), "no strip is called `-X7`: did you mean `-X1`"),
            (("moveTerminals", "-X1", "1", "3"), "`-X1` has a terminal 3 already, at plant.netdsl:12"),
            (("moveTerminals", "-Q1", "1", "3"), "`-Q1` is no strip"),
        ):
            with pytest.raises(JsonRpcException, match=reason):
                await editing.run(*given)
        assert editing.asked == []

    talk.about(file, renumber, PLANT)
