"""What a protective device certainly does not do: currents at which it has not operated within a time."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace

from netdsl.calc.basis import Figure, Given, exactly, one_table, word
from netdsl.calc.devices.tripping import HOUR, Characteristic, Point, Sought


def held(release: Characteristic, sought: Sought) -> Characteristic:
    """The release with its non-operating points, and of a fuse the energy that it bears without melting. Nothing of a kind whose
    least times no standard gives."""
    holds = {"fuse": _fuse, "motor-breaker": _motor, "overload": _motor}.get(release.kind, _breaker)(release, sought)
    return replace(release, holds=holds, pre_arcing=_pre_arcing(release, sought))


def _fuse(release: Characteristic, sought: Sought) -> tuple[Point, ...]:
    if release.curve != "gG" or not release.points:
        return ()
    name, rated = release.device, sought.rated
    factors, conventional = one_table("coordination", "gG_non_fusing"), release.points[0].seconds
    factor = factors["non_fusing_x_In"][rated > factors["In_upto_A"][0]]
    words = f"non-fusing current of {name}, {factor:g} times {rated:g} A"
    found = [Point(factor * rated, conventional, words, factors["source"], factors["confidence"])]
    table = one_table("coordination", "gG_least")
    for seconds, column in ((10.0, "Imin_10s_A"), (0.1, "Imin_0_1s_A")):
        figure = _of_size(table, rated, column)
        if figure is not None:
            words = f"least current that melts {name} in {seconds:g} s"
            found.append(Point(figure.value, seconds, words, figure.source, figure.confidence, joined=True))
    return tuple(found)


def _pre_arcing(release: Characteristic, sought: Sought) -> Given | None:
    """I2t below which a fuse does not melt, A2s: as stated, or of a fuse gG of the size."""
    if release.kind != "fuse":
        return None
    stated = sought.stating("pre-arcing", "E_a", "A²s", "pre-arcing I²t")
    if stated is not None or release.curve != "gG":
        return stated
    figure = _of_size(one_table("coordination", "gG_least"), sought.rated, "prearcing_kA2s")
    if figure is None:
        return None
    words = f"least pre-arcing I²t of {release.device}"
    return Given("E_a", figure.value * 1000, "A²s", words, None, figure.source, figure.confidence)


def _of_size(table: Mapping[str, Any], rated: float, column: str) -> Figure | None:
    """A least value of a fuse; of a size between two, that of the next smaller; None below all."""
    sizes = [amps for amps in table["In_A"] if amps <= rated + 1e-9]
    return exactly(table, "In_A", max(sizes), column) if sizes else None


def _breaker(release: Characteristic, sought: Sought) -> tuple[Point, ...]:
    if not release.overload or not release.points or release.set_a is None:
        return ()
    name, small = release.device, release.curve in ("B", "C", "D")
    table = one_table("coordination", "mcb_least" if small else "industrial_least")
    factor = table["non_tripping_x_In" if small else "non_tripping_x_Ir"]
    source, sure, conventional = table["source"], table["confidence"], release.points[0].seconds
    words = f"non-tripping current of {name}, {factor:g} times {release.set_a:g} A"
    found = [Point(factor * release.set_a, conventional, words, source, sure)]
    if small:
        words = f"current at which {name} does not trip within {table['at_2_55_In_s']:g} s"
        found.append(Point(2.55 * sought.rated, table["at_2_55_In_s"], words, source, sure, joined=True))
    return (*found, *_lower_end(release))


def _motor(release: Characteristic, sought: Sought) -> tuple[Point, ...]:
    table = one_table("coordination", "motor_least")
    factor, source, sure, set_a = table["non_tripping_x_set"], table["source"], table["confidence"], release.set_a or 0.0
    klass = word(sought.device, "trip-class") or "10"
    index = table["class"].index(klass) if klass in table["class"] else 0
    words = f"non-tripping current of {release.device}, {factor:g} times {set_a:g} A"
    slow = f"current at which {release.device} does not trip within {table['at_7_2_least_s'][index]} s"
    points = (
        Point(factor * set_a, table["within_h"] * HOUR, words, source, sure),
        Point(7.2 * set_a, float(table["at_7_2_least_s"][index]), slow, source, sure, joined=True),
    )
    end = _lower_end(release)
    return (*(point for point in points if not end or point.amps < end[0].amps), *end)


def _lower_end(release: Characteristic) -> tuple[Point, ...]:
    """The lower end of the instantaneous band, with the source of the upper one."""
    if release.instantaneous_a is None:
        return ()
    upper = next((point for point in release.points if abs(point.amps - release.instantaneous_a[1]) < 1e-9), None)
    seconds = one_table("coordination", "mcb_least")["at_lower_end_s"] if release.delay is None else release.delay.value
    words = f"lower end of the band in which {release.device} trips at once"
    source, sure = (upper.source, upper.confidence) if upper is not None else ("", "")
    span = next((given.span for given in release.givens if given.symbol == "I_i"), None) if upper is None else None
    return (Point(release.instantaneous_a[0], seconds, words, source, sure, span=span),)
