"""Which terminals a scheme takes of the devices it is given and of those it declares, and which of these stay free."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from netdsl.model.desk import Desk
from netdsl.model.ends import base_of
from netdsl.model.filling import spoken
from netdsl.model.here import Bound, Here, Scope
from netdsl.model.part_type import PartType, Terminal
from netdsl.model.statements.parts import shipped_part
from netdsl.model.terminals import evaluated, names_of
from netdsl.model.unfold import Walk
from netdsl.model.values import settled
from netdsl.syntax.tree import (
    Cable,
    Declaration,
    Earthing,
    PotentialName,
    Scheme,
    Statement,
    Strip,
    StripRow,
    Wire,
)
from netdsl.syntax.written import ComputedTerminal, Param, Reference, Role, TerminalName, Word

#: the shipped drive of which the terminals are told that a scheme leaves free
TYPICAL_DRIVE = "vsd-15kw"


class Taken(Struct, frozen=True):
    """A device of a scheme: `name`, the parameter that names it, else its designation; its part where that is known, `assumed`
    where any of its kind may be given; terminals that the scheme takes, as written, and those of the part that stay free, None
    where the part is not known."""

    name: str
    part: str
    assumed: bool
    taken: tuple[str, ...]
    free: tuple[str, ...] | None


def taken_by(scheme: Scheme) -> tuple[Taken, ...]:
    """What a scheme takes, of the devices that must be given first, then of those it declares, in order of its text."""
    walk = _Walk(scheme)
    devices = sorted(walk.names, key=lambda device: device in walk.declared)
    return tuple(_taken(device, walk) for device in devices if walk.used.get(device) or device in walk.declared)


def _taken(device: str, walk: _Walk) -> Taken:
    name, used = walk.names[device], tuple(dict.fromkeys(walk.used.get(device, ())))
    if device in walk.strips:
        return Taken(name, "strip", False, used, tuple(each for each in walk.strips[device] if each not in used))
    assumed = name == "drive" and device not in walk.declared
    called = TYPICAL_DRIVE if assumed else walk.declared.get(device, "")
    part = shipped_part(called) if called else None
    if part is None or not part.terminals:  # the ways of a bar are as many as it is given
        return Taken(name, called, assumed, used, None)
    held = {terminal.name for text in used for terminal in _meant(text, part)}
    free = [_named(terminal) for terminal in part.terminals.values() if terminal.name not in held]
    return Taken(name, called, assumed, used, tuple(free))


def _meant(text: str, part: PartType) -> Sequence[Terminal]:
    """The terminals of `part` that `text`, `13` or `(start)`, means."""
    if not text.startswith("("):
        return [part.terminals[text]] if text in part.terminals else []
    wanted = text.strip("()")
    return [terminal for terminal in part.terminals.values() if wanted in terminal.functions]


def _named(terminal: Terminal) -> str:
    return f"{terminal.name} ({', '.join(terminal.functions)})" if terminal.functions else terminal.name


class _Walk(Walk):
    """Unfolds one scheme alone, each parameter that must be given as a device of that name."""

    def __init__(self, scheme: Scheme) -> None:
        desk = Desk()
        super().__init__(desk, Scope(), ())
        self.used: dict[str, list[str]] = {}
        self.declared: dict[str, str] = {}
        self.strips: dict[str, list[str]] = {}
        self.names: dict[str, str] = {}  # designation -> what it is called here
        params: dict[str, Bound] = {}
        for param in scheme.params:
            name, value = param.name.text, param.default
            if value is None:
                value = Reference(f"-{name}", (), param.span, f"-{name}")
            params[name] = Bound(value, Scope(params=dict(params)))
            if isinstance(value, Reference) and not value.base.startswith("$"):
                self.names.setdefault(value.base, name)
        self.through(scheme.body, Scope("", "", params, scheme.span), (scheme.name.text,))

    def take(self, statement: Statement, here: Here) -> None:
        if isinstance(statement, Declaration) and statement.keyword == "device" and isinstance(statement.name, Reference):
            base, part = base_of(statement.name, here), statement.part
            found = settled(part, here) if isinstance(part, (Word, Param)) else None
            if base is not None and found is not None:
                self.declared[base.text] = spoken(found[0])
                self.names.setdefault(base.text, base.text)
        elif isinstance(statement, Strip):
            base = base_of(statement.name, here)
            if base is not None:
                rows = [row for row in statement.rows if isinstance(row, StripRow)]
                specs = [spec for row in rows for reference in row.terminals for spec in reference.terminals]
                named = [spec for spec in specs if isinstance(spec, TerminalName)]
                self.strips[base.text] = [each.name for each in names_of(named, here) or ()]
                self.declared[base.text] = "strip"
        for reference in _ends(statement):
            self._use(reference, here)

    def _use(self, reference: Reference, here: Here) -> None:
        base = base_of(reference, here)
        if base is None:
            return
        self.names.setdefault(base.text, base.text)
        terminal_here = here if base.holder is reference else base.here
        for spec in base.holder.terminals:
            self.used.setdefault(base.text, []).extend(_written(spec, terminal_here))


def _ends(statement: Statement) -> Iterator[Reference]:
    """The ends that a statement names."""
    if isinstance(statement, Wire):
        yield from statement.ends
    elif isinstance(statement, Cable):
        yield from (end for core in statement.cores for end in core.ends)
        yield from (end.end for screen in statement.screens for end in screen.ends)
    elif isinstance(statement, PotentialName):
        yield statement.of
    elif isinstance(statement, Earthing):
        yield statement.of
        yield statement.at


def _written(spec: TerminalName | ComputedTerminal, here: Here) -> list[str]:
    """A terminal as it is told: its name, its function in parentheses, or the sum as written where its number is not known."""
    if isinstance(spec, TerminalName):
        return [each.name.removesuffix("/in").removesuffix("/out") for each in names_of((spec,), here) or ()]
    if isinstance(spec.expression, Role):
        return [f"({spec.span.text.strip('()')})"]
    number = evaluated(spec.expression, here)
    return [spec.span.text.strip("()").replace("$", "")] if number is None else [str(number)]
