"""What the ratings of a protective device say of its release: currents, and times within which it is certain to operate."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.calc.basis import Given, Settings, amount, tables, word
from netdsl.calc.devices.breakers import CURVES, miniature, motor_breaker, moulded, overload_relay
from netdsl.calc.devices.electronic import ELECTRONIC, electronic
from netdsl.calc.devices.fuses import fuse
from netdsl.calc.devices.holding import held
from netdsl.calc.devices.tripping import Characteristic, Point, Sought, place
from netdsl.model.plant import Device

#: ratings by which a device states currents read from its maker's curve -> seconds
STATED_POINTS = {"operates-in-5s": 5.0, "operates-in-0.4s": 0.4, "operates-in-0.1s": 0.1}


def of_device(device: Device, settings: Settings) -> Characteristic | None:
    """The release of a protective device; None where its rated current is not stated."""
    rated, name = amount(device, "current"), "current"
    if rated is None:
        rated, name = device.ratings.upper("setting-range"), "setting-range"
    if rated is None and device.kind != "residual-device":
        return None
    sought = Sought(device, settings, device.kind, word(device, "curve"), rated or 0.0)
    if rated is not None:
        sought.givens.append(Given("I_n", rated, "A", f"rated current of {device.id}", place(device, name)))
    return held(_made(sought), sought)


def of_words(supply: Device, kind: str, curve: str, amps: float, settings: Settings) -> Characteristic:
    """The release that the `upstream` of a supply names: `kind` is "fuse", "mcb", "mccb" or "breaker"."""
    sought = Sought(supply, settings, "fuse" if kind == "fuse" else "breaker", curve, amps, stated=False)
    sought.givens.append(Given("I_n", amps, "A", f"rated current of the protection ahead of {supply.id}", supply.span))
    return held(_made(sought), sought)


def _made(sought: Sought) -> Characteristic:
    if sought.kind == "fuse":
        return _with_tripping(_with_stated(fuse(sought), sought), sought)
    if sought.kind == "motor-breaker":
        return _with_stated(motor_breaker(sought), sought)
    if sought.kind == "overload":
        return overload_relay(sought)
    if sought.kind == "residual-device":
        return _residual(sought)
    if sought.curve == ELECTRONIC:
        return _with_stated(electronic(sought), sought)
    if sought.curve in CURVES:
        return _with_tripping(_with_stated(miniature(sought), sought), sought)
    return _with_stated(moulded(sought), sought)


def _with_tripping(release: Characteristic, sought: Sought) -> Characteristic:
    """A release that cannot be set, with the conventional tripping current that its device states in place of the standard's."""
    stated = sought.stating("tripping-current", "I_2", "A", "conventional tripping current")
    if stated is None or not release.points:
        return release
    amps = stated.value
    first = replace(release.points[0], amps=amps, words=stated.words, source="", confidence="", span=stated.span)
    later = tuple(point for point in release.points[1:] if point.amps > amps)
    return replace(release, tripping_a=amps, points=(first, *later), givens=(stated, *release.givens))


def _with_stated(release: Characteristic, sought: Sought) -> Characteristic:
    """A release with what its device states: points of its curve, breaking capacity, energy let through."""
    points = list(release.points)
    for name, seconds in STATED_POINTS.items():
        given = sought.stating(name, "I_a", "A", "operating current")
        if given is not None:
            points = _replaced(points, Point(given.value, seconds, given.words, "", "", span=given.span))
    breaking = sought.stating("breaking", "I_cn", "A", "breaking capacity")
    energy = sought.stating("let-through", "E", "A²s", "energy let through")
    givens = (*sought.givens, *((breaking,) if breaking else ()))
    return replace(
        release,
        points=tuple(points),
        energy=energy or release.energy,
        energies=() if energy else release.energies,
        givens=givens,
    )


def _replaced(points: list[Point], read: Point) -> list[Point]:
    """Points with one that was read from the maker's curve in place of those that it contradicts or that have its time."""
    before = [point for point in points if point.seconds > read.seconds and point.amps < read.amps]
    behind = [point for point in points if point.seconds < read.seconds and point.amps > read.amps]
    joined = bool(before) and before[-1].seconds <= STATED_POINTS["operates-in-5s"]
    return [*before, replace(read, joined=joined), *(replace(point, joined=True) for point in behind)]


def _residual(sought: Sought) -> Characteristic:
    """A residual-current device; with a curve also a breaker against overcurrent (IEC 61009-1)."""
    rated = sought.rated or None
    plain = Characteristic(sought.device.id, "residual-device", sought.curve, rated, rated, None, None, False, False)
    release = replace(miniature(sought), kind="residual-device") if sought.curve in CURVES and sought.rated else plain
    rating = sought.stating("residual-current", "I_dn", "A", "rated residual current")
    points: tuple[Point, ...] = ()
    if rating is not None:
        sought.givens.append(rating)
        delayed = amount(sought.device, "delay") is not None
        table = tables("devices", "residual_operating")[1 if delayed else 0]
        words = f"residual operating current of {sought.device.id}"
        points = tuple(
            Point(times * rating.value, seconds, words, table["source"], table["confidence"])
            for times, seconds in zip(table["multiple"], table["seconds"], strict=True)
        )
    release = replace(release, residual_a=None if rating is None else rating.value, residual_points=points)
    return _with_stated(release, sought)
