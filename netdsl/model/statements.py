"""The short statements: set, fit, interlock, connect, earthing, potential, relation, defaults, allow, remark, shade, project."""

from __future__ import annotations

from dataclasses import replace

from netdsl.findings import Related, Span
from netdsl.model.connect import colour_of, route_named, routes_of
from netdsl.model.declare import part_called
from netdsl.model.desk import Desk, Scope, with_reason
from netdsl.model.open_values import AUTO, OpenValue
from netdsl.model.plant import (
    Accessory,
    DefaultChoice,
    End,
    Exception_,
    InterlockPair,
    NamedPotential,
    Note,
    Rating,
    ReferencePoint,
    RouteRelation,
    SettingKind,
    Terminal,
)
from netdsl.model.project import Choice, ProjectData, ProjectRevision
from netdsl.model.terminals import ends_of, object_of
from netdsl.model.values import (
    amount_of,
    attr_text,
    is_day,
    one_of,
    quantity_of,
    settled,
    text_of,
    unknown_key,
    written_at,
)
from netdsl.model.vocabulary import CLASSES, PROJECT_ANSWERS, PROJECT_CHOICES, PROJECT_LISTS, is_colour
from netdsl.quantities import BASE_UNIT, parse_quantity
from netdsl.spelling import nearest
from netdsl.syntax.tree import (
    Allow,
    Attr,
    Connect,
    Defaults,
    Earthing,
    Fit,
    Interlock,
    PotentialName,
    Project,
    Reference,
    Relation,
    Remark,
    Setting,
    Shade,
    Word,
)

PROJECT_KEYS = (
    "number",
    "owner",
    "title2",
    "created-by",
    "approved-by",
    "status",
    "document-language",
    "sheet-size",
    "technical-reference",
    "department",
    "marks",
    "standard",
)
PROJECT_WORDS = {"sheet-size": ("A3", "A4"), "marks": ("ends", "potential")}


def project_data(project: Project | None, desk: Desk) -> ProjectData:
    """Title-block data; empty without a `project` statement."""
    if project is None:
        return ProjectData("", {}, (), None)
    scope = Scope()
    values: dict[str, str] = {}
    choices: dict[str, Choice] = {}
    for attr in project.attrs:
        key, text = attr.key.text, attr_text(attr, scope, desk) or ""
        if key in PROJECT_CHOICES:
            chosen = _chosen(attr, scope, desk)
            if chosen:
                choices[key] = Choice(chosen, attr.span)
        elif key not in PROJECT_KEYS:
            unknown_key(attr, scope, desk, (*PROJECT_KEYS, *PROJECT_CHOICES))
        elif key not in PROJECT_WORDS or one_of(text, PROJECT_WORDS[key], f"value of `{key}`", attr.span, scope, desk):
            values[key] = text
    revisions: list[ProjectRevision] = []
    for revision in project.revisions:
        if any(earlier.index == revision.index.text for earlier in revisions):
            desk.fault(
                "duplicate-name",
                revision.index.span,
                f"revision `{revision.index.text}` is there twice",
                "give one of them another index",
                scope,
            )
        if not is_day(revision.date.text):
            desk.fault(
                "wrong-unit", revision.date.span, f"`{revision.date.text}` is no date", "write it as 2026-05-04 (ISO 8601)", scope
            )
        revisions.append(ProjectRevision(revision.index.text, revision.date.text, revision.text.value if revision.text else ""))
    return ProjectData(project.title.value, values, tuple(revisions), project.span, choices)


def _chosen(attr: Attr, scope: Scope, desk: Desk) -> tuple[Rating, ...]:
    """What a project chooses for the calculation; empty with a finding."""
    key = attr.key.text
    kind = PROJECT_CHOICES[key]
    if kind == "word":
        text = attr_text(attr, scope, desk) or ""
        return (text,) if one_of(text, PROJECT_ANSWERS[key], f"value of `{key}`", attr.span, scope, desk) else ()
    pieces = [replace(attr, values=(value,)) for value in attr.values] if key in PROJECT_LISTS else [attr]
    found = [quantity_of(piece, kind, scope, desk) for piece in pieces]
    return () if None in found else tuple(quantity for quantity in found if quantity is not None)


