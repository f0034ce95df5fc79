"""`set`, `connect` and `interlock`: how devices are set and linked, and which cannot be closed together."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.model.device import Device
from netdsl.model.ends import object_of
from netdsl.model.here import Here
from netdsl.model.meant_units import unit_remedy
from netdsl.model.measures import left_open
from netdsl.model.open_values import OpenValue
from netdsl.model.part_type import SettingKind
from netdsl.model.plant import InterlockPair
from netdsl.model.ratings import AUTO, Rating, Ratings
from netdsl.model.table import Nothing, Statement, fixed
from netdsl.model.values import attr_text, one_of, text_of, value_span
from netdsl.quantities import BASE_UNIT, Quantity, parse_quantity, with_point
from netdsl.spelling import nearest
from netdsl.syntax.tree import Connect, Interlock, Setting
from netdsl.syntax.written import Attr

LINKS = ("star", "delta")
INTERLOCKS = ("mechanical", "electrical")


SET = Statement(
    "set",
    Nothing,
    "Settings of a device",
    fixed("DEVICE", "a device", "what is set"),
    fixed("SETTING=VALUE", "a word of the setting, a value in its range, or `auto`", "any setting its part has", (AUTO,)),
)
CONNECT = Statement(
    "connect",
    Nothing,
    "How a motor's winding is linked",
    fixed("MOTOR", "a motor", "what is linked"),
    fixed("LINK", "`star`, `delta`", "how", LINKS),
)
INTERLOCK = Statement(
    "interlock",
    Nothing,
    "Devices that cannot be closed together",
    fixed("DEVICE DEVICE", "devices", "which"),
    fixed("KIND", "`mechanical`, `electrical`", "what keeps them apart", INTERLOCKS),
)


def choose_settings(statement: Setting, here: Here) -> None:
    """Put settings into a device."""
    identity = object_of(statement.device, here)
    device = here.desk.devices.get(identity) if identity else None
    if device is None:
        if identity and identity not in here.desk.doubtful:
            here.fault("unknown-name", statement.device.span, f"`{identity}` is no device", "name a device")
        return
    kinds = dict(device.part.settings) if device.part else {}
    for accessory in device.accessories:
        kinds.update(accessory.part.settings)
    values, given, places = Ratings(device.settings), set(device.settings_set), dict(device.settings_at)
    for attr in statement.attrs:
        name = attr.key.text
        kind = kinds.get(name)
        if kind is None:
            _no_setting(attr, device, kinds, here)
            continue
        opened = left_open(attr, here) if kind.range is not None else None
        if opened is not None:
            here.desk.open_values.append(OpenValue(name, (device.id,), opened.span, opened.span))
            continue
        value = setting_value(attr, kind, here)
        if value is None:
            here.desk.doubtful.add(device.id)  # how it is set is not known: what follows from that would be told besides
        elif name in device.settings_set and values[name] != value:
            here.fault(
                "duplicate-name",
                attr.span,
                f"`{name}` of `{device.id}` is set to another value already",
                "set it once",
                subjects=(device.id,),
            )
        else:
            values[name] = value
            given.add(name)
            places[name] = here.pointed(attr.span)[0]
    here.desk.devices[device.id] = replace(device, settings=values, settings_set=frozenset(given), settings_at=places)


def _no_setting(attr: Attr, device: Device, kinds: dict[str, SettingKind], here: Here) -> None:
    near = nearest(attr.key.text, kinds)
    here.fault(
        "unknown-setting",
        attr.key.span,
        f"`{device.id}` has no setting `{attr.key.text}`",
        f"did you mean `{near}`?" if near else f"it has {', '.join(kinds) or 'none'}",
        subjects=(device.id,),
        whole=attr.span,
    )


def setting_value(attr: Attr, kind: SettingKind, here: Here) -> Rating | None:
    """The value of a setting: one of its words, any where it has none, or a quantity in its range; None with a finding."""
    text = attr_text(attr, here)
    if text is None:
        return None
    span = attr.values[0].span if attr.values else attr.span
    if kind.range is None:
        known = not kind.words or one_of(text, kind.words, f"choice of `{kind.name}`", span, here, attr.span)
        return text if known else None
    quantity = parse_quantity(text)
    if quantity is None or quantity.kind != kind.range.kind:
        message = f"`{text}` does not fit `{kind.name}`, which takes {kind.range.text}"
        unit = BASE_UNIT.get(kind.range.kind, "")
        point = with_point(text)
        if point is not None:
            message, unit = f"`{text}` has a comma for its point", ""
            here.fault("wrong-unit", value_span(attr), message, f"write `{point}`", whole=attr.span)
            return None
        remedy = unit_remedy(text, kind.range.kind, f"write it in {unit}" if unit else "write a plain number")
        here.fault("wrong-unit", span, message, remedy, whole=attr.span)
        return None
    if not _inside(quantity, kind.range):
        message = f"`{text}` lies outside `{kind.range.text}` of `{kind.name}`"
        remedy = "take a value in that range, or a device of which the range reaches it"
        here.fault("out-of-range", span, message, remedy, whole=attr.span)
        return None
    return quantity


def _inside(quantity: Quantity, limits: Quantity) -> bool:
    return limits.value <= quantity.value <= limits.last


def connect_winding(statement: Connect, here: Here) -> None:
    """Take the links of a motor's winding."""
    identity = object_of(statement.device, here)
    how = text_of(statement.how, here)
    if identity is None or how is None:
        return
    device = here.desk.devices.get(identity)
    if not one_of(how, LINKS, "way to link a winding", statement.how.span, here) or device is None:
        return
    if device.kind != "motor":
        here.fault("unknown-word", statement.device.span, f"`{identity}` is no motor", "name a motor", whole=statement.how.span)
    elif device.connection not in ("", how):
        message = f"`{identity}` is connected in {device.connection} already"
        here.fault("duplicate-name", statement.how.span, message, "connect it once", subjects=(identity,))
    else:
        place, line = here.pointed(statement.span)
        here.desk.devices[identity] = replace(device, connection=how, connected=place, connected_use=line)


def interlock(statement: Interlock, here: Here) -> None:
    """Enter an interlock between devices."""
    found = [object_of(reference, here) for reference in statement.devices]
    if one_of(statement.kind.text, INTERLOCKS, "kind of interlock", statement.kind.span, here):
        names = tuple(name for name in found if name is not None)
        if len(names) == len(found):
            here.desk.interlocks.append(InterlockPair(names, statement.kind.text, here.pointed(statement.span)[0]))
