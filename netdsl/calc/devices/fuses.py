"""Fuses: gG by their gates and operating currents, others by what they state."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Figure, Given, confidence_at, exactly, figure, one_table, tables
from netdsl.calc.devices.tripping import HOUR, Characteristic, Point, Sought


def fuse(sought: Sought) -> Characteristic:
    """A fuse: gG by its gates and operating currents, any other by what it states alone."""
    if sought.curve != "gG":
        return Characteristic(sought.device.id, "fuse", sought.curve, sought.rated, sought.rated, None, None, False, True)
    tripping, hours = _fuse_tripping(sought)
    first = Point(
        tripping.value * sought.rated,
        hours * HOUR,
        f"conventional fusing current of {sought.device.id}",
        tripping.source,
        tripping.confidence,
    )
    sought.givens.append(tripping)
    points = (first, *_fuse_points(sought))
    return Characteristic(
        sought.device.id,
        "fuse",
        "gG",
        sought.rated,
        sought.rated,
        first.amps,
        None,
        True,
        True,
        points=points,
        energy=_fuse_energy(sought),
    )


def _fuse_tripping(sought: Sought) -> tuple[Given, int]:
    """Conventional fusing current over rated current, and the conventional time, h."""
    small, times = one_table("devices", "gG_small"), one_table("devices", "gG_conventional")
    rows = tables("protection", "overload_I2")
    if sought.rated <= small["In_upto_A"]:
        factor, source, sure = small["tripping_x_In"], small["source"], small["confidence"]
    else:
        row = rows[1] if sought.rated >= 16 else rows[2]
        factor, source, sure = row["I2_x_In"], times["source"], row["confidence"]
    hours = next(
        (hours for upto, hours in zip(times["In_upto_A"], times["time_h"], strict=True) if sought.rated <= upto),
        times["time_h"][-1],
    )
    return Given("k_2", factor, "", "conventional fusing current over rated current", None, source, sure), hours


def _fuse_points(sought: Sought) -> Iterator[Point]:
    """Points at 5, 0.4 and 0.1 s, of the next larger size where no table has this one; nothing above all sizes."""
    gates, others, read = (
        one_table("protection", "gG_gates"),
        one_table("devices", "gG_gates_other"),
        one_table("protection", "gG_operating"),
    )
    sizes = (amps for table in (gates, others, read) for amps in table["In_A"] if amps >= sought.rated - 1e-9)
    size = min(sizes, default=None)
    if size is None:
        return
    if size != sought.rated:
        sought.settings.assume(
            "fuse-size", "fuses of a size that no table has are taken for the next larger", gates["source"], "common practice"
        )
    five, tenth = (
        exactly(gates, "In_A", size, column) or exactly(others, "In_A", size, column) for column in ("Imax_5s_A", "Imax_0_1s_A")
    )
    found = ((5.0, _tabled(read, size, "Ia_5s_A") or five), (0.4, _tabled(read, size, "Ia_0_4s_A")), (0.1, tenth))
    joined = False
    for seconds, point in found:
        if point is not None:
            yield Point(point.value, seconds, f"operating current of {sought.device.id}", point.source, point.confidence, joined)
            joined = True


def _tabled(table: object, rated: float, column: str) -> Figure | None:
    """An operating current of `gG_operating`, whose source is its basis."""
    assert isinstance(table, dict)
    index = next((n for n, amps in enumerate(table["In_A"]) if abs(amps - rated) < 1e-9), None)
    return None if index is None else Figure(float(table[column][index]), str(table["basis"]), confidence_at(table, index))


def _fuse_energy(sought: Sought) -> Given | None:
    """Operating I2t of a fuse, A2s; of a size between two, that of the next larger."""
    rows = (one_table("protection", "gG_i2t"), one_table("devices", "gG_i2t_other"))
    found = min(
        (figure(table, "max_kA2s", n) for table in rows for n, amps in enumerate(table["In_A"]) if amps >= sought.rated - 1e-9),
        key=lambda each: each.value,
        default=None,
    )
    if found is None:
        return None
    return Given("E", found.value * 1000, "A²s", f"operating I2t of {sought.device.id}", None, found.source, found.confidence)
