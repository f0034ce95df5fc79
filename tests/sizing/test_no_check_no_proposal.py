"""No size is proposed without each of its checks computed: plants by chance, data taken away by chance.

What is to be checked is what the whole plant, with the sizes that are proposed, is checked for; `NETDSL_SIZED=300` tries 300.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.cli.work import connect
from netdsl.network.search import walk
from netdsl.network.types import Network
from netdsl.sizing import Proposal, propose
from netdsl.sizing.substitute import with_sizes
from tests.sizing.random_plants import lessened, opened, plant

COUNT = int(os.environ.get("NETDSL_SIZED", "3"))
#: what no section and no rating changes
APART = ("motor-cable", "enclosure", "distortion", "current-distortion", "voltage-distortion")


def network_of(text: str, folder: Path) -> Network | None:
    (folder / "plant.netdsl").write_text(text, "utf-8")
    judged = connect(folder / "plant.netdsl")
    return judged.network if judged.checked else None


def checks(network: Network, proposal: Proposal, results: tuple[Result, ...]) -> dict[str, Result]:
    """The checks about an item by key: of its conductors or device, and of the loads behind it where they add up along a way."""
    names = {*proposal.item.conductors, proposal.item.device} - {""}
    graph = network.power.graph
    fed = {edge[1] for edge in graph.edges if names & set(graph.edges[edge].get("conductors", ()))}
    behind = set(walk(sorted(fed), lambda name: list(graph.successors(name)) if name in graph else []))
    return {
        each.key: each
        for each in results
        if each.limit is not None
        and not each.question.startswith(APART)
        and (
            names & {each.subject, *each.conductors} or (each.subject in behind and each.question.startswith(("voltage", "disc")))
        )
    }


def by_table(key: str, known: dict[str, Result]) -> bool:
    """Whether the lacking check is the adiabatic equation for a protective conductor that the table allows: either is enough (IEC
    60364-5-54, 543.1)."""
    table = known.get(key.replace(".adiabatic ", ".table "))
    return ".adiabatic " in key and table is not None and table.holds


def unmade(whole: str, less: str, folder: Path) -> list[str]:
    """Proposals for the lessened plant that lack a check which the whole one has, or do not keep one."""
    network = network_of(less, folder)
    if network is None:
        return []
    sizing = propose(network)
    full, found = network_of(whole, folder), []
    assert full is not None
    for free in (False, True):  # what is open with all else as written; what is written with all free
        sizes = sizing.free if free else sizing.opened
        made = Calculation(with_sizes(network, sizes)).judged
        wanted = Calculation(with_sizes(full, sizes)).judged
        for each in sizing.proposals:
            if each.holds and each.size is not None and bool(each.item.open_values) is not free:
                known = checks(network, each, made)
                lacking = {key for key in checks(full, each, wanted).keys() - known.keys() if not by_table(key, known)}
                found += [f"{each.item.name}, {each.verdict} {each.text}: without {key}" for key in sorted(lacking)]
                found += [f"{each.item.name}, {each.text}: {key} is not kept" for key in known if not known[key].holds]
    return found


@pytest.mark.parametrize("seed", range(COUNT))
def test_no_proposal_without_each_of_its_checks(seed: int, tmp_path: Path) -> None:
    whole = opened(plant(seed), seed)
    assert unmade(whole, lessened(whole, seed), tmp_path) == []
