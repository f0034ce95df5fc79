"""Terminals of a strip under other numbers, every connection following: one inserted, a range moved, one renamed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from netdsl.comparing import Names, Thing
from netdsl.findings import Span
from netdsl.model.device import Device
from netdsl.model.mentions import TerminalMention
from netdsl.model.terminals import numbered
from netdsl.renaming.mentioned import Mentioned, mentioned
from netdsl.renaming.outcome import Refused, Renaming, at
from netdsl.renaming.proof import prove
from netdsl.renaming.spelling import respelt, rows_of, spelt
from netdsl.renaming.wanted import Wanted
from netdsl.spelling import nearest

_NAME = re.compile(r"[\w+\-~*']+")


def inserted(path: Path, strip: str, terminal: str, instead: Mapping[str, str] | None = None) -> Renaming:
    """The edits that put a terminal called `terminal`, a number, into a strip: that and those numbered on from it move on by one,
    with what lands on them. It joins the row of the one whose name it takes, or of the last one where it stands behind that.

    Raises Refused where the strip or the number is none, or the plant would not stay the same otherwise. Writes nothing.
    """
    read = mentioned(path, instead)
    device = _strip(read, strip)
    if not terminal.isdecimal():
        raise Refused(f"`{terminal}` is no number: a terminal is inserted before another by its number, as `4`")
    rows = rows_of(read, device)
    on = int(terminal)
    names = {name: name for each in rows for name in each.names}
    while str(on) in names:  # as far as the numbers follow one another
        names[str(on)] = str(on + 1)
        on += 1
    before = str(int(terminal) - 1)
    if on == int(terminal) and before not in names:
        raise Refused(f"`{strip}` has neither terminal {terminal} nor {before}: insert it where others are", device.span)
    where = next(each for each in rows if (terminal if terminal in names else before) in each.names)
    place = where.names.index(terminal) if terminal in names else where.names.index(before) + 1
    renaming = _renumbered(read, device, names, {where.span: (place, terminal)})
    levels = set(_levels(device, before if terminal not in names else terminal))
    fresh = {terminal} if "" in levels else {f"{terminal}.{level}" for level in levels}
    return prove(read, renaming, lambda thing: _without(thing, device.id, fresh))


def moved(path: Path, strip: str, terminals: str, to: str, instead: Mapping[str, str] | None = None) -> Renaming:
    """The edits that give terminals of a strip, one or a range as `4..9`, the numbers from `to` on, with what lands on them. On
    the rail each stays where it is.

    Raises Refused where a number is another's, or the plant would not stay the same. Writes nothing.
    """
    read = mentioned(path, instead)
    device = _strip(read, strip)
    first, dots, last = terminals.partition("..")
    names = numbered(first, last) if dots else [first]
    stepped = numbered(to, str(int(to) + len(names or []) - 1)) if names and to.isdecimal() else [to] if not dots else None
    if not names or not stepped:
        raise Refused(f"`{terminals}` to `{to}` is no range of terminals and its new first number")
    known = [name for each in rows_of(read, device) for name in each.names]
    missing = next((name for name in names if name not in known), None)
    if missing is not None:
        near = nearest(missing, known)
        raise Refused(f"`{strip}` has no terminal {missing}" + (f": did you mean {near}?" if near else ""), device.span)
    return _given(read, device, {name: name for name in known} | dict(zip(names, stepped, strict=True)))


def terminal_renamed(read: Mentioned, old: str, new: str) -> Renaming:
    """The edits that call terminal `-X1:4` of a strip `new`, which may name the strip or not."""
    strip, _, terminal = old.partition(":")
    device = _strip(read, strip)
    other, colon, name = new.rpartition(":")
    if colon and other not in ("", strip):
        raise Refused(f"`{new}` is on another strip: a terminal that is to stand there is moved in the text")
    known = [each for row in rows_of(read, device) for each in row.names]
    if terminal not in known:
        near = nearest(terminal, known)
        raise Refused(f"`{strip}` has no terminal `{terminal}`" + (f": did you mean `{near}`?" if near else ""), device.span)
    return _given(read, device, {each: each for each in known} | {terminal: name})


def _given(read: Mentioned, device: Device, names: Mapping[str, str]) -> Renaming:
    """The renaming by `names`, proved."""
    for old, now in names.items():
        if not _NAME.fullmatch(now):
            raise Refused(f"`{now}` is no name of a terminal")
        if old != now and names.get(now) == now:
            span = next(row.span for row in rows_of(read, device) if now in row.names)
            raise Refused(f"`{device.id}` has a terminal {now} already, at {at(span)}", span)
    if all(old == now for old, now in names.items()):
        raise Refused("they are called so already")
    if len(set(names.values())) < len(names):
        raise Refused("two terminals would be called alike")
    return prove(read, _renumbered(read, device, names, {}))


def _strip(read: Mentioned, name: str) -> Device:
    found = read.plant.devices.get(name)
    if found is not None and found.category == "strip":
        return found
    if found is not None:
        raise Refused(f"`{name}` is no strip: terminals of other devices have the names that their part gives", found.span)
    near = nearest(name, [each.id for each in read.plant.devices.values() if each.category == "strip"])
    raise Refused(f"no strip is called `{name}`" + (f": did you mean `{near}`?" if near else ""))


def _renumbered(read: Mentioned, device: Device, names: Mapping[str, str], fresh: Mapping[Span, tuple[int, str]]) -> Renaming:
    """`names`: of every terminal as its row has it. `fresh`: a terminal put into the row at a span, and where in it."""
    wanted = Wanted()
    by_leaf: dict[Span, set[int]] = {}
    for mention in read.mentions.terminals:
        now = names if mention.device == device.id else {}
        if mention.name:
            _reckoned(mention, now, by_leaf)
            continue
        for each in spelt(mention.span):
            text = respelt([now_of(name, now) for name in each.names], each, fresh.get(each.span))
            wanted.put(each.span, text)
    for leaf, steps in by_leaf.items():
        if len(steps) > 1 and steps != {0}:
            raise Refused(
                f"of the terminals counted from `{leaf.text}` at {at(leaf)} some move and some do not: give it others first", leaf
            )
        wanted.put(leaf, str(int(leaf.text) + min(steps)))
    terminals = {old: now_of(old, names) for old in device.terminals if now_of(old, names) != old}
    return Renaming(wanted.edits(), Names({}, {device.id: terminals}))


def _reckoned(mention: TerminalMention, names: Mapping[str, str], by_leaf: dict[Span, set[int]]) -> None:
    """Note by how much a number must step of which a terminal is worked out."""
    now = now_of(mention.name, names)
    step = int(now) - int(mention.name) if now.isdecimal() else None
    plain = len(mention.leaves) == 1 and mention.leaves[0].text.isdecimal()
    if plain and step is not None:
        by_leaf.setdefault(mention.leaves[0], set()).add(step)
    elif step != 0:
        made = f"terminal {mention.name} is worked out of `{mention.span.text}` at {at(mention.span)}"
        raise Refused(f"{made}: give it another value there", mention.span)


def now_of(name: str, names: Mapping[str, str]) -> str:
    """The new name of a terminal, its side and level kept."""
    if name in names:
        return names[name]
    for mark in ("/", "."):
        head, found, tail = name.rpartition(mark)
        if found and head:
            return now_of(head, names) + found + tail
    return name


def _levels(device: Device, name: str) -> list[str]:
    """The levels of a terminal, [""] where it has none."""
    if name in device.terminals:
        return [""]
    return [each.rpartition(".")[2] for each in device.terminals if each.rpartition(".")[0] == name]


def _without(thing: Thing, strip: str, fresh: set[str]) -> Thing:
    """A strip without what is said of its new terminals."""
    if thing.kind != "device" or thing.id != strip:
        return thing
    order = thing.facts.get("order", "").split(", ")
    facts = {name: value for name, value in thing.facts.items() if name.removeprefix("terminal ") not in fresh}
    facts["order"] = ", ".join(each for each in order if each not in fresh)
    for name in [name for name in facts if name.partition(" behind ")[2] in fresh]:
        kind, _, terminal = name.partition(" behind ")
        before = next((each for each in reversed(order[: order.index(terminal)]) if each not in fresh), "the beginning")
        facts[f"{kind} behind {before}"] = facts.pop(name)
    return thing._replace(facts=facts)
