"""Sound plants by chance: `sound_plant(seed)` is a whole text, wired as the trade does, without any shipped scheme."""

from __future__ import annotations

import random

from tests.soundness.handed import alternating
from tests.soundness.panel import Feeder, Panel, Style
from tests.soundness.pumps import bypass, helped, several_motors
from tests.soundness.running import WAYS, drive_feeder, line
from tests.soundness.second import second_panel
from tests.soundness.sites import alternating_voltage, bars, direct_voltage, head, infeed
from tests.soundness.special import SPECIAL
from tests.soundness.starters import starter
from tests.soundness.sundry import emergency_stop, sundry

STARTERS = ("direct", "reversing", "star-delta")
PUMPS = {"several": several_motors, "bypass": bypass, "helped": helped, "alternating": alternating}
TITLES = ("Pump", "Fan", "Rake", "Mixer", "Screw", "Gate", "Blower", "Compressor")


def style_of(chance: random.Random) -> Style:
    """How the designer of one plant writes."""
    control, power = chance.choice((("DBU", "BK"), ("RD", "BK"), ("WH", "BN"), ("GY", "BK"), ("VT", "BN")))
    return Style(
        routes=chance.random() < 0.6,
        explicit=chance.random() < 0.4,
        flat=chance.random() < 0.25,
        divided=chance.random() < 0.4,
        control=control,
        power=power,
        own_drives=chance.random() < 0.35,
        blocks=chance.random() < 0.2,
        comb=chance.random() < 0.2,
        plate=chance.random() < 0.25,
        nested=chance.random() < 0.25,
        door=chance.choice(("metal", "metal", "metal", "plastic", "none")),
        rail_earth=chance.random() < 0.35,
    )


def count_of(chance: random.Random) -> int:
    """How many feeders: mostly few, at times forty."""
    return chance.choice((1, 1, 2, 2, 3, 3, 4, 5, 6, 8, 10, 12, chance.randint(13, 25), chance.randint(25, 40)))


def fill(panel: Panel, count: int) -> None:
    """So many feeders of chance in a panel."""
    chance = panel.chance
    panel.planned = count
    for index in range(1, count + 1):
        kind = chance.choice((*STARTERS, *WAYS, *PUMPS, *SPECIAL))
        feeder = Feeder(panel, panel.first_index + index, f"{chance.choice(TITLES)} {index}")
        if kind in WAYS:
            feeder.title = f"Drive of {feeder.title.lower()}"
            drive_feeder(panel, feeder, kind)
        elif kind in PUMPS and panel.share() > (40 if kind == "alternating" else 12):
            feeder.title = f"Drive of {feeder.title.lower()}"
            PUMPS[kind](panel, feeder)
        elif kind in SPECIAL and panel.share() > 10:
            if kind in ("one-phase", "contactor-ahead", "large"):
                feeder.title = f"Drive of {feeder.title.lower()}"
            SPECIAL[kind](panel, feeder)
        else:
            starter(panel, feeder, kind if kind in STARTERS else "direct")
        panel.feeders.append(feeder)


def gathered(panel: Panel) -> list[list[str]]:
    """The feeders' blocks, three at a time in a function around them where the designer nests."""
    if not panel.style.nested:
        return [feeder.block() for feeder in panel.feeders if feeder.lines]
    groups: dict[str, list[str]] = {}
    for feeder in panel.feeders:
        if feeder.lines:
            groups.setdefault(feeder.group.removesuffix("."), []).extend(f"  {line}" if line else "" for line in feeder.block())
    return [[f'function ={name} "Group" at={panel.inside} {{', *lines[:-1], "}", ""] for name, lines in groups.items()]


def sound_plant(seed: int) -> str:
    """The text of plant `seed`: nothing in it is a fault."""
    chance = random.Random(f"sound/{seed}")
    style = style_of(chance)
    system = chance.choice(("TN-S", "TN-S", "TN-S", "TN-C-S", "TN-C", "TT", "IT"))
    style.nested = style.nested and not style.flat
    panel = Panel(chance, style, chance.choice(("+MCP", "+A1", "+CP1", "+S1")), system)
    fill(panel, min(count_of(chance), 6) if system == "TT" else count_of(chance))
    places: list[str] = []
    second: list[str] = []
    if system in ("TN-S", "TN-C-S", "IT") and panel.share() > 70 and chance.random() < 0.25:
        places, feed, second = second_panel(panel, fill)
        panel.common += feed
    serial = line(panel)
    stop = emergency_stop(panel)
    control = direct_voltage(panel)
    beside = [*sundry(panel), *alternating_voltage(panel)]
    common = infeed(panel)
    blocks = gathered(panel)
    if chance.random() < 0.3:
        chance.shuffle(blocks)
    body = [*common, *control, *panel.common, *serial, *stop, *beside, "", *(line for block in blocks for line in block), *second]
    rails = bars(panel)
    start = head(panel, f"Sound plant {seed}")
    body = [*rails, *body] if chance.random() < 0.5 else [*body, *rails]
    return "\n".join([*start, *places, *body]).rstrip("\n") + "\n"
