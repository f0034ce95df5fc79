"""Motors on the mains: direct, reversing, in star and delta; commanded by buttons, selectors, field contacts."""

from __future__ import annotations

from tests.soundness.commands import control
from tests.soundness.panel import Feeder, Panel
from tests.soundness.trade import CABLES, IN_DUCT, ON_TRAY, RATINGS, Part, factor, meet, number, rating, section, series, smallest


def direct_motor(panel: Panel, feeder: Feeder, most: float, least: float = 0.0) -> tuple[Part, float]:
    """A motor of the library, declared; it and its current."""
    chance = panel.chance
    fitting = [part for part in series("motor-") if part.winding and least <= part.values["current"] <= most]
    part = chance.choice(fitting)
    amps = part.values["current"]
    if chance.random() < 0.35:  # a motor of the general part, all said in the plant
        said = {"power": f"{number(part.values['power'] / 1000)}kW", "current": f"{number(amps)}A", "winding": part.winding}
        said["power-factor"] = number(part.values["power-factor"])
        feeder.device("M1", "motor", feeder.title, at=panel.hall, **said)
    else:
        feeder.device("M1", part.name, feeder.title, at=panel.hall)
    return part, amps


def linked(feeder: Feeder, part: Part) -> None:
    """The winding's links for 400 V."""
    feeder.add(f"connect {feeder.n('M1')} {'star' if part.winding.startswith('230') else 'delta'}")


def power_section(amps: float, clamp: tuple[float, float], reduced: float) -> float | None:
    """Section of the wires inside; 2.5 mm2 at least, for what a fault lets through."""
    size = section(amps, reduced=reduced, least=max(2.5, clamp[0]))
    return size if size is not None and size <= clamp[1] else None


def cable_section(amps: float, length: float, clamp: tuple[float, float], trips: float) -> float | None:
    """Section of a field cable: a tray shared by many, a small drop, a loop in which `trips` A flow."""
    size = section(amps, CABLES, factor(ON_TRAY, 99), least=max(2.5, clamp[0]))
    while size is not None and (amps * length / size > 190 or length * 0.06 / size > 0.45 * 219 / trips):
        size = next((larger for larger, _ in CABLES if larger > size), None)
    return size if size is not None and size <= clamp[1] else None


