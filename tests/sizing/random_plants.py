"""Small plants by chance, of which data may be taken away or made worse: `plant(seed)` gives one as lines."""

from __future__ import annotations

import random
import re

HEAD = """netdsl 1
project "By chance" {{
{choices}}}
place +MCP "Panel" kind=cabinet size=800x1800x400mm
place +HALL "Hall" kind=field
route TRAY1 at=+HALL kind=perforated-tray length=60m ambient={ambient}degC
supply -G0 "Site" system={system} voltage=400V fault-current={level}kA earth-fault-current={earth}kA upstream=fuse-gG-{fuse}A
device -XE1 earth-bar at=+MCP ways=30
device -Q0 switch-disconnector at=+MCP current=125A
busbar -WB1 at=+MCP poles=4 current=125A
cable -W0 5G{infeed} length={way}m method={method} {{
  BN -G0:L1 to -Q0:1
  BK -G0:L2 to -Q0:3
  GY -G0:L3 to -Q0:5
  BU -G0:N to -WB1:N
  GNYE -G0:PE to -XE1:1
}}
wire -Q0:2,4,6 to -WB1:L1,L2,L3 {bar}mm2 length=1m method=C
wire -XE1:2 to +MCP:PE 16mm2 length=1m"""
MOTOR = """device -Q{n} {breaker} at=+MCP current={rated}A{curve}
device -M{n} motor at=+HALL power={power}kW current={amps}A power-factor=0.8{n} winding=400/690V
connect -M{n} delta
wire -WB1:L1,L2,L3 to -Q{n}:1,3,5 {section}mm2 length={tap}m method=C
cable -W{n} 4G{section} length={way}m along=TRAY1 {{
  BN -Q{n}:2 to -M{n}:U1
  BK -Q{n}:4 to -M{n}:V1
  GY -Q{n}:6 to -M{n}:W1
  GNYE -XE1:{bar} to -M{n}:PE
}}"""
HEATER = """device -F{n} {breaker} at=+MCP current={rated}A{curve}
device -E{n} heater at=+HALL power={power}kW voltage=230V
wire -WB1:L{phase} to -F{n}:1 {section}mm2 length={tap}m method=C
cable -W{n} 3G{section} length={way}m method={method} {{
  BN -F{n}:2 to -E{n}:L
  BU -WB1:N to -E{n}:N
  GNYE -XE1:{bar} to -E{n}:PE
}}"""
SECTIONS = (1.5, 2.5, 4, 6, 10, 16, 25, 35)
#: power kW, current A, rating A
MOTORS = ((0.75, 1.9, 4), (1.5, 3.5, 6), (4, 8.5, 16), (7.5, 15.5, 25), (11, 22, 32), (15, 28.5, 40))
#: words that may be taken away, or the section of a wire
DATA = re.compile(
    r" (?:length|method|fault-current|earth-fault-current|upstream|current|power|power-factor|voltage|curve|ambient|along)=\S+"
    r"| [\d.]+mm2\b"
)


def plant(seed: int) -> str:
    """The text of plant `seed`: an infeed and one to four circuits, some of them too thin, too long or too weakly fed."""
    chance = random.Random(f"sizes/{seed}")
    level = chance.choice((1.0, 3.0, 6.0, 10.0, 20.0))
    head = HEAD.format(
        choices=chance.choice(("", "", "  one-section-per-class = no\n", "  protective-conductor-size = equation\n")),
        ambient=chance.choice((20, 30, 40, 45)),
        system=chance.choice(("TN-S", "TN-S", "TN-C-S")),
        level=level,
        earth=round(level * chance.choice((0.5, 0.8, 1.0)), 2),
        fuse=chance.choice((35, 63, 100)),
        infeed=chance.choice((6, 10, 16, 25)),
        way=chance.choice((3, 15, 40)),
        method=chance.choice("BCE"),
        bar=chance.choice((10, 16, 25)),
    ).replace("method=B", "method=B2")
    return "\n".join([head, *(_circuit(chance, n) for n in range(1, chance.randint(2, 5)))]) + "\n"


def _circuit(chance: random.Random, n: int) -> str:
    power, amps, rated = chance.choice(MOTORS)
    size = {"n": n, "bar": n + 2, "section": chance.choice(SECTIONS), "tap": chance.choice((1, 1, 5))}
    size["way"] = chance.choice((4, 15, 40, 90, 180))
    breaker, curve = chance.choice((("mcb-{}p", " curve=C"), ("mcb-{}p", " curve=D"), ("mcb-{}p", " curve=B")))
    if chance.random() < 0.6:
        said = {"breaker": breaker.format(3), "curve": curve, "power": power, "amps": amps, "rated": rated}
        return MOTOR.format(**size, **said)
    said = {
        "breaker": breaker.format(1),
        "curve": curve,
        "power": chance.choice((0.5, 1, 2, 3)),
        "rated": chance.choice((6, 10, 16, 20)),
    }
    return HEATER.format(**size, **said, phase=chance.randint(1, 3), method=chance.choice(("B2", "C", "E")))


def opened(text: str, seed: int) -> str:
    """A text with half of its sections left open."""
    chance = random.Random(f"open/{seed}")
    found = re.compile(r"(?<=[345]G)[\d.]+(?= length)|(?<= )[\d.]+mm2(?= length)")
    return found.sub(lambda match: "auto" if chance.random() < 0.5 else match[0], text)


def lessened(text: str, seed: int) -> str:
    """A text without one to three of the words of `DATA`."""
    chance = random.Random(f"less/{seed}")
    for _ in range(chance.randint(1, 3)):
        match = chance.choice(list(DATA.finditer(text)))
        text = text[: match.start()] + text[match.end() :]
    return text
