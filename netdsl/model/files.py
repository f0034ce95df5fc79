"""The texts of a plant: its file, what it includes, and the shipped library's parts and schemes as they are asked for."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache, lru_cache
from importlib import resources
from pathlib import Path

from msgspec import Struct, field

from netdsl.findings import Finding, Severity, Source, Span
from netdsl.model.includes import MAX_FILES, Written, name_of, too_much, written
from netdsl.plain_files import read_plain
from netdsl.syntax import parse
from netdsl.syntax.tree import Include, Part, Scheme, Tree

PLANT_FILE = "plant.netdsl"
#: how deep a file may be included by others
MAX_DEPTH = 50
#: characters of a text up to which it is kept with its tree
SMALL = 50_000
#: how a part or scheme begins and ends in the shipped library, which is formatted
_HEAD = re.compile(r"^(part|scheme)[ \t]+([A-Za-z][\w./-]*)", re.MULTILINE)
_FOOT = "\n}\n"
#: the tree of a text, or of a piece of one, and what is wrong with its writing
Read = tuple[Tree, tuple[Finding, ...]]


class Texts(Struct):
    """What was read: the trees in order, the findings; `main` is False when the plant's own file could not be read."""

    trees: list[Tree] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    main: bool = True


def plant_file(path: Path) -> Path:
    """The file that `path` means: itself, or the `plant.netdsl` in a folder."""
    return path / PLANT_FILE if path.is_dir() else path


def _whole(source: Source) -> Sequence[Read]:
    """A text read in one. Of what a process reads again, as the live sheets do, most is as it was: small texts are kept with
    their trees, in which nothing is ever changed."""
    return (parse(source) if len(source.text) > SMALL else _known(source.path, source.text),)


@lru_cache(maxsize=32)
def _known(path: str, text: str) -> Read:
    return parse(Source(path, text))


def read_texts(
    path: Path, instead: Mapping[str, str] | None = None, pieces: Callable[[Source], Sequence[Read]] = _whole
) -> Texts:
    """Read the plant at `path` and all it includes, each file once. `instead`: texts in place of what files hold, by the path
    that their `Source` has; such a file need not exist. `pieces`: what reads one text, as one tree or several."""
    texts = Texts()
    file = plant_file(path)
    try:
        whole = file.resolve()
        # following the links of every folder is the greatest part of what a small file takes before it is parsed
        root = file.parent.resolve() if file.is_symlink() else whole.parent
        reader = _Reader(texts, root, instead or {}, pieces)
        reader.weighed(whole)
    except (OSError, ValueError, RuntimeError) as error:  # a NUL in the name, links that lead to one another
        reason = (getattr(error, "strerror", None) or type(error).__name__).lower()
        message = f"`{file.name}` cannot be read: {reason}"
        remedy = f"name a file, or a folder that holds `{PLANT_FILE}`"
        return _unread(texts, Finding("include-missing", Severity.ERROR, message, remedy, Span(Source(str(path), ""), 0, 0)))
    beyond = too_much(whole, root, reader.weighed)
    if beyond is not None:
        return _unread(texts, beyond)
    reader.take(whole, reader.weighed(whole), ())
    return texts


def _unread(texts: Texts, why: Finding) -> Texts:
    texts.main = False
    texts.findings.append(why)
    return texts


