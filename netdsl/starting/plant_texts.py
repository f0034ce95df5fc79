"""The texts of a plant from its motors, with what they assume and what the designer must still decide."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from itertools import count
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from netdsl.findings import Source
from netdsl.starting.choosing import infeed_for, inrush, selective
from netdsl.starting.circuits import function_text
from netdsl.starting.feeders import Ways, line_current, rail_watts
from netdsl.starting.io_cards import addressed, channels_of, io_assumed, io_decisions, own_signals, signals_of
from netdsl.starting.io_list import Signal
from netdsl.starting.io_texts import io_text, taken
from netdsl.starting.motor_list import Motor, assumptions
from netdsl.starting.panel_texts import HEAD, Branch, cabinet_size, panel_text
from netdsl.starting.panels import Panel, panels_of
from netdsl.starting.practice import BREAKER, CURVE_D, bars_a, practice
from netdsl.starting.site_texts import Inside, site_text
from netdsl.syntax import format_text

Texts = dict[str, str]
#: airflows where no cabinet has fans
_STILL: Mapping[str, float] = MappingProxyType({})
CAUTIONS = (
    "Skilled persons only. Isolate, lock off, wait for the DC link to discharge, prove dead before touching anything.",
    "Local codes and the instructions of the manufacturers chosen prevail; a licensed person checks and signs.",
)
_CIRCUITS = """\
# One function per motor. Wires from the busbars to a breaker or fuse are taps: 3 m at most, laid so that a short circuit is
# unlikely, protected against overload by what stands at their end. Where a size has a reason other than being the smallest of
# its series that passes every check, it stands beside it. Ratings for an inrush: common practice, no source.

netdsl 1

