"""The texts of a plant from its motors: the common part of the panel, the site, one function per motor."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import count

from netdsl.findings import Source
from netdsl.starting.choosing import (
    ON_RAIL,
    SELECTIVE,
    WITH_DRIVE,
    feeder_rating,
    infeed_for,
    inrush,
    upstream_for,
)
from netdsl.starting.circuits import Ways, function_text, line_current, taken_current
from netdsl.starting.motor_list import Motor, assumptions
from netdsl.syntax import format_text

Texts = dict[str, str]
CAUTIONS = (
    "Skilled persons only. Isolate, lock off, wait for the DC link to discharge, prove dead before touching anything.",
    "Local codes and the instructions of the manufacturers chosen prevail; a licensed person checks and signs.",
)
_CIRCUITS = """# One function per motor. Wires from the busbars to a breaker or fuse are taps: 3 m at most, laid so that a short circuit is
# unlikely, protected against overload by what stands at their end. Where a size has a reason other than being the smallest of
# its series that passes every check, it stands beside it. Ratings for an inrush: common practice, no source.

netdsl 1

"""
_BRANCH = 6
#: beyond this length of a field cable a branch of its own with a smaller breaker feeds it, m
_FAR_M = 30
#: of laminated copper bars of 240 mm2, A: common practice, no source
_BARS_A = 720
_BY_BREAKER, _BY_CURVE = ("direct-on-line", "reversing"), ("star-delta", "mains-bypass")


@dataclass(frozen=True, slots=True)
class Branch:
    """A branch of 24 V: terminals in use, and whether it serves one motor alone whose field contact is far away."""

    used: int
    far: bool


@dataclass(frozen=True, slots=True)
class Draft:
    """Texts by file name, what they assume and what the designer must decide, one sentence each."""

    texts: Texts
    assumed: tuple[str, ...]
    decisions: tuple[str, ...]


def write_texts(motors: tuple[Motor, ...], title: str, airflow: float = 0.0) -> Draft | None:
    """Texts with sizes left `auto`; None where the motors need more than one incoming supply. `airflow`: of the cabinet, m3/h."""
    largest = max(feeder_rating(taken_current(motor)) for motor in motors)
    upstream = upstream_for(sum(map(taken_current, motors)) + 2, largest)
    if upstream is None:
        return None
    ways, ducts, branches, earths = _ways(motors)
    draft = Draft({}, _assumed(motors, upstream, airflow), _decisions(motors))
    common = _common(motors, upstream, branches, earths, airflow)
    circuits = _CIRCUITS + "\n".join(map(function_text, motors, ways))
    texts = {
        "plant.netdsl": heading(title, draft) + common,
        "site.netdsl": _site(motors, ducts, tuple(kept.output for kept in ways if kept.output)),
        "circuits.netdsl": circuits,
    }
    return replace(draft, texts={name: format_text(Source(name, text)) or text for name, text in texts.items()})


def heading(title: str, draft: Draft) -> str:
    """The comment at the head of `plant.netdsl`."""
    lines = [f"{title}.", "", *CAUTIONS, "", "Assumed; decide each:", *(f"  - {line}" for line in draft.assumed),
             "", "The designer must still decide:", *(f"  - {line}" for line in draft.decisions)]  # fmt: skip
    return "\n".join(f"# {line}".rstrip() for line in lines) + "\n\n"


def _ways(motors: tuple[Motor, ...]) -> tuple[list[Ways], int, list[Branch], int]:
    """What the panel keeps for each motor; power ducts, terminals of each 24 V branch, ways of the earth bar so far."""
    found, branches, earth = list[Ways](), list[Branch](), count(9)
    stations = [motor for motor in motors if motor.way == "serial-bus"]
    free, duct, rail, number = 0.0, 0, 0, 0
    feed, outputs = 1, count(1)
    for motor in motors:
        share = 1 / 6 if line_current(motor) <= 9 else 1 / 2 if line_current(motor) <= 16 else 1.0
        if free < share - 1e-9:
            free, duct = 1.0, duct + 1
        free -= share
        taken = 2 if motor.way == "mains-bypass" else 1
        far = motor.way == "mains-bypass" and motor.length_m > _FAR_M
        if motor.way in ON_RAIL and (not branches or number == _BRANCH or far or branches[-1].far):
            branches.append(Branch(1, far))
            number, rail, feed = 0, rail + 1, 3
        before = f"{stations[stations.index(motor) - 1].designation}-T1" if motor in stations[1:] else "SL1-A1"
        station = stations.index(motor) + 1 if motor in stations else 0
        output = f"DUCT4{next(outputs)}" if motor.way == "mains-bypass" else ""
        found.append(Ways(f"DUCT1{duct}", f"-X2{rail}", feed, next(earth), station, len(stations), before, output))
        if motor.way == "mains-bypass":
            next(earth)
        if motor.way in ON_RAIL:
            number, feed = number + 1, feed + taken
            branches[-1] = Branch(feed, far)
    return found, duct, branches, next(earth)


def _assumed(motors: tuple[Motor, ...], upstream: int, airflow: float) -> tuple[str, ...]:
    known, earth = _fault(upstream)
    lines = [
        *assumptions(motors),
        f"supply TN-S 400 V 50 Hz, fault current {known}, earth fault current {earth}, fuse gG {upstream} A at the origin",
        "incoming cable 20 m, it and the wires to the busbars carry what the fuse lets through; all motors run together at rated load",
        *(
            [f"laminated copper bars up to the busbars, {_BARS_A} A (common practice, no source)"]
            if infeed_for(upstream).bars
            else []
        ),
        f"the fuse at the origin: for all motors together, and {SELECTIVE:g} times the largest protective device behind it (common practice, no source)",
        "motors of 4 poles, power factor and current of the library; of a power between two of it, the current in proportion",
        *_inrush_words(motors),
        "taps from the busbars to the breakers and fuses: 2 m, laid so that a short circuit is unlikely",
        "ambient 25 degC at the panel, trays 300 mm to 600 mm apart and in a single layer; lengths of wires inside the panel",
        f"cabinet {_size(motors)} against a wall, wires and breakers without a duct plan of the shop"
        + (f", fans {airflow:g} m3/h" if airflow else ""),
        "field switches, transmitters and buttons are those of the schemes; their cables are as long as the motor's",
    ]
    if any(motor.way in ("local-remote", "serial-bus") for motor in motors):
        lines.append("control room 40 m from the panel")
    return tuple(lines)


def _inrush_words(motors: tuple[Motor, ...]) -> tuple[str, ...]:
    factor, least = inrush()
    things = [words for words, there in (("drives", any(motor.way in WITH_DRIVE for motor in motors)),
                                         ("the 24 V supply", any(motor.way in ON_RAIL for motor in motors))) if there]  # fmt: skip
    started = [words for words, there in (("motor breakers (direct on line, reversing)", any(motor.way in _BY_BREAKER for motor in motors)),
                                          ("breakers of curve D with the same margin (star-delta, bypass)", any(motor.way in _BY_CURVE for motor in motors))) if there]  # fmt: skip
    lines = []
    if things:
        lines.append(f"breakers and fuses ahead of {' and '.join(things)}: {factor:g} times the current taken, {least:g} A at least, for the "
                     "inrush (common practice, no source)")  # fmt: skip
    if "drives" in things:
        lines.append(
            "against overload the wires and the cable of a drive rely on the drive, which limits what it takes and gives"
        )
    if started:
        lines.append(f"{' and '.join(started)} bear the starting current (common practice, no source)")
    return tuple(lines)


def _decisions(motors: tuple[Motor, ...]) -> tuple[str, ...]:
    lines = ["emergency stop and safe torque off: none is drawn, the risk assessment decides", "maintenance isolators beside the motors: none is drawn",
             "winding thermistors, line reactors and residual current devices: none is drawn",
             "rating plates of the motors, data of the drives chosen, settings of the drives"]  # fmt: skip
    if any(motor.way == "serial-bus" for motor in motors):
        lines.append("release of the serial line: drawn as a level switch, one for all stations")
    return tuple(lines)


def _fault(upstream: int) -> tuple[str, str]:
    return ("6kA", "3kA") if upstream <= 160 else ("10kA", "9kA")


def _size(motors: tuple[Motor, ...]) -> str:
    number = len(motors) + sum(taken_current(motor) > 50 for motor in motors) * 2
    width = next((width for most, width in ((2, 600), (5, 800), (9, 1200), (18, 2400), (30, 3600)) if number <= most), 4800)
    return f"{width}x{1200 if number <= 2 else 2000}x400mm"


def _site(motors: tuple[Motor, ...], ducts: int, outputs: tuple[str, ...]) -> str:
    lines = ["# Where things stand, what cables and wires lie in, and how these ways run to each other. Distances are assumed.", "", "netdsl 1", "",
             f'place +MCP "Motor control panel" kind=cabinet size={_size(motors)} mounting=against-wall ambient=25degC',
             'place +MCP.D "Panel door" kind=door', 'place +ROOM "Room of the panel" kind=field',
             'place +CTRL "Control room" kind=field']  # fmt: skip
    places = {motor.place: motor.place_title for motor in motors}
    lines += [f'place +{name} "{title}" kind=field' for name, title in places.items()]
    power = [f"DUCT1{number}" for number in range(ducts + 1)]
    lines += ["", 'route DUCT0 "infeed, up to the busbars" at=+MCP kind=duct', 'route DUCT10 "24 V supply, fans, earth" at=+MCP kind=duct',
              *(f'route {name} "power" at=+MCP kind=duct' for name in power[1:]),
              'route DUCT2 "control" at=+MCP kind=duct', 'route DUCT3 "signals" at=+MCP kind=duct',
              *(f'route {name} "output of a drive" at=+MCP kind=duct' for name in outputs), 'route HINGE1 "hinge loop" at=+MCP.D kind=hinge',
              *(f"relation {name} DUCT2 crossing=90deg" for name in ("DUCT0", *power)),
              *(f"relation {name} DUCT3 spacing=200mm parallel=1.6m" for name in ("DUCT0", *power)),
              *(f"relation {name} {output} spacing=300mm parallel=1.6m"
                for output in outputs for name in ("DUCT0", *power, "DUCT2", "DUCT3")),
              "relation DUCT2 DUCT3 spacing=100mm parallel=1.6m", "",
              'route TRAY0 "incoming" at=+ROOM kind=perforated-tray length=20m',
              'route TRAY1 "control" at=+ROOM kind=perforated-tray length=20m', "relation TRAY0 TRAY1 spacing=500mm parallel=20m",
              'route RISER1 "from the control room" at=+CTRL kind=perforated-tray length=40m']  # fmt: skip
    for name in places:
        longest = max(motor.length_m for motor in motors if motor.place == name)
        factor = max(1.0, longest / 30)
        lines += [
            "",
            *(
                f'route {name}-{kind} "{text}" at=+{name} kind=perforated-tray length={longest:g}m{more}'
                for kind, text, more in (
                    ("DRIVES", "motor cables of drives", ""),
                    ("MAINS", "motors on the mains", ""),
                    ("CONTROL", "control and signals", " divider=yes"),
                )
            ),
        ]
        lines += [f"relation {name}-{a} {name}-{b} spacing={-(-int(mm * factor) // 50) * 50}mm parallel={longest:g}m"
                  for a, b, mm in (("DRIVES", "MAINS", 300), ("DRIVES", "CONTROL", 600), ("MAINS", "CONTROL", 500))]  # fmt: skip
    return "\n".join(lines) + "\n"


def _common(motors: tuple[Motor, ...], upstream: int, branches: list[Branch], earths: int, airflow: float) -> str:
    known, earth = _fault(upstream)
    infeed = infeed_for(upstream)
    fans = max(1, -(-int(airflow) // 700)) if airflow else 0
    size, clamp, large = infeed.isolator, infeed.clamp, infeed.doubled
    cable = f"4x{infeed.cable} insulation=XLPE parallel=2" if large else f"5G{infeed.cable}"
    earth_core = "  GNYE -G0:PE to -XE1:1"
    bars = f"{infeed.panel}mm2 ampacity={_BARS_A}A" if infeed.bars else f"{infeed.panel}mm2"
    double = " clamps=2" if large else ""
    words = ["# Cable and wires carry what the fuse lets through; the neutral carries as much as a phase."]
    words += ["# Two cables side by side."] if large else []
    words += (
        [f"# From the incoming terminals to the busbars laminated copper bars, {_BARS_A} A: common practice, no source."]
        if infeed.bars
        else []
    )
    lines = ["netdsl 1", "", 'project "Motor control panel" {', '  number = "1" document-language = en sheet-size = A3 status = "draft"', "}", "",
             'include "site.netdsl"  # places, ducts and trays', 'include "circuits.netdsl"  # one function per motor', "",
             "# What an ordinary wire inside the panel looks like; lengths are assumed.", 'shade DBU = BU "dark blue"',
             "defaults within=+MCP class=mains section=2.5mm2 colour=BK along=DUCT10 length=2m", "defaults within=+MCP class=motor section=2.5mm2 colour=BK",
             "defaults within=+MCP class=control section=0.75mm2 colour=DBU along=DUCT2 length=2m",
             "defaults within=+MCP class=safety section=0.75mm2 colour=DBU along=DUCT2 length=2m",
             "defaults within=+MCP class=earth section=2.5mm2 colour=GNYE along=DUCT10 length=1.5m", "", "# --- Supply and distribution ---",
             "# Assumed: system, fault currents, the fuse at the origin and the length of the cable. The cable's protective core goes straight",
             "# to the earth bar.",
             f'supply -G0 "Site distribution" system=TN-S voltage=400V frequency=50Hz fault-current={known} earth-fault-current={earth} upstream=fuse-gG-{upstream}A',
             'strip -X0 "Incoming supply" at=+MCP {', f"  :L1 :L2 :L3 {clamp}mm2{double}", f"  :N neutral {clamp}mm2{double}", "}",
             *words,
             f'cable -W0 {cable} "incoming cable" length=20m method=E along=TRAY0 {{', "  BN -G0:L1 to -X0:L1", "  BK -G0:L2 to -X0:L2",
             "  GY -G0:L3 to -X0:L3", "  BU -G0:N to -X0:N", *([] if large else [earth_core]), "}",
             *([f'cable -W00 1G{infeed.bonding} "protective conductor" length=20m method=E along=TRAY0 {{', earth_core, "}"] if large else []),
             f'device -Q0 switch-disconnector-{size}a "Main isolator" at=+MCP operated-at=+MCP.D',
             f'busbar -WB1 "Main busbars" at=+MCP poles=4 current={size}A',
             f"wire -X0:L1,L2,L3 to -Q0:1,3,5 {bars} along=DUCT0", f"wire -Q0:2,4,6 to -WB1:L1,L2,L3 {bars} along=DUCT0",
             f"wire -X0:N to -WB1:N {bars} BU along=DUCT0", "",
             f'device -XE1 earth-bar "Main earth bar" at=+MCP ways={earths + fans + 4} section=1.5..{max(35, clamp)}mm2',
             f"wire -XE1:2 to +MCP:PE {infeed.bonding}mm2", "wire +MCP:PE to +MCP.D:PE 6mm2 along=HINGE1", ""]  # fmt: skip
    lines += _rail(branches) if branches else []
    lines += _cooling(airflow, fans, earths) if fans else []
    stations = sum(motor.way == "serial-bus" for motor in motors)
    return "\n".join(lines + (_line(stations) if stations else [])) + "\n"


def _rail(branches: list[Branch]) -> list[str]:
    number = len(branches)
    lines = ["# --- 24 V DC: one small quick breaker per branch, an electronic supply gives little more than its rating to trip it ---",
             'device -F8 mcb-1p "24 V supply" at=+MCP current=6A  # not less, for the inrush of the supply', f'device -T9 supply-24v-{10 if number < 2 else 20}a "24 V DC" at=+MCP',
             "wire -WB1:L1 to -F8:1 2.5mm2", "wire -F8:2 to -T9:L 2.5mm2", "wire -WB1:N to -T9:N 2.5mm2 BU",
             "wire -T9:PE to -XE1:3 2.5mm2", 'strip -X20 "24 V before the breakers" at=+MCP {',
             f'  :1..{number + 1} 4mm2 "24 V"', f'  :101..{number + 102} 4mm2 "0 V"', f"  bridge :1..{number + 1}",
             f"  bridge :101..{number + 102}", "}", "wire -T9:+ to -X20:1 4mm2", "wire -T9:- to -X20:101 4mm2",
             f"wire -X20:{number + 102} to -XE1:4 2.5mm2 GNYE  # the one point at which the 24 V is joined to earth",
             "earthing of -T9:- at -XE1:4"]  # fmt: skip
    for branch, kept in enumerate(branches, 1):
        top = kept.used + 1
        rating = (
            "current=1A curve=B voltage=60V  # the short circuit behind a long cable is small"
            if kept.far
            else "current=2A curve=B voltage=60V"
        )
        lines += [f'device -F2{branch} mcb-1p "24 V, branch {branch}" at=+MCP {rating}',
                  f'strip -X2{branch} "24 V, branch {branch}" at=+MCP {{', f'  :1..{top} 2.5mm2 "24 V"', f'  :101..{100 + top} 2.5mm2 "0 V"',
                  f"  bridge :1..{top}", f"  bridge :101..{100 + top}", "}", f"wire -X20:{branch + 1} to -F2{branch}:1 4mm2",
                  f"wire -F2{branch}:2 to -X2{branch}:1 1.5mm2", f"wire -X20:{101 + branch} to -X2{branch}:101 2.5mm2"]  # fmt: skip
    return [*lines, ""]


def _cooling(airflow: float, fans: int, earths: int) -> list[str]:
    each = -(-int(airflow / fans) // 10) * 10
    lines = ["# --- Cabinet cooling: airflow from the heat balance at the assumed ambient ---", 'device -F9 mcb-1p "Cabinet cooling" at=+MCP current=2A',
             "device -B9 thermostat at=+MCP", "wire -WB1:L2 to -F9:1 2.5mm2", "wire -F9:2 to -B9:1 2.5mm2"]  # fmt: skip
    live, back = "-B9:2", "-WB1:N"
    if fans > 1:
        lines += ['strip -X9 "Cabinet fans" at=+MCP {', f'  :1..{fans + 1} 2.5mm2 "L"', f'  :101..{fans + 101} 2.5mm2 "N"', f"  bridge :1..{fans + 1}",
                  f"  bridge :101..{fans + 101}", "}", "wire -B9:2 to -X9:1 2.5mm2 BK along=DUCT10", "wire -WB1:N to -X9:101 2.5mm2 BU"]  # fmt: skip
    for number in range(1, fans + 1):
        if fans > 1:
            live, back = f"-X9:{number + 1}", f"-X9:{number + 101}"
        lines += [f"device -E9{number} cabinet-fan at=+MCP airflow={each}m3/h", f"wire {live} to -E9{number}:L 2.5mm2 BK along=DUCT10",
                  f"wire {back} to -E9{number}:N 2.5mm2 BU", f"wire -E9{number}:PE to -XE1:{earths + number}"]  # fmt: skip
    return [*lines, ""]


def _line(stations: int) -> list[str]:
    return ["# --- Serial line to the controller, and the release of its stations ---", 'function =SL1 "Serial line" at=+MCP {',
            '  outside -A1 "Controller" at=+CTRL {', "    terminal :A bus function=bus-a line=a", "    terminal :B bus function=bus-b line=b",
            "    terminal :G bus function=bus-common line=common", "    terminal :SH screen function=screen-control", "    terminal :PE earth",
            "    setting termination off on", "  }", "  set -A1 termination=on",
            '  cable -W9 1G16 "equipotential bonding" length=40m along=RISER1 {', "    GNYE -XE1:5 to -A1:PE", "  }",
            '  device -B1 level-switch "Release" at=+ROOM', '  strip -X1 "Release" at=+MCP {', '    :1..2 2.5mm2 "release"', "  }",
            '  strip -X3 "24 V while released" at=+MCP {', f'    :1..{stations + 1} 2.5mm2 "24 V released"', f"    bridge :1..{stations + 1}", "  }",
            '  cable -W2 2x1.5 "release" length=20m along=TRAY1,DUCT2 {', "    BN -X1:1 to -B1:11", "    BU -X1:2 to -B1:14", "  }",
            "  wire -X21:2 to -X1:1 1.5mm2", "  wire -X1:2 to -X3:1 1.5mm2", "}"]  # fmt: skip
