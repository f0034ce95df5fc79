"""Networks held to the letter: what is made of the plant in `golden/` in full, of other small plants as check sums.

`python -m tests.refresh tests/network` writes it anew; run by itself with the name of a plant it prints what stands behind the
check sums, to be compared with what another checkout prints. What is meant to change shows as the lines that moved.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from zlib import crc32

from netdsl.model import read_plant
from netdsl.model.kinds import Category
from netdsl.network import Network, build_network
from netdsl.network.isolation import ahead_of_isolators, disconnectors, live_circuits
from netdsl.network.queries import circuit_cables, downstream, neighbours, reference_nets, upstream
from netdsl.network.unused import required_terminals, spare_cores, terminals_in_use
from tests.cases import each_of

ROOT = Path(__file__).parents[2]
FOLDER = Path(__file__).parent / "golden"
REMEDY = "look at what moved, then run python -m tests.refresh tests/network"
HEAD = "=== "
#: plants that take between them every way through `netdsl.network`
OTHERS = """
    tests/lint/plants/single-phase-drive tests/lint/plants/parallel-cables tests/lint/plants/generator tests/lint/plants/it-230v
    tests/lint/plants/star-delta tests/lint/plants/tn-c-riser tests/render/golden examples/direct-on-line examples/mains-bypass
    examples/faults/out-of-range examples/faults/loop-burden examples/faults/isolation-missing examples/faults/residual-bypassed
    tests/field/plants/01a-thin-conductor-beside-the-feed tests/field/plants/03e-bar-at-the-supply
    tests/field/plants/04a-interlocked-motors-at-an-overload tests/field/plants/04g-two-supplies-of-one-site
    tests/field/plants/05a-mains-shorted-no-parallel tests/field/plants/07p-thin-wire-behind-a-block
    tests/field/plants/11k-transformer-secondary-earthed-nowhere tests/field/plants/11m-return-to-another-source
    tests/field/plants/14c-neutral-where-pen-divides