def shade(statement: Shade, desk: Desk) -> None:
    """Enter a colour word of the plant's own."""
    name = statement.name
    if not is_colour(statement.base.text):
        desk.fault(
            "unknown-word", statement.base.span, f"`{statement.base.text}` is no colour", "take a colour code of IEC 60757"
        )
        return
    if is_colour(name.text):
        desk.fault(
            "duplicate-name", name.span, f"`{name.text}` is a colour of IEC 60757 already", "take another word for the shade"
        )
        return
    if name.text in desk.shade_names:
        desk.fault(
            "duplicate-name",
            name.span,
            f"shade `{name.text}` is declared twice",
            "give one of them another name",
            related=(Related("first declared here", desk.shade_names[name.text]),),
        )
        return
    desk.shade_names[name.text] = name.span
    desk.shades[name.text] = (statement.base.text, statement.text.value if statement.text else "")


def setting(statement: Setting, scope: Scope, desk: Desk) -> None:
    """Put settings into a device."""
    identity = object_of(statement.device, scope, desk, "device", statement.span)
    device = desk.devices.get(identity) if identity else None
    if device is None:
        if identity and identity not in desk.doubtful:
            desk.fault("unknown-name", statement.device.span, f"`{identity}` is no device", "name a device", scope)
        return
    kinds: dict[str, SettingKind] = dict(device.part.settings) if device.part else {}
    for accessory in device.accessories:
        kinds.update(accessory.part.settings)
    values: dict[str, Rating] = dict(device.settings)
    given = set(device.settings_set)
    for attr in statement.attrs:
        name = attr.key.text
        kind = kinds.get(name)
        if kind is None:
            near = nearest(name, kinds)
            desk.fault(
                "unknown-setting",
                attr.key.span,
                f"`{device.id}` has no setting `{name}`",
                f"did you mean `{near}`?" if near else f"it has {', '.join(kinds) or 'none'}",
                scope,
                subjects=(device.id,),
                whole=attr.span,
            )
            continue
        if kind.range is not None and attr_text(attr, scope, desk) == AUTO:
            span = written_at(attr.values, AUTO, scope, desk) or attr.values[0].span
            desk.open_values.append(OpenValue(name, (device.id,), span, span))
            continue
        value = _setting_value(attr, kind, scope, desk)
        if value is None:
            desk.doubtful.add(device.id)  # how it is set is not known: what follows from that would be told besides
        elif name in device.settings_set and values[name] != value:
            desk.fault(
                "duplicate-name",
                attr.span,
                f"`{name}` of `{device.id}` is set to another value already",
                "set it once",
                scope,
                subjects=(device.id,),
                whole=attr.span,
            )
        else:
            values[name] = value
            given.add(name)
    desk.devices[device.id] = replace(device, settings=values, settings_set=frozenset(given))


def _setting_value(attr: Attr, kind: SettingKind, scope: Scope, desk: Desk) -> Rating | None:
    text = attr_text(attr, scope, desk)
    if text is None:
        return None
    span = attr.values[0].span if attr.values else attr.span
    if kind.range is None:
        if kind.words and not one_of(text, kind.words, f"choice of `{kind.name}`", span, scope, desk, attr.span):
            return None
        return text
    quantity = parse_quantity(text)
    if quantity is None or quantity.kind != kind.range.kind:
        unit = BASE_UNIT.get(kind.range.kind, "")
        desk.fault(
            "wrong-unit",
            span,
            f"`{text}` does not fit `{kind.name}`, which takes {kind.range.text}",
            f"write it in {unit}" if unit else "write a plain number",
            scope,
            whole=attr.span,
        )
        return None
    if not kind.range.value <= quantity.value <= kind.range.last:
        desk.fault(
            "out-of-range",
            span,
            f"`{text}` lies outside `{kind.range.text}` of `{kind.name}`",
            "take a value in that range, or a device of which the range reaches it",
            scope,
            whole=attr.span,
        )
        return None
    return quantity


def fit(statement: Fit, scope: Scope, desk: Desk) -> None:
    """Fit an accessory on its host."""
    identity = object_of(statement.host, scope, desk, "device", statement.span)
    host = desk.devices.get(identity) if identity else None
    found = settled(statement.part, scope, desk)
    if host is None or found is None:
        return
    part = part_called(Word(found[0].span.text, statement.part.span), scope, desk, statement.span)
    if part is None:
        return
    for attr in statement.attrs:
        unknown_key(attr, scope, desk, ())
    terminals: dict[str, Terminal] = dict(host.terminals)
    for name, terminal in part.terminals.items():
        if name in terminals:
            desk.fault(
                "duplicate-name",
                statement.part.span,
                f"`{host.id}` has a terminal `{name}` already",
                "fit an accessory with other contact numbers",
                scope,
                subjects=(host.id,),
                related=(Related("the first one", terminals[name].span),),
                whole=statement.span,
            )
            return
        terminals[name] = terminal
    settings = {name: kind.words[0] for name, kind in part.settings.items() if kind.words}
    desk.devices[host.id] = replace(
        host,
        terminals=terminals,
        paths=host.paths + part.paths,
        sources=host.sources + part.sources,
        consumers=host.consumers + part.consumers,
        requirements=host.requirements + part.requirements,
        settings={**settings, **host.settings},
        accessories=(*host.accessories, Accessory(part, statement.span)),
    )


