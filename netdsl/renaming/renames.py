"""A device, cable, place, function, route or scheme, or a terminal of a strip, called otherwise."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from netdsl.comparing import Names
from netdsl.findings import Edit
from netdsl.model.files import is_shipped
from netdsl.model.mentions import Mention, What
from netdsl.model.terminals import numbered
from netdsl.renaming.mentioned import Mentioned, mentioned
from netdsl.renaming.outcome import Refused, Renaming, at
from netdsl.renaming.proof import prove
from netdsl.renaming.renumbers import terminal_renamed
from netdsl.renaming.wanted import Wanted, composed, located
from netdsl.spelling import nearest

_FORMS = {
    "-": (re.compile(r"(?:=[A-Za-z0-9_]+(?:\.[A-Za-z0-9_]+)*)?(?:-[A-Za-z][A-Za-z0-9_]*(?:\.[A-Za-z0-9_]+)*)+"), "`-T1`"),
    "+": (re.compile(r"\+[A-Za-z0-9_]+(?:\.[A-Za-z0-9_]+)*"), "`+MCP`"),
    "=": (re.compile(r"=[A-Za-z0-9_]+(?:\.[A-Za-z0-9_]+)*"), "`=RP1`"),
    "": (re.compile(r"[A-Za-z][A-Za-z0-9_\-]*"), "a plain word"),
}


def rename(path: Path, old: str, new: str, instead: Mapping[str, str] | None = None) -> Renaming:
    """The edits that call `old` by the name `new` all over the plant at `path`, and nothing else. `old`: the whole designation,
    `=RP1-T1`, `+MCP`, `=RP1`, the word of a route or scheme, or a terminal of a strip, `-X1:4`. `new`: the same, or without its
    function. `instead`: texts by path from the plant's folder, in place of what its files hold.

    Raises Refused where there is no such thing, the name is another's, or the plant would not stay the same. Writes nothing.
    """
    read = mentioned(path, instead)
    if ":" in old:
        return terminal_renamed(read, old, new)
    schemes = [word for word in read.schemes() if word.text == old]
    if old not in read.things and not schemes:
        near = nearest(old, (*read.things, *(word.text for word in read.schemes())))
        raise Refused(f"nothing is called `{old}`" + (f": did you mean `{near}`?" if near else ""))
    if old not in read.things:
        return _scheme(read, old, new)
    new = _full(old, new, read)
    if new == old:
        raise Refused(f"`{old}` is called so already")
    names = _names(read, old, new)
    renaming = Renaming(_edits(read, names), Names(names))
    return prove(read, renaming)


def _scheme(read: Mentioned, old: str, new: str) -> Renaming:
    words = list(read.schemes())
    if not _FORMS[""][0].fullmatch(new):
        raise Refused(f"`{new}` is no name of a scheme: write a plain word")
    taken = next((word for word in words if word.text == new), None)
    if taken is not None:
        raise Refused(f"a scheme is called `{new}` already, at {at(taken.span)}", taken.span)
    from netdsl.model.files import library_index

    if new in library_index("scheme"):
        raise Refused(f"a shipped scheme is called `{new}`")
    if old not in {scheme.text for scheme in words} or old in library_index("scheme"):
        raise Refused(f"scheme `{old}` is a shipped one")
    return prove(read, Renaming(tuple(Edit(word.span, new) for word in words if word.text == old), Names()))


def _full(old: str, new: str, read: Mentioned) -> str:
    """The whole new designation, in the form of the old one."""
    function, dash, _ = old.partition("-") if old[:1] in "=-" else (old, "", "")
    kind = "-" if dash else old[0] if old[0] in "+=" else ""
    form, example = _FORMS[kind]
    if not form.fullmatch(new):
        what = {"-": "device or cable", "+": "place", "=": "function"}.get(kind, "route")
        raise Refused(f"`{new}` is no name of a {what}: write it as {example}")
    if kind != "-":
        return new
    if new.startswith("-"):
        return function + new
    if new.partition("-")[0] != function:
        where = f"in function `{function}`" if function else "in no function"
        raise Refused(f"`{old}` stands {where}: what is to stand in another is moved in the text", read.things[old])
    return new


def _names(read: Mentioned, old: str, new: str) -> dict[str, str]:
    """All that is called otherwise with it, old to new. Raises Refused where a new name is another's."""
    plant = read.plant
    holds = old in plant.devices and (
        "slots" in plant.devices[old].ratings or any(device.host == old for device in plant.devices.values())
    )
    behind = (".", "-") if old in plant.functions else (".",) if old in plant.places or holds else ()
    known = read.things
    names = {name: new + name[len(old) :] for name in known if name == old or any(name.startswith(old + each) for each in behind)}
    for name, now in sorted(names.items(), key=lambda pair: pair[0] != old):
        if now in known and now not in names:
            raise Refused(f"`{now}` is there already, at {at(known[now])}: `{name}` cannot be called so", known[now])
    inside = next((name for name in known if any(name.startswith(new + each) for each in behind) and name not in names), None)
    if inside is not None:
        raise Refused(f"`{inside}` would come to stand in it, at {at(known[inside])}", known[inside])
    return names


