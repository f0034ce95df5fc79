"""Colours of conductors: blue for the neutral and for nothing else where there is one, and none left to chance."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import wires_and_cores
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category
from netdsl.model.plant import Conductor
from netdsl.model.vocabulary import BARE, COLOURS
from netdsl.network.types import Net, Potential, Run

_BLUE = "BU"
#: neutrals of plants for 60 Hz are white or grey (NFPA 79, 13.2.3)
_WHITE = frozenset({"WH", "GY"})
_SIXTY = 60.0
_NEUTRAL = frozenset({"N", "PEN", "PE"})


@rule("colour-reserved", Severity.WARNING, source="IEC 60204-1, 13.2.3; IEC 60445, 6.2.2", judges=wires_and_cores)
def colour_reserved(facts: Facts, this: Rule) -> Iterator[Report]:
    """Light blue is not the neutral's, or the neutral is not light blue.

    Reports:
      A neutral of a supply in another colour than blue. Light blue (`BU`) in an enclosure with a neutral, or in a cable with one,
      for what is no neutral. One finding for a cable, and one for all such wires of an enclosure that carry AC, or DC.
    Silent:
      Shades of blue that the project names and does not call light (`shade DBU = BU "dark blue"`); cables without a neutral, and
      enclosures without one; numbered cores; white or grey neutrals of a supply of 60 Hz; what no source reaches.
    Why:
      Whoever meets light blue takes it for the neutral and does not expect a phase on it.
    Failing:
      device -F1 mcb-1p at=+MCP current=6A
      device -E1 heater at=+MCP
      wire -WB1:L1 to -F1:1 2.5mm2 BU
      wire -F1:2 to -E1:L 2.5mm2 BK
      wire -WB1:N to -E1:N 2.5mm2 BU
      wire -E1:PE to -XE1:3 2.5mm2 GNYE
    Passing:
      - wire -WB1:L1 to -F1:1 2.5mm2 BU
      + wire -WB1:L1 to -F1:1 2.5mm2 BK
    Remedy:
      Exchange the colours, or name another shade for the other conductors.
    """
    enclosures = frozenset(_with_neutral(facts))
    groups: dict[tuple[str, str], list[tuple[Conductor, Run]]] = {}
    for conductor, run in facts.conductors():
        cable = facts.plant.cables.get(conductor.cable or "")
        if run.colour is None or (cable is not None and run.colour not in _colours(facts)):
            continue
        net = facts.network.nets[run.net]
        if _is_neutral(facts, net):
            wrong = not _is_blue(facts, run.colour) and not (run.colour in _WHITE and _at_sixty(facts, net))
            what = "neutral"
        else:
            near = _has_neutral(facts, conductor) if cable is not None else _inside(facts, conductor) in enclosures
            carries = any(p.pole in _NEUTRAL for p in net.possible)
            wrong = _is_light(facts, run.colour) and bool(net.possible) and near and not carries
            what = "blue"
        if wrong:
            kind = "" if conductor.cable else next((f"{what} {p.kind}" for p in net.possible), what)
            groups.setdefault((conductor.cable or _inside(facts, conductor), kind), []).append((conductor, run))
    for found in groups.values():
        yield _reserved(facts, this, found)


def _reserved(facts: Facts, this: Rule, found: list[tuple[Conductor, Run]]) -> Report:
    conductor, run = found[0]
    names = [each.id for each, _ in found]
    if _is_neutral(facts, facts.network.nets[run.net]):
        text = f"the neutral {listed(names, 3)} is {run.colour}, not blue"
        remedy = "make it blue"
    else:
        carries = next(iter(facts.network.nets[run.net].possible)).id
        text = f"light blue is kept for the neutral here, and `{carries}` comes to {listed(names, 3)} in that colour"
        remedy = "take another colour, or a `shade` of blue that is not light"
    return this.report(
        text,
        remedy,
        conductor.span,
        (conductor.cable or conductor.id, *names, *(end.id for end in conductor.ends)),
        about=names,
        related=[Related("another one", each.span) for each in {c.span.start: c for c, _ in found[1:]}.values()][:4],
    )


def _colours(facts: Facts) -> frozenset[str]:
    """Words that mean a colour here: a core may be called by a number."""
    return COLOURS | frozenset(facts.plant.shades)


def _is_blue(facts: Facts, colour: str) -> bool:
    return colour == _BLUE or facts.plant.shades.get(colour, ("", ""))[0] == _BLUE


def _is_light(facts: Facts, colour: str) -> bool:
    base, text = facts.plant.shades.get(colour, ("", ""))
    return colour == _BLUE or (base == _BLUE and "light" in text.lower())


def _is_neutral(facts: Facts, net: Net) -> bool:
    """Whether a net is the neutral of a supply of the plant, and no earth besides."""
    return bool(net.certain) and all(_is_supply_neutral(facts, potential) for potential in net.certain)


def _is_supply_neutral(facts: Facts, potential: Potential) -> bool:
    device = facts.device(potential.device)
    return potential.pole == "N" and device is not None and device.category == Category.SUPPLY


def _at_sixty(facts: Facts, net: Net) -> bool:
    supplies = [facts.plant.devices[potential.device] for potential in net.certain]
    return any(supply.ratings.amount("frequency") == _SIXTY for supply in supplies)


def _with_neutral(facts: Facts) -> Iterator[str]:
    """Enclosures in which a neutral of a supply comes to a terminal."""
    for net in facts.network.nets.values():
        if any(_is_supply_neutral(facts, potential) for potential in net.certain):
            yield from (facts.enclosure_of(node.partition(":")[0]) for node in net.nodes)


def _has_neutral(facts: Facts, core: Conductor) -> bool:
    """Whether another core of a core's cable is a neutral."""
    cores = facts.plant.cables[core.cable or ""].conductors
    nets = [facts.network.nets[facts.network.runs[name].net] for name in cores if name != core.id and name in facts.network.runs]
    return any(_is_neutral(facts, net) for net in nets)


