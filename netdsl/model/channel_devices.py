"""Several protective devices in one housing: each channel becomes a device of its own, `-F10.1` of the output `-F10:1`."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.findings import Related, Span
from netdsl.model.desk import Desk
from netdsl.model.device import Device
from netdsl.model.here import Here, Scope
from netdsl.model.kinds import Category, Kind
from netdsl.model.part_type import CHANNEL, Path
from netdsl.model.ratings import Ratings

#: what a housing states as a whole, and none of its channels
_OF_HOUSING = frozenset(
    {
        *("losses", "body", "mass", "position", "row", "cutout", "fixing", "fixing-hole"),
        *("clearance-above", "clearance-below", "clearance-beside"),
    }
)


def channel_poles(device: Device) -> tuple[Path, ...]:
    """The poles of a device that trip alone."""
    return tuple(path for path in device.paths if CHANNEL in path.marks)


def part_channels(desk: Desk) -> None:
    """Put behind each housing a device for each of its channels, with the pole, and with the ratings of the housing overlaid with
    what `channel` says of its output. What is left of the housing carries the terminals and protects nothing itself."""
    found: dict[str, Device] = {}
    for device in desk.devices.values():
        poles = channel_poles(device)
        if not poles:
            found[device.id] = device
            continue
        rest = tuple(path for path in device.paths if path not in poles)
        found[device.id] = replace(device, kind=Kind.HOUSING, paths=rest)
        for pole in poles:
            channel = _channel(device, pole, desk)
            if channel.id in desk.declared:
                _taken(channel.id, device, desk)
                continue
            found[channel.id] = channel
            desk.declared[channel.id] = device.span
            if device.id in desk.doubtful:
                desk.doubtful.add(channel.id)
    desk.devices = found


def _channel(device: Device, pole: Path, desk: Desk) -> Device:
    output = device.terminals[pole.b]
    stated = desk.channel_ratings.get(f"{device.id}:{pole.b}", Ratings())
    own = Ratings({name: value for name, value in device.ratings.items() if name not in _OF_HOUSING})
    return Device(
        id=f"{device.id}.{pole.b}",
        title=output.text or device.title,
        category=Category.CHANNEL,
        kind=device.kind,
        part=device.part,
        function=device.function,
        place=device.place,
        operated_at=device.operated_at,
        ratings=Ratings(own | stated),
        terminals={name: device.terminals[name] for name in (pole.a, pole.b)},
        paths=(replace(pole, marks=pole.marks - {CHANNEL}),),
        settings=device.settings,
        settings_set=device.settings_set,
        settings_at=device.settings_at,
        symbol=device.symbol,
        protection_class=device.protection_class,
        span=desk.channels.get(("channel", f"{device.id}:{pole.b}"), device.span) if stated else device.span,
        whole=device.whole,
        use=device.use,
        host=device.id,
    )


def _taken(name: str, device: Device, desk: Desk) -> None:
    first: Span = desk.declared[name]
    message = f"`{name}` is the channel of `{device.id}:{name.rpartition('.')[2]}`, and the name of something else"
    Here(desk, Scope(), first).fault(
        "duplicate-name", first, message, "give that another name", related=(Related("its housing", device.span),)
    )
