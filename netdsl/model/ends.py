"""Where things end: designations looked up, their terminals found by name or by role."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from netdsl.findings import Span
from netdsl.model.device import Device
from netdsl.model.filling import spoken
from netdsl.model.here import Here
from netdsl.model.mentions import What
from netdsl.model.part_type import Role as TerminalRole
from netdsl.model.part_type import Terminal
from netdsl.model.plant import Place
from netdsl.model.terminals import Named, evaluated, mention_terminal, names_of
from netdsl.model.values import settled
from netdsl.model.wiring import End
from netdsl.spelling import all_nearest, nearest
from netdsl.syntax.written import Param, Reference, Role, TerminalName

_ASKED = frozenset({TerminalRole.DIGITAL_IN, TerminalRole.ANALOGUE_IN, TerminalRole.SAFETY_IN, TerminalRole.CONTACT})


class Base(Struct, frozen=True):
    """The designation a reference is about, where it is looked up, the reference that holds its terminals, and the one that
    spells it."""

    text: str
    here: Here
    holder: Reference
    spelt: Reference


def reference_span(reference: Reference) -> Span:
    """The characters of the designation without its terminals."""
    span = reference.span
    written = span.text.partition(":")[0] if reference.meant else reference.base
    return Span(span.source, span.start, min(span.end, span.start + len(written)))


def base_of(reference: Reference, here: Here) -> Base | None:
    """What `reference` is about; None with a finding.

    `$drive:(start)` gives what `drive` was given and the terminals written behind `$drive`, or those of the argument.
    """
    if not reference.base.startswith("$"):
        return Base(reference.base, here, reference, reference)
    found = settled(Param(reference.base[1:], reference_span(reference)), here)
    if found is None:
        return None
    value, value_here = found
    if isinstance(value, Reference) and value.base:
        inner = base_of(value, value_here)  # a scheme hands its own parameter on: `use lamp feed=$strip:2`
        if inner is None or reference.terminals:
            return inner and Base(inner.text, inner.here, reference, inner.spelt)
        if inner.holder is not value:
            return inner
        scope = replace(inner.here.scope, params=value_here.scope.params)
        return Base(inner.text, inner.here.within(scope), value, inner.spelt)
    here.fault(
        "unknown-name",
        reference.span,
        f"`{reference.base}` is `{spoken(value)}`, a designation is wanted",
        "give the parameter a designation such as `-T1`",
    )
    return None


def object_of(reference: Reference, here: Here) -> str | None:
    """Identity of the device, cable or place that `reference` names; None with a finding (once per name)."""
    base = base_of(reference, here)
    return None if base is None else _identity(reference, base, here)


def _identity(reference: Reference, base: Base, here: Here) -> str | None:
    identity = base.here.find(base.text)
    if identity is None:
        known = (*here.desk.declared, *here.desk.places)
        span = reference_span(reference)
        if reference.base.startswith("$"):  # the name is written in the `use`: it is to blame, not the scheme's line
            argument = settled(Param(reference.base[1:], span), here)
            span = reference_span(argument[0]) if argument and isinstance(argument[0], Reference) else span
        base.here.unknown("device", base.text, span, known, here.whole)
    elif base.here.desk.mentions is not None:
        base.here.mention(What.THING, identity, reference_span(base.spelt), base.text)
    return identity


def ends_of(reference: Reference, here: Here, side: str = "") -> list[End] | None:
    """The ends `reference` names, in order; None with a finding. `side`: the side of a strip taken where none is named."""
    base = base_of(reference, here)
    identity = _identity(reference, base, here) if base is not None else None
    if base is None or identity is None:
        return None
    device = here.desk.devices.get(identity)
    thing = here.desk.devices[device.host] if device and device.host else device or here.desk.places.get(identity)
    if thing is None:
        if identity not in here.desk.doubtful:
            here.fault(
                "unknown-terminal",
                reference.span,
                f"`{identity}` is a cable and has no terminals of its own",
                "name the device it ends on",
                whole=here.whole,
            )
        return None
    if not base.holder.terminals:
        here.fault(
            "unknown-terminal",
            reference.span,
            f"`{reference.text}` names no terminal",
            "add one, such as `:1`",
            subjects=(identity,),
            whole=here.whole,
        )
        return None
    return _ends(base.holder, thing, here if base.holder is reference else base.here, side)


def one_end(reference: Reference, here: Here) -> End | None:
    """The one end that `reference` names; None with a finding."""
    ends = ends_of(reference, here)
    if ends is None:
        return None
    if len(ends) == 1:
        return ends[0]
    message = f"`{reference.text}` names {len(ends)} terminals, one is wanted"
    here.fault("count-mismatch", reference.span, message, "name one")
    return None


def counted(ends: Sequence[End]) -> str:
    """How many terminals there are, in words."""
    return "1 terminal" if len(ends) == 1 else f"{len(ends)} terminals"


def _ends(holder: Reference, thing: Device | Place, here: Here, side: str) -> list[End] | None:
    ends: list[End] = []
    for spec in holder.terminals:
        if not isinstance(spec, TerminalName) and isinstance(spec.expression, Role):
            name = by_role(spec.expression, thing, here)
            if name is None:
                return None
            ends.append(End(thing.id, name, spec.span, _side(thing, "", side), use_of(spec.expression, thing, name)))
            continue
        names = names_of((spec,), here)
        if names is None:
            here.doubt(here.whole)
            return None
        mention_terminal(thing.id, spec, here)
        for named in names:
            end = _end(named, thing, here, side)
            if end is None:
                return None
            ends.append(end)
    return ends


def _side(thing: Device | Place, written: str, side: str) -> str:
    return written or (side if isinstance(thing, Device) and thing.category == "strip" else "")


def _end(named: Named, thing: Device | Place, here: Here, side: str) -> End | None:
    known = terminals_of(thing)
    if named.name in known:
        return End(thing.id, named.name, named.span, _side(thing, "", side))
    name, slash, written = named.name.rpartition("/")
    if not slash or written not in ("in", "out"):
        name, written = named.name, ""
    if name in known:
        return End(thing.id, name, named.span, _side(thing, written, side))
    _unknown_terminal(thing, name, named.span, here)
    return None


def terminals_of(thing: Device | Place) -> Mapping[str, Terminal] | tuple[str, ...]:
    """Terminal names of a device, or of a place: `PE` where it is metal."""
    if isinstance(thing, Device):
        return thing.terminals
    return ("PE",) if thing.metal else ()


def _unknown_terminal(thing: Device | Place, name: str, span: Span, here: Here) -> None:
    """Note that `thing` has no terminal `name`; where its own declaration has a fault, that says enough."""
    if thing.id in here.desk.incomplete:
        here.doubt(here.whole)
        return
    known = list(terminals_of(thing))
    levels = [other for other in known if other.rpartition(".")[0] == name]
    near = all_nearest(name, known)[:3]
    if levels:
        remedy = f"name the level: {' or '.join(f'`:{level}`' for level in levels)}"
    elif near:
        remedy = f"did you mean {' or '.join(f'`:{name}`' for name in near)}?"
    elif known:
        remedy = f"it has {', '.join(known[:12])}{' and more' if len(known) > 12 else ''}"
    else:
        remedy = "it has no terminals" if isinstance(thing, Device) else "a place has a terminal `:PE` only where it is metal"
    message = f"`{thing.id}` has no terminal `{name}`"
    here.fault("unknown-terminal", span, message, remedy, subjects=(thing.id,), whole=here.whole)


def use_of(role: Role, thing: Device | Place, name: str) -> str:
    """What an input or a relay's contact that may serve several ends is asked for where it is named by `role`, "" where that
    decides nothing."""
    if not isinstance(thing, Device) or thing.terminals[name].role not in _ASKED:
        return ""
    functions = thing.terminals[name].functions
    return role.name.text if len(functions) > 1 and role.name.text in functions else ""


def relay_of(function: str) -> str:
    """The relay whose contact a function names, `relay-1` of `relay-1-make`."""
    return function.rpartition("-")[0]


def by_role(role: Role, thing: Device | Place, here: Here) -> str | None:
    """The terminal with that function, or of that role where none has it or a number is given."""
    index = 1
    if role.index is not None:
        number = evaluated(role.index, here)
        if number is None:
            return None
        index = number
    wanted = role.name.text
    if thing.id in here.desk.incomplete:
        here.doubt(here.whole)
        return None
    terminals = list(thing.terminals.values()) if isinstance(thing, Device) else []
    matches = [terminal.name for terminal in terminals if wanted in terminal.functions]
    if not matches or role.index is not None:
        matches = [terminal.name for terminal in terminals if terminal.role == wanted] or matches
    if 1 <= index <= len(matches):
        return matches[index - 1]
    count = f", it has {len(matches)} of that role" if matches else ""
    known = {word for terminal in terminals for word in (*terminal.functions, terminal.role.value)}
    near = nearest(wanted, sorted(known))
    here.fault(
        "unknown-terminal",
        role.span,
        f"`{thing.id}` has no terminal for `({role.span.text.strip('()')})`{count}",
        f"did you mean `({near})`?" if near and not matches else "see the terminals of its part",
        subjects=(thing.id,),
        whole=here.whole,
    )
    return None
