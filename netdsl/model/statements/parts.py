"""`part`: what can be bought, as written turned into a PartType."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

from msgspec.structs import replace

from netdsl.findings import Related, Span
from netdsl.model.desk import Desk
from netdsl.model.files import library_index, library_part
from netdsl.model.filling import filled
from netdsl.model.here import Here, Scope
from netdsl.model.part_type import Clamp, Consumer, InnerSource, PartType, Path, Requirement, Selective, SettingKind, Terminal
from netdsl.model.ratings import Ratings
from netdsl.model.statements import part_lines as lines
from netdsl.model.statements.clamps import fitted, section_range
from netdsl.model.terminals import Named, names_of
from netdsl.model.values import attr_text, split_items
from netdsl.model.vocabulary import ROLES
from netdsl.quantities import parse_quantity
from netdsl.spelling import nearest, nearest_size
from netdsl.syntax.tree import Part, PartLine
from netdsl.syntax.written import Attr, Reference, Word


class PartMaker:
    """Collects the lines of one part or `outside`."""

    def __init__(self, here: Here) -> None:
        self.here = here
        self.says = lines.PART.read(here, ())
        self.terminals: dict[str, Terminal] = {}
        self.paths: list[Path] = []
        self.sources: list[InnerSource] = []
        self.consumers: list[Consumer] = []
        self.requirements: list[Requirement] = []
        self.settings: dict[str, SettingKind] = {}
        self.selective: list[Selective] = []
        self._readers: Mapping[str, Callable[[PartLine], None]] = {
            "pole": self._pole,
            "link": self._link,
            "contact": self._contact,
            "changeover": self._changeover,
            "position": self._position,
            "coil": self._consumer,
            "load": self._consumer,
            "source": self._source,
            "setting": self._setting,
            "selective": self._selective,
            "require": self._require,
        }

    def read(self, given: tuple[PartLine, ...]) -> None:
        """Take in the lines of a block: terminals first, since order means nothing."""
        self.says = lines.PART.read(self.here, [attr for line in given if line.keyword == "rating" for attr in line.attrs])
        for line in given:
            if line.keyword == "terminal":
                self._terminal(line)
        for line in given:
            reader = self._readers.get(line.keyword)
            if reader is not None:
                reader(line)

    def part(self, name: str, title: str, span: Span, kind: str = "") -> PartType:
        """What was taken in, as a part called `name`, of `kind` where its own lines need not say one."""
        kind = kind or self.says.kind
        return PartType(
            name=name,
            title=title,
            kind=kind,
            symbol=self.says.symbol or kind,
            letter=self.says.letter,
            protection_class=self.says.protection_class,
            ratings=self.says.ratings,
            terminals=self.terminals,
            paths=tuple(self.paths),
            sources=tuple(self.sources),
            consumers=tuple(self.consumers),
            requirements=tuple(self.requirements),
            settings=self.settings,
            span=span,
            selective=tuple(self.selective),
        )

    # --- lines ------------------------------------------------------------------------------------------------------
    def _terminal(self, line: PartLine) -> None:
        names = self._names(line.left)
        says = lines.TERMINAL.read(self.here, line.attrs, line.items)
        clamp = fitted(Clamp(section_pair=says.section_pair), says.conductors, says.torque_nm, says.strip_m)
        if says.section:
            clamp = replace(clamp, section=section_range(says.section))
        told: Span | None = None  # a range that lies over another is one slip
        for named in names:
            if named.name not in self.terminals:
                self.terminals[named.name] = Terminal(
                    name=named.name,
                    role=ROLES[says.role],
                    clamp=clamp,
                    span=named.span,
                    text=says.text,
                    functions=says.functions,
                    common=None if says.common is None else says.common.lstrip(":"),
                    voltage=says.voltage,
                    current=says.current,
                    voltage_kind=_voltage_kind(says.flags),
                    attributes=says.attributes,
                )
                continue
            if named.span != told:
                self.here.fault(
                    "duplicate-name",
                    named.span,
                    f"terminal `{named.name}` is there twice",
                    "name it once",
                    related=(Related("first here", self.terminals[named.name].span),),
                )
            told = named.span
        if "required" in says.flags:
            self.requirements += [Requirement((named.name,), False, None, None, named.span) for named in names]

    def _pole(self, line: PartLine) -> None:
        says = lines.POLE.read(self.here, line.attrs, line.items)
        for a, b in self._pairs(line):
            self.paths.append(
                Path(a, b, "pole", "switched" not in says.states, says.by, line.span, says.states - {"switched", "closed"})
            )

    def _link(self, line: PartLine) -> None:
        for a, b in self._pairs(line):
            self.paths.append(Path(a, b, "link", True, "", line.span))

    def _contact(self, line: PartLine) -> None:
        says = lines.CONTACT.read(self.here, line.attrs, line.items)
        for a, b in self._pairs(line):
            self.paths.append(Path(a, b, says.kind, False, says.by, line.span, says.marks))

    def _changeover(self, line: PartLine) -> None:
        says = lines.CHANGEOVER.read(self.here, line.attrs, line.items)
        left, right = self._known(line.left), self._known(line.right)
        if left is None or right is None:
            return
        if len(left) != 1 or len(right) != 2:
            message = f"a changeover has one common, one break and one make terminal, not {len(left)} to {len(right)}"
            self.here.fault("count-mismatch", line.span, message, "write `changeover :11 to :12 :14`")
            return
        for name, kind in zip(right, ("break", "make"), strict=True):
            self.paths.append(Path(left[0], name, kind, False, says.by, line.span, says.marks))

    def _position(self, line: PartLine) -> None:
        names = lines.POSITION.read(self.here, (), line.items).positions
        if not names:
            self.here.fault("missing-value", line.span, "`position` names no position", "write `position hand :13 to :14`")
            return
        for a, b in self._pairs(line):
            known = next((n for n, path in enumerate(self.paths) if (path.a, path.b) == (a, b) and path.positions), None)
            if known is None:
                self.paths.append(Path(a, b, "make", False, "handle", line.span, frozenset(), names))
            else:
                path = self.paths[known]
                self.paths[known] = replace(path, positions=(*path.positions, *names))

    def _consumer(self, line: PartLine) -> None:
        table = lines.COIL if line.keyword == "coil" else lines.LOAD
        says = table.read(self.here, line.attrs, line.items)
        for a, b in self._pairs(line):
            kind = _voltage_kind(says.kinds)
            name, coil = says.name or line.keyword, (says.pull_in, says.operates_from)
            self.consumers.append(Consumer(a, b, line.keyword, name, says.voltage, kind, says.power, line.span, *coil))

    def _source(self, line: PartLine) -> None:
        says = lines.SOURCE.read(self.here, line.attrs, line.items)
        left, right = self._known(line.left), self._known(line.right)
        if left and right:
            kind = "signal" if "signal" in says.kinds else _voltage_kind(says.kinds) or "dc"
            self.sources.append(InnerSource((*left, *right), says.voltage, kind, says.current, line.span))

    def _setting(self, line: PartLine) -> None:
        words = lines.SETTING.read(self.here, (), line.items).words
        if not words:
            self.here.fault("missing-value", line.span, "`setting` names nothing", "write `setting NAME WORD WORD`")
            return
        name, *options = words
        limits = parse_quantity(options[0]) if len(options) == 1 else None
        if limits is not None and limits.form == "range":
            self.settings[name] = SettingKind(name, (), limits, line.span)
        else:
            self.settings[name] = SettingKind(name, tuple(options), None, line.span)

    def _selective(self, line: PartLine) -> None:
        says, written = lines.SELECTIVE.read(self.here, line.attrs), {attr.key.text for attr in line.attrs}
        if says.behind and says.ahead:
            message = "`selective` says both what stands behind and what ahead"
            self.here.fault("missing-value", line.span, message, "give one of them, `behind=` or `ahead=`")
        elif (says.behind or says.ahead) and says.up_to_a is not None:
            other = says.behind or says.ahead
            self.selective.append(Selective(other, bool(says.behind), says.current_a, says.rated_a, says.up_to_a, line.span))
        elif written <= {take.name for take in lines.SELECTIVE.takes} and "up-to" not in written:
            message = "`selective` does not say up to which current"
            self.here.fault("missing-value", line.span, message, "give `up-to=`, a current, `total` or `none`")
        elif written <= {take.name for take in lines.SELECTIVE.takes} and not written & {"behind", "ahead"}:
            message = "`selective` says neither what stands behind nor what ahead"
            self.here.fault("missing-value", line.span, message, "give one of them, `behind=` or `ahead=`")

    def _require(self, line: PartLine) -> None:
        says = lines.REQUIRE.read(self.here, (), line.items)
        names = self._known(line.left)
        if names is None:
            return
        when: Attr | None = line.attrs[-1] if line.attrs else None
        setting, value = (when.key.text, attr_text(when, self.here)) if when else (None, None)
        if "one" in says.words:
            self.requirements.append(Requirement(tuple(names), True, setting, value, line.span))
        else:
            self.requirements += [Requirement((name,), False, setting, value, line.span) for name in names]

    # --- terminals that a line names --------------------------------------------------------------------------------
    def _names(self, references: tuple[Reference, ...]) -> list[Named]:
        names: list[Named] = []
        for reference in references:
            if reference.base:
                message = f"`{reference.text}` is a designation, a part has only terminals"
                self.here.fault("unknown-terminal", reference.span, message, "write the terminal alone, such as `:1`")
                continue
            names += names_of(reference.terminals, self.here) or []
        return names

    def _known(self, references: tuple[Reference, ...]) -> list[str] | None:
        names = self._names(references)
        for named in names:
            if named.name not in self.terminals:
                near = nearest(named.name, self.terminals)
                remedy = f"did you mean `:{near}`?" if near else "add a `terminal` line for it"
                self.here.fault("unknown-terminal", named.span, f"this part has no terminal `{named.name}`", remedy)
                return None
        return [named.name for named in names]

    def _pairs(self, line: PartLine) -> list[tuple[str, str]]:
        left, right = self._known(line.left), self._known(line.right)
        if left is None or right is None:
            return []
        if len(left) != len(right):
            message = f"{len(left)} terminals before `to` and {len(right)} behind it"
            self.here.fault("count-mismatch", line.span, message, "name as many on both sides")
            return []
        return list(zip(left, right, strict=True))


def _voltage_kind(flags: frozenset[str]) -> str:
    return "dc" if "dc" in flags else "ac" if "ac" in flags else ""


def make_part(part: Part, desk: Desk, scope: Scope | None = None) -> PartType:
    """The PartType that `part` describes, with the values that `scope` has; faults go to the desk."""
    here = Here(desk, scope or Scope(), part.span)
    part = filled(part, part.span, here) or part
    maker = PartMaker(here)
    maker.read(part.lines)
    words, title = split_items(part.items, here)
    for word in words:
        here.fault("unknown-word", word.span, f"`{word.text}` cannot stand in the head of a part", "take it out")
    if not any(attr.key.text == "kind" for line in part.lines if line.keyword == "rating" for attr in line.attrs):
        here.fault("missing-value", part.name.span, f"part `{part.name.text}` does not say its kind", "add `kind = ...`")
    return maker.part(part.name.text, title, part.name.span)


@cache
def shipped_part(name: str) -> PartType | None:
    """The shipped part called `name`, read once; None where there is none. Its text has no fault: the tests see to that."""
    text = library_part(name)
    return None if text is None else make_part(text, Desk())


def part_called(word: Word, here: Here) -> PartType | None:
    """The part type called so: the plant's own, else the shipped one; None with a finding."""
    desk, name = here.desk, word.text
    if name in desk.parts:
        return desk.parts[name]
    text = desk.part_texts.get(name)
    part = shipped_part(name) if text is None else make_part(text, desk)
    if part is not None:
        desk.parts[name] = part
        return part
    if desk.something_missing:
        here.doubt(here.whole)
        return None
    known = (*desk.part_texts, *library_index())
    near = nearest_size(name, known) or nearest(name, known)
    remedy = f"did you mean `{near}`?" if near else "describe it with a `part` statement"
    here.fault("unknown-part", word.span, f"no part is called `{name}`", remedy, whole=here.whole)
    return None


def settings_by_default(part: PartType) -> Ratings:
    """The first word of each setting that has words."""
    return Ratings({name: kind.words[0] for name, kind in part.settings.items() if kind.words})