"""


class Draft(Struct, frozen=True):
    """Texts by file name, what they assume and what the designer must decide, one sentence each."""

    texts: Texts
    assumed: tuple[str, ...]
    decisions: tuple[str, ...]


def write_texts(
    motors: tuple[Motor, ...], title: str, airflows: Mapping[str, float] = _STILL, signals: tuple[Signal, ...] = ()
) -> Draft:
    """Texts with sizes left `auto`. `airflows`: of cabinets by their places without `+`, m3/h."""
    panels, insides = panels_of(motors), list[Inside]()
    common, circuits = list[str](), list[str]()
    exchanged = addressed((*own_signals(motors), *signals))
    for panel in panels:
        own = signals_of(panel, panels, exchanged)
        ways, ducts, branches, earths = _ways(panel.motors, own)
        if own:
            branches.append(Branch(taken(own), False, practice()["rail"]["io_w"], motors=False))
        airflow = airflows.get(panel.place, 0.0)
        text = panel_text(panel.motors, panel.upstream, branches, earths, airflow)
        text += io_text(own, f"-X2{len(branches)}") if own else ""
        common.append(panel.inside(text, begins=True))
        circuits.append(panel.inside("\n".join(map(function_text, panel.motors, ways))))
        outputs = tuple(kept.output for kept in ways if kept.output)
        insides.append(Inside(panel, ducts, outputs, tuple(kept.resistor for kept in ways if kept.resistor), own))
    draft = Draft({}, (*_assumed(panels, airflows), *io_assumed(exchanged)), (*_decisions(motors), *io_decisions(exchanged)))
    texts = {
        "plant.netdsl": heading(title, draft) + "".join([HEAD, *common]),
        "site.netdsl": site_text(insides),
        "circuits.netdsl": _CIRCUITS + "\n".join(circuits),
    }
    return replace(draft, texts={name: _formatted(name, text) for name, text in texts.items()})


@lru_cache(maxsize=8)  # a draft is written anew with the fans of its cabinets, of which most of its texts tell nothing
def _formatted(name: str, text: str) -> str:
    return format_text(Source(name, text)) or text


def heading(title: str, draft: Draft) -> str:
    """The comment at the head of `plant.netdsl`."""
    lines = [
        f"{title}.",
        "",
        *CAUTIONS,
        "",
        "Assumed; decide each:",
        *(f"  - {line}" for line in draft.assumed),
        "",
        "The designer must still decide:",
        *(f"  - {line}" for line in draft.decisions),
    ]
    return "\n".join(f"# {line}".rstrip() for line in lines) + "\n\n"


def _ways(motors: tuple[Motor, ...], signals: tuple[Signal, ...]) -> tuple[list[Ways], int, list[Branch], int]:
    """What the panel keeps for each motor; power ducts, terminals of each 24 V branch, ways of the earth bar so far."""
    channels = channels_of(signals)
    found, branches, earth = list[Ways](), list[Branch](), count(9)
    stations = [motor for motor in motors if motor.way == "serial-bus"]
    limits = practice()["rail"]
    free, duct, rail, number = 0.0, 0, 0, 0
    feed, watts, outputs, resistors = 1, 0.0, count(1), count(1)
    for motor in motors:
        shares = practice()["ducts"]["shares" if motor.running.starting else "of_drives"]
        share = motor.running.motors / next((many for most, many in shares if line_current(motor) <= most), 1)
        if free < share - 1e-9:
            free, duct = 1.0, duct + 1
        free -= share
        far = motor.running.loops * motor.length_m > limits["far_m"]
        own_w = rail_watts((motor,))
        watts += own_w
        heavy = own_w if own_w > limits["branch_w"] else 0.0
        full = number == limits["motors"] or watts > limits["branch_w"]
        if motor.running.on_rail and (not branches or full or far or branches[-1].far or branches[-1].heavy):
            branches.append(Branch(1, far, heavy, watts=own_w))
            number, rail, feed, watts = 0, rail + 1, 3, own_w
        before = f"{stations[stations.index(motor) - 1].designation}-T1" if motor in stations[1:] else "SL1-A1"
        station = stations.index(motor) + 1 if motor in stations else 0
        output = f"DUCT4{next(outputs)}" if motor.way in ("mains-bypass", "shared-drive", "alternating-pumps") else ""
        resistor = f"DUCT5{next(resistors)}" if motor.way == "brake-motor" else ""
        kept = (f"DUCT1{duct}", f"-X2{rail}", feed, next(earth), station, len(stations), before, output, resistor)
        found.append(Ways(*kept, channels.get(motor.designation, ())))
        for _ in range(1, motor.running.earths + (motor.quantity if motor.quantity > 1 else 0)):
            next(earth)
        if motor.running.on_rail:
            number, feed = number + 1, feed + motor.running.feeds
            branches[-1] = replace(branches[-1], used=feed)
    return found, duct, branches, next(earth)


def _assumed(panels: tuple[Panel, ...], airflows: Mapping[str, float]) -> tuple[str, ...]:
    motors = tuple(motor for panel in panels for motor in panel.motors)
    bars = any(infeed_for(panel.upstream).bars for panel in panels)
    lines = [
        *assumptions(motors),
        *map(_supplied, panels),
        "incoming cable 20 m, it and the wires to the busbars carry what the fuse lets through; "
        "all motors run together at rated load",
        *([f"laminated copper bars up to the busbars, {bars_a()} A (common practice, no source)"] if bars else []),
        f"the fuse at the origin: for all motors together, and {selective():g} times the largest protective device behind it "
        "(common practice, no source)",
        "motors of 4 poles, power factor and current of the library; of a power between two of it, the current in proportion",
        *_inrush_words(motors),
        *_soft_words(motors),
        *_xlpe_words(motors),
        "taps from the busbars to the breakers and fuses: 2 m, laid so that a short circuit is unlikely",
        "ambient 25 degC at the panel, trays 300 mm to 600 mm apart and in a single layer; lengths of wires inside the panel",
        *(_cabinet(panel, airflows.get(panel.place, 0.0)) for panel in panels),
        "field switches, transmitters and buttons are those of the schemes; their cables are as long as the motor's",
    ]
    if len(panels) > 1:
        lines.append("each panel has a supply of its own and stands in a room of its own; motors are told apart by the list")
    if any(motor.way in ("local-remote", "serial-bus", "dosing-pump") for motor in motors):
        lines.append("control room 40 m from the panel")
    return tuple(lines)


def _supplied(panel: Panel) -> str:
    infeed = infeed_for(panel.upstream)
    return (
        f"{panel.words}supply TN-S 400 V 50 Hz, fault current {infeed.fault_current}, "
        f"earth fault current {infeed.earth_fault_current}, fuse gG {panel.upstream} A at the origin"
    )


def _cabinet(panel: Panel, airflow: float) -> str:
    fans = f", fans {airflow:g} m3/h" if airflow else ""
    size = cabinet_size(panel.motors)
    return f"{panel.words}cabinet {size} against a wall, wires and breakers without a duct plan of the shop{fans}"


def _inrush_words(motors: tuple[Motor, ...]) -> tuple[str, ...]:
    factor, least = inrush()
    things = ["drives"] if any(motor.running.driven for motor in motors) else []
    things += ["the 24 V supply"] if any(motor.running.on_rail for motor in motors) else []
    bearing = {motor.running.starting for motor in motors}
    started = ["motor breakers (of motors on the mains)"] if BREAKER in bearing else []
    started += ["breakers of curve D with the same margin (star-delta, bypass)"] if CURVE_D in bearing else []
    lines = []
    if things:
        lines.append(
            f"breakers and fuses ahead of {' and '.join(things)}: {factor:g} times the current taken, {least:g} A at least, "
            "for the inrush (common practice, no source)"
        )
    if "drives" in things:
        lines.append(
            "against overload the wires and the cable of a drive rely on the drive, which limits what it takes and gives"
        )
    if started:
        lines.append(f"{' and '.join(started)} bear the starting current (common practice, no source)")
    return tuple(lines)


def _soft_words(motors: tuple[Motor, ...]) -> tuple[str, ...]:
    factor = practice()["motors"]["soft_start"]
    soft = any(motor.way == "soft-starter" for motor in motors)
    return (f"soft starters limit the starting current to {factor:g} times the rated one (common practice, no source)",) * soft


def _xlpe_words(motors: tuple[Motor, ...]) -> tuple[str, ...]:
    above = practice()["motors"]["xlpe_above_a"]
    large = any(motor.running.driven and line_current(motor) > above for motor in motors)
    return (f"motor cables above {above:g} A of XLPE, as they lie beside others (common practice, no source)",) * large


def _decisions(motors: tuple[Motor, ...]) -> tuple[str, ...]:
    stops, isolators = (
        _but(motors, "emergency-stop", "gate-lock"),
        _but(motors, "drive-isolator", "alternating-pumps", "fixed-lead-pumps"),
    )
    lines = [
        f"emergency stop and safe torque off: none is drawn{stops}, the risk assessment decides",
        f"maintenance isolators beside the motors: none is drawn{isolators}",
        "winding thermistors, line reactors and residual current devices: none is drawn"
        + _but(motors, "submersible", "dosing-pump"),
        "rating plates of the motors, data of the drives chosen, settings of the drives",
    ]
    if any(motor.way == "serial-bus" for motor in motors):
        lines.append("release of the serial line: drawn as a level switch, one for all stations")
    return tuple(lines)


def _but(motors: tuple[Motor, ...], *drawn: str) -> str:
    """The exception for motors whose way of running has it; "" where there is none."""
    names = [f"={motor.designation}" for motor in motors if motor.way in drawn]
    return f" but for {', '.join(names)}" if names else ""
