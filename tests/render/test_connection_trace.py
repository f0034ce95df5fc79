"""Ways of a drive's terminals: how far they are followed, which of several are kept, what is left out and counted."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.network.types import Network
from render.drawings.connection_trace import Step, Tracer, cut, ends, steps_of
from tests.render.plants import drawing_in

HEAD = """netdsl 1
project "Mill" {
}
place +MCP "Panel" kind=cabinet
device -T1 vsd-4kw at=+MCP
"""


def network_of(folder: Path, text: str) -> Network:
    return drawing_in(folder, HEAD + text).network


def told(step: Step) -> str:
    """A step and what is behind it: `-X1:1 [-X1:2, -S1:13 [-S1:14]]`, a contact with `/`, stations left out with their number."""
    mark = {"contact": "/", "joined": "="}.get(step.kind, "")
    past = f" past {step.skipped}" if step.skipped else ""
    beyond = f" [{', '.join(map(told, step.ways))}]" if step.ways else ""
    return f"{mark}{step.id}{past}{beyond}"


def ways(network: Network, terminal: str) -> tuple[list[str], int]:
    found, more = Tracer(network).ways("-T1", terminal)
    return [told(way) for way in found], more


@pytest.mark.parametrize(("bridge", "beyond"), [("1..3", " [=-X1:2 [=-X1:3]]"), ("1..4", "")])
def test_a_bridge_of_three_is_followed_and_one_of_four_is_a_distribution(bridge: str, beyond: str, tmp_path: Path) -> None:
    strip = f"strip -X1 at=+MCP {{\n  :1..4 2.5mm2\n  bridge :{bridge}\n}}\n"
    network = network_of(tmp_path, f"{strip}wire -T1:DI1 to -X1:1 1mm2\n")
    assert ways(network, "DI1") == ([f"-X1:1{beyond}"], 0)


RING = """strip -X1 at=+MCP {{
  :1..2 2.5mm2
  bridge :1..2
}}
wire -T1:DI1 to -X1:1 1mm2
{0}
"""


def contacts(number: int, count: int) -> str:
    """So many contacts in series from the strip to the drive's own 24 V."""
    names = [f"-S{number}{place}" for place in range(count)]
    devices = [f"device {name} push-button at=+MCP" for name in names]
    points = ["-X1:2", *(f"{name}:{end}" for name in names for end in (13, 14)), f"-X2:{number}"]
    return "\n".join([*devices, *(f"wire {one} to {other} 1mm2" for one, other in zip(points[::2], points[1::2], strict=True))])


@pytest.mark.parametrize(("longer", "kept"), [(2, True), (3, True), (4, False)])
def test_of_ways_to_a_feed_those_of_two_contacts_more_are_kept(longer: int, kept: bool, tmp_path: Path) -> None:
    feed = "strip -X2 at=+MCP {\n  :1..4 2.5mm2 clamps=3\n  bridge :1..4\n}\nwire -T1:24V to -X2:4 1mm2\n"
    found, _ = ways(network_of(tmp_path, feed + RING.format(f"{contacts(1, 1)}\n{contacts(2, longer)}")), "DI1")
    ends_at = "".join(f"-S2{n}:13 [/-S2{n}:14 [" for n in range(longer)) + "-X2:2" + "]" * 2 * longer
    assert found == [f"-X1:1 [=-X1:2 [-S10:13 [/-S10:14 [-X2:1]]{f', {ends_at}' if kept else ''}]]"]


STEPS = (
    Step("wire", "-W1", "-A", "1", ways=(Step("wire", "-W2", "-B", "1"), Step("wire", "-W3", "-C", "1"))),
    Step("core", "-W4", "-D", "1", ways=(Step("contact", "-D", "-D", "2", ways=(Step("wire", "-W5", "-E", "1"),)),)),
    Step("wire", "-W6", "-F", "1", ways=(Step("wire", "-W7", "-G", "1"), Step("wire", "-W8", "-H", "1"))),
)


@pytest.mark.parametrize(
    ("most", "kept", "out"),
    [
        (6, ["-A:1 [-B:1, -C:1]", "-D:1 [/-D:2 [-E:1]]", "-F:1 [-G:1, -H:1]"], 0),
        (5, ["-A:1 [-B:1, -C:1]", "-D:1 [/-D:2 [-E:1]]", "-F:1 [-G:1, -H:1]"], 0),
        (4, ["-A:1 [-B:1, -C:1]", "-D:1 [/-D:2 [-E:1]]", "-F:1 [-G:1]"], 1),
        (3, ["-A:1 [-B:1, -C:1]", "-D:1 [/-D:2 [-E:1]]"], 2),
        (2, ["-A:1 [-B:1, -C:1]"], 3),
        (1, ["-A:1 [-B:1]"], 4),
        (0, [], 5),
    ],
)
def test_the_first_ends_of_ways_are_kept_and_the_others_counted(most: int, kept: list[str], out: int) -> None:
    found, left = cut(STEPS, most)
    assert ([told(way) for way in found], left) == (kept, out)
    assert sum(map(ends, found)) + left == sum(map(ends, STEPS)) == 5
    assert [step.id for step in steps_of(STEPS[1])] == ["-D:1", "-D:2", "-E:1"]
