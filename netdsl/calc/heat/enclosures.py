"""Heat balance of enclosures: losses, surface, temperature, airflow."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Gap, Given, Result, SheetQuestion, tables
from netdsl.calc.heat.enclosure_results import enclosure_result, value_of
from netdsl.calc.heat.losses import CALLING, Loss, Losses, group_given
from netdsl.calc.heat.power_law import MIDDLE, SHED, TOP, power_law
from netdsl.calc.heat.power_law import SOURCE as POWER_LAW
from netdsl.calc.heat.surroundings import Surroundings, stated
from netdsl.calc.heat.ventilation import BALANCE, Ventilation
from netdsl.calc.loads import LoadCurrents
from netdsl.kept import cached_property
from netdsl.model.plant import Device, Place

_ABSENT = ("enclosure temperature",)
_SURFACE = "IEC TR 60890 and VDE 0660-507, effective cooling surface"
_FACES = "{b_top} * {W} * {D} + ({b_front} + {b_back}) * {W} * {H} + ({b_left} + {b_right}) * {H} * {D}"
_WARMED = "{T_a} + {P} / ({k} * {A})"


class Enclosures(SheetQuestion):
    """Heat balance of enclosures: losses, surface, temperature, airflow. All devices give off their losses at once; the heat is
    even inside; what walls shed grows in proportion to the rise. Where the project chooses the power law, the temperature is that
    at the top, and that at half height stands beside it."""

    place = 1700
    answers = (
        Answer("enclosure.losses", "Losses inside the enclosure", "P"),
        Answer("enclosure.surface", "Effective cooling surface", "A"),
        Answer("enclosure.temperature", "Temperature inside the enclosure", "T_i"),
        Answer("enclosure.temperature-middle", "Temperature inside at half height", "T_0.5"),
        Answer("enclosure.temperature-closed", "Temperature inside without fans", "T_i"),
        Answer("enclosure.shed", "Heat shed by the surface at the limit", "Q_s"),
        Answer("enclosure.cooling", "Heat left to be carried away", "Q_e"),
        Answer("enclosure.airflow", "Airflow needed", "V"),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._around = calculation.of(Surroundings)
        self._losses = Losses(calculation)
        self._ventilation = Ventilation(self._around)

    def apart_from_sections(self) -> bool:
        """As the currents through the poles of switchgear."""
        return self._calculation.of(LoadCurrents).apart_from_sections()

    def results(self) -> Iterator[Result]:
        """`enclosure.losses`, `.surface`, `.temperature` and `.airflow` of every cabinet and box with losses inside.

        `.temperature` counts the fans inside, `.temperature-closed` does not; `.shed` is what the surface sheds at the limit,
        `.cooling` what remains to be carried away.
        """
        for found in self._found.values():
            yield from found

    def temperature(self, place: str) -> Result | None:
        """The temperature inside an enclosure, fans counted; None where it is not computed."""
        return next((result for result in self._found.get(place, ()) if result.question == "enclosure.temperature"), None)

    @cached_property
    def inside(self) -> dict[str, tuple[Device, ...]]:
        """Devices in each enclosure, nested places included, in order of declaration."""
        places = self._calculation.plant.places
        found: dict[str, list[Device]] = {}
        for device in self._calculation.plant.devices.values():
            place = places.get(device.place)
            if place is not None and place.enclosure and device.category == "device":
                found.setdefault(place.enclosure, []).append(device)
        return {name: tuple(found[name]) for name in places if name in found}

    @cached_property
    def _found(self) -> dict[str, tuple[Result, ...]]:
        places = self._calculation.plant.places
        names = [name for name, place in places.items() if place.enclosure == name]
        return {name: tuple(self._balance(places[name], self.inside.get(name, ()))) for name in names}

    # --- one enclosure --------------------------------------------------------------------------------------------
    def _balance(self, place: Place, devices: tuple[Device, ...]) -> Iterator[Result]:
        calling = tuple(device.id for device in devices if device.kind in CALLING and "losses" in device.ratings)
        if not calling and "ambient" not in place.attributes:
            return
        losses = [loss for device in devices for loss in self._losses.of(device)]
        if not losses and "losses" not in place.attributes:
            return
        unknown = tuple(loss.device for loss in losses if loss.watts is None)
        if unknown:
            self._gap(place, "losses", unknown, "add `losses=` to it, or to its part")
            return
        power = self._power(place, losses)
        yield power
        walls = place.attributes.amount("heat-transfer") != 0
        surface = self._surface(place) if walls else None
        if surface is not None:
            yield surface
        ambient = stated(place, "ambient", "T_a")
        if ambient is None:
            self._gap(place, "ambient temperature", (place.id,), f"add `ambient=` to place `{place.id}`")
        if surface is not None and ambient is not None:
            flow, _, _ = self._around.airflow(place, devices)
            if self._calculation.settings.word("enclosure-heat") == "power-law" and not flow:
                yield from self._by_power_law(place, power, surface, ambient)
                return
            yield from self._temperatures(place, devices, power, surface, ambient)
        elif ambient is not None and not walls:
            yield from self._ventilation.alone(place, devices, power, ambient)

    def _gap(self, place: Place, kind: str, things: tuple[str, ...], remedy: str) -> None:
        self._calculation.gaps.note(Gap(place.id, kind, things, _ABSENT, place.span, remedy))

    def _power(self, place: Place, losses: list[Loss]) -> Result:
        self._calculation.settings.assume(
            "losses of wires",
            "losses of wires and bars inside enclosures: none added; state them with `losses=` on the place",
            "common practice: small beside those of the devices",
            "common practice",
        )
        groups: dict[str, list[Loss]] = {}
        for loss in losses:
            groups.setdefault(loss.group, []).append(loss)
        givens = [group_given(number, name, members) for number, (name, members) in enumerate(groups.items(), 1)]
        own = stated(place, "losses", "P_more")
        if own is not None:
            givens.append(own)
        return enclosure_result(
            place,
            "losses",
            "W",
            " + ".join(f"{{{given.symbol}}}" for given in givens),
            tuple(givens),
            "sum of the losses of all devices inside at rated load",
        )

    def _surface(self, place: Place) -> Result | None:
        own = stated(place, "cooling-surface", "A")
        if own is not None:
            return enclosure_result(place, "surface", "m²", "{A}", (own,), "the statement of the place")
        size = place.attributes.quantity("size")
        if size is None or len(size.values) != 3:
            self._gap(place, "size", (place.id,), f"add `size=` with width, height and depth to place `{place.id}`")
            return None
        faces = next(
            row for row in tables("thermal", "mounting") if row["name"] == self._around.word(place, "mounting", "against-wall")
        )
        top, front, back, left, right = faces["faces"]
        source, sure = str(faces["source"]), str(faces["confidence"])
        factors = {"b_top": top, "b_front": front, "b_back": back, "b_left": left, "b_right": right}
        width, height, depth = size.values
        givens = (
            *(
                Given(symbol, value, "m", f"{words} of {place.id}", place.span)
                for symbol, value, words in (("W", width, "width"), ("H", height, "height"), ("D", depth, "depth"))
            ),
            *(
                Given(symbol, value, "", f"factor of a face, {faces['words']}", None, source, sure)
                for symbol, value in factors.items()
            ),
        )
        return enclosure_result(place, "surface", "m²", _FACES, givens, _SURFACE)

    def _temperatures(
        self, place: Place, devices: tuple[Device, ...], power: Result, surface: Result, ambient: Given
    ) -> Iterator[Result]:
        k = self._around.wall(place)
        base = (value_of("P", power), k, value_of("A", surface), ambient)
        limit = self._around.limit(place)
        flow, flow_givens, flow_formula = self._around.airflow(place, devices)
        air = self._around.air(place)
        if flow:
            yield enclosure_result(
                place,
                "temperature-closed",
                "°C",
                _WARMED,
                base,
                BALANCE,
                note="without the fans",
            )
            yield enclosure_result(
                place,
                "temperature",
                "°C",
                f"{{T_a}} + {{P}} / ({{k}} * {{A}} + ({flow_formula}) / {{K}})",
                (*base, *flow_givens, air),
                f"{BALANCE}, the air carries V dT / K",
                limit=limit,
            )
        else:
            yield enclosure_result(
                place,
                "temperature",
                "°C",
                _WARMED,
                base,
                BALANCE,
                limit=limit,
            )
        yield from self._ventilation.remedies(place, base, limit, flow)

    def _by_power_law(self, place: Place, power: Result, surface: Result, ambient: Given) -> Iterator[Result]:
        """The temperature at half height and at the top, and what the enclosure sheds where the top is at its limit."""
        area, limit = value_of("A", surface), self._around.limit(place)
        law = power_law(self._calculation, place, area)
        if law is None:
            remedy = "state a `size=` within the tables of IEC TR 60890, or choose `enclosure-heat = balance`"
            self._gap(place, "size within the power law", (place.id,), remedy)
            return
        base = (ambient, law.k, law.d, value_of("P", power), law.x, area)
        yield enclosure_result(place, "temperature-middle", "°C", MIDDLE, base, POWER_LAW, note="at half height")
        yield enclosure_result(place, "temperature", "°C", TOP, (*base, law.c), POWER_LAW, note="at the top", limit=limit)
        if limit.value <= ambient.value:
            return
        shed = enclosure_result(place, "shed", "W", SHED, (limit, ambient, law.c, law.k, law.d, law.x), POWER_LAW)
        yield shed
        if power.value > shed.value:
            cooling = enclosure_result(
                place, "cooling", "W", "{P} - {Q_s}", (value_of("P", power), value_of("Q_s", shed)), POWER_LAW
            )
            yield cooling
            yield self._ventilation.airflow(place, cooling, limit, ambient, 0.0)