def _edits(read: Mentioned, names: Mapping[str, str]) -> tuple[Edit, ...]:
    """What every word becomes that names one of these, or might."""
    wanted = Wanted()
    known = {names.get(name, name) for name in read.things}
    for mention in read.mentions.things:
        identity = mention.identity
        if mention.what is What.PART:
            found = next((each for each in candidates(mention.meant, mention.function) if each in read.things), None)
            if found is None:
                continue
            identity = found
        function = names.get(mention.function, mention.function)
        now = names.get(identity, identity)
        text = _written(mention, identity, now, function, names, known)
        span = located(mention.span, mention.meant)
        default = read.mentions.defaults.get((mention.span, mention.function)) if is_shipped(mention.span.source) else None
        if default is not None:
            if text != mention.meant:
                wanted.give(default.at, default.name, text)
        elif span is not None:
            wanted.put(span, text)
        elif mention.what is not What.PART and not _of_value(mention, names):
            others, join = _others(mention, names)
            wanted.put(mention.span, composed(mention.span, mention.meant, text, others, join))
    return wanted.edits()


def _others(mention: Mention, names: Mapping[str, str]) -> tuple[list[str] | None, str]:
    """All that a range names, as it is called now, and what stands between them; None where they cannot be parted."""
    first, dots, last = mention.span.text.partition("..")
    stepped = numbered(first, last) if dots and "$" not in mention.span.text else None
    if not stepped:
        return None, ""
    if mention.what is What.ROUTE:
        return [names.get(each, each) for each in stepped], ","
    if mention.what is not What.DECLARED:
        return None, ""
    function = mention.function
    now = names.get(function, function)
    return [names.get(function + each, function + each).removeprefix(now) for each in stepped], " "


def _of_value(mention: Mention, names: Mapping[str, str]) -> bool:
    """Whether a designation is made of a value that is renamed itself, as `$pump-M1` of `=PP1`."""
    tail = re.sub(r"^\$[^\W\d_][\w.]*", "", mention.span.text)
    head = mention.meant.removesuffix(tail) if mention.span.text[:1] == "$" and tail else ""
    whole = next((each for each in candidates(head, mention.function) if each in names), None) if head else None
    return whole is not None and names.get(mention.identity, "") == names[whole] + tail


def _written(mention: Mention, identity: str, now: str, function: str, names: Mapping[str, str], known: Iterable[str]) -> str:
    """How `now` is written in place of a mention: as it was, in short or in full, as far as that means it there."""
    meant = mention.meant
    if mention.what is What.ROUTE:
        return now + meant[len(identity) :]
    if mention.what in (What.DECLARED, What.ENTERED) and not meant.startswith("+"):
        if mention.what is What.ENTERED and function:
            return "=" + now.removeprefix(f"{function}.") if now.startswith(f"{function}.") else now
        return now.removeprefix(function)
    if meant.startswith("+"):
        return now
    outer = identity.removesuffix(meant) if meant.startswith("-") else identity.removesuffix(meant[1:]).removesuffix(".")
    outer = "" if meant == identity else outer
    moved = names.get(outer, outer)
    short = now.removeprefix(moved) if meant.startswith("-") else "=" + now.removeprefix(f"{moved}." if moved else "=")
    found = next((each for each in candidates(short, function) if each in known), None)
    return short if found == now else now


def candidates(base: str, function: str) -> list[str]:
    """The identities that a designation may have inside a function, innermost first."""
    around = []
    while function:
        around.append(function)
        function = function.rpartition(".")[0]
    if base.startswith("-"):
        return [*(each + base for each in around), base]
    if base.startswith("="):
        return [*(f"{each}.{base[1:]}" for each in around), base]
    return [base]
