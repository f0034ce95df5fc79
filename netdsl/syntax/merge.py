"""Two edited texts and the one they come from, merged by statement and attribute where lines alone would conflict.

A statement is a line, so one conflict is a few lines of each text. Lines are known again by what they begin with and by the block
they stand in; of a line that both sides changed, attributes and words that one side left alone are taken from the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from netdsl.syntax.lexer import Token, tokens_of

#: words that are followed by what they name; of any other line its first word and the terminals that follow make it known
_NAMES = 2
_Key = tuple[str, ...]


class _Line(NamedTuple):
    """A line, and the blank ones and remarks above it, each with its end."""

    lead: str
    text: str


def merged(base: Sequence[str], ours: Sequence[str], theirs: Sequence[str]) -> list[str] | None:
    """Lines, with their ends, that have the changes of both sides to `base`; None where both changed the same."""
    one, two, three = (_keyed(lines) for lines in (base, ours, theirs))
    taken: dict[_Key, list[_Line]] = {}
    for key in {**two, **three, **one}:
        before, mine, other = one.get(key, []), two.get(key, []), three.get(key, [])
        if mine == other or other == before:
            found: list[_Line] | None = mine
        elif mine == before:
            found = other
        elif len(before) == len(mine) == len(other) == 1:
            found = _both(before[0], mine[0], other[0])
        else:  # which of several alike is which nobody can say
            found = None
        if found is None:
            return None
        taken[key] = found
    return [line.lead + line.text for key in _order(list(two), list(three)) for line in taken[key]]


def _both(base: _Line, ours: _Line, theirs: _Line) -> list[_Line] | None:
    """A line that both sides changed."""
    leads = {each.lead for each in (ours, theirs) if each.lead != base.lead} or {base.lead}
    text = _line(base.text, ours.text, theirs.text)
    return None if text is None or len(leads) > 1 else [_Line(leads.pop(), text)]


def _order(ours: list[_Key], theirs: list[_Key]) -> list[_Key]:
    """All keys in our order, each of theirs that is new behind the one it stands behind there."""
    order = list(ours)
    for number, key in enumerate(theirs):
        if key not in order:
            before = next((each for each in reversed(theirs[:number]) if each in order), None)
            order.insert(order.index(before) + 1 if before is not None else 0, key)
    return order


def _keyed(lines: Sequence[str]) -> dict[_Key, list[_Line]]:
    """Each line by what it is known by, the blocks around it first; several where they are alike."""
    around: list[str] = []
    found: dict[_Key, list[_Line]] = {}
    lead = ""
    for line in lines:
        tokens = _tokens(line)
        if not tokens:
            lead += line
            continue
        named = _named(tokens)
        key = (*around, named)
        if tokens[0].type == "RBRACE" and around:
            around.pop()
        found.setdefault(key, []).append(_Line(lead, line))
        lead = ""
        if tokens[-1].type == "LBRACE":
            around.append(named)
    if lead:
        found[(*around, "")] = [_Line(lead, "")]
    return found


def _tokens(line: str) -> list[Token]:
    return [token for token in tokens_of(line) if token.type not in ("NEWLINE", "$END")]


def _named(tokens: Sequence[Token]) -> str:
    """What a line is known by: the ends of a wire, the core or the terminals that it begins with, else its first words."""
    first = tokens[0]
    if first.value == "wire":
        return " ".join(["wire", *(token.value for token in tokens if token.type == "REF")])
    joins = len(tokens) > 1 and tokens[1].type == "REF" and any(token.value == "to" for token in tokens)
    if joins or first.type in ("TERMS", "KEY", "RBRACE"):
        return first.value.rstrip("= \t")
    return " ".join(token.value for token in tokens[:_NAMES])


def _line(base: str, ours: str, theirs: str) -> str | None:
    """Our line with what the other side changed in it; None where both changed the same."""
    one, two, three = (_parts(line) for line in (base, ours, theirs))
    plain = [[part.text for part in parts if not part.name] for parts in (one, two, three)]
    if not len(plain[0]) == len(plain[1]) == len(plain[2]):
        return None
    edits: list[tuple[int, int, str]] = []
    unnamed = [part for part in two if not part.name]
    for before, mine, other, place in zip(*plain, unnamed, strict=True):
        if other not in (before, mine):
            if mine != before:
                return None
            edits.append((place.start, place.end, other))
    was, now = ({part.name: part for part in parts if part.name} for parts in (one, three))
    mine_by = {part.name: part for part in two if part.name}
    end = max((part.end for part in two if part.text != "{"), default=0)
    for name in {**was, **now}:
        old, new, own = was.get(name), now.get(name), mine_by.get(name)
        texts = [part.text if part else None for part in (old, new, own)]
        if texts[1] in (texts[0], texts[2]):
            continue
        if texts[2] != texts[0]:
            return None
        if own is None:
            edits.append((end, end, f" {texts[1]}"))
        elif texts[1] is None:
            start = len(ours[: own.start].rstrip(" \t"))
            edits.append((start, own.end, ""))
        else:
            edits.append((own.start, own.end, texts[1]))
    if _behind(theirs, three) != _behind(base, one):
        if _behind(ours, two) not in (_behind(base, one), _behind(theirs, three)):
            return None
        edits.append((len(ours) - len(_behind(ours, two)), len(ours), _behind(theirs, three)))
    for start, stop, text in sorted(edits, reverse=True):
        ours = ours[:start] + text + ours[stop:]
    return ours


class _Part(NamedTuple):
    """A word of a line, or `name` with all its values."""

    name: str
    text: str
    start: int
    end: int


def _parts(line: str) -> list[_Part]:
    """The words of a line, each attribute as one."""
    parts: list[_Part] = []
    tokens = _tokens(line)
    for number, token in enumerate(tokens):
        before = tokens[number - 1].type if number else ""
        if parts and (before in ("KEY", "COMMA") or token.type == "COMMA"):
            start = parts[-1].start
            parts[-1] = parts[-1]._replace(text=line[start : token.end_pos], end=token.end_pos)
        else:
            name = token.value.rstrip("= \t") if token.type == "KEY" else ""
            parts.append(_Part(name, token.value, token.start_pos, token.end_pos))
    return parts


def _behind(line: str, parts: Sequence[_Part]) -> str:
    """What stands behind the last word: a remark and the end of the line."""
    return line[parts[-1].end :] if parts else line
