"""A second cabinet, fed from the first: its bars, its earth, its 24 V, its machines, all in a function of their own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from tests.soundness.panel import Feeder, Panel
from tests.soundness.sites import alternating_voltage, bars, direct_voltage
from tests.soundness.trade import CABLES, FUSE, WIRES, number, section

NAME = "=S2"
Filling = Callable[[Panel, int], None]


def second_panel(main: Panel, fill: Filling) -> tuple[list[str], list[str], list[str]]:
    """Places of a second cabinet, what the first holds for it, and its function; `fill` gives it so many feeders."""
    chance = main.chance
    style = replace(main.style, routes=False, flat=False, nested=False)
    place = f"{main.name}2"
    panel = Panel(chance, style, place, main.system)
    panel.scope, panel.hall, panel.places, panel.prefix = NAME + ".", main.hall, main.places, chance.choice(("P", "M"))
    panel.first_index = 60
    panel.limit = 40
    panel.alternating = False
    panel.planned = chance.randint(1, 4)
    fill(panel, panel.planned)
    total = max(sum(feeder.amps for feeder in panel.feeders) + 4, 10)
    largest = max(feeder.largest for feeder in panel.feeders)
    fuse = next(value for value in (25, 32, 40, 50, 63, 80) if value >= max(total * 1.1, largest * 1.25))
    cable = max(section(fuse * FUSE, CABLES, 0.7) or 50, 10)
    inside = section(fuse * FUSE, WIRES) or 50
    isolator = next(
        value for value, most in ((25, 10), (40, 16), (63, 25), (100, 50)) if value >= fuse and most >= max(inside, cable)
    )
    control = [*direct_voltage(panel), *alternating_voltage(panel)]
    first = panel.earth()
    body = [
        f'device -Q0 switch-disconnector-{isolator}a "Isolator" at={panel.inside}'
        + (f" operated-at={panel.door}" if style.door != "none" else ""),
        f"busbar {panel.bus} at={panel.inside} poles={4 if panel.neutral else 3} current={isolator}A",
        f"wire -Q0:2,4,6 to {panel.bus}:L1,L2,L3 {number(inside)}mm2 {style.power} length=0.5m",
        f"wire {panel.earth()} to {place}:PE {number(max(10, min(cable, 16)))}mm2 GNYE length=0.5m",
    ]
    if panel.needs_door and style.door == "metal":
        body.append(f"wire {place}:PE to {place}.D:PE 6mm2 GNYE length=0.8m")
    body += [*control, *(line for feeder in panel.feeders for line in feeder.block())]
    body += bars(panel)
    places = [
        f'place {place} "Second cabinet" kind=cabinet size=1000x2000x500mm ambient=20degC'
        + f" airflow={int(panel.losses * 0.5) + 40}m3/h"
    ]
    if style.plate:
        places.append(f"place {place}.P kind=plate")
    if panel.needs_door:
        places.append(f"place {place}.D kind=door" + ("" if style.door == "metal" else " metal=no"))
    if not style.explicit:
        within = f"within={place}"
        places += [
            f"defaults {within} class=mains section=2.5mm2 colour={style.power} length=1.5m",
            f"defaults {within} class=motor section=2.5mm2 colour={style.power}",
            f"defaults {within} class=control section=0.75mm2 colour={style.control} length=1.5m",
            f"defaults {within} class=safety section=0.75mm2 colour={style.control} length=1.5m",
            f"defaults {within} class=earth section=2.5mm2 colour=GNYE length=1m",
        ]
    wide = next((size for size, carried in WIRES if carried * 0.8 >= fuse * FUSE), 50)
    cores = [
        f"BN -F80:2 to {NAME}-Q0:1",
        f"BK -F80:4 to {NAME}-Q0:3",
        f"GY -F80:6 to {NAME}-Q0:5",
    ]
    if main.neutral:
        cores.append(f"BU {main.bus}:N to {NAME}{panel.bus}:N")
    cores.append(f"GNYE {main.earth()} to {NAME}{first}")
    holder = "fuse-nh00-gg" if max(wide, cable) > 35 else "fuse-22x58-gg"
    there = [
        f'device -F80 {holder} "Second cabinet" at={main.inside} current={fuse}A',
        main.wire(f"{main.bus}:L1,L2,L3 to -F80:1,3,5", "mains", wide, length=1),
        *main.cable(
            "-W80", f"{len(cores)}G{number(cable)}", chance.randint(4, 25), "mains", cores, words=' "to the second cabinet"'
        ),
    ]
    stand_in = Feeder(main, 99, "Second cabinet")
    stand_in.amps, stand_in.largest = total, fuse
    main.feeders.append(stand_in)
    return (
        places,
        there,
        [f'function {NAME} "Second cabinet" at={panel.inside} {{', *(f"  {line}" if line else "" for line in body), "}", ""],
    )
