"""A part as written turned into a PartType."""

from __future__ import annotations

from dataclasses import replace

from netdsl.findings import Related, Span
from netdsl.model.desk import Desk, Scope
from netdsl.model.kinds import PART_KINDS
from netdsl.model.plant import (
    Clamp,
    Consumer,
    InnerSource,
    PartType,
    Path,
    Rating,
    Requirement,
    Role,
    SettingKind,
    Terminal,
)
from netdsl.model.terminals import Named, names_of
from netdsl.model.values import (
    attr_text,
    attr_texts,
    one_of,
    quantity_of,
    rating_of,
    split_items,
    unknown_key,
)
from netdsl.model.vocabulary import ROLES
from netdsl.quantities import Quantity, parse_quantity
from netdsl.spelling import nearest
from netdsl.syntax.tree import Attr, Part, PartLine, Reference, Word

CONTACT_MARKS = frozenset({"early", "late", "delayed", "guided", "positive"})
TERMINAL_KEYS = ("torque", "strip", "clamps", "function", "common", "voltage", "current", "line", "section-pair")
NOWHERE = Scope()


class PartMaker:
    """Collects the lines of one part or `outside`."""

    def __init__(self, desk: Desk, scope: Scope = NOWHERE) -> None:
        self.desk = desk
        self.scope = scope
        self.words: dict[str, str] = {}
        self.ratings: dict[str, Rating] = {}
        self.terminals: dict[str, Terminal] = {}
        self.paths: list[Path] = []
        self.sources: list[InnerSource] = []
        self.consumers: list[Consumer] = []
        self.requirements: list[Requirement] = []
        self.settings: dict[str, SettingKind] = {}

    def read(self, lines: tuple[PartLine, ...]) -> None:
        """Take in `lines`: terminals first, since order means nothing."""
        for line in lines:
            if line.keyword == "terminal":
                self._terminal(line)
        for line in lines:
            if line.keyword != "terminal":
                getattr(self, f"_{line.keyword}")(line)

    # --- lines ----------------------------------------------------------------------------------------------------
    def _rating(self, line: PartLine) -> None:
        for attr in line.attrs:
            key = attr.key.text
            if key in ("kind", "symbol", "letter", "class"):
                text = attr_text(attr, self.scope, self.desk) or ""
                span = attr.values[0].span if attr.values else attr.span
                if key == "kind" and not one_of(text, sorted(PART_KINDS), "kind of part", span, self.scope, self.desk):
                    continue
                if key == "class" and not one_of(text, ("I", "II", "III"), "class of protection", span, self.scope, self.desk):
                    continue
                self.words[key] = text
                continue
            value = rating_of(attr, self.scope, self.desk, ("kind", "symbol", "letter", "class"))
            if value is not None:
                self.ratings[key] = value

    def _terminal(self, line: PartLine) -> None:
        names = self._names(line.left)
        words, text = split_items(line.items, self.scope, self.desk)
        role = Role.PLAIN
        flags: set[str] = set()
        clamp = Clamp()
        for word in words:
            quantity = parse_quantity(word.text) if word.text[0].isdigit() else None
            if quantity is not None and quantity.kind == "section":
                low = quantity.value if quantity.form == "range" else 0.0
                clamp = replace(clamp, section=(low, quantity.last))
            elif word.text in ROLES:
                role = ROLES[word.text]
            elif one_of(word.text, (*ROLES, "required", "ac", "dc"), "role of a terminal", word.span, self.scope, self.desk):
                flags.add(word.text)
        template = Terminal("", role, clamp, line.span, text, voltage_kind=_kind(flags))
        template = self._terminal_attrs(template, line)
        told: Span | None = None  # a range that lies over another is one slip
        for named in names:
            if named.name in self.terminals:
                if named.span != told:
                    self.desk.fault(
                        "duplicate-name",
                        named.span,
                        f"terminal `{named.name}` is there twice",
                        "name it once",
                        self.scope,
                        related=(Related("first here", self.terminals[named.name].span),),
                    )
                told = named.span
            else:
                self.terminals[named.name] = replace(template, name=named.name, span=named.span)
        if "required" in flags:
            self.requirements += [Requirement((named.name,), False, None, None, named.span) for named in names]

    def _terminal_attrs(self, terminal: Terminal, line: PartLine) -> Terminal:
        scope, desk = self.scope, self.desk
        attributes: dict[str, Rating] = {}
        for attr in line.attrs:
            key = attr.key.text
            if key == "torque":
                torque = quantity_of(attr, "torque", scope, desk)
                if torque:
                    terminal = replace(terminal, clamp=replace(terminal.clamp, torque_nm=(torque.value, torque.last)))
            elif key == "strip":
                strip = quantity_of(attr, "length", scope, desk)
                if strip:
                    terminal = replace(terminal, clamp=replace(terminal.clamp, strip_m=strip.value))
            elif key == "clamps":
                count = quantity_of(attr, "number", scope, desk)
                if count:
                    terminal = replace(terminal, clamp=replace(terminal.clamp, conductors=max(1, int(count.value))))
            elif key == "section-pair":
                pair = quantity_of(attr, "section", scope, desk)
                if pair:
                    terminal = replace(terminal, clamp=replace(terminal.clamp, section_pair=(pair.value, pair.last)))
            elif key == "function":
                terminal = replace(terminal, functions=attr_texts(attr, scope, desk))
            elif key == "common":
                terminal = replace(terminal, common=(attr_text(attr, scope, desk) or "").lstrip(":"))
            elif key == "voltage":
                terminal = replace(terminal, voltage=quantity_of(attr, "voltage", scope, desk))
            elif key == "current":
                terminal = replace(terminal, current=quantity_of(attr, "current", scope, desk))
            elif key == "line":
                attributes["line"] = attr_text(attr, scope, desk) or ""
            else:
                value = rating_of(attr, scope, desk, TERMINAL_KEYS)
                if value is not None:
                    attributes[key] = value
        return replace(terminal, attributes=attributes)

    def _pole(self, line: PartLine) -> None:
        words, _ = split_items(line.items, self.scope, self.desk)
        switched = [
            word
            for word in words
            if one_of(word.text, ("switched", "closed"), "state of a pole", word.span, self.scope, self.desk)
        ]
        certain = not any(word.text == "switched" for word in switched)
        for a, b in self._pairs(line):
            self.paths.append(Path(a, b, "pole", certain, self._by(line), line.span))

    def _link(self, line: PartLine) -> None:
        for a, b in self._pairs(line):
            self.paths.append(Path(a, b, "link", True, "", line.span))

    def _contact(self, line: PartLine) -> None:
        words, _ = split_items(line.items, self.scope, self.desk)
        kind, marks = "make", set()
        for word in words:
            if word.text in ("make", "break"):
                kind = word.text
            elif one_of(
                word.text, ("make", "break", *sorted(CONTACT_MARKS)), "kind of contact", word.span, self.scope, self.desk
            ):
                marks.add(word.text)
        for a, b in self._pairs(line):
            self.paths.append(Path(a, b, kind, False, self._by(line), line.span, frozenset(marks)))

    def _changeover(self, line: PartLine) -> None:
        words, _ = split_items(line.items, self.scope, self.desk)
        marks = frozenset(
            word.text
            for word in words
            if one_of(word.text, sorted(CONTACT_MARKS), "kind of contact", word.span, self.scope, self.desk)
        )
        left, right = self._known(self._names(line.left)), self._known(self._names(line.right))
        if left is None or right is None:
            return
        if len(left) != 1 or len(right) != 2:
            self.desk.fault(
                "count-mismatch",
                line.span,
                f"a changeover has one common, one break and one make terminal, not {len(left)} to {len(right)}",
                "write `changeover :11 to :12 :14`",
                self.scope,
            )
            return
        for name, kind in zip(right, ("break", "make"), strict=True):
            self.paths.append(Path(left[0], name, kind, False, self._by(line), line.span, marks))

    def _position(self, line: PartLine) -> None:
        words, _ = split_items(line.items, self.scope, self.desk)
        if not words:
            self.desk.fault(
                "missing-value", line.span, "`position` names no position", "write `position hand :13 to :14`", self.scope
            )
            return
        names = tuple(word.text for word in words)
        for a, b in self._pairs(line):
            known = next((n for n, path in enumerate(self.paths) if (path.a, path.b) == (a, b) and path.positions), None)
            if known is None:
                self.paths.append(Path(a, b, "make", False, "handle", line.span, frozenset(), names))
            else:
                path = self.paths[known]
                self.paths[known] = replace(path, positions=(*path.positions, *names))

    def _coil(self, line: PartLine) -> None:
        self._consumer(line, "coil")

    def _load(self, line: PartLine) -> None:
        self._consumer(line, "load")

    def _consumer(self, line: PartLine, kind: str) -> None:
        words, _ = split_items(line.items, self.scope, self.desk)
        flags = {word.text for word in words if word.text in ("ac", "dc")}
        names = [word.text for word in words if word.text not in ("ac", "dc")]
        voltage, power = self._quantity(line, "voltage", "voltage"), self._quantity(line, "power", "power")
        self._only(line, ("voltage", "power"))
        for a, b in self._pairs(line):
            name = names[0] if names else kind
            self.consumers.append(Consumer(a, b, kind, name, voltage, _kind(flags), power, line.span))

    def _source(self, line: PartLine) -> None:
        words, _ = split_items(line.items, self.scope, self.desk)
        flags = {
            word.text
            for word in words
            if one_of(word.text, ("ac", "dc", "signal"), "kind of voltage", word.span, self.scope, self.desk)
        }
        voltage, current = self._quantity(line, "voltage", "voltage"), self._quantity(line, "current", "current")
        self._only(line, ("voltage", "current"))
        left, right = self._known(self._names(line.left)), self._known(self._names(line.right))
        if left is not None and right is not None:
            kind = "signal" if "signal" in flags else _kind(flags)
            self.sources.append(InnerSource((*left, *right), voltage, kind or "dc", current, line.span))

    def _setting(self, line: PartLine) -> None:
        words, _ = split_items(line.items, self.scope, self.desk)
        if not words:
            self.desk.fault("missing-value", line.span, "`setting` names nothing", "write `setting NAME WORD WORD`", self.scope)
            return
        name, options = words[0].text, [word.text for word in words[1:]]
        limits = parse_quantity(options[0]) if len(options) == 1 else None
        if limits is not None and limits.form == "range":
            self.settings[name] = SettingKind(name, (), limits, line.span)
        else:
            self.settings[name] = SettingKind(name, tuple(options), None, line.span)

    def _require(self, line: PartLine) -> None:
        words, _ = split_items(line.items, self.scope, self.desk)
        alternative = any(word.text == "one" for word in words)
        for word in words:
            one_of(word.text, ("one", "when"), "word of `require`", word.span, self.scope, self.desk)
        names = self._known(self._names(line.left))
        if names is None:
            return
        setting = value = None
        for attr in line.attrs:
            setting, value = attr.key.text, attr_text(attr, self.scope, self.desk)
        if alternative:
            self.requirements.append(Requirement(tuple(names), True, setting, value, line.span))
        else:
            self.requirements += [Requirement((name,), False, setting, value, line.span) for name in names]

    def part(self, name: str, title: str, kind: str, span: Span) -> PartType:
        """What was taken in, as a part called `name`."""
        return PartType(
            name,
            title,
            kind,
            self.words.get("symbol", kind),
            self.words.get("letter", ""),
            self.words.get("class", ""),
            self.ratings,
            self.terminals,
            tuple(self.paths),
            tuple(self.sources),
            tuple(self.consumers),
            tuple(self.requirements),
            self.settings,
            span,
        )

    # --- help -----------------------------------------------------------------------------------------------------
    def _names(self, references: tuple[Reference, ...]) -> list[Named]:
        names: list[Named] = []
        for reference in references:
            if reference.base:
                self.desk.fault(
                    "unknown-terminal",
                    reference.span,
                    f"`{reference.text}` is a designation, a part has only terminals",
                    "write the terminal alone, such as `:1`",
                    self.scope,
                )
                continue
            names += names_of(reference.terminals, self.scope, self.desk) or []
        return names

    def _known(self, names: list[Named]) -> list[str] | None:
        for named in names:
            if named.name not in self.terminals:
                near = nearest(named.name, self.terminals)
                self.desk.fault(
                    "unknown-terminal",
                    named.span,
                    f"this part has no terminal `{named.name}`",
                    f"did you mean `:{near}`?" if near else "add a `terminal` line for it",
                    self.scope,
                )
                return None
        return [named.name for named in names]

    def _pairs(self, line: PartLine) -> list[tuple[str, str]]:
        left, right = self._known(self._names(line.left)), self._known(self._names(line.right))
        if left is None or right is None:
            return []
        if len(left) != len(right):
            self.desk.fault(
                "count-mismatch",
                line.span,
                f"{len(left)} terminals before `to` and {len(right)} behind it",
                "name as many on both sides",
                self.scope,
            )
            return []
        return list(zip(left, right, strict=True))

    def _by(self, line: PartLine) -> str:
        self._only(line, ("by",))
        return next((attr_text(attr, self.scope, self.desk) or "" for attr in line.attrs if attr.key.text == "by"), "")

    def _only(self, line: PartLine, known: tuple[str, ...]) -> None:
        for attr in line.attrs:
            if attr.key.text not in known:
                unknown_key(attr, self.scope, self.desk, known)

    def _quantity(self, line: PartLine, key: str, kind: str) -> Quantity | None:
        attr: Attr | None = next((attr for attr in line.attrs if attr.key.text == key), None)
        return quantity_of(attr, kind, self.scope, self.desk) if attr else None


def _kind(flags: set[str]) -> str:
    return "dc" if "dc" in flags else "ac" if "ac" in flags else ""


def make_part(part: Part, desk: Desk) -> PartType:
    """The PartType that `part` describes; faults go to the desk."""
    maker = PartMaker(desk)
    maker.read(part.lines)
    words, title = split_items(part.items, NOWHERE, desk)
    for word in words:
        desk.fault("unknown-word", word.span, f"`{word.text}` cannot stand in the head of a part", "take it out", NOWHERE)
    if "kind" not in maker.words and not any(
        line.keyword == "rating" for line in part.lines if line.attrs and _says(line, "kind")
    ):
        desk.fault("missing-value", part.name.span, f"part `{part.name.text}` does not say its kind", "add `kind = ...`", NOWHERE)
    return maker.part(part.name.text, title, maker.words.get("kind", ""), part.name.span)


def _says(line: PartLine, key: str) -> bool:
    return any(attr.key.text == key for attr in line.attrs)


def numbered_terminals(count: int, role: Role, clamp: Clamp, word: Word) -> dict[str, Terminal]:
    """Terminals 1 to `count` of a bar with that many ways."""
    return {str(n): Terminal(str(n), role, clamp, word.span) for n in range(1, count + 1)}
