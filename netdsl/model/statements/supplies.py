"""`supply`, `busbar`, `comb` and `distribution-block`: where power comes from, and what shares it out."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.model.device import Device
from netdsl.model.ends import reference_span
from netdsl.model.here import Here
from netdsl.model.measures import Count, Measure
from netdsl.model.mentions import What
from netdsl.model.part_type import Clamp, Role, Terminal
from netdsl.model.rating_table import RATING
from netdsl.model.ratings import Ratings
from netdsl.model.statements.heads import Head, head_of, need_place
from netdsl.model.statements.places import standing
from netdsl.model.table import Statement, fixed, key, quoted, record, several, value
from netdsl.model.usual_measures import (
    APPARENT,
    COUNT,
    CURRENT,
    FACTOR,
    FREQUENCY,
    LOSSES,
    NUMBER,
    POSITIVE,
    RESISTANCE,
    SHARE,
    VOLTAGE,
)
from netdsl.model.value_kinds import Free, Standing
from netdsl.model.values import given_at
from netdsl.model.vocabulary import SYSTEMS
from netdsl.model.withstands import WITHSTANDS
from netdsl.model.word_forms import PROTECTION
from netdsl.spelling import nearest
from netdsl.syntax.tree import Declaration
from netdsl.syntax.written import Attr, Reference

#: what its conductors are where they begin; the rest are phases
ROLES = {"PE": Role.EARTH, "PEN": Role.EARTH, "N": Role.NEUTRAL, "-": Role.SUPPLY_COMMON, "+": Role.SUPPLY_OUT}
BUSBAR_POLES: dict[float, tuple[str, ...]] = {
    1: ("L1",),
    2: ("L1", "N"),
    3: ("L1", "L2", "L3"),
    4: ("L1", "L2", "L3", "N"),
    5: ("L1", "L2", "L3", "N", "PE"),
}
EARTHED_WITH = "earthed-with"
#: how many conductors may land on a supply's terminal, which is no clamp of this plant, and on a bar, which is tapped at will
AT_SUPPLY, AT_BAR = 99, 999


@record
class SupplySays:
    """What a `supply` says."""

    title: str = quoted("what it is, for the reader")
    ratings: Ratings = several(
        value("system", Free(", ".join(f"`{name}`" for name in SYSTEMS), tuple(SYSTEMS)), "its earthing system (IEC 60364-1)"),
        value("voltage", VOLTAGE, "voltage between phases; with one phase, to neutral"),
        value("frequency", FREQUENCY, "frequency"),
        value("phases", Count("number", 1.0, 3.0), "3, as without it, or 1"),
        value("fault-current", CURRENT, "largest prospective three-phase fault current at its terminals"),
        value("earth-fault-current", CURRENT, "largest prospective fault current from line to earth there"),
        value("upstream", PROTECTION, "protection ahead of it"),
        value("current", CURRENT, "its rated current"),
        value("measured-current", CURRENT, "current measured in service, by which the one way out of it is judged"),
        value("limited-current", CURRENT, "current to which that is limited"),
        value("battery-capacity", POSITIVE, "charge that a battery holds, in Ah"),
        value("needed-buffer-time", Measure("time", positive=True), "time for which it is to feed all behind it"),
        value("transformer", APPARENT, "rated power of the transformer behind it"),
        value("transformer-impedance", SHARE, "short-circuit voltage of that transformer"),
        value("transformer-losses", LOSSES, "its load losses at rated current"),
        value("transformer-voltage", VOLTAGE, "its voltage at the terminals"),
        value("network-power", APPARENT, "short-circuit power of the network before it"),
        value("network-fault-current", CURRENT, "fault current of the network before it"),
        value("network-voltage", VOLTAGE, "voltage of that network"),
        value(
            "resistance",
            RESISTANCE,
            "resistance of one phase up to its terminals; with one phase or direct current, of both conductors",
        ),
        value("reactance", RESISTANCE, "reactance in the same way"),
        value("r-over-x", NUMBER, "resistance over reactance, where the fault level is stated"),
        value("earth-resistance", Measure("resistance", positive=True), "resistance of the plant's own earth electrode (TT)"),
        value("source-earth-resistance", RESISTANCE, "resistance of the source's earth electrode (TT)"),
        value("power-factor", FACTOR, "its power factor; no fault current depends on it"),
        value(
            "voltage-unbalance",
            Measure("percent", 0.0, 30.0),
            "largest deviation of a voltage between phases from the mean of the three, of that mean",
        ),
        value("simultaneity", FACTOR, "share of the loads behind that run together"),
        value(EARTHED_WITH, Free("a supply"), "another supply of the site, with which the site earths it in common"),
    )
    place: str = key(Standing(), "where it is", name="at", default="")


SUPPLY = Statement("supply", SupplySays, "A source standing outside", fixed("NAME", "a designation, `-G0`", "its name"))


@record
class BarSays:
    """What a `busbar`, `comb` or `distribution-block` says."""

    title: str = quoted("what it is, for the reader")
    ratings: Ratings = several(
        value(
            "poles",
            Count("number", 1.0, 5.0, doubts=True),
            "1 `L1`, 2 `L1 N`, 3 `L1 L2 L3`, 4 with `N`, 5 with `N PE`; 3 where it is not said",
        ),
        value("current", CURRENT, "what it carries"),
        value("clamps", COUNT, "conductors that each tap takes"),
        value("section", Measure("section", positive=True), "its section"),
        value("simultaneity", FACTOR, "share of the loads behind that run together"),
        value("resistance", RESISTANCE, "resistance of one pole"),
        value("reactance", RESISTANCE, "reactance of one pole"),
        *WITHSTANDS,
        *(RATING[name] for name in ("body", "mass", "position", "row")),
    )
    place: str | None = key(Standing(), "where it stands; by default where its function stands", name="at")


BARS = tuple(
    Statement(keyword, BarSays, says, fixed("NAME", "a designation, `-WB1`", "its name"))
    for keyword, says in (
        ("busbar", "Bars that are tapped at will, one potential for each pole"),
        ("comb", "A comb busbar, in the same way"),
        ("distribution-block", "A distribution block, in the same way"),
    )
)
BAR = BARS[0]


def declare_supply(statement: Declaration, here: Here) -> None:
    """Enter a supply. One that does not say a known earthing system is taken for TN-S, so that its terminals exist."""
    head = head_of(statement, here)
    if head is None:
        return
    here = here.over(head.span)
    says = SUPPLY.read(here, statement.attrs, statement.items)
    said = {attr.key.text: attr for attr in statement.attrs}
    system = says.ratings.text("system")
    if system not in SYSTEMS:
        _no_system(system, said.get("system"), head, here)
        system = "TN-S"
    if "voltage" not in said:
        message = f"supply `{head.id}` does not say its voltage"
        here.fault("missing-value", head.span, message, "add `voltage=400V`", subjects=(head.id,))
    names = SYSTEMS[system]
    phases = says.ratings.quantity("phases")
    if phases is not None and phases.values not in ((1.0,), (3.0,)):
        message = f"`{phases.text}` is no number of phases"
        here.fault("out-of-range", said["phases"].span, message, "give 1 or 3", whole=head.span)
    elif phases is not None and phases.value == 1:
        names = ("L", *(name for name in names if name not in ("L1", "L2", "L3")))
    terminals = {
        name: Terminal(name, ROLES.get(name, Role.LOAD_OUT), Clamp(conductors=AT_SUPPLY), statement.span) for name in names
    }
    here.desk.devices[head.id] = Device(
        id=head.id,
        title=says.title,
        category="supply",
        kind="supply",
        function=here.scope.function,
        place=says.place,
        ratings=says.ratings,
        terminals=terminals,
        symbol="supply",
        span=head.span,
        whole=statement.span,
        use=head.use,
    )


def join_earths(statement: Declaration, here: Here) -> None:
    """Find the supply that one is earthed with, now that all are known."""
    said = next((attr for attr in statement.attrs if attr.key.text == EARTHED_WITH), None)
    named = here.find(reference_span(statement.name).text) if isinstance(statement.name, Reference) else None
    supply = here.desk.devices.get(named or "")
    if said is None or supply is None or EARTHED_WITH not in supply.ratings:
        return
    base = supply.ratings.text(EARTHED_WITH)
    other = here.desk.devices.get(here.find(base) or "")
    if other is None or other.category != "supply":
        supplies = [device.id for device in here.desk.devices.values() if device.category == "supply"]
        here.unknown("supply", base, said.values[0].span, supplies, supply.span)
    ratings = Ratings({name: value for name, value in supply.ratings.items() if name != EARTHED_WITH})
    if other is not None and other.category == "supply":
        here.mention(What.THING, other.id, given_at(said.values[0], here), base)
        ratings[EARTHED_WITH] = other.id
    here.desk.devices[supply.id] = replace(supply, ratings=ratings)


def _no_system(system: str, said: Attr | None, head: Head, here: Here) -> None:
    message = f"`{system}` is no earthing system" if system else f"supply `{head.id}` does not say its earthing system"
    rule = "unknown-word" if system else "missing-value"
    near = nearest(system, SYSTEMS)
    remedy = f"did you mean `{near}`?" if near else f"write `system=` and one of {', '.join(SYSTEMS)}"
    here.fault(rule, said.span if said else head.span, message, remedy, whole=head.span)


def declare_bar(statement: Declaration, here: Here) -> None:
    """Enter a busbar, comb or distribution block."""
    head = head_of(statement, here)
    if head is None:
        return
    here = here.over(head.span)
    says = BAR.read(here, statement.attrs, statement.items)
    count = says.ratings.amount("poles")
    names = BUSBAR_POLES[3 if count is None else count]
    terminals = {
        name: Terminal(name, Role.EARTH if name == "PE" else Role.PLAIN, Clamp(conductors=AT_BAR), statement.span)
        for name in names
    }
    device = Device(
        id=head.id,
        title=says.title,
        category="busbar",
        kind=statement.keyword,
        function=here.scope.function,
        place=standing(here) if says.place is None else says.place,
        ratings=says.ratings,
        terminals=terminals,
        symbol="busbar",
        span=head.span,
        whole=statement.span,
        use=head.use,
    )
    need_place(device, statement.attrs, here)
    here.desk.devices[head.id] = device
