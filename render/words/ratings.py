"""What is printed beside a symbol and in the band of data: ratings of devices, types of cables, sums of a supply."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from netdsl.model.kinds import INNER_SUPPLIES, PASSED, PROTECTIVE, SWITCHES, Kind
from netdsl.model.plant import Cable, Consumer, Device
from netdsl.network.types import Network
from netdsl.quantities import number_text, shown
from netdsl.sums import sum_of

NOT_COMPUTED = "not computed"
MISSING = "—"
#: kinds that are motors or other loads with a power of their own
LOADS = frozenset({"motor", "fan", "heater"})
_PASSING = SWITCHES | PASSED | {"reactor", "filter", "thermostat"}

#: kind -> lines, each of rating names in order; a name with a prefix puts it before the value
_LINES: dict[str, tuple[tuple[str, ...], ...]] = {
    "drive": (("power", "current"), ("emission emission",)),
    "motor": (("power", "current"), ("cos φ power-factor", "winding")),
    "breaker": (("curve", "current", "set tripping-current"), ("Icu breaking",)),
    "motor-breaker": (("setting-range", "set tripping-current"), ("Icu breaking",)),
    "residual-device": (("curve", "current", "IΔn residual-current"), ("type residual-type", "Icn breaking")),
    "surge-protection": (("Uc voltage",), ("Up protection-level",)),
    "fuse": (("utilisation", "curve", "current"), ("Icn breaking",)),
    "contactor": (("utilisation", "current"), ("coil coil-voltage",)),
    "overload": (("setting-range", "set tripping-current"), ("reset reset",)),
    "reactor": (("current", "inductance", "impedance", "drop"),),
    "filter": (("current",), ("emission emission",)),
    "isolator": (("current",),),
    "transformer": (("apparent-power", "voltage"), ("uk short-circuit-voltage",)),
    "supply-24v": (("power",), ("input-current",)),
    "busbar": (("current",),),
    "comb": (("current",),),
    "distribution-block": (("current",),),
}
_OTHER = (("power", "current"), ("voltage",))


def rating(device: Device, name: str) -> str:
    """Rating `name` as printed, "" where it is not stated."""
    if name == "utilisation" and device.kind == "fuse" and device.stated(name) is None:
        return device.ratings.shown("range")
    return (device.settings if name in device.settings_set else device.ratings).shown(name)


def rating_lines(device: Device) -> tuple[str, ...]:
    """The lines beside a device's symbol, without those that have no rating; not broken to a width."""
    wanted = _LINES.get(device.kind, _OTHER)
    if device.kind == "motor-breaker" and not rating(device, "setting-range"):  # else its rating is the end of the range
        wanted = (("current", *wanted[0]), *wanted[1:])
    lines = [_line(device, names) for names in wanted]
    if device.kind == "supply-24v" or (device.sources and device.kind not in _LINES):
        lines.insert(0, _source_line(device))
    if device.kind == "contactor" and not rating(device, "coil-voltage"):
        lines += [_coil_line(consumer) for consumer in device.consumers[:1] if consumer.kind == "coil"]
    if device.kind == "motor" and device.connection:
        lines.append(f"connected in {device.connection}")
    return tuple(line for line in lines if line)


def _line(device: Device, names: Iterable[str]) -> str:
    """The values of `names` that are stated; a characteristic (`C`, `gG`, `AC-3`) goes before its current without a comma."""
    text = ""
    for entry in names:
        prefix, _, name = entry.rpartition(" ")
        value = rating(device, name)
        if value:
            text += f"{prefix} {value}" if prefix else value
            text += " " if name in ("curve", "utilisation") else ", "
    return text.rstrip(", ")


def _coil_line(coil: Consumer) -> str:
    return f"coil {coil.voltage.shown} {coil.voltage_kind.upper()}".rstrip() if coil.voltage else ""


def _source_line(device: Device) -> str:
    source = device.sources[0] if device.sources else None
    if source is None or source.voltage is None:
        return ""
    kind = "" if source.voltage_kind == "signal" else source.voltage_kind.upper()
    current = source.current.shown if source.current else rating(device, "current")
    return " ".join(part for part in (source.voltage.shown, kind, current) if part)


def supply_lines(device: Device) -> tuple[str, ...]:
    """System, voltage, frequency and fault level of a supply."""
    first = " ".join(part for part in (_conductors(device), rating(device, "voltage"), rating(device, "frequency")) if part)
    fault, earth_fault = rating(device, "fault-current"), rating(device, "earth-fault-current")
    level = f"Ik {fault}" if fault else "fault level not stated"
    second = ", ".join(part for part in (level, f"earth fault {earth_fault}" if earth_fault else "") if part)
    return ", ".join(part for part in (first, rating(device, "system")) if part), second


