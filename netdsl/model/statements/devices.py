"""`device`, `outside` and `fit`: parts that stand in the plant, equipment beyond its scope, accessories."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from netdsl.findings import Related
from netdsl.model.device import Accessory, Device
from netdsl.model.ends import object_of
from netdsl.model.filling import spoken
from netdsl.model.here import Here
from netdsl.model.kinds import Kind
from netdsl.model.measures import Measure, OrAuto, left_open
from netdsl.model.open_values import OpenValue
from netdsl.model.part_type import Clamp, PartType, Role, SettingKind, Terminal
from netdsl.model.rating_table import OPEN_RATINGS, RATINGS
from netdsl.model.ratings import Open, Ratings
from netdsl.model.statements.clamps import section_range
from netdsl.model.statements.heads import Head, head_of, need_place
from netdsl.model.statements.parts import PartMaker, part_called, settings_by_default
from netdsl.model.statements.places import standing
from netdsl.model.statements.settings import setting_value
from netdsl.model.table import Nothing, Statement, Take, fixed, key, quoted, record, several
from netdsl.model.value_kinds import Standing
from netdsl.model.values import one_of, settled, text_of, unknown_key
from netdsl.spelling import nearest
from netdsl.syntax.tree import Declaration, Fit, Outside
from netdsl.syntax.written import Attr, Word

MAX_WAYS = 500


def _or_auto(take: Take) -> Take:
    """The same row, and the word `auto`."""
    return replace(take, kind=OrAuto(take.kind)) if isinstance(take.kind, Measure) else take


@record
class DeviceSays:
    """What a `device` says."""

    title: str = quoted("what it is for; the title of its part where it is not said")
    ratings: Ratings = several(*(_or_auto(take) if take.name in OPEN_RATINGS else take for take in RATINGS))
    place: str | None = key(Standing(), "where it stands; by default where its function stands", name="at")
    operated_at: str = key(Standing(), "where its handle is", default="")


DEVICE = Statement(
    "device",
    DeviceSays,
    "A part that stands in the plant",
    fixed("NAME", "a designation, `-T1`", "its name"),
    fixed("PART", "a part, `vsd-15kw`", "what it is, of your own or shipped"),
    fixed("SETTING=VALUE", "as behind `set`", "any setting its part has"),
)


@record
class OutsideSays:
    """What an `outside` says at its head."""

    title: str = quoted("what it is, for the reader")
    ratings: Ratings = several(*RATINGS)
    place: str | None = key(Standing(), "where it stands; by default where its function stands", name="at")


OUTSIDE = Statement(
    "outside",
    OutsideSays,
    "Equipment beyond the scope, with its terminals written as in a part",
    fixed("NAME", "a designation, `-A1`", "its name"),
)


FIT = Statement(
    "fit",
    Nothing,
    "An accessory on a device, whose terminals then belong to the host",
    fixed("PART", "a part", "the accessory"),
    fixed("on HOST", "a device", "what it is fitted on"),
)


def declare_device(statement: Declaration, here: Here) -> None:
    """Enter a device."""
    head = head_of(statement, here)
    if head is None:
        return
    here = here.over(head.span)
    part = _part(statement, here)
    if part is None:
        return
    own = {attr.key.text: part.settings[attr.key.text] for attr in statement.attrs if _is_set_by(attr, part)}
    known = [attr for attr in statement.attrs if attr.key.text not in own]
    near = _misspelt(known, part)
    says = DEVICE.read(here, [attr for attr in known if attr not in near], statement.items)
    for attr in near:
        unknown_key(attr, here, (*DEVICE.keys, *part.settings))
    for name, stated in says.ratings.items():
        if isinstance(stated, Open):
            here.desk.open_values.append(OpenValue(name, (head.id,), stated.span, stated.span))
    ratings = Ratings(part.ratings)
    ratings.update(says.ratings.own())
    part = _with_ranges(part, says.ratings)
    own = {name: part.settings[name] for name in own}
    chosen = _chosen(statement, part, says.ratings, here)
    chosen.update(_set_here([attr for attr in statement.attrs if attr.key.text in own], own, head.id, here))
    settings, terminals = settings_by_default(part), part.terminals
    settings.update(chosen)
    if part.kind in (Kind.EARTH_BAR, Kind.SCREEN_BAR):
        terminals = {**terminals, **_ways(part, ratings, head, statement, here)}
    device = Device(
        id=head.id,
        title=says.title or part.title,
        category="device",
        kind=part.kind,
        part=part,
        function=here.scope.function,
        place=standing(here) if says.place is None else says.place,
        operated_at=says.operated_at,
        ratings=ratings,
        terminals=terminals,
        paths=part.paths,
        sources=part.sources,
        consumers=part.consumers,
        requirements=part.requirements,
        settings=settings,
        settings_set=frozenset(chosen),
        settings_at={attr.key.text: here.pointed(attr.span)[0] for attr in statement.attrs if attr.key.text in chosen},
        symbol=part.symbol,
        protection_class=part.protection_class,
        span=head.span,
        whole=statement.span,
        use=head.use,
    )
    if "." in device.product:
        here.desk.in_slots[device.id] = any(attr.key.text == "at" for attr in statement.attrs)
    else:
        need_place(device, statement.attrs, here)
    if part.name in here.desk.faulty_parts:
        here.desk.incomplete.add(device.id)
        here.desk.doubtful.add(device.id)
    here.desk.devices[device.id] = device


def _part(statement: Declaration, here: Here) -> PartType | None:
    """The part of a device; None with a finding."""
    if statement.part is None:
        return None
    name = text_of(statement.part, here)
    return None if name is None else part_called(Word(name, statement.part.span), here)


def _with_ranges(part: PartType, stated: Ratings) -> PartType:
    """The part with the ranges of its settings that the device states: `setting-range` is that of the tripping current."""
    if not stated:
        return part
    moved = {}
    for name, kind in part.settings.items():
        own = stated.quantity("setting-range" if name == "tripping-current" else name)
        if own is not None and kind.range is not None and own.form == "range" and own.kind == kind.range.kind:
            moved[name] = replace(kind, range=own)
    return replace(part, settings={**part.settings, **moved}) if moved else part


def _chosen(statement: Declaration, part: PartType, stated: Ratings, here: Here) -> Ratings:
    """The settings of the part that the device gives as it gives ratings: those that have words."""
    chosen = Ratings()
    for attr in statement.attrs:
        name = attr.key.text
        words = part.settings[name].words if name in part.settings and name in stated else ()
        if words and not isinstance(stated[name], Open):
            word = stated.text(name)
            if one_of(word, words, f"choice of `{name}`", attr.values[0].span, here, attr.span):
                chosen[name] = word
    return chosen


def _is_set_by(attr: Attr, part: PartType) -> bool:
    """Whether `attr` is a setting of the part and no rating: none is called so, or it is a value in the setting's range, for a
    range (`instantaneous=100..500A`) is what can be set."""
    kind = part.settings.get(attr.key.text)
    single = ".." not in attr.span.text
    return kind is not None and (attr.key.text not in DEVICE.keys or (kind.range is not None and single))


def _misspelt(attrs: list[Attr], part: PartType) -> list[Attr]:
    """Those that nothing here takes and that a setting of the part is nearest to."""
    return [attr for attr in attrs if attr.key.text not in DEVICE.keys and nearest(attr.key.text, part.settings)]


def _set_here(attrs: list[Attr], kinds: Mapping[str, SettingKind], identity: str, here: Here) -> Ratings:
    """What a device sets in its own line, as a `set` would."""
    given = Ratings()
    for attr in attrs:
        kind = kinds[attr.key.text]
        opened = left_open(attr, here) if kind.range is not None else None
        if opened is not None:
            here.desk.open_values.append(OpenValue(kind.name, (identity,), opened.span, opened.span))
            continue
        value = setting_value(attr, kind, here)
        if value is None:
            here.desk.doubtful.add(identity)
        else:
            given[kind.name] = value
    return given


def _ways(part: PartType, ratings: Ratings, head: Head, statement: Declaration, here: Here) -> dict[str, Terminal]:
    """The terminals of a bar, numbered from 1; one with a finding where it does not say how many it has."""
    count = int(ratings.amount("ways") or 0)
    if not 1 <= count <= MAX_WAYS:
        here.fault(
            "out-of-range" if count else "missing-value",
            head.span,
            f"`{head.id}` does not say how many ways it has",
            f"add `ways=` and a number from 1 to {MAX_WAYS}",
        )
        count = 1
    role = Role.EARTH if part.kind == Kind.EARTH_BAR else Role.SCREEN
    section = ratings.quantity("section")
    clamp = Clamp(section=section_range(section)) if section is not None else Clamp()
    return {str(n): Terminal(str(n), role, clamp, statement.span) for n in range(1, count + 1)}


def declare_outside(statement: Outside, here: Here) -> None:
    """Enter equipment beyond the scope."""
    head = head_of(statement, here)
    if head is None:
        return
    here = here.over(head.name)
    maker = PartMaker(here)
    maker.read(statement.lines)
    says = OUTSIDE.read(here, statement.attrs, statement.items)
    part = maker.part(head.id, says.title, head.name, Kind.OUTSIDE)
    here.desk.devices[head.id] = Device(
        id=head.id,
        title=says.title,
        category="outside",
        kind="outside",
        part=part,
        function=here.scope.function,
        place=standing(here) if says.place is None else says.place,
        ratings=Ratings(part.ratings | says.ratings),
        terminals=part.terminals,
        paths=part.paths,
        sources=part.sources,
        consumers=part.consumers,
        requirements=part.requirements,
        settings=settings_by_default(part),
        symbol="outside",
        protection_class=part.protection_class,
        span=head.span,
        whole=statement.span,
        use=head.use,
    )


def fit(statement: Fit, here: Here) -> None:
    """Fit an accessory on its host; nothing of it where a terminal is there already."""
    identity = object_of(statement.host, here)
    host = here.desk.devices.get(identity) if identity else None
    found = settled(statement.part, here)
    if host is None or found is None:
        return
    part = part_called(Word(spoken(found[0]), statement.part.span), here)
    if part is None:
        return
    for attr in statement.attrs:
        unknown_key(attr, here, ())
    taken = next((name for name in part.terminals if name in host.terminals), None)
    if taken is not None:
        here.fault(
            "duplicate-name",
            statement.part.span,
            f"`{host.id}` has a terminal `{taken}` already",
            "fit an accessory with other contact numbers",
            subjects=(host.id,),
            related=(Related("the first one", host.terminals[taken].span),),
            whole=statement.span,
        )
        return
    here.desk.devices[host.id] = replace(
        host,
        terminals={**host.terminals, **part.terminals},
        paths=host.paths + part.paths,
        sources=host.sources + part.sources,
        consumers=host.consumers + part.consumers,
        requirements=host.requirements + part.requirements,
        settings=Ratings(settings_by_default(part) | host.settings),
        accessories=(*host.accessories, Accessory(part, statement.span)),
    )
