"""What differs between two plants, in the words of the trade, one item for one thing done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from netdsl.comparing.change import LIKE_TEXT, Change, Weight
from netdsl.comparing.cores import moved_cores
from netdsl.comparing.devices_changed import changed_device
from netdsl.comparing.names import Names
from netdsl.comparing.pairs import Pair
from netdsl.findings import Span

#: what a cable and its cores both say is said of the cable; what a core says of its cable, of it alone
_OF_THE_CABLE = frozenset({"section", "colour", "way", "length", "cable", "core"})
#: facts that others say already
_ELSEWHERE = {"conductor": frozenset({"ends"}), "function": frozenset({"parent"})}
_WEIGHTS = {"conductor": Weight.CONDUCTOR, "cable": Weight.CABLE, "exception": Weight.EXCEPTION}
_WORDS = {"routes": "distance of routes", "choice": "choice", "project": "title block"}
#: kinds of which the whole is words on paper
_PAPER = frozenset({"note", "project"})


def changes_between(names: Names, pairs: Iterable[Pair]) -> Iterator[Change]:
    """Every change, unsorted and one by one; a renamed function, and each device and cable renamed by itself, is one."""
    pairs = tuple(pairs)
    yield from _renamed(names, pairs)
    swapped, moved = moved_cores(pairs)
    yield from swapped
    whole: dict[str, list[str]] = {
        pair.either.id: [] for pair in pairs if pair.either.kind == "cable" and None in (pair.before, pair.after)
    }
    for pair in pairs:
        if pair.either.kind == "conductor" and pair.either.facts.get("cable") in whole and None in (pair.before, pair.after):
            facts = pair.either.facts
            whole[facts["cable"]].append(f"core {facts.get('core')} between {_and(facts['ends'].split(' -- '))}")
    for pair in pairs:
        thing = pair.either
        if pair.before is None or pair.after is None:
            if thing.facts.get("cable") not in whole or thing.kind != "conductor":
                details = tuple(whole.get(thing.id, ())) if thing.kind == "cable" else ()
                yield _come_or_gone(pair)._replace(details=details)
        elif thing.kind == "device":
            yield from changed_device(pair, names)
        else:
            yield from _changed(pair, thing.id in moved and thing.kind == "conductor")


def _renamed(names: Names, pairs: Iterable[Pair]) -> Iterator[Change]:
    """A function with all in it is one line; a device or cable that kept its function, another."""
    done: dict[str, list[str]] = {}
    told: dict[str, Pair] = {}
    for pair in pairs:
        if pair.before is None or pair.after is None or pair.before.id not in names.things:
            continue
        if pair.either.kind in ("function", "device", "cable", "place", "route"):
            function = pair.before.function
            with_it = pair.either.kind != "function" and names.things.get(function, "") == pair.after.function != ""
            same = pair.before.id.removeprefix(function) == pair.after.id.removeprefix(pair.after.function)
            head = function if with_it and same else pair.before.id
            done.setdefault(head, []).append(pair.before.id)
            told.setdefault(head, pair)
            if head == pair.before.id:
                told[head] = pair
    for head, members in done.items():
        pair = told[head]
        assert pair.before is not None and pair.after is not None
        what = pair.either.kind if head == pair.before.id else "function"
        inside = len(members) - 1
        more = f", with {inside} device{'s'[: inside > 1]} and cables in it" if inside else ""
        text = f"{what} `{head}` is now called `{names.thing(head)}`{more}"
        now = names.thing(head)
        yield _change("renamed", Weight.RENAMED, pair, text, electrical=False)._replace(subject=now, number=len(members))


def _come_or_gone(pair: Pair) -> Change:
    thing = pair.either
    gone = pair.after is None
    weight = (
        Weight.DEVICE
        if thing.kind == "device"
        else Weight.TEXT
        if thing.kind in _PAPER
        else _WEIGHTS.get(thing.kind, Weight.OTHER)
    )
    text = f"{_called(thing.kind, thing.id, thing.facts)} {'removed' if gone else 'added'}"
    if thing.kind == "exception":
        text = f"exception to {_exception(thing.id)} {'withdrawn' if gone else 'granted'}: {thing.facts.get('reason', '')}"
    return _change(f"{thing.kind}-{'removed' if gone else 'added'}", weight, pair, text, electrical=thing.kind not in _PAPER)


def _called(kind: str, name: str, facts: Mapping[str, str]) -> str:
    """A thing as a fitter would name it."""
    if kind == "device":
        what = facts.get("part") or facts.get("kind", "")
        title = facts.get("title", "")
        return f"`{name}` {what}{f' ({title})' if title else ''}"
    if kind == "cable":
        return f"cable `{name}` {facts.get('construction', '')}"
    if kind == "conductor":  # its ends name it
        core = facts.get("cable")
        section = facts.get("section", "")
        what = f"core {facts.get('core')} of `{core}`" if core else f"wire {section}".rstrip()
        return f"{what} from {ends_of(facts['ends'])}"
    return f"{_WORDS.get(kind, kind)} `{name}`"


def ends_of(ends: str) -> str:
    """`-X1:1 -- -K1:A1` as `-X1:1` to `-K1:A1`."""
    return " to ".join(f"`{end}`" for end in ends.split(" -- "))


def _exception(identity: str) -> str:
    rule, _, subject = identity.partition(" ")
    return f"{rule} at `{subject}`"


def _changed(pair: Pair, core_moved: bool) -> Iterator[Change]:
    """What differs of a conductor, a cable, or anything but a device."""
    before, after = pair.before, pair.after
    assert before is not None and after is not None
    kind, wire = after.kind, after.kind == "conductor"
    if wire and pair.was["ends"] != after.facts["ends"] and not core_moved:
        yield moved(pair)
    cored = wire and "cable" in after.facts
    skip = _ELSEWHERE.get(kind, frozenset()) | (_OF_THE_CABLE if cored else frozenset())
    if pair.was.get("construction") != after.facts.get("construction"):
        skip |= {"cores"}
    called = f"`{after.id}`"
    if wire and not cored:
        called = f"wire {ends_of(after.facts['ends'])}"
    elif kind == "exception":
        called = f"exception to {_exception(after.id)}"
    elif kind != "conductor":
        called = f"{_WORDS.get(kind, kind)} {called}"
    for name in sorted({*pair.was, *after.facts} - skip):
        was, now = pair.was.get(name, ""), after.facts.get(name, "")
        if was != now:
            word = "type" if (kind, name) == ("cable", "construction") else name
            weight = Weight.TEXT if name in LIKE_TEXT or kind in _PAPER else _WEIGHTS.get(kind, Weight.OTHER)
            change = differs(pair, called, word, was, now, weight, f"{kind}-{name.replace(' ', '-')}")
            yield change._replace(
                before=_origin(before.origins, name, change.before), after=_origin(after.origins, name, change.after)
            )


def _origin(origins: Mapping[str, Span], name: str, otherwise: Span | None) -> Span | None:
    """The line that gave a fact, where it is not that of the thing."""
    return origins.get({"length": "length_m", "section": "section_mm2", "way": "routes"}.get(name, name), otherwise)


def moved(pair: Pair) -> Change:
    """A conductor that lands elsewhere at one end, or at both."""
    assert pair.after is not None
    was, now = pair.was["ends"].split(" -- "), pair.after.facts["ends"].split(" -- ")
    kept = [end for end in now if end in was]
    facts = pair.after.facts
    what = f"core {facts.get('core')} of `{facts['cable']}`" if "cable" in facts else f"wire at `{kept[0]}`" if kept else "wire"
    left, found = [end for end in was if end not in now], [end for end in now if end not in was]
    if len(left) == 1 and len(found) == 1:
        text = f"{what} moved from `{left[0]}` to `{found[0]}`"
    else:
        text = f"{what} moved from {ends_of(pair.was['ends'])} to {ends_of(pair.after.facts['ends'])}".replace(
            "` to `", "` and `"
        )
        text = f"{what} was between {_and(was)}, is between {_and(now)}"
    change = _change("conductor-moved", Weight.CONDUCTOR, pair, text)
    return change._replace(name="ends", was=pair.was["ends"], now=pair.after.facts["ends"])


def _and(ends: list[str]) -> str:
    return " and ".join(f"`{end}`" for end in ends)


def differs(pair: Pair, called: str, name: str, was: str, now: str, weight: Weight, what: str) -> Change:
    """One fact with another value."""
    if was and now:
        values = f"{was} is now {now}"
    else:
        values = f"{now} (was not stated)" if now else f"{was} is no longer stated"
    text = f"{called}: {name.replace('-', ' ')} {values}"
    return _change(what, weight, pair, text, electrical=weight is not Weight.TEXT)._replace(name=name, was=was, now=now)


def _change(what: str, weight: Weight, pair: Pair, text: str, electrical: bool = True) -> Change:
    before, after, thing = pair.before, pair.after, pair.either
    return Change(
        what,
        weight,
        thing.function,
        thing.id,
        text,
        electrical,
        before.span if before else None,
        after.span if after else None,
        before.use if before else None,
        after.use if after else None,
    )
