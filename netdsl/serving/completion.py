"""What can stand where the cursor is: free terminals, parts, cores, names, settings and their values, words, whole feeders."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lsprotocol import types

from netdsl.library.catalogue import entries, schemes
from netdsl.library.words import words as said
from netdsl.model.files import library_scheme
from netdsl.model.language import LINES, STATEMENTS
from netdsl.model.plant import Cable, Device, Plant
from netdsl.model.table import Stands, Statement
from netdsl.network.terminal_rows import terminal_rows
from netdsl.network.types import Network
from netdsl.network.unused import spare_cores
from netdsl.serving.desk import Open
from netdsl.serving.hints import scheme_called
from netdsl.serving.proposals import proposed
from netdsl.serving.situation import Situation, situation
from netdsl.syntax.words import BLOCKS

_KIND = types.CompletionItemKind
_SNIPPET = types.InsertTextFormat.Snippet
#: a statement by its words; behind these keywords a designation of something declared follows
_NAMING = ("set", "connect", "fit", "wire", "interlock", "couple", "twin", "channel", "caution", "remark")


def complete(here: Open, position: types.Position, snippets: bool) -> types.CompletionList:
    """What can stand at a place. `snippets`: whether the client has tab stops."""
    plant = here.plant
    whole = plant.at_hand()
    if whole.network is None:
        return types.CompletionList(False, [])
    found = _Completer(here, position, whole.network, situation(here, position), snippets)
    return types.CompletionList(False, list(found.items()))


class _Completer:
    """One question. Items are put in an order by the number in their `sort_text`."""

    def __init__(self, here: Open, position: types.Position, network: Network, at: Situation, snippets: bool) -> None:
        self.here, self.network, self.at, self.snippets = here, network, at, snippets
        self.plant: Plant = network.plant
        self.range = types.Range(at.start, position)
        self.count = 0

    def item(self, text: str, kind: types.CompletionItemKind, detail: str = "", snippet: str = "") -> types.CompletionItem:
        self.count += 1
        use = bool(snippet) and self.snippets
        return types.CompletionItem(
            text,
            kind=kind,
            detail=detail or None,
            filter_text=text,
            sort_text=f"{self.count:05}",
            insert_text_format=_SNIPPET if use else None,
            text_edit=types.TextEdit(self.range, snippet if use else text),
        )

    def items(self) -> Iterator[types.CompletionItem]:
        at = self.at
        if at.key:
            yield from self.values()
        elif ":" in at.written:
            yield from self.terminals()
        elif not at.words:
            yield from self.beginnings()
        else:
            yield from self.further()

    # --- values -----------------------------------------------------------------------------------------------------
    def values(self) -> Iterator[types.CompletionItem]:
        """What can stand behind `key=`."""
        at, key = self.at, self.at.key
        keyword = at.words[0] if at.words else at.block
        if keyword == "use":
            scheme = scheme_called(self.here.plant.whole, at.words[1]) if len(at.words) > 1 else None
            for value in proposed(self.network, scheme, self.enclosure).get(key, ()) if scheme is not None else ():
                yield self.item(value, _KIND.Value, said()["parameters"].get(key, ""))
        if key in ("at", "operated-at", "within", "inside", "in", "door", "field"):
            yield from (self.item(each.id, _KIND.Folder, each.title) for each in self.plant.places.values())
        elif key in ("along", "door-way", "way", "control-way", "panel-way"):
            yield from (self.item(each.id, _KIND.Reference, f"{each.kind} {each.title}") for each in self.plant.routes.values())
        if keyword == "set" and len(at.words) > 1:
            device = self.device(at.words[1])
            for setting in device.part.settings.values() if device is not None and device.part is not None else ():
                if setting.name == key:
                    yield from (self.item(word, _KIND.EnumMember) for word in setting.words)
        for statement in self.statements(keyword):
            take = statement.keys.get(key)
            if take is not None:
                yield from (self.item(word, _KIND.EnumMember, take.says) for word in take.kind.choices)

    @property
    def enclosure(self) -> str:
        function = self.plant.functions.get(self.at.function)
        return (function.place if function is not None else "") or ""

    def statements(self, keyword: str) -> Iterator[Statement[object]]:
        """The statement that the line is, or the lines that its block takes."""
        if keyword in STATEMENTS:
            yield STATEMENTS[keyword]
        for line in LINES.get(self.at.block, ()):
            if line.keyword in ("", keyword):
                yield line

    # --- names ------------------------------------------------------------------------------------------------------
    def device(self, name: str) -> Device | None:
        """The device that a designation means here."""
        base, function = name.partition(":")[0], self.at.function
        while function:
            if function + base in self.plant.devices:
                return self.plant.devices[function + base]
            function = function.rpartition(".")[0]
        return self.plant.devices.get(base)

    def short(self, identity: str) -> str:
        """A designation as it may be written here."""
        function, dash, product = identity.partition("-")
        return dash + product if dash and function == self.at.function else identity

    def terminals(self) -> Iterator[types.CompletionItem]:
        """Terminals of the device before the colon, those that are free first, each with what it is for."""
        base, _, names = self.at.written.rpartition(":")
        device = self.device(base)
        if device is None:
            place = self.plant.places.get(base)
            if place is not None and place.metal:
                yield self.item(f"{base}:PE", _KIND.Field, "earth of the enclosure")
            return
        given = names.rpartition(",")[0]
        rows = terminal_rows(self.network, device)
        for free in (True, False):
            for row in rows:
                if (not row["conductors"]) is free:
                    taken = "free" if free else f"on it: {', '.join(str(each['to']) for each in row['conductors'])}"
                    text = f"{base}:{given + ',' if given else ''}{row['terminal']}"
                    yield self.item(text, _KIND.Field, f"{row['role']}, {taken}")

    def things(self, devices: bool = True) -> Iterator[types.CompletionItem]:
        """Designations of what is declared, those of this function first."""
        function = self.at.function
        own = [each for each in self.plant.devices.values() if each.function == function]
        common = [each for each in self.plant.devices.values() if each.function != function]
        for device in (*own, *common) if devices else ():
            part = device.part.name if device.part else device.kind
            yield self.item(self.short(device.id), _KIND.Variable, f"{part} {device.title}".rstrip())
        for place in self.plant.places.values():
            yield self.item(place.id, _KIND.Folder, place.title)

    # --- lines ------------------------------------------------------------------------------------------------------
    def beginnings(self) -> Iterator[types.CompletionItem]:
        """How a line can begin in this block."""
        block = self.at.block
        if block == "cable":
            cable = self.cable()
            cores = spare_cores(cable, self.plant) if cable is not None else ()
            yield from (self.item(core, _KIND.EnumMember, "core that is not used yet") for core in cores)
            yield self.item("screen", _KIND.Keyword)
            return
        if block in LINES:
            yield from (self.item(line.keyword, _KIND.Keyword, line.says) for line in LINES[block] if line.keyword)
            if block == "project":
                yield from (self.item(f"{name} = ", _KIND.Property, take.says) for name, take in STATEMENTS[block].keys.items())
            return
        if block == "use":
            yield from self.parameters(self.at.blocks[-1].words)
            return
        if block in ("", "scheme"):
            yield self.item("function", _KIND.Module, "a new function", self.new_function())
        for name, statement in STATEMENTS.items():
            shape = f"{name} $1 {{\n  $0\n}}" if name in BLOCKS and name not in ("use", "function") else ""
            if name != "function" or block not in ("", "scheme"):
                yield self.item(name, _KIND.Keyword, statement.says, shape)

    def cable(self) -> Cable | None:
        name = self.at.blocks[-1].name
        return self.plant.cables.get(self.at.function + name) or self.plant.cables.get(name)

    def new_function(self) -> str:
        """A function with the next name of the series, in the enclosure that most have."""
        names = [each.lstrip("=") for each in self.plant.functions if "." not in each]
        stem = names[-1].rstrip("0123456789") if names else "F"
        number = next(number for number in range(1, 10_000) if f"{stem}{number}" not in names)
        places = [each.place for each in self.plant.functions.values() if each.place]
        place = max(places, key=places.count) if places else next((each.id for each in self.plant.places.values()), "+MCP")
        return f'function =${{1:{stem}{number}}} "${{2:title}}" at=${{3:{place}}} {{\n  $0\n}}'

    def parameters(self, words: Iterable[str]) -> Iterator[types.CompletionItem]:
        """Parameters of the scheme that a line uses."""
        line = tuple(words)
        scheme = scheme_called(self.here.plant.whole, line[1]) if len(line) > 1 else None
        for param in scheme.params if scheme is not None else ():
            if not any(word.startswith(f"{param.name.text}=") for word in line):
                yield self.item(f"{param.name.text}=", _KIND.Property, said()["parameters"].get(param.name.text, ""))

    def further(self) -> Iterator[types.CompletionItem]:
        """What can stand further on in a line."""
        words = self.at.words
        keyword, count = words[0], len(words)
        if keyword == "use" and count == 1:
            yield from self.schemes()
        elif keyword == "use":
            yield from self.parameters(words)
        elif (keyword == "device" and count == 2) or (keyword == "fit" and count == 1):
            yield from self.parts()
        elif keyword in ("allow", "severity") and count == 1:
            from lint.rules import rules

            yield from (self.item(name, _KIND.Constant, rule.severity.value) for name, rule in rules().items())
        elif keyword == "connect" and count == 2:
            yield from (self.item(word, _KIND.EnumMember) for word in ("star", "delta"))
        elif (keyword in _NAMING and count == 1) or words[-1] in ("to", "on", "of") or (self.at.block == "cable" and count == 1):
            yield from self.things()
        else:
            yield from self.attributes(keyword)

    def attributes(self, keyword: str) -> Iterator[types.CompletionItem]:
        """`to`, and the words and names that the statement takes and does not have yet."""
        words = self.at.words
        if keyword == "wire" or self.at.block == "cable":
            yield self.item("to", _KIND.Keyword)
        if keyword == "set" and len(words) > 1:
            device = self.device(words[1])
            for setting in device.part.settings.values() if device is not None and device.part is not None else ():
                yield self.item(f"{setting.name}=", _KIND.Property, ", ".join(setting.words))
        for statement in self.statements(keyword):
            for take in statement.takes:
                if take.stands is Stands.WORD:
                    yield from (self.item(word, _KIND.EnumMember, take.says) for word in take.kind.choices)
            for name, take in statement.keys.items():
                if not any(word.startswith(f"{name}=") for word in words):
                    yield self.item(f"{name}=", _KIND.Property, take.says)

    def parts(self) -> Iterator[types.CompletionItem]:
        """Parts of the plant and of the library, each with its ratings."""
        own = {device.part.name: device.part for device in self.plant.devices.values() if device.part is not None}
        shipped = {entry.name: entry.part for entry in entries() if entry.part is not None}
        for name, part in {**own, **shipped}.items():
            ratings = ", ".join(f"{rating} {part.ratings.text(rating)}" for rating in list(part.ratings)[:4])
            yield self.item(name, _KIND.Class, f"{part.title}: {ratings}" if ratings else part.title)

    def schemes(self) -> Iterator[types.CompletionItem]:
        """Schemes, each with what it must be given filled in as far as the plant tells."""
        for entry in schemes():
            yield self.item(entry.name, _KIND.Function, entry.title, self.use(entry.name))

    def use(self, name: str) -> str:
        """A use of a scheme as a snippet: a stop for each parameter, with what fits to choose from."""
        scheme = library_scheme(name)
        if scheme is None or not self.snippets:
            return ""
        stops = []
        for number, (param, values) in enumerate(proposed(self.network, scheme, self.enclosure).items(), 1):
            value = values[0] if values else param
            choose = len(values) > 1 and not any("," in each for each in values)
            stop = f"${{{number}|{','.join(values)}|}}" if choose else f"${{{number}:{value}}}"
            stops.append(f"{param}={stop}")
        return f"{name} {' '.join(stops)}"
