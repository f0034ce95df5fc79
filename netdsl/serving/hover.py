"""What is known of the word under the pointer, as text with emphasis."""

from __future__ import annotations

from collections.abc import Iterable

from lsprotocol import types

from netdsl.model.plant import Cable, Device, Terminal
from netdsl.network.queries import downstream, upstream
from netdsl.network.terminal_rows import terminal_rows
from netdsl.network.types import Network
from netdsl.network.unused import spare_cores
from netdsl.serving.desk import Open
from netdsl.serving.names import identity_at, word_at

#: terminals and nodes that are listed; more are counted
_SHOWN = 40
#: conductors above which nothing is computed for a hover
_LARGE = 3000


def hover(here: Open, position: types.Position) -> types.Hover | None:
    """Of a device its part and terminals, of a terminal its net, of a cable its cores, of a rule its page, of a part or scheme
    what it is, of a word of the language what it means."""
    whole = here.plant.at_hand()
    identity = identity_at(whole, here, position)
    word, span = word_at(here, position)
    text = ""
    if identity is not None and whole.network is not None:
        text = about_thing(whole.network, identity)
    if word == "auto" and whole.network is not None:
        text = _proposed(whole.network, here, position)
    text = text or about_word(word)
    return types.Hover(types.MarkupContent(types.MarkupKind.Markdown, text), here.places.range(span)) if text else None


def about_thing(network: Network, identity: str) -> str:
    """A device, terminal, cable, place, function or route."""
    plant = network.plant
    owner, _, terminal = identity.partition(":")
    device = plant.devices.get(owner)
    if device is not None and terminal:
        return _terminal(network, device, device.terminals[terminal]) if terminal in device.terminals else ""
    if device is not None:
        return _device(network, device)
    if owner in plant.cables:
        return _cable(network, plant.cables[owner])
    for table in (plant.places, plant.functions, plant.routes):
        if owner in table:
            return f"**{owner}** {table[owner].title}"
    return ""


def _device(network: Network, device: Device) -> str:
    part = f"`{device.part.name}` {device.part.title}" if device.part else device.kind
    lines = [f"**{device.id}** {device.title}", "", part + (f", at `{device.place}`" if device.place else ""), ""]
    ratings = [f"{name} {device.ratings.text(name)}" for name in device.ratings]
    lines += [", ".join(ratings), ""] if ratings else []
    for words, names in (("fed by", upstream(network, device.id)), ("feeds", downstream(network, device.id))):
        if names:
            lines += [f"{words} {_listed(names)}", ""]
    rows = terminal_rows(network, device)
    for row in rows[:_SHOWN]:
        landing = [each["conductor"] if each["to"] == "" else f"{each['to']} ({each['conductor']})" for each in row["conductors"]]
        on = "; ".join(landing) or ("**free, must be connected**" if row["required"] else "free")
        lines.append(f"- `:{row['terminal']}` {row['role']}: {on}")
    if len(rows) > _SHOWN:
        lines.append(f"- and {len(rows) - _SHOWN} more")
    return "\n".join(lines)


def _terminal(network: Network, device: Device, terminal: Terminal) -> str:
    node = f"{device.id}:{terminal.name}"
    lines = [f"**{node}** {terminal.kind or terminal.role.value} {terminal.text}".rstrip(), ""]
    for side in ("/in", "/out") if terminal.split else ("",):
        net = network.net(node + side)
        if net is None:
            continue
        certain = _listed(f"{each.pole} of {each.device}" for each in net.certain) or "none for certain"
        lines += [f"net `{net.id}`, {net.klass.value}, {net.voltage:g} V; potentials: {certain}", ""]
        lines += [f"- `{other}`" for other in net.nodes[:_SHOWN] if other != node + side]
        if len(net.nodes) > _SHOWN:
            lines.append(f"- and {len(net.nodes) - _SHOWN} more")
    return "\n".join(lines)


def _cable(network: Network, cable: Cable) -> str:
    plant = network.plant
    length = f"{cable.length_m:g} m" if cable.length_m is not None else "length not stated"
    lines = [
        f"**{cable.id}** {cable.title}",
        "",
        f"`{cable.construction}`, {length}, along {_listed(cable.routes) or 'no route'}",
        "",
    ]
    for name in cable.conductors:
        conductor = plant.conductors[name]
        lines.append(f"- {conductor.core}: `{conductor.ends[0].id}` to `{conductor.ends[1].id}`")
    spare = spare_cores(cable, plant)
    lines += ["", f"free: {_listed(spare) or 'none'}", ""]
    lines += _currents(network, cable)
    return "\n".join(lines)


def _currents(network: Network, cable: Cable) -> list[str]:
    """The currents that are computed for the conductors of a cable, each once."""
    from netdsl.calc import calculate
    from netdsl.calc.sheet import results_at, title

    if len(network.plant.conductors) > _LARGE:
        return []
    calculation = calculate(network)
    wanted = ("current", "capacity", "drop")
    found = [each for each in results_at(calculation, cable.id) if any(word in each.question for word in wanted)]
    return [f"- {title(each.question)}: {each.shown}" for each in found[:6]]


def _proposed(network: Network, here: Open, position: types.Position) -> str:
    """What `netdsl size` proposes in place of the `auto` at a place."""
    from netdsl.sizing import propose_open

    number, offset = here.places.locate(position)
    source = here.document.pieces[number].source
    if len(network.plant.conductors) > _LARGE:
        return "`auto`: `netdsl size` proposes a size"
    for proposal in propose_open(network):
        for value in proposal.item.open_values:
            if value.span.source is source and value.span.start <= offset <= value.span.end:
                return f"`auto`: {proposal.verdict.value} {proposal.text}".rstrip() + f"\n\n{proposal.because}"
    return ""


def about_word(word: str) -> str:
    """A rule, a part or scheme of the library, a statement."""
    from netdsl.library.catalogue import description, entry_called
    from netdsl.model.language import STATEMENTS

    statement = STATEMENTS.get(word)
    if statement is not None:
        keys = ", ".join(f"`{name}=`" for name in statement.keys)
        return f"**{word}** {statement.says}." + (f"\n\ntakes {keys}" if keys else "")
    if not word or "-" not in word:
        return ""
    import lint

    known = lint.explain(word)
    if not known.startswith("There is no rule"):
        return f"```text\n{known}\n```"
    entry = entry_called(word)
    return "```text\n" + "\n".join(line for _, line in description(entry)) + "\n```" if entry is not None else ""


def _listed(names: Iterable[str]) -> str:
    found = list(names)
    more = f" and {len(found) - 12} more" if len(found) > 12 else ""
    return ", ".join(f"`{name}`" for name in found[:12]) + more
