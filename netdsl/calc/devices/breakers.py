"""Releases of circuit-breakers: IEC 60898-1 by curve, IEC 60947-2 by setting, motor protection circuit-breakers, overload
relays."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.calc.basis import Given, amount, figure, one_table, tables, word
from netdsl.calc.devices.tripping import HOUR, Characteristic, Point, Sought

#: curves of miniature circuit-breakers (IEC 60898-1)
CURVES = frozenset({"B", "C", "D"})


def miniature(sought: Sought) -> Characteristic:
    """A circuit-breaker of IEC 60898-1 with curve B, C or D."""
    band, thermal = one_table("protection", "mcb_band", type=sought.curve), one_table("protection", "mcb_thermal")
    rated, small = sought.rated, sought.rated <= 32
    source, sure = f"{band['source']}, curve {sought.curve}", "verified"
    lower, upper = band["lower_x_In"] * rated, band["upper_x_In"] * rated
    late = band["at_lower_max_s_upto_32A" if small else "at_lower_max_s_over_32A"]
    late_sure = "memory" if "at_lower_max_s_upto_32A" in band.get("memory_fields", ()) else sure
    hours = thermal["conventional_time_h_upto_63A" if rated <= 63 else "conventional_time_h_over_63A"]
    quick = thermal["at_2_55_In_s_upto_32A" if small else "at_2_55_In_s_over_32A"][1]
    name = sought.device.id
    tripping = thermal["I2_tripping_x_In"] * rated
    energy, energies = _class_3(sought)
    points = (
        Point(tripping, hours * HOUR, f"conventional tripping current of {name}", source, "memory"),
        Point(2.55 * rated, quick, f"operating current of {name}", source, "memory"),
        Point(lower, late, f"lower end of the instantaneous band of {name}", source, late_sure),
        Point(upper, 0.1, f"instantaneous tripping of {name}", source, sure),
    )
    sought.givens.append(
        Given(
            "k_2",
            thermal["I2_tripping_x_In"],
            "",
            "conventional tripping current over rated current",
            None,
            f"{thermal['source']}",
            "verified",
        )
    )
    return Characteristic(
        sought.device.id,
        "breaker",
        sought.curve,
        rated,
        rated,
        tripping,
        (lower, upper),
        True,
        True,
        None,
        points=points,
        energy=energy,
        energies=energies,
    )


def _class_3(sought: Sought) -> tuple[Given | None, tuple[tuple[float, float], ...]]:
    """What an energy limiting breaker of class 3 lets through at most: at its breaking capacity, and by prospective current as
    one of that breaking capacity does; of curve D, for which the standard sets no limit, in proportion to curve C; nothing where
    no limit is known."""
    breaking = amount(sought.device, "breaking") if sought.stated else None
    curve = "C" if sought.curve == "D" else sought.curve
    table = next((table for table in tables("devices", "energy_class_3") if table["type"] == curve), None)
    if table is None or breaking is None or sought.rated > 32 or _states_energy(sought):
        return None, ()
    index = next((n for n, amps in enumerate(table["breaking_A"]) if breaking <= amps + 1e-9), None)
    if index is None:
        return None, ()
    column = "upto_16A_A2s" if sought.rated <= 16 else "upto_32A_A2s"
    found = figure(table, column, index)
    _assume_class(sought, found.source)
    factor, source, sure = 1.0, found.source, found.confidence
    if sought.curve == "D":
        chosen = sought.settings.given("let-through-factor-d")
        factor, source = chosen.value, f"{source}, times {chosen.value:g}: {chosen.source or 'chosen by the project'}"
        sure = chosen.confidence or sure
    limits = [limit * factor for limit in map(float, table[column][: index + 1])]
    words = f"energy that {sought.device.id} lets through"
    return Given("E", limits[-1], "A²s", words, None, source, sure), tuple(zip(table["breaking_A"], limits, strict=False))


def _assume_class(sought: Sought, source: str) -> None:
    sought.settings.assume(
        "let-through",
        "miniature circuit-breakers that state no let-through limit it as those of energy limiting class 3 do, below their"
        " breaking capacity as those with that breaking capacity",
        source,
        "memory",
    )


def _states_energy(sought: Sought) -> bool:
    return sought.stated and amount(sought.device, "let-through") is not None


def moulded(sought: Sought) -> Characteristic:
    """A circuit-breaker of IEC 60947-2, or one whose curve only its maker knows."""
    factor = one_table("protection", "overload_I2", device="circuit-breaker IEC 60947-2")
    set_to = sought.stating("tripping-current", "I_r", "A", "tripping current set")
    if set_to:
        sought.givens.append(set_to)
    current = set_to.value if set_to else sought.rated
    tripping = factor["I2_x_In"] * current
    thermal = one_table("devices", "industrial_overload")
    hours = thermal["conventional_time_h_upto_63A" if sought.rated <= 63 else "conventional_time_h_over_63A"]
    first = Point(tripping, hours * HOUR, f"conventional tripping current of {sought.device.id}", thermal["source"], "memory")
    source = one_table("protection", "mcb_thermal", source="IEC 60947-2")["source"]
    sought.givens.append(
        Given("k_2", factor["I2_x_In"], "", "conventional tripping current over set current", None, source, "memory")
    )
    band = _instantaneous(sought)
    delay = sought.stating("delay", "t_v", "s", "delay of the short-circuit release")
    at_once = None if band is None else _instant_point(sought, band)
    if at_once is not None and delay is not None:
        at_once = replace(at_once, seconds=at_once.seconds + delay.value, words=f"{at_once.words} delayed by {delay.shown},")
    points = (first,) if at_once is None else (first, at_once)
    return Characteristic(
        sought.device.id, "breaker", sought.curve, sought.rated, current, tripping, band, True, True, points=points, delay=delay
    )


def _instantaneous(sought: Sought) -> tuple[float, float] | None:
    """Lower and upper end of the band in which the instantaneous release of an industrial breaker trips, A."""
    stated = sought.stating("instantaneous", "I_i", "A", "instantaneous tripping current")
    part = sought.device.part
    kind = part.settings.get("instantaneous") if part is not None and sought.stated else None
    if stated is None and kind is not None and kind.range is not None:
        top = min(kind.range.last, 10 * sought.rated) if sought.kind == "breaker" else kind.range.last
        words = (
            "instantaneous releases that are not set stand at the upper end of their range, at most 10 times the rated current"
        )
        stated = _assumed(sought, top, words, "the latest tripping such a release has", "common practice")
    if stated is None and not sought.stated and not sought.curve:
        row = one_table("devices", "upstream_release")
        words = f"breakers named as `upstream` trip instantaneously at {row['instantaneous_x_In']} times their rated current"
        stated = _assumed(sought, row["instantaneous_x_In"] * sought.rated, words, row["source"], row["confidence"])
    return None if stated is None else _band(sought, stated)


def _assumed(sought: Sought, amps: float, words: str, source: str, confidence: str) -> Given:
    sought.settings.assume("instantaneous", words, source, confidence)
    return Given("I_i", amps, "A", f"instantaneous tripping current of {sought.device.id}", None, source, confidence)


def _band(sought: Sought, instantaneous: Given) -> tuple[float, float]:
    sought.givens.append(instantaneous)
    share = one_table("devices", "instantaneous_tolerance")["tolerance_percent"] / 100
    return instantaneous.value * (1 - share), instantaneous.value * (1 + share)


def _instant_point(sought: Sought, band: tuple[float, float]) -> Point:
    row = one_table("devices", "instantaneous_tolerance")
    words = f"instantaneous tripping of {sought.device.id}, tolerance {row['tolerance_percent']} % included,"
    return Point(band[1], row["trips_within_s"], words, row["source"], row["confidence"])


def motor_breaker(sought: Sought) -> Characteristic:
    """A motor protection circuit-breaker: overload release by class, instantaneous release."""
    set_a, slow = _motor_overload(sought)
    stated = sought.stating("instantaneous", "I_i", "A", "instantaneous tripping current")
    if stated is None:
        row = one_table("devices", "motor_breaker_release")
        top = sought.device.ratings.upper("setting-range")
        amps = row["instantaneous_x_upper_end"] * (sought.rated if top is None else top)
        words = (
            "motor protection circuit-breakers that state no instantaneous tripping current trip at"
            f" {row['instantaneous_x_upper_end']} times the upper end of their range"
        )
        sought.settings.assume("motor-breaker-instantaneous", words, row["source"], row["confidence"])
        stated = Given(
            "I_i", amps, "A", f"instantaneous tripping current of {sought.device.id}", None, row["source"], row["confidence"]
        )
    band = _band(sought, stated)
    points = (*(point for point in slow if point.amps < band[1]), _instant_point(sought, band))
    return Characteristic(
        sought.device.id,
        "motor-breaker",
        sought.curve,
        sought.rated,
        set_a,
        slow[0].amps,
        band,
        True,
        True,
        points=points,
        energy=_typical_energy(sought),
    )


def _typical_energy(sought: Sought) -> Given | None:
    """What a current-limiting motor protection circuit-breaker typically lets through; None beyond the sizes known."""
    table = one_table("devices", "motor_breaker_let_through")
    index = next((n for n, amps in enumerate(table["upper_end_A"]) if sought.rated <= amps + 1e-9), None)
    if index is None or _states_energy(sought):
        return None
    found = figure(table, "kA2s", index)
    sought.settings.assume(
        "motor-breaker-let-through",
        "motor protection circuit-breakers that state no let-through let through what typical current-limiting ones do",
        found.source,
        found.confidence,
    )
    return Given(
        "E", found.value * 1000, "A²s", f"energy that {sought.device.id} lets through", None, found.source, found.confidence
    )


def _motor_overload(sought: Sought) -> tuple[float, tuple[Point, ...]]:
    """What an overload release is set to, A, and its points by trip class (10 where none is stated)."""
    set_to = sought.stating("tripping-current", "I_r", "A", "tripping current set")
    if set_to:
        sought.givens.append(set_to)
    set_a = set_to.value if set_to else sought.rated
    table, row = one_table("protection", "trip_class"), one_table("devices", "motor_overload")
    klass = word(sought.device, "trip-class") or "10"
    index = table["class"].index(klass) if klass in table["class"] else table["class"].index("30")
    words, source, sure = f"operating current of {sought.device.id}, class {klass},", table["source"], table["confidence"]
    return set_a, (
        Point(row["tripping_x_set"] * set_a, row["tripping_within_h"] * HOUR, words, row["source"], row["confidence"]),
        Point(1.5 * set_a, 60.0 * table["at_1_5_max_min"][index], words, source, sure),
        Point(7.2 * set_a, float(table["at_7_2_max_s"][index]), words, source, sure),
    )


def overload_relay(sought: Sought) -> Characteristic:
    """An overload relay: it breaks no short circuit."""
    set_a, points = _motor_overload(sought)
    return Characteristic(
        sought.device.id,
        "overload",
        sought.curve,
        sought.rated,
        set_a,
        points[0].amps,
        None,
        True,
        False,
        givens=tuple(sought.givens),
        points=points,
    )