def _inside(facts: Facts, conductor: Conductor) -> str:
    """The enclosure in which both ends of a conductor lie, else nothing that is one."""
    one, other = (facts.enclosure_of(end.device) for end in conductor.ends)
    return one if one and one == other else "-"


def _wires_inside(facts: Facts) -> Iterator[str]:
    """Wires inside one enclosure."""
    return (each.id for each, _ in facts.conductors() if each.cable is None and _inside(facts, each) != "-")


@rule("colour-missing", Severity.NOTE, source="IEC 60204-1, 13.2.1", judges=_wires_inside)
def colour_missing(facts: Facts, this: Rule) -> Iterator[Report]:
    """A conductor inside an enclosure has no colour.

    Reports:
      Wires inside one enclosure whose colour neither they nor a `defaults` states: one note for an enclosure.
    Silent:
      Cores of cables, which are called by their colours or numbers; wires between enclosures.
    Why:
      The wire list is printed with a blank, and each who wires the panel fills it in otherwise.
    Failing:
      device -F1 mcb-1p at=+MCP current=6A
      wire -WB1:L1 to -F1:1 2.5mm2
    Passing:
      - wire -WB1:L1 to -F1:1 2.5mm2
      + wire -WB1:L1 to -F1:1 2.5mm2 BK
    Remedy:
      State the colour of the wire, or that of its class in a `defaults`.
    """
    groups: dict[str, list[Conductor]] = {}
    for conductor, run in facts.conductors():
        place = _inside(facts, conductor)
        bare = conductor.is_tooth or conductor.attributes.text("material") in BARE
        if conductor.cable is None and run.colour is None and place != "-" and not bare:
            groups.setdefault(place, []).append(conductor)
    for place, wires in groups.items():
        more = [Related("another wire without a colour", wire.span) for wire in wires[1:4]]
        yield this.report(
            f"the colour of {len(wires)} wire{'s' if len(wires) > 1 else ''} in `{place}` is stated nowhere: "
            f"{listed([wire.id for wire in wires], 3)}",
            "state it at the wire, or for its class in a `defaults`",
            wires[0].span,
            (wires[0].id, place, *(wire.id for wire in wires)),
            about=[wire.id for wire in wires],
            related=more,
        )