""".split()


@cache
def network() -> Network:
    """The plant, which the language takes without a finding."""
    plant, faults = read_plant(FOLDER)
    assert plant is not None and faults == ()
    found, findings = build_network(plant)
    assert findings == ()
    return found


def other(name: str) -> Network:
    """The network of another plant, with faults or without."""
    folder = ROOT / name
    plant, _ = read_plant(folder if folder.is_dir() else folder.with_suffix(".netdsl"))
    assert plant is not None
    return build_network(plant)[0]


def of_nets(network: Network) -> Iterator[str]:
    """Every net with its potentials, and where conductors land."""
    for net in network.nets.values():
        yield f"=== {net.id} {net.klass} {net.voltage:g} V{f' mark {net.mark}' if net.mark else ''}"
        yield f"  nodes {' '.join(net.nodes)}"
        if net.conductors:
            yield f"  conductors {', '.join(net.conductors)}"
        for word, potentials in (("certain", net.certain), ("possible", net.possible)):
            yield from (f"  {word} {p.id} {p.pole} {p.kind} {p.voltage} V of {p.group}" for p in potentials)
    yield from (f"at {name}: {', '.join(found)}" for name, found in network.at_terminal.items())
    yield from (f"earthed {one} at {other}" for one, other in reference_nets(network))
    for node, beside in neighbours(network.plant).items():
        yield f"next to {node}: {', '.join(f'{other} by {by}' if by else other for other, by in beside)}"


def of_conductors(network: Network) -> Iterator[str]:
    """Every conductor and cable as resolved, what lies in routes, what is unused."""
    for run in network.runs.values():
        line = (run.id, run.net, run.klass, run.section_mm2, run.colour, " ".join(run.routes), run.length_m, run.mark, *run.nodes)
        yield " | ".join(map(str, line))
        yield from (f"    {name}: line {span.begin[0]}" for name, span in run.origin.items())
    for use in network.cables.values():
        classes, devices = sorted(use.classes), " to ".join(" ".join(side) for side in use.devices)
        yield f"=== {use.cable.id} {use.klass} of {' '.join(classes)}, {use.voltage:g} V, {devices}"
        yield f"  drive {use.drive}, load {use.load}, circuit {' '.join(circuit_cables(network, use.cable.id))}"
        yield f"  spare {' '.join(spare_cores(use.cable, network.plant))}"
    for content in network.contents:
        yield f"=== {content.route} {content.compartment}"
        yield from (f"  {name}" for name in (*content.runs, *content.cables))
    used = terminals_in_use(network)
    for device in network.plant.devices.values():
        free = [name for name in device.terminals if f"{device.id}:{name}" not in used]
        yield f"=== {device.id} unused {' '.join(free)}; required {' '.join(sorted(required_terminals(device)))}"


def of_trees(network: Network) -> Iterator[str]:
    """The protective earth, the power tree, and what isolators leave live."""
    earth, power = network.earth, network.power
    for name, data in earth.graph.nodes(data=True):
        node = data["node"]
        needs = ", needs earth" if node.needs_earth else ""
        yield f"{name} {node.kind}{needs}: {' '.join(node.members)}, line {node.span.begin[0]}"
    for one, other, data in earth.graph.edges(data=True):
        yield f"{one} -- {other}: {', '.join(data['conductors'])}{' by mounting' if data['mounting'] else ''}"
    yield f"root {earth.root}; nearest {', '.join(f'{bar} to {supply}' for supply, bar in earth.bars.items())}"
    yield from (f"{owner} in {node}" for owner, node in earth.node_of.items())
    for feeder, fed, data in power.graph.edges(data=True):
        yield f"{feeder} -> {fed}: {data['poles']} poles{' and N' if data['neutral'] else ''}, {' '.join(data['cables'])}"
        yield from (f"    {name}" for name in data["conductors"])
    yield f"order {' '.join(power.order)}"
    for name in power.graph:
        yield f"above {name}: {' '.join(upstream(network, name))}; below: {' '.join(downstream(network, name))}"
    for supply in (device.id for device in network.plant.devices.values() if device.category == Category.SUPPLY):
        ahead = ahead_of_isolators(network, supply)
        yield f"{supply}: disconnected by {' '.join(disconnectors(network, supply))}"
        yield f"  ahead {' '.join(sorted(ahead.devices))}: {' '.join(sorted(ahead.nets))}"
    live = live_circuits(network)
    yield f"with {' '.join(live.isolators)} off stay live {' '.join(sorted(live.nets))}"


LISTS = {"nets": of_nets, "conductors": of_conductors, "trees": of_trees}


def sums(name: str) -> Iterator[str]:
    """All lists of another plant as check sums: one of each net, cable and other thing with lines of its own, one of the rest."""
    found = other(name)
    for kind, making in LISTS.items():
        texts = {kind: ""}
        own = ""
        for line in making(found):
            own = line.split()[1] if line.startswith(HEAD) else own if line.startswith(" ") else kind
            texts[own] = texts.get(own, "") + line
        yield from (f"{thing} #{crc32(text.encode()):08x}" for thing, text in texts.items())


@cache
def kept() -> dict[str, list[str]]:
    """The check sums of the file, plant by plant."""
    plants = (FOLDER / "others.txt").read_text("utf-8").split(HEAD)[1:]
    return {name: rest for name, *rest in (each.splitlines() for each in plants)}


@each_of("name", LISTS)
def test_the_network_is_what_it_was(name: str) -> None:
    assert list(LISTS[name](network())) == (FOLDER / f"{name}.txt").read_text("utf-8").splitlines(), REMEDY


@each_of("name", OTHERS)
def test_the_network_of_another_plant_is_what_it_was(name: str) -> None:
    assert list(sums(name)) == kept()[name], REMEDY


if __name__ == "__main__":
    for asked in sys.argv[1:]:
        print(*(line for making in LISTS.values() for line in making(other(asked))), sep="\n")
    if not sys.argv[1:]:
        for written, making in LISTS.items():
            (FOLDER / f"{written}.txt").write_text("".join(f"{line}\n" for line in making(network())), "utf-8")
        of_others = (f"{HEAD}{name}\n" + "".join(f"{line}\n" for line in sums(name)) for name in OTHERS)
        (FOLDER / "others.txt").write_text("".join(of_others), "utf-8")
