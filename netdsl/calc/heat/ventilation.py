"""What air carries out of an enclosure that its walls do not shed."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Formula, Given, Result
from netdsl.calc.heat.enclosure_results import enclosure_result, value_of
from netdsl.calc.heat.surroundings import Surroundings
from netdsl.model.plant import Device, Place

BALANCE = "enclosure heat balance, VDE 0660-507: the surface sheds k A dT"
_SHED = Formula("{k} * {A} * ({T_max} - {T_a})")


class Ventilation:
    """Heat that is left at the limit, and the airflow that it needs."""

    def __init__(self, around: Surroundings) -> None:
        self._around = around

    def airflow(self, place: Place, cooling: Result, limit: Given, ambient: Given, flow: float) -> Result:
        """The airflow that carries away what the surface does not shed; `flow`: what passes through, m³/h."""
        return enclosure_result(
            place,
            "airflow",
            "m³/h",
            "{K} * {Q_e} / ({T_max} - {T_a})",
            (self._around.air(place), value_of("Q_e", cooling), limit, ambient),
            "V = K P / dT for the losses that the surface does not shed",
            note=f"{flow:.0f} m³/h pass through" if flow else "",
        )

    def alone(self, place: Place, devices: tuple[Device, ...], power: Result, ambient: Given) -> Iterator[Result]:
        """Where nothing is counted of what the walls shed: all losses leave with the air."""
        limit, air = self._around.limit(place), self._around.air(place)
        flow, givens, flow_formula = self._around.airflow(place, devices)
        source = "the air carries V dT / K; nothing counted of what the surface sheds"
        if flow:
            yield enclosure_result(
                place,
                "temperature",
                "°C",
                f"{{T_a}} + {{K}} * {{P}} / ({flow_formula})",
                (value_of("P", power), ambient, *givens, air),
                source,
                limit=limit,
            )
        rise = limit.value - ambient.value
        if rise > 0:
            yield enclosure_result(
                place,
                "airflow",
                "m³/h",
                "{K} * {P} / ({T_max} - {T_a})",
                (air, value_of("P", power), limit, ambient),
                source,
                note=f"{flow:.0f} m³/h pass through" if flow else "",
            )

    def remedies(self, place: Place, base: tuple[Given, ...], limit: Given, flow: float) -> Iterator[Result]:
        """What the surface sheds at the limit, what then remains, and the airflow that carries that away."""
        power, k, area, ambient = base
        rise = limit.value - ambient.value
        inputs = (k, area, limit, ambient)
        remains = power.value - _SHED.of(inputs)
        note = "nothing remains to be carried away" if remains <= 0 else ""
        if rise < 0:
            note = "the air around is warmer than the limit: heat comes in through the walls"
        result = enclosure_result(place, "shed", "W", _SHED.text, inputs, BALANCE, note=note)
        yield result
        if remains <= 0:
            return
        cooling = enclosure_result(place, "cooling", "W", "{P} - {Q_s}", (power, value_of("Q_s", result)), BALANCE)
        yield cooling
        if rise > 0:
            yield self.airflow(place, cooling, limit, ambient, flow)
