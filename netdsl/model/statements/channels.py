"""`channel`: what is connected at one input or output of a card or controller, and by which address the program knows it."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.findings import Related
from netdsl.model.ends import ends_of
from netdsl.model.here import Here
from netdsl.model.part_type import Role
from netdsl.model.ratings import Ratings
from netdsl.model.table import Statement, fixed, key, quoted, record
from netdsl.model.value_kinds import Free
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


CHANNEL = Statement(
    "channel",
    ChannelSays,
    "One input or output of a card or controller",
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
    known.update(((what, name), statement.span) for what, name in marks)
    stated = {name: value for name, value in (("tag", says.tag), ("address", says.address)) if value}
    text = " ".join((*stated.values(), says.title)).strip() or terminal.text
    said = replace(terminal, text=text, attributes=Ratings({**terminal.attributes, **stated}))
    here.desk.devices[device.id] = replace(device, terminals={**device.terminals, end.terminal: said})
