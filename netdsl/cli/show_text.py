"""What is known about one thing as lines for a person."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from netdsl.cli.excerpt import cells

#: sections whose rows are told in one line each, in the order in which they are printed
_HEADS = ("designation", "title", "what")
_WORDS = {"fed_by": "fed by", "operated_at": "operated at", "inside": "inside"}


def show_lines(facts: dict[str, Any]) -> Iterator[str]:
    """All of `facts`: the head, single values, then each list under its name; what is empty is left out, but for findings."""
    title = f" {facts['title']}" if facts.get("title") else ""
    yield _plain(f"{facts['designation']}{title} ({facts['what']})")
    for name, value in facts.items():
        if name in _HEADS or value in ("", [], {}, None):
            continue
        word = _WORDS.get(name, name.replace("_", " "))
        if isinstance(value, dict):
            yield f"  {word}: " + _plain(", ".join(f"{each} {said}" for each, said in value.items()))
        elif not isinstance(value, list):
            yield f"  {word}: {_plain(str(value))}"
        elif all(isinstance(each, str) for each in value):
            yield f"  {word}: {_plain(', '.join(value))}"
    for name, rows in facts.items():
        if isinstance(rows, list) and rows and isinstance(rows[0], dict):
            yield ""
            yield f"{name.replace('_', ' ')}:"
            for line in _SECTIONS[name](rows):
                yield f"  {_plain(line)}"
    if not facts["findings"]:
        yield ""
        yield "no finding about it; a skilled person still has to judge the plant"


def _plain(text: str) -> str:
    return cells(text)[0].rstrip()


def _terminals(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        does = f" ({', '.join(row['functions'])})" if row["functions"] else ""
        text = f' "{row["text"]}"' if row["text"] else ""
        nets = "; ".join(_net(net) for net in row["nets"])
        yield f":{row['terminal']}  {row['role']}{does}{text}  {_free(row)}" + (f"  {nets}" if nets else "")
        for each in row["conductors"]:
            size = " ".join(
                str(value)
                for value in (f"{each['section_mm2']:g} mm²" if each["section_mm2"] else "", each["colour"], each["class"])
                if value
            )
            side = f" /{each['side']}" if each["side"] else ""
            mark = (f", marked {each['mark']}" if each["mark"] else "") + (", in a twin ferrule" if each["twin"] else "")
            yield f"    {each['conductor']}{side} to {each['to']}: {size}{mark}"
        for each in row["screens"]:
            yield f"    {each['conductor']}: {each['how']}"
        if row["bridged_to"]:
            yield f"    bridged to {', '.join(row['bridged_to'])}"


def _free(row: dict[str, Any]) -> str:
    """How much of a terminal is free; that it must be connected, where nothing lands on it."""
    if row["conductors"]:
        said = {f"{n} of {row['takes']} free" if n else "full": None for n in row["free"].values()}
        if len(said) == 1:
            return next(iter(said))
        return ", ".join(f"{n} of {row['takes']} free {side}" if n else f"{side} full" for side, n in row["free"].items())
    if row["screens"] or row["bridged_to"]:
        return "in use"
    return "free, must be connected" if row["required"] else "free"


def _net(net: dict[str, Any]) -> str:
    parts = [", ".join(net["potentials"]) or ("no potential for certain" if net["switched"] else "no potential")]
    if net["switched"]:
        parts.append(f"switched: {', '.join(net['switched'])}")
    voltage = f", {net['voltage_V']:g} V" if net["voltage_V"] else ""
    return f"net {net['net']}: {'; '.join(parts)}{voltage}"


def _contacts(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        moved = f" by {row['moved_by']}" if row["moved_by"] else ""
        extra = "".join(f", {word}" for word in (*row["marks"], *row["positions"]))
        yield f":{row['from']} to :{row['to']}  {row['kind']}{moved}{extra}  {'used' if row['used'] else 'free'}"


def _cores(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        yield f"{row['core']}  {row['ends']}  net {row['net']}, {row['class']}" + (f'  "{row["text"]}"' if row["text"] else "")


def _screens(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        yield (f"pair {row['pair']}: " if row["pair"] else "") + (" to ".join(row["ends"]) or "not terminated")


def _contents(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        yield f"{row['compartment']}: {', '.join(row['cables']) or 'no cable'}; {row['wires']} wires"


def _relations(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        said = ", ".join(f"{name} {row[name]}" for name in ("spacing", "parallel", "crossing") if name in row)
        yield f"{row['own']} to {row['other']}: {said}"


def _pieces(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        yield f"{row['kind']} {'behind :' + row['behind'] if row['behind'] else 'at the beginning'}" + (
            f'  "{row["text"]}"' if row["text"] else ""
        )


def _named(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        yield "  ".join(value for value in row.values() if value)


def _findings(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        yield f"{row['place']}: {row['severity']} {row['rule']}: {row['message']}"
        if row["remedy"]:
            yield f"    remedy: {row['remedy']}"


def _results(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        yield f"{row['title']}: {row['value']}" + (f", {row['verdict']}" if row["verdict"] else "")


def _remarks(rows: list[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        yield f"{row['kind']}: {row['text']}"


_SECTIONS = {
    "terminals": _terminals,
    "contacts": _contacts,
    "cores": _cores,
    "screens": _screens,
    "contents": _contents,
    "relations": _relations,
    "cables": _named,
    "devices": _named,
    "holds": _named,
    "pieces": _pieces,
    "remarks": _remarks,
    "findings": _findings,
    "results": _results,
    "sheets": _named,
    "lines": _named,
}