def interlock(statement: Interlock, scope: Scope, desk: Desk) -> None:
    """Enter an interlock between devices."""
    found = [object_of(reference, scope, desk, "device", statement.span) for reference in statement.devices]
    if one_of(statement.kind.text, ("mechanical", "electrical"), "kind of interlock", statement.kind.span, scope, desk):
        names = tuple(name for name in found if name is not None)
        if len(names) == len(found):
            desk.interlocks.append(InterlockPair(names, statement.kind.text, with_reason(statement.span, scope)[0]))


def connect_winding(statement: Connect, scope: Scope, desk: Desk) -> None:
    """Take the links of a motor's winding."""
    identity = object_of(statement.device, scope, desk, "device", statement.span)
    how = text_of(statement.how, scope, desk)
    if identity is None or how is None:
        return
    device = desk.devices.get(identity)
    if one_of(how, ("star", "delta"), "way to link a winding", statement.how.span, scope, desk, statement.how.span) and device:
        if device.kind != "motor":
            desk.fault(
                "unknown-word",
                statement.device.span,
                f"`{identity}` is no motor",
                "name a motor",
                scope,
                whole=statement.how.span,
            )
            return
        if device.connection not in ("", how):
            desk.fault(
                "duplicate-name",
                statement.how.span,
                f"`{identity}` is connected in {device.connection} already",
                "connect it once",
                scope,
                subjects=(identity,),
                whole=statement.how.span,
            )
            return
        desk.devices[identity] = replace(device, connection=how)


def _one_end(reference: Reference, scope: Scope, desk: Desk, whole: Span) -> End | None:
    ends = ends_of(reference, scope, desk, whole)
    if ends is None:
        return None
    if len(ends) != 1:
        desk.fault(
            "count-mismatch", reference.span, f"`{reference.text}` names {len(ends)} terminals, one is wanted", "name one", scope
        )
        return None
    return ends[0]


def earthing(statement: Earthing, scope: Scope, desk: Desk) -> None:
    """Enter the reference point of a source."""
    of, at = _one_end(statement.of, scope, desk, statement.span), _one_end(statement.at, scope, desk, statement.span)
    if of and at:
        desk.reference_points.append(ReferencePoint(of, at, with_reason(statement.span, scope)[0]))


def potential(statement: PotentialName, scope: Scope, desk: Desk) -> None:
    """Name a potential."""
    end = _one_end(statement.of, scope, desk, statement.span)
    mark: str | None = None
    parallel = False
    for attr in statement.attrs:
        text = attr_text(attr, scope, desk)
        if attr.key.text == "mark":
            mark = text
        elif attr.key.text == "parallel":
            parallel = one_of(text or "", ("yes", "no"), "answer to `parallel=`", attr.span, scope, desk) and text == "yes"
        else:
            unknown_key(attr, scope, desk, ("mark", "parallel"))
    if end is not None:
        span = with_reason(statement.span, scope)[0]
        desk.potentials.append(NamedPotential(statement.name.text, end, mark, parallel, span))


def relation(statement: Relation, scope: Scope, desk: Desk) -> None:
    """Enter how two routes lie to each other."""
    if not all(route_named(word.text, word.span, scope, desk, statement.span) for word in statement.routes):
        return
    first, second = statement.routes
    if first.text == second.text:
        desk.fault("duplicate-name", second.span, f"`{first.text}` is related to itself", "name two routes", scope)
        return
    if not statement.attrs:
        desk.fault(
            "missing-value",
            statement.span,
            f"how `{first.text}` and `{second.text}` lie to each other is not said",
            "add `spacing=300mm parallel=24m` or `crossing=90deg`",
            scope,
        )
    numbers: dict[str, float] = {}
    for attr in statement.attrs:
        kind = {"spacing": "length", "parallel": "length", "crossing": "angle"}.get(attr.key.text)
        if kind is None:
            unknown_key(attr, scope, desk, ("spacing", "parallel", "crossing"))
            continue
        quantity = quantity_of(attr, kind, scope, desk)
        if quantity is not None and kind == "angle" and not 0 <= quantity.value <= 180:
            desk.fault(
                "out-of-range", attr.span, f"`{quantity.text}` is no angle between two routes", "give 0deg to 90deg", scope
            )
        elif quantity is not None:
            numbers[attr.key.text] = quantity.value
    desk.relations.append(
        RouteRelation(
            (statement.routes[0].text, statement.routes[1].text),
            numbers.get("spacing"),
            numbers.get("parallel"),
            numbers.get("crossing"),
            with_reason(statement.span, scope)[0],
        )
    )