class _Reader:
    def __init__(self, texts: Texts, root: Path, instead: Mapping[str, str], pieces: Callable[[Source], Sequence[Read]]) -> None:
        self.texts = texts
        self.instead = instead
        self.pieces = pieces
        self.root = root
        self.done: set[Path] = set()
        self.held: dict[Path, Written] = {}

    def weighed(self, file: Path) -> Written:
        """What a file holds, or the text in its place, which is kept."""
        if file not in self.held:
            name = name_of(file, self.root)
            text = self.instead.get(name)
            self.held[file] = written(read_plain(file) if text is None else text.encode(), name)
        return self.held[file]

    def take(self, file: Path, held: Written, within: tuple[Path, ...]) -> None:
        """Read one file, a path without links, then what it includes; `within`: the files being read around it."""
        self.done.add(file)
        self.texts.findings += held.findings
        read = self.pieces(held.source)
        for tree, findings in read:
            self.texts.findings += findings
            self.texts.trees.append(tree)
        for statement in (statement for tree, _ in read for statement in tree.statements):
            if type(statement) is Include:
                self.include(statement, file, (*within, file))

    def include(self, statement: Include, file: Path, within: tuple[Path, ...]) -> None:
        """Read what `statement` names, inside the project folder only."""
        written = statement.path.value
        try:
            target = (file.parent / written).resolve()
        except (OSError, ValueError, RuntimeError):
            self._fault("include-missing", statement, f"`{written}` is no name of a file", "name a file of the project")
            return
        if Path(written).is_absolute() or not target.is_relative_to(self.root):
            self._fault(
                "include-outside", statement, f"`{written}` lies outside the project folder", "copy the file into the project"
            )
        elif target in within:
            self._fault(
                "include-circular", statement, f"`{written}` includes this file in turn", "take out one of the two includes"
            )
        elif target not in self.done:
            if len(within) > MAX_DEPTH:
                message = f"files include one another more than {MAX_DEPTH} deep"
                self._fault("include-missing", statement, message, "include them from the plant's own file")
                return
            if len(self.done) >= MAX_FILES:
                self._fault("include-missing", statement, f"more than {MAX_FILES} files are included", "join some of them")
                return
            try:
                held = self.weighed(target)
            except (OSError, ValueError) as error:
                reason = f": {error.strerror.lower()}" if isinstance(error, OSError) and error.strerror else ""
                message = f"`{written}` cannot be read{reason}"
                self._fault("include-missing", statement, message, "check the name; it is relative to this file")
                return
            self.take(target, held, within)

    def _fault(self, rule: str, statement: Include, message: str, remedy: str) -> None:
        self.texts.findings.append(Finding(rule, Severity.ERROR, message, remedy, statement.path.span, (), "netdsl language"))


# --- the shipped library ------------------------------------------------------------------------------------------
@cache
def _library_sources() -> tuple[Source, ...]:
    folder = resources.files("netdsl.library")
    files = sorted((item for item in folder.iterdir() if item.name.endswith(".netdsl")), key=lambda item: item.name)
    return tuple(Source(f"library/{item.name}", item.read_text(encoding="utf-8")) for item in files)


@cache
def _library_places(what: str) -> dict[str, tuple[int, int]]:
    """Name of each shipped part (or `scheme`) -> number of its source and where its block begins."""
    found: dict[str, tuple[int, int]] = {}
    opening = f"\n{what} "  # blocks begin a line, never the first: there stands what a file is about
    for number, source in enumerate(_library_sources()):
        at = source.text.find(opening)
        while at >= 0:
            head = _HEAD.match(source.text, at + 1)
            if head is not None:
                found[head[2]] = (number, at + 1)
            at = source.text.find(opening, at + 1)
    return found


@cache
def library_index(what: str = "part") -> dict[str, int]:
    """Name of each shipped part (or `scheme`) -> number of its source. A part and a scheme may share a name."""
    return {name: place[0] for name, place in _library_places(what).items()}


def shipped_source(path: str) -> Source | None:
    """The text of the shipped library with this path; None for any other."""
    return next((source for source in _library_sources() if source.path == path), None)


def is_shipped(source: Source) -> bool:
    """Whether a text is one of the shipped library."""
    return any(source is shipped for shipped in _library_sources())


def library_part(name: str) -> Part | None:
    """The shipped part called `name`, None where there is none."""
    found = _statement("part", name)
    return found if isinstance(found, Part) else None


def library_scheme(name: str) -> Scheme | None:
    """The shipped scheme called `name`, None where there is none."""
    found = _statement("scheme", name)
    return found if isinstance(found, Scheme) else None


@cache
def _statement(what: str, name: str) -> Part | Scheme | None:
    """The block of that name, read alone: a plant takes some thirty of the hundreds that there are."""
    if name not in _library_places(what):
        return None
    number, start = _library_places(what)[name]
    source = _library_sources()[number]
    (statement,) = parse(source, start, source.text.index(_FOOT, start) + len(_FOOT))[0].statements
    return statement if isinstance(statement, Part | Scheme) else None


def library_findings() -> tuple[Finding, ...]:
    """Syntax findings of the whole shipped library (none, or a fault of ours)."""
    return tuple(finding for source in _library_sources() for finding in parse(source)[1])
