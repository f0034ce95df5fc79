"""Small plants as text, drawn from a seed: strips of every kind, cables with screens and spare cores, chains, long names."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path

from netdsl.model import read_plant
from netdsl.network import Network, build_network
from render.drawing import Drawing
from tests.readings import Unlinked

KINDS = ("", "", "", "", "disconnect ", "fused fuse=2A ", "neutral ", "screened ")
WORDS = ("level", "run", "stop", "circulation, upper basin", "Ölstand", "emergency stop channel", "fault", "(spare)")
CONSTRUCTIONS = (
    ("4G1.5", "BN BK GY GNYE"),
    ("7x1.5", "1 2 3 4 5 6 7"),
    ("2x2x0.75", "1a 1b 2a 2b"),
    ("12G1", "1 2 3 4 5 6 7 8 9 10 11 GNYE"),
)
SCREENS = ("clamp", "gland", "pigtail 60mm", "pigtail 60x12mm bare 80mm", "open", "capacitor")


def plant_text(seed: int) -> str:
    """A plant that can be read, though no rule would let it pass."""
    rng = random.Random(seed)
    size = "A4" if seed % 5 == 4 else "A3"
    lines = [
        "netdsl 1",
        f'project "Random {seed}" {{',
        f'  number = "R-{seed}" sheet-size = {size}',
        "}",
        'place +MCP "Panel" kind=cabinet',
        'place +HALL "Hall floor" kind=field',
        'place +BOX "Box at the upper basin" kind=box',
        "route DUCT1 at=+MCP kind=duct",
        "route LONG-DUCT-BEHIND-THE-DOOR at=+MCP kind=duct",
        "route TRAY1 kind=tray length=30m",
        "supply -G0 system=TN-S voltage=400V",
        "device -Q0 switch-disconnector at=+MCP",
        "cable -W0 5G16 length=5m { ".rstrip(),
    ]
    lines += [
        f"  {core} -G0:{pole} to -X0:{pole}"
        for core, pole in zip("BN BK GY BU GNYE".split(), "L1 L2 L3 N PE".split(), strict=True)
    ]
    lines += ["}", 'strip -X0 "Incoming" at=+MCP {', "  :L1 :L2 :L3 16mm2", "  :N neutral 16mm2", "  :PE earth 16mm2", "}"]
    lines += [
        "wire -X0:L1,L2,L3 to -Q0:1,3,5 16mm2 BK",
        "device -XE1 earth-bar at=+MCP ways=12",
        "wire -X0:PE to -XE1:1 16mm2 GNYE",
    ]
    for number in range(1, rng.randint(2, 4)):
        lines += _function(rng, number)
    return "\n".join(lines) + "\n"


def _function(rng: random.Random, number: int) -> list[str]:
    name = rng.choice((f"RP{number}", f"WATER_TREATMENT_{number}", f"BASIN{number}"))
    ways = rng.randint(3, 40)
    side = rng.choice(("right", "right", "left"))
    lines = [
        f'function ={name} "Function {number}, {rng.choice(WORDS)}" at=+MCP {{',
        f'  strip -X1 "{rng.choice(WORDS)}" at={rng.choice(("+MCP", "+BOX"))} field={side} {{',
    ]
    for way in range(1, ways + 1):
        lines.append(f'    :{way} {rng.choice(KINDS)}{rng.choice(("2.5mm2", "4mm2", "16mm2"))} "{rng.choice(WORDS)}"')
    for _ in range(rng.randint(0, 3)):
        first = rng.randint(1, ways - 1)
        lines.append(f"    bridge :{first}..{rng.randint(first + 1, ways)}")
    lines += ["  }", "  device -M1 motor at=+HALL power=4kW winding=400/690V", f"  connect -M1 {rng.choice(('star', 'delta'))}"]
    lines += ['  outside -A1 "Control room" at=+HALL {', f"    terminal :1..{ways} plain 0.5..2.5mm2", "  }"]
    lines += _wires(rng, ways)
    way = 1
    for cable in range(1, rng.randint(2, 6)):
        lines += _cable(rng, cable, way, ways)
        way = rng.randint(1, ways)
    return [*lines, "}"]


def _wires(rng: random.Random, ways: int) -> list[str]:
    lines = []
    for _ in range(rng.randint(1, ways)):
        ends = [f"-X1:{rng.randint(1, ways)}" for _ in range(3)]
        chain = (
            " to ".join(dict.fromkeys([ends[0], "-X0:L1", ends[1]]))
            if rng.random() < 0.3
            else f"{ends[0]} to -XE1:{rng.randint(2, 12)}"
        )
        mark = f" mark={rng.choice(('201', 'P24', 'VERY-LONG-MARK-OF-A-CONDUCTOR'))}" if rng.random() < 0.4 else ""
        along = f" along={rng.choice(('DUCT1', 'DUCT1,LONG-DUCT-BEHIND-THE-DOOR'))}"
        lines.append(
            f"  wire {chain} 1.5mm2 {rng.choice(('BK', 'BU', 'GNYE'))}{mark}{along}{' twin' if chain.count(' to ') > 1 else ''}"
        )
    return lines


def _cable(rng: random.Random, number: int, way: int, ways: int) -> list[str]:
    construction, cores = rng.choice(CONSTRUCTIONS)
    screened = rng.choice(("", " screened"))
    spare = rng.choice(("", " spare=earthed", " spare=insulated"))
    title = f' "{rng.choice(WORDS)}"' if rng.random() < 0.6 else ""
    lines = [f"  cable -W{number} {construction}{screened}{title} length=12m along=TRAY1{spare} {{"]
    for offset, core in enumerate(cores.split()):
        there = way + offset if rng.random() < 0.8 else rng.randint(1, ways)
        if rng.random() < 0.8 and there <= ways:
            lines.append(f"    {core} -X1:{there} to -A1:{there}")
    if screened and rng.random() < 0.8:
        lines.append(f"    screen -X1 {rng.choice(SCREENS)} to -A1 {rng.choice(SCREENS)}")
    return [*lines, "  }"]


@cache
def random_network(seed: int) -> Network:
    """The network of the plant of `seed`, for all tests that only look at it."""
    plant, _ = read_plant(Path("plant.netdsl"), {"plant.netdsl": plant_text(seed)})
    assert plant is not None
    return build_network(plant)[0]


@cache
def random_drawing(seed: int) -> Drawing:
    """The plant of `seed` as it is drawn, but for links, for all tests that only look at it."""
    return Unlinked(random_network(seed))
