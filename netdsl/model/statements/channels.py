"""`channel`: what is connected at one input or output of a card or controller, and by which address the program knows it; of
several protective devices in one housing the current that an output is set to."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.findings import Related, Span
from netdsl.model.channel_devices import channel_poles
from netdsl.model.device import Device
from netdsl.model.ends import ends_of
from netdsl.model.here import Here
from netdsl.model.measures import OrAuto
from netdsl.model.open_values import OpenValue
from netdsl.model.part_type import Role
from netdsl.model.ratings import Open, Ratings
from netdsl.model.table import Statement, fixed, key, quoted, record
from netdsl.model.usual_measures import CURRENT
from netdsl.model.value_kinds import Free
from netdsl.quantities import Quantity
from netdsl.syntax.tree import Channel

_ROLES = frozenset(
    {Role.DIGITAL_IN, Role.DIGITAL_OUT, Role.ANALOGUE_IN, Role.ANALOGUE_OUT, Role.SAFETY_IN, Role.SAFETY_OUT, Role.ENCODER}
    | {Role.CONTACT, Role.LOAD_OUT, Role.SUPPLY_OUT}
)


@record
class ChannelSays:
    """What a `channel` says of its terminal."""

    title: str = quoted("what it senses or does, for the reader")
    tag: str | None = key(Free("a word or text"), "the name of what is connected, as on the flow diagram")
    address: str | None = key(Free("a word or text"), "its address in the program; one of its own within the plant")
    current: Quantity | Open | None = key(
        OrAuto(CURRENT), "current to which this output of an electronic fuse with several is set; its rated current"
    )


CHANNEL = Statement(
    "channel",
    ChannelSays,
    "One input or output of a card, a controller or an electronic fuse",
    fixed("TERMINAL", "a terminal, `-A1:3`", "which"),
)


def name_channel(statement: Channel, here: Here) -> None:
    """Put text, tag and address of a channel on its terminal, where drawings and lists find them."""
    ends = ends_of(statement.terminal, here, "in")
    says = CHANNEL.read(here, statement.attrs, statement.items)
    if ends is None:
        return
    if len(ends) != 1:
        message = f"`{statement.terminal.text}` names {len(ends)} terminals"
        here.fault("count-mismatch", statement.terminal.span, message, "name one, each channel in a line of its own")
        return
    (end,) = ends
    device = here.desk.devices.get(end.device)
    terminal = device.terminals.get(end.terminal) if device is not None else None
    if device is None or terminal is None:
        return
    if terminal.role not in _ROLES:
        message = f"`{end.id}` is `{terminal.role.value}`, no input or output"
        here.fault("unknown-word", statement.terminal.span, message, "name an input, an output or a contact")
        return
    if says.current is not None and not _can_be_set(says.current, device, end.terminal, statement.span, here):
        return
    known = here.desk.channels
    marks = [("channel", end.id), *((("address", says.address),) if says.address else ())]
    for what, name in marks:
        if (what, name) in known:
            message = f"{what} `{name}` is there twice"
            related = (Related("first here", known[what, name]),)
            here.fault(
                "duplicate-name", statement.span, message, "give each channel one line and an address of its own", related=related
            )
            return
    known.update(((what, name), here.pointed(statement.span)[0]) for what, name in marks)
    if says.current is not None:
        here.desk.channel_ratings[end.id] = Ratings(current=says.current).own()
        if isinstance(says.current, Open):
            opened = says.current.span
            here.desk.open_values.append(OpenValue("current", (f"{device.id}.{end.terminal}",), opened, opened))
    stated = {name: value for name, value in (("tag", says.tag), ("address", says.address)) if value}
    text = " ".join((*stated.values(), says.title)).strip() or terminal.text
    said = replace(terminal, text=text, attributes=Ratings({**terminal.attributes, **stated}))
    here.desk.devices[device.id] = replace(device, terminals={**device.terminals, end.terminal: said})


def _can_be_set(current: Quantity | Open, device: Device, terminal: str, span: Span, here: Here) -> bool:
    """Whether the output at `terminal` is a protective device of its own whose current can be chosen, and that is within what it
    can be set to."""
    if not any(path.b == terminal for path in channel_poles(device)):
        message = f"`{device.id}:{terminal}` is no output that trips alone: nothing is set there"
        here.fault("unknown-setting", span, message, "take `current=` out, or name an output of an electronic fuse with several")
        return False
    limits = device.ratings.quantity("setting-range")
    if limits is None:
        if isinstance(device.part and device.part.ratings.get("current"), Quantity):
            message = f"each output of `{device.id}` is for {device.ratings.shown('current')}, which cannot be set"
            here.fault("unknown-setting", span, message, "take `current=` out, or take a part with a `setting-range`")
            return False
        return True
    if isinstance(current, Quantity) and not limits.value <= current.value <= limits.last:
        message = f"`{device.id}:{terminal}` cannot be set to {current.shown}: its range is {limits.shown}"
        here.fault("out-of-range", span, message, f"give a current within {limits.shown}, or take a part for another")
        return False
    return True