def handle_words(device: Device) -> str:
    """Where the handle of a device is that is not worked where it stands: `handle on +MCP.D`."""
    return f"handle on {device.operated_at}" if device.operated_at else ""


def upstream_words(device: Device) -> str:
    """What protects the supply upstream: `Upstream protection fuse gG 125 A`."""
    words = " ".join(shown(word) for word in rating(device, "upstream").split("-"))
    return f"Upstream protection {words}" if words else ""


def _conductors(device: Device) -> str:
    """Conductors of a supply as IEC 61293 writes them: `3/N/PE`."""
    names = list(device.terminals)
    phases = sum(name.startswith("L") for name in names)
    parts = [str(phases)] if phases else []
    parts += [name for name in ("N", "PE", "PEN") if name in names]
    return "/".join(parts) + (" ~" if phases else "")


def kind_of_current(path: Sequence[Device], neutral: bool = False) -> str:
    """`3/N ~ 400 V 50 Hz` behind the last device of `path`, which leads there from a supply: of the supply or what converts it.

    `neutral`: one is led there too.
    """
    # what last converted the current decides, however many devices lie between
    for device in reversed(path):
        if device.kind in INNER_SUPPLIES:
            return _source_line(device)
    supply = path[0]
    phases = sum(name.startswith("L") for name in supply.terminals)
    sign = f"{phases}/N ~" if phases and neutral else f"{phases} ~" if phases else ""
    return " ".join(part for part in (sign, rating(supply, "voltage"), rating(supply, "frequency")) if part)


def cable_type(cable: Cable) -> str:
    """`2 x 4G10 screened`."""
    words = [f"{cable.parallel} x"] if cable.parallel > 1 else []
    words.append(cable.construction)
    words += ["screened"] if cable.screen else []
    return " ".join(words)


def cable_run(cable: Cable) -> str:
    """`35 m, TRAY1, TRAY2`."""
    length = f"{number_text(cable.length_m)} m" if cable.length_m is not None else ""
    return ", ".join(part for part in (length, *cable.routes) if part)


def cable_words(cable: Cable) -> str:
    """A cable in the band: `=RP1-W1 4G10 screened 35 m`."""
    length = f"{number_text(cable.length_m)} m" if cable.length_m is not None else "length not stated"
    return f"{cable.id} {cable_type(cable)} {length}"


def protection_words(device: Device) -> str:
    """A protective device in the band: designation, rating and magnetic release."""
    release = rating(device, "instantaneous")  # magnetic release
    words = [device.id, *rating_lines(device)[:1]]
    return " ".join(word for word in words if word) + (f", Ii {release}" if release else "")


def consumes(device: Device) -> bool:
    """Whether a device at the end of a branch is a load, not a switch or protection with nothing behind it."""
    return device.category in ("device", "outside") and device.kind not in PROTECTIVE | _PASSING


def current_words(device: Device) -> str:
    """Load current and power factor in the band, of what is a load; of a supply what it takes, not what it gives."""
    if not consumes(device):
        return MISSING
    factor = rating(device, "power-factor")
    current = "" if device.kind == Kind.SUPPLY_24V else rating(device, "current")
    current = current or (rating(device, "input-current") if device.sources else "")
    return ", ".join(part for part in (current, f"cos φ {factor}" if factor else "") if part) or MISSING


def power_words(device: Device) -> str:
    """Rated power in the band, of what is a load."""
    if not consumes(device):
        return MISSING
    return rating(device, "power") or rating(device, "apparent-power") or MISSING


def watts(device: Device) -> float:
    """Rated power in W, 0 where none is stated."""
    return device.ratings.amount("power") or 0.0


def total_lines(network: Network, loads: Iterable[str]) -> tuple[str, ...]:
    """Sum of the rated powers of `loads` and the largest motor among them."""
    devices = [network.plant.devices[name] for name in dict.fromkeys(loads)]
    silent = sum(1 for device in devices if device.kind in LOADS and not watts(device))
    total = sum_of(watts(device) for device in devices if device.kind in LOADS)
    motors = [device for device in devices if device.kind == "motor" and watts(device)]
    lines = [f"Total load {shown(number_text(total / 1000) + 'kW')}" + (f", {silent} without stated power" if silent else "")]
    if motors:
        largest = max(motors, key=watts)
        lines.append(f"Largest motor {largest.id} {rating(largest, 'power')}")
    return tuple(lines)
