"""What stands around devices: how warm and how high it may be, what the walls of an enclosure pass, and its air."""

from __future__ import annotations

from netdsl.calc.basis import Given, Question, amount, between, formula, one_table, tables
from netdsl.model.plant import Device, Place
from netdsl.sums import sum_of


class Surroundings(Question):
    """Places as the heat balance reads them: as they state it, else as their enclosure or the project does."""

    def limit(self, place: Place | None) -> Given:
        """The highest temperature that is allowed around devices at a place, °C: of the place, else of the project."""
        enclosure = self._calculation.plant.places.get(place.enclosure) if place else None
        return (
            stated(place, "inside-limit", "T_max")
            or stated(enclosure, "inside-limit", "T_max")
            or self._calculation.settings.given("inside-limit", "T_max")
        )

    def altitude(self, place: Place | None) -> Given:
        """The altitude of a place, m: its own, that of its enclosure, else of the project."""
        enclosure = self._calculation.plant.places.get(place.enclosure) if place else None
        return (
            stated(place, "altitude", "h")
            or stated(enclosure, "altitude", "h")
            or self._calculation.settings.given("altitude", "h")
        )

    def word(self, place: Place, name: str, usual: str) -> str:
        """`mounting` or `material` of an enclosure, as stated, else the usual one, which is then listed."""
        if name in place.attributes:
            return place.attributes.text(name)
        if name == "material" and not place.metal:
            return "plastic"
        self._calculation.settings.assume(
            f"enclosure {name}", f"enclosures that do not say their `{name}`: {usual}", "common practice", "common practice"
        )
        return usual

    def wall(self, place: Place) -> Given:
        """What the walls pass, W/(m²K): as the place states, else by its material."""
        own = place.attributes.amount("heat-transfer")
        if own is not None:
            return Given("k", own, "W/(m²K)", f"heat transfer of the walls of {place.id}", place.span)
        wall = next(row for row in tables("thermal", "material") if row["name"] == self.word(place, "material", "sheet-steel"))
        return Given("k", wall["k"], "W/(m²K)", "heat transfer of the walls", None, str(wall["source"]), str(wall["confidence"]))

    def air(self, place: Place) -> Given:
        """m³/h that carry 1 W at a rise of 1 K: as the place states, else at its altitude; beyond the table the last."""
        own = place.attributes.amount("air-constant")
        if own is not None:
            return Given("K", own, "m³K/(Wh)", f"air needed per watt and kelvin at {place.id}", place.span)
        table = one_table("thermal", "airflow")
        stated, highest = self.altitude(place).value, table["altitude_m"][-1]
        found = between(table, "altitude_m", min(max(stated, 0.0), highest), "k")
        assert found is not None  # the altitude lies within the table
        words = "air needed per watt and kelvin at the altitude"
        words += f", the table ends at {highest:g} m" if stated > highest else ""
        return Given("K", found.value, "m³K/(Wh)", words, None, found.source, found.confidence)

    def airflow(self, place: Place, devices: tuple[Device, ...]) -> tuple[float, tuple[Given, ...], str]:
        """Air that passes through, m³/h: the place's own as stated, that of fans less what their filters take."""
        own = stated(place, "airflow", "V_own")
        fans = [(device, flow) for device in devices if device.kind == "fan" and (flow := amount(device, "airflow"))]
        givens, terms = [], []
        if own is not None:
            givens.append(own)
            terms.append("{V_own}")
        if fans:
            free = sum_of(flow for _, flow in fans)
            words = "free-blow airflow of " + ", ".join(device.id for device, _ in fans)
            factor = self._calculation.settings.given("filter-factor", "f")
            givens += [Given("V_fans", free, "m³/h", words, fans[0][0].span), factor]
            terms.append("{f} * {V_fans}")
        text = " + ".join(terms)
        return formula(text).of(givens) if terms else 0.0, tuple(givens), text


def stated(place: Place | None, name: str, symbol: str) -> Given | None:
    """A value that a place states, as a value to put in."""
    value = place.attributes.quantity(name) if place else None
    if place is None or value is None:
        return None
    unit = {"temperature": "°C", "airflow": "m³/h", "power": "W", "length": "m", "surface": "m²"}[value.kind]
    return Given(symbol, value.value, unit, f"{name} of {place.id}", place.span)
