"""How conductors are laid: installation method, ambient temperature, and the circuits that share their way."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field

from netdsl.calc.basis import Calculation, Given, Input, Said
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors.grouping import Grouping
from netdsl.calc.conductors.tables import BUNCHED, GROUND, PERFORATED, SURFACE, route_grouping, route_method
from netdsl.kept import alike
from netdsl.model.plant import Cable, Conductor, Place, RouteWay

_FACTORS = "IEC 60364-5-52, table B.52.17"


@dataclass(frozen=True, slots=True)
class Spot:
    """One stretch of a conductor's way. `machine`: wiring of a machine, rated by IEC 60204-1. `row`: of the grouping factors.
    `givens`: where method, ambient temperature and number of circuits come from."""

    method: str
    machine: bool
    row: int
    ambient_c: float
    circuits: int
    givens: tuple[Input, ...] = field(compare=False, default=())


class Laying:
    """Spots by conductor. What lies in a route is counted once for all."""

    def __init__(self, calculation: Calculation) -> None:
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant
        self._network = calculation.network
        self._settings = calculation.settings
        self._grouping = Grouping(self._circuit)

    @alike(lambda self, conductor: self.key(conductor))
    def of(self, conductor: Conductor) -> tuple[Spot, ...]:
        """The stretches of a conductor's way; empty where its installation method is not known."""
        return tuple(self._spots(conductor))

    def key(self, conductor: Conductor) -> Hashable:
        """What is alike for conductors that are laid alike: the cable, or the ways and attributes of a wire."""
        if conductor.cable:
            return conductor.cable
        run = self._network.runs[conductor.id]
        return run.routes, self.enclosure(conductor), tuple(conductor.attributes.items())

    def enclosure(self, conductor: Conductor) -> str:
        """The enclosure that holds both ends of a wire, "" where none does."""
        one, other = (self._enclosure_of(end.device) for end in conductor.ends)
        return one if one == other else ""

    def rated_as_machine(self, conductor: Conductor) -> bool:
        """Whether a conductor is rated by the machinery standard: wires inside enclosures, all of a machine, or none."""
        chosen = self._settings.word("wiring-table")
        return chosen == "machine-all" or (chosen == "machine" and not conductor.cable and bool(self.enclosure(conductor)))

    # --- spots ----------------------------------------------------------------------------------------------------
    def _spots(self, conductor: Conductor) -> Iterator[Spot]:
        cable = self._plant.cables.get(conductor.cable or "")
        ways = self._network.runs[conductor.id].routes
        machine = self.rated_as_machine(conductor)
        for way in ways or ("",):
            route = self._route(way)
            method = self._method(conductor, cable, route, machine)
            if method is None:
                continue
            buried = method.text.startswith(GROUND)
            ambient = self._ambient(conductor, cable, route, buried)
            circuits = self._grouping.circuits(conductor, cable, way, route)
            row = self._row(method.text, route)
            yield Spot(method.text, machine, row, ambient.value, int(circuits.value), (method, ambient, circuits))

    def _method(self, conductor: Conductor, cable: Cable | None, route: RouteWay | None, machine: bool) -> Said | None:
        """The installation method: as stated, by the kind of route, of wires inside an enclosure as chosen; None if unknown."""
        stated = cable.method if cable else conductor.attributes.text("method")
        words = "installation method"
        if stated:
            return Said("method", stated, "", words, cable.span if cable else conductor.span)
        if route is None:
            inside = not cable and self.enclosure(conductor)
            return self._settings.said("wiring-method", "method") if inside else None
        single = cable is None or _live_cores(cable) == 1
        method = route_method(route.kind, single)
        if machine and method == "F":
            method = "E"
        if not method:
            return None
        self._settings.assume(
            "method",
            "installation methods that are not stated follow from the kind of route: B1 for wires and B2 for cables in "
            "ducts, conduits and hinge loops, C on trays, E (single cores F) on perforated trays and ladders",
            "IEC 60364-5-52, tables A.52.3 and B.52.1",
            "memory",
        )
        return Said("method", method, "", f"{words}, from the kind of route {route.id}", route.span)

    def _row(self, method: str, route: RouteWay | None) -> int:
        """Row of the grouping factors: bunched, or a single layer on what carries it."""
        if method[0] in "AB":
            return BUNCHED
        laying = route.attributes.text("laying") if route else ""
        layers = route.attributes.amount("layers") if route else None
        if laying == "bunched" or (layers is not None and layers > 1):
            return BUNCHED
        by_method = SURFACE if method == "C" else PERFORATED
        if route is None:
            return by_method
        if not laying and route_grouping(route.kind) != BUNCHED:
            self._settings.assume(
                "laying",
                "cables lie in a single layer and touch each other on trays and ladders that do not say `laying`",
                _FACTORS,
                "common practice",
            )
        row = route_grouping(route.kind)
        return by_method if row == BUNCHED and laying == "single-layer" else row

    # --- ambient --------------------------------------------------------------------------------------------------
    def _ambient(self, conductor: Conductor, cable: Cable | None, route: RouteWay | None, buried: bool) -> Given:
        attributes = cable.attributes if cable else conductor.attributes
        words = "ambient temperature"
        if (stated := attributes.amount("ambient")) is not None:
            return Given("theta", stated, "°C", words, cable.span if cable else conductor.span)
        if route and (stated := route.attributes.amount("ambient")) is not None:
            return Given("theta", stated, "°C", f"{words} of {route.id}", route.span)
        if buried:
            return self._settings.given("ground-temperature", "theta")
        if route is None or not route.place:
            return self._warmest(conductor)
        return self._of_place(self._plant.places[route.place])

    def _warmest(self, conductor: Conductor) -> Given:
        """Of a conductor without a way: that of its enclosure, or the highest that the places of its ends state."""
        if not conductor.cable and (enclosure := self.enclosure(conductor)):
            return self._of_place(self._plant.places[enclosure])
        devices = (self._plant.devices.get(end.device) for end in conductor.ends)
        places = [self._plant.places[device.place] for device in devices if device and device.place in self._plant.places]
        stated = [found for place in places if not place.enclosure and (found := self._stated(place))]
        return max(stated, key=lambda given: given.value) if stated else self._settings.given("ambient", "theta")

    def _of_place(self, place: Place) -> Given:
        """Air temperature around what lies in a place: inside an enclosure that of the panel, or of the room if this is
        higher."""
        outside = self._stated(place)
        if not place.enclosure:
            return outside or self._settings.given("ambient", "theta")
        for name in (place.id, place.enclosure):
            inside = self._plant.places[name].attributes.amount("inside-limit")
            if inside is not None:
                return Given("theta", inside, "°C", f"temperature inside {name}", self._plant.places[name].span)
        usual = self._settings.given("panel-ambient", "theta")
        return outside if outside and outside.value > usual.value else usual

    def _stated(self, place: Place) -> Given | None:
        """The ambient temperature that a place, or one around it, states."""
        here: Place | None = place
        while here is not None:
            if (stated := here.attributes.amount("ambient")) is not None:
                return Given("theta", stated, "°C", f"ambient temperature of {here.id}", here.span)
            here = self._plant.places.get(here.parent) if here.parent else None
        return None

    # --- circuits -------------------------------------------------------------------------------------------------
    def loaded(self, conductor: Conductor) -> int:
        """Conductors that carry current in the circuit of a conductor, as the tables count: 2 where it is of one phase, or
        between two without a neutral, and shares its cable with no other; else 3."""
        step = self._circuit.step_of.get(conductor.id)
        if step is None or step.phases > 2 or (step.phases == 2 and (step.neutral or step.fed_neutral)):
            return 3
        cable = self._plant.cables.get(conductor.cable or "")
        if cable is None:
            return 2
        earths = {core.name for core in cable.cores if core.earth}
        used = sum(self._plant.conductors[name].core not in earths for name in cable.conductors)
        return 2 if used <= 2 else 3

    # --- places ---------------------------------------------------------------------------------------------------
    def _route(self, way: str) -> RouteWay | None:
        return self._plant.routes.get(way) or self._plant.routes.get(way.rpartition("/")[0])

    def _enclosure_of(self, thing: str) -> str:
        device = self._plant.devices.get(thing)
        place = self._plant.places.get(device.place if device else thing)
        return place.enclosure if place else ""


def _live_cores(cable: Cable) -> int:
    """Cores of a cable that are no protective conductor."""
    return sum(not core.earth for core in cable.cores)
