"""What differs of a device: another part, ratings, settings, place; of a strip its terminals and bridges."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from netdsl.comparing.change import LIKE_TEXT, Change, Weight
from netdsl.comparing.names import Names
from netdsl.comparing.pairs import Pair

#: what a part brings with it
_OF_A_PART = ("rating", "terminal", "path", "source", "consumer", "required", "selective")
_PLAIN_OF_A_PART = frozenset({"part", "kind", "category", "symbol", "protection-class", "title"})
_TOLD_BY_NAME = frozenset({"function", "order"})
_SHOWN = 12


def changed_device(pair: Pair, names: Names) -> Iterator[Change]:
    """Every difference of a device that is there before and after."""
    assert pair.before is not None and pair.after is not None
    was, now, called = pair.was, pair.after.facts, f"`{pair.after.id}`"
    changed = [name for name in sorted({*was, *now}) if was.get(name) != now.get(name) and name not in _TOLD_BY_NAME]
    if {"part", "kind"} & set(changed):
        brought = [name for name in changed if name.partition(" ")[0] in _OF_A_PART or name in _PLAIN_OF_A_PART]
        yield _replaced(pair, brought)
        changed = [name for name in changed if name not in brought]
    if now.get("category") == "strip":
        yield from _rail(pair, names, [name for name in changed if name.partition(" ")[0] in ("terminal", "bridge")])
        changed = [name for name in changed if name.partition(" ")[0] not in ("terminal", "bridge")]
    for name in changed:
        what, _, rest = name.partition(" ")
        weight = Weight.TEXT if name in LIKE_TEXT else Weight.SETTING if what == "setting" else Weight.OTHER
        word = name.removeprefix("rating ").replace("-", " ")
        if what in ("path", "source", "consumer", "required", "selective"):
            text = f"{called}: {what} {rest} {'added' if name in now else 'removed'}"
        else:
            text = f"{called}: {word} {values(was.get(name, ''), now.get(name, ''))}"
        yield _change(f"device-{what}", weight, pair, text)._replace(
            name=name,
            was=was.get(name, ""),
            now=now.get(name, ""),
            electrical=weight is not Weight.TEXT,
            before=pair.before.origins.get(name, pair.before.span),
            after=pair.after.origins.get(name, pair.after.span),
        )


def values(was: str, now: str) -> str:
    """A value that changed: `20 A is now 25 A`."""
    if was and now:
        return f"{was} is now {now}"
    return f"{now} (was not stated)" if now else f"{was} is no longer stated"


def _replaced(pair: Pair, brought: list[str]) -> Change:
    """Another part, with what that changes in ratings and terminals."""
    assert pair.after is not None
    was, now = pair.was, pair.after.facts
    ratings = [
        f"{name.removeprefix('rating ').replace('-', ' ')} {values(was.get(name, ''), now.get(name, ''))}"
        for name in brought
        if name.startswith("rating ")
    ]
    gone = [name.removeprefix("terminal ") for name in brought if name.startswith("terminal ") and name not in now]
    come = [name.removeprefix("terminal ") for name in brought if name.startswith("terminal ") and name not in was]
    details = ratings[:_SHOWN] + ([f"and {len(ratings) - _SHOWN} ratings more"] if len(ratings) > _SHOWN else [])
    details += [f"title {values(was.get('title', ''), now.get('title', ''))}"] if "title" in brought else []
    details += [f"no longer has terminals {', '.join(gone)}"] if gone else []
    details += [f"has terminals {', '.join(come)} besides"] if come else []
    before, after = (facts.get("part") or facts.get("kind", "") for facts in (was, now))
    change = _change("device-replaced", Weight.DEVICE, pair, f"`{pair.after.id}`: {before} replaced by {after}")
    return change._replace(details=tuple(details), name="part", was=before, now=after)


def _rail(pair: Pair, names: Names, changed: list[str]) -> Iterator[Change]:
    """Terminals put in, taken out, renumbered, changed; bridges; the order on the rail."""
    assert pair.before is not None and pair.after is not None
    was, now, called = pair.was, pair.after.facts, f"`{pair.after.id}`"
    terminals = [name.removeprefix("terminal ") for name in changed if name.startswith("terminal ")]
    for title, found in (
        ("terminal-inserted", [name for name in terminals if f"terminal {name}" not in was]),
        ("terminal-removed", [name for name in terminals if f"terminal {name}" not in now]),
    ):
        if found:
            done = "inserted" if title == "terminal-inserted" else "taken out"
            text = f"{called}: terminal{'s'[: len(found) > 1]} {', '.join(found)} {done}"
            change = _change(title, Weight.TERMINAL, pair, text)._replace(number=len(found))
            if title == "terminal-inserted":
                yield change._replace(after=pair.after.origins.get(f"terminal {found[0]}", change.after))
            else:
                yield change._replace(before=pair.before.origins.get(f"terminal {found[0]}", change.before))
    moved = names.terminals.get(pair.after.id, {})
    if moved:
        text = f"{called}: {len(moved)} terminal{'s'[: len(moved) > 1]} renumbered, with what lands on them: {_renumbered(moved)}"
        change = _change("terminals-renumbered", Weight.TERMINAL, pair, text)
        yield change._replace(electrical=False, number=len(moved))
    for name in terminals:
        before, after = was.get(f"terminal {name}"), now.get(f"terminal {name}")
        if before and after:
            words = _parts(before), _parts(after)
            for part in sorted({*words[0], *words[1]}):
                one, two = words[0].get(part, ""), words[1].get(part, "")
                if one != two:
                    text = f"`{pair.after.id}:{name}`: {part} {values(one, two)}"
                    weight = Weight.TEXT if part == "text" else Weight.TERMINAL
                    change = _change("terminal-changed", weight, pair, text)
                    yield change._replace(name=part, was=one, now=two, electrical=part != "text")
    yield from _bridges(pair, [name for name in changed if name.startswith("bridge ")])
    order = [facts.get("order", "").split(", ") for facts in (was, now)]
    common = set(order[0]) & set(order[1])
    if [each for each in order[0] if each in common] != [each for each in order[1] if each in common]:
        text = f"{called}: terminals stand in another order: {', '.join(order[1])}"
        yield _change("terminals-reordered", Weight.TERMINAL, pair, text)


def _bridges(pair: Pair, changed: list[str]) -> Iterator[Change]:
    assert pair.after is not None
    for name in changed:
        done = "added" if name in pair.after.facts else "removed"
        text = f"`{pair.after.id}`: {name} {done}"
        yield _change(f"bridge-{done}", Weight.TERMINAL, pair, text)


def _parts(terminal: str) -> dict[str, str]:
    """What a terminal's fact says, by its words."""
    found = {}
    for part in terminal.split("; "):
        name, _, value = part.partition(" ")
        found[name] = value
    return found


def _renumbered(moved: Mapping[str, str]) -> str:
    shown = [f"{before} is now {after}" for before, after in list(moved.items())[:3]]
    return ", ".join(shown) + (f" and {len(moved) - 3} more" if len(moved) > 3 else "")


def _change(what: str, weight: Weight, pair: Pair, text: str) -> Change:
    before, after = pair.before, pair.after
    assert before is not None and after is not None
    spans = before.span, after.span, before.use, after.use
    return Change(what, weight, after.function, after.id, text, True, *spans)