def starter(panel: Panel, feeder: Feeder, kind: str) -> None:
    """`kind`: direct, reversing, star-delta."""
    chance, n = panel.chance, feeder.n
    most = min(22.0, panel.share())
    alternating = panel.alternating and kind != "star-delta"
    kind = "direct" if kind == "star-delta" and most < 9 else kind
    long = kind == "star-delta"
    part, amps = direct_motor(panel, feeder, most, 8 if long else 0)
    while long and not part.winding.startswith("400"):
        feeder.lines.clear()
        part, amps = direct_motor(panel, feeder, most, 8)
    length = chance.randint(3, 40)
    way = f" along={panel.power_way()}" if panel.style.routes else ""
    feeder.amps = amps
    by_breaker = not long and chance.random() < 0.65
    guard = relay = None
    first = "Q1" if by_breaker else "F1"
    if by_breaker:
        guard = smallest(series("motor-breaker-"), lambda each: each.setting[0] <= amps <= each.setting[1])
        assert guard is not None
        feeder.largest = guard.values["current"]
        feeder.device("Q1", guard.name)
        feeder.add(f"set {n('Q1')} tripping-current={number(amps)}A")
    else:
        # ahead of an overload relay: what bears the start
        feeder.largest = rating(max(amps * 1.05, 6), RATINGS) or 63
        relays = series("overload-relay-")
        in_phase = long and chance.random() < 0.7
        held = amps * 0.58 if in_phase else amps
        held = round(held, 2)
        relay = smallest(relays, lambda each: each.setting[0] <= held <= each.setting[1])
        assert relay is not None
        feeder.device("F1", "mcb-3p-d", current=f"{number(feeder.largest)}A")
        feeder.device("B1", relay.name)
        feeder.add(f"set {n('B1')} tripping-current={number(held)}A{chance.choice((' reset=manual', ''))}")
    ending = "a-230v" if alternating else "a"
    contactors = [
        each
        for each in series("contactor-")
        if each.name.endswith(ending) and each.name.removeprefix("contactor-").removesuffix(ending).isdigit()
    ]
    fitting = [
        each
        for each in contactors
        if each.values["current"] >= amps and each.values.get("power", 1e9) >= part.values["power"] - 1
    ]
    guards = [guard.power_clamp] if guard else [relay.power_clamp] if relay else []
    reduced = factor(IN_DUCT, 5) if panel.style.routes else 1.0
    # in a shared duct; where no clamp takes that, in a duct of its own; a frame larger than the current asks for, if need be
    choices = [
        (switch, size, less)
        for less in (reduced, 1.0)
        for switch in fitting[:3]
        if (size := power_section(feeder.largest, meet([switch.power_clamp, *guards]), less))
    ]
    switch, size, less = choices[0]
    way = way if less == reduced else ""
    clamp = meet([switch.power_clamp, *guards, part.power_clamp])
    trips = amps * 14 if by_breaker else feeder.largest * 20
    carried = amps if by_breaker or long else feeder.largest
    core = cable_section(carried, length, clamp, trips)
    while core is None and length > 3:
        length = length // 2
        core = cable_section(carried, length, clamp, trips)
    assert size is not None and core is not None, (part.name, amps, length, clamp)
    names = {"direct": ("K1",), "reversing": ("K1", "K2"), "star-delta": ("K1", "K2", "K3")}[kind]
    for name, word in zip(
        names, ("Mains", "Delta", "Star") if long else ("Forward", "Reverse") if len(names) > 1 else ("",), strict=False
    ):
        feeder.device(name, switch.name, word)
    if len(names) > 1:
        one, two = ("K2", "K3") if long else ("K1", "K2")
        feeder.add(
            f"fit mechanical-interlock on {n(one)}",
            f"interlock {n(one)} {n(two)} mechanical",
            f"interlock {n(two)} {n(one)} electrical",
        )
    panel.losses += 12
    bus = panel.bus

    def power(ends: str, wide: float | None = None, length_: float = 0) -> None:
        feeder.add(panel.wire(ends, "mains", wide or size, way=way, length=length_ or chance.choice((0.5, 0.8, 1, 1.5))))

    power(f"{bus}:L1,L2,L3 to {n(first)}:1,3,5")
    if long:
        star_delta_power(panel, feeder, power, core, length)
    else:
        ends = [f"{n(first)}:2,4,6", f"{n('K1')}:1,3,5"]
        if kind == "reversing":
            ends.append(f"{n('K2')}:1,3,5")
        power(" to ".join(ends))
        if kind == "reversing":
            power(f"{n('K2')}:2,4,6 to {n('K1')}:{chance.choice(('6,4,2', '4,2,6', '2,6,4'))}", length_=0.3)
        out = "K1"
        if not by_breaker:
            power(f"{n('K1')}:2,4,6 to {n('B1')}:1,3,5", length_=0.2)
            out = "B1"
        to_motor(panel, feeder, out, core, size, clamp[1], length, way)
        linked(feeder, part)
    control(panel, feeder, kind, by_breaker, alternating)


def to_motor(panel: Panel, feeder: Feeder, out: str, core: float, inner: float, most: float, length: float, way: str) -> None:
    """The cable from a starter to its motor: straight, over a strip, a box, an isolator, or single cores in a conduit."""
    chance, n = panel.chance, feeder.n
    motor = n("M1")
    ends = [(f"{n(out)}:{end}", f"{motor}:{winding}") for end, winding in zip(("2", "4", "6"), ("U1", "V1", "W1"), strict=True)]
    form = chance.choice(("straight", "straight", "strip", "box", "isolator", "conduit"))
    colours = ("BN", "BK", "GY")
    if form == "isolator" and (core > 16 or feeder.amps > 30):
        form = "straight"
    if form == "box" and core > 4:
        form = "straight"
    if form == "strip":
        feeder.add(
            f'strip {n("X1")} "{chance.choice(("Motor", "To the machine", "Output"))}" at={panel.inside} {{',
            f"  :U :V :W {number(max(core, inner, 4))}mm2",
            "}",
        )
        feeder.add(panel.wire(f"{n(out)}:2,4,6 to {n('X1')}:U,V,W", "mains", inner, way=way, length=1))
        ends = [(f"{n('X1')}:{each}", to) for each, (_, to) in zip("UVW", ends, strict=True)]
    if form == "conduit":
        conduit(panel, feeder, ends, core, most, length, panel.field_earth(), f"{motor}:PE")
        return
    if form == "box":
        feeder.device("X7", "terminal-box", at=panel.hall)
        feeder.add(
            *panel.cable(
                n("W1"),
                f"4G{number(core)}",
                length,
                "mains",
                (
                    *(f"{colour} {end} to {n('X7')}:{way}" for colour, (end, _), way in zip(colours, ends, "123", strict=True)),
                    f"GNYE {panel.field_earth()} to {n('X7')}:PE1",
                ),
            )
        )
        feeder.add(
            *panel.cable(
                n("W2"),
                f"4G{number(core)}",
                3,
                "mains",
                (
                    *(f"{colour} {n('X7')}:{way} to {to}" for colour, (_, to), way in zip(colours, ends, "123", strict=True)),
                    f"GNYE {n('X7')}:PE2 to {motor}:PE",
                ),
            )
        )
        return
    if form == "isolator":
        feeder.device(
            "Q7",
            "field-isolator",
            "Maintenance",
            at=panel.hall,
            current=f"{next(a for a in (16, 20, 25, 32) if a >= feeder.amps)}A",
        )
        feeder.add(
            *panel.cable(
                n("W1"),
                f"4G{number(core)}",
                length,
                "mains",
                (
                    *(f"{colour} {end} to {n('Q7')}:{way}" for colour, (end, _), way in zip(colours, ends, "135", strict=True)),
                    f"GNYE {panel.field_earth()} to {n('Q7')}:PE1",
                ),
            )
        )
        feeder.add(
            *panel.cable(
                n("W2"),
                f"4G{number(core)}",
                2,
                "mains",
                (
                    *(f"{colour} {n('Q7')}:{way} to {to}" for colour, (_, to), way in zip(colours, ends, "246", strict=True)),
                    f"GNYE {n('Q7')}:PE2 to {motor}:PE",
                ),
            )
        )
        return
    feeder.add(
        *panel.cable(
            n("W1"),
            f"4G{number(core)}",
            length,
            "mains",
            (
                *(f"{colour} {end} to {to}" for colour, (end, to) in zip(colours, ends, strict=True)),
                f"GNYE {panel.field_earth()} to {motor}:PE",
            ),
        )
    )