def defaults(statement: Defaults, scope: Scope, desk: Desk) -> None:
    """Enter what conductors take where they say nothing."""
    within, klass, colour = scope.function, "", None
    section: float | None = None
    section_open = False
    routes: tuple[str, ...] = ()
    length: float | None = None
    for attr in statement.attrs:
        key, text = attr.key.text, attr_text(attr, scope, desk) or ""
        if key == "within":
            within = _within(attr, text, scope, desk, within)
        elif key == "section" and text == AUTO:
            section_open = True
            desk.open_values.append(OpenValue("defaults", (), attr.values[0].span, statement.span))
        elif key == "class":
            klass = text if one_of(text, CLASSES, "class of conductors", attr.span, scope, desk) else ""
        elif key == "section":
            section = amount_of(attr, "section", scope, desk)
        elif key == "colour":
            if colour_of(text, desk):
                colour = text
            else:
                desk.fault("unknown-word", attr.span, f"`{text}` is no colour", "take a colour code of IEC 60757", scope)
        elif key == "along":
            routes = routes_of(attr, scope, desk, attr.span)
        elif key == "length":
            length = amount_of(attr, "length", scope, desk)
        else:
            unknown_key(attr, scope, desk, ("within", "class", "section", "colour", "along", "length"))
    desk.defaults.append(DefaultChoice(within, klass, section, colour, routes, length, statement.span, section_open))


def _within(attr: Attr, text: str, scope: Scope, desk: Desk, otherwise: str) -> str:
    if text in desk.places:
        return text
    for candidate in desk.candidates(text, scope):
        if candidate in desk.functions:
            return candidate
    desk.unknown(
        "place or function", text, attr.values[0].span if attr.values else attr.span, scope, (*desk.places, *desk.functions)
    )
    return otherwise


def allow(statement: Allow, scope: Scope, desk: Desk) -> None:
    """Enter a reviewed exception."""
    if not statement.reason.value.strip():
        desk.fault(
            "missing-value",
            statement.reason.span,
            "an exception needs its reason",
            "say why it was accepted, and by whom",
            scope,
            whole=statement.reason.span,
        )
    if statement.until is not None and not is_day(statement.until.text):
        desk.fault(
            "wrong-unit",
            statement.until.span,
            f"`{statement.until.text}` is no date",
            "write it as 2027-06-30 (ISO 8601)",
            scope,
            whole=statement.until.span,
        )
    identity = desk.find(statement.subject.base, scope)
    if identity is None and statement.subject.base.startswith("="):
        identity = next((name for name in desk.candidates(statement.subject.base, scope) if name in desk.functions), None)
    if identity is None and statement.subject.base in desk.routes:
        identity = statement.subject.base
    if identity is None:
        known = (*desk.declared, *desk.places, *desk.routes)
        desk.unknown("device, cable, place or route", statement.subject.base, statement.subject.span, scope, known)
        return
    if statement.subject.terminals:
        ends = ends_of(statement.subject, scope, desk, statement.subject.span)
        if ends is None:
            return
        identity = ends[0].id
    until = statement.until.text if statement.until else None
    desk.exceptions.append(Exception_(statement.rule.text, identity, statement.reason.value, until, statement.span))


def remark(statement: Remark, scope: Scope, desk: Desk) -> None:
    """Enter a caution or a remark on a device."""
    if statement.subject.terminals:
        whole = statement.subject
        desk.fault(
            "syntax",
            whole.span,
            f"`{whole.text}` names a terminal, a {statement.kind.text} stands on a whole device",
            f"write `{whole.base}` and name the terminal in the text",
            scope,
        )
        return
    identity = object_of(statement.subject, scope, desk, "device", statement.span)
    if identity in desk.devices:
        span, use = with_reason(statement.span, scope)
        desk.notes.append(Note(statement.kind.text, identity, statement.text.value, span, use))
    elif identity is not None and identity not in desk.doubtful:
        desk.fault("unknown-name", statement.subject.span, f"`{identity}` is no device", "name a device", scope)