def conduit(
    panel: Panel,
    feeder: Feeder,
    ends: list[tuple[str, str]],
    core: float,
    most: float,
    length: float,
    earth: str,
    motor_earth: str,
) -> None:
    """Single cores and their protective conductor in a steel conduit of their own."""
    way = ""
    if panel.style.routes:
        name = f"COND{feeder.index}"
        panel.places.append(
            f'route {name} "{feeder.title.lower()}" at={panel.hall} kind=conduit material=steel length={number(length)}m'
        )
        way = f" along={name}"
    wide = next(size for size, _ in CABLES if size >= core * 1.5)
    wide = wide if wide <= most else core
    for count, (one, other) in enumerate(ends, 1):
        feeder.add(
            f"cable {feeder.n(f'W{10 + count}')} 1x{number(wide)} length={number(length)}m method=B1{way} {{",
            f"  1 {one} to {other}",
            "}",
        )
    feeder.add(
        f"cable {feeder.n('W14')} 1G{number(max(wide, 2.5))} length={number(length)}m method=B1{way} {{",
        f"  GNYE {earth} to {motor_earth}",
        "}",
    )


def star_delta_power(panel: Panel, feeder: Feeder, power, core: float, length: float) -> None:  # type: ignore[no-untyped-def]
    """Three contactors, overload relay in the phases or in the line, seven cores."""
    chance, n = panel.chance, feeder.n
    in_phase = not any("overload" in line and False for line in feeder.lines)
    held = next(
        float(line.split("tripping-current=")[1].split("A")[0])
        for line in feeder.lines
        if line.startswith("set ") and n("B1") in line
    )
    in_phase = held < feeder.amps * 0.8
    star, delta, main = n("K3"), n("K2"), n("K1")
    if in_phase:
        power(f"{n('F1')}:2,4,6 to {main}:1,3,5 to {delta}:1,3,5")
        power(f"{main}:2,4,6 to {n('B1')}:1,3,5", length_=0.2)
        first = [f"{n('B1')}:{end}" for end in "246"]
    else:
        power(f"{n('F1')}:2,4,6 to {n('B1')}:1,3,5")
        power(f"{n('B1')}:2,4,6 to {main}:1,3,5 to {delta}:1,3,5")
        first = [f"{main}:{end}" for end in "246"]
    power(f"{delta}:2,4,6 to {star}:1,3,5", length_=0.3)
    if chance.random() < 0.5:
        power(f"{star}:2 to {star}:4 to {star}:6", length_=0.1)
    else:
        power(f"{star}:4 to {star}:2", length_=0.1)
        power(f"{star}:4 to {star}:6", length_=0.1)
    second = chance.choice((("4", "6", "2"), ("4", "6", "2"), ("6", "2", "4")))
    motor = n("M1")
    cores = [f"{k} {end} to {motor}:{w}" for k, (end, w) in enumerate(zip(first, ("U1", "V1", "W1"), strict=True), 1)]
    cores += [f"{k} {delta}:{end} to {motor}:{w}" for k, (end, w) in enumerate(zip(second, ("U2", "V2", "W2"), strict=True), 4)]
    feeder.add(*panel.cable(n("W1"), f"7G{number(core)}", length, "mains", (*cores, f"GNYE {panel.field_earth()} to {motor}:PE")))
