"""What starts, stops, holds and interlocks a motor on the mains: buttons, selectors, contacts in the field and of others."""

from __future__ import annotations

from tests.soundness.panel import Feeder, Panel

CONTACTOR_A = 0.22


def control(panel: Panel, feeder: Feeder, kind: str, by_breaker: bool, alternating: bool) -> None:
    """24 V, or 230 V of a transformer: what starts, what stops, what holds, what interlocks; a lamp."""
    chance, n = panel.chance, feeder.n
    count = {"direct": 1, "reversing": 1, "star-delta": 3}[kind]
    rail = None if alternating else panel.rail(CONTACTOR_A * count + 0.05)
    trip_in, trip_out = (f"{n('Q1')}:13", f"{n('Q1')}:14") if by_breaker else (f"{n('B1')}:95", f"{n('B1')}:96")
    lamp_in, lamp_out = (f"{n('Q1')}:21", f"{n('Q1')}:22") if by_breaker else (f"{n('B1')}:97", f"{n('B1')}:98")
    isolated = any(" field-isolator " in line for line in feeder.lines)
    lamp = panel.style.door != "none" and chance.random() < 0.6
    feed = panel.plus(rail) if rail else panel.alternating_tap("L")
    feeder.add(panel.control(feed, trip_in, *((lamp_in,) if lamp else ())))
    live = trip_out
    if isolated:
        # the isolator's early contact lies in the coil's circuit
        feeder.add(f'strip {n("X2")} "Isolator" at={panel.inside} {{', "  :1..2 2.5mm2", "}")
        feeder.add(
            *panel.cable(
                n("W7"),
                "2x1.5",
                chance.randint(5, 40),
                "control",
                (f"BN {n('X2')}:1 to {n('Q7')}:13", f"BU {n('X2')}:2 to {n('Q7')}:14"),
            )
        )
        feeder.add(panel.control(live, f"{n('X2')}:1"))
        live = f"{n('X2')}:2"
    zero = panel.zero(rail) if rail else panel.alternating_tap("N")
    if kind == "star-delta":
        star_delta_control(panel, feeder, live)
        coils = [f"{n(name)}:A2" for name in ("K1", "K4", "K3", "K2")]
    elif kind == "reversing":
        reversing_control(panel, feeder, live)
        coils = [f"{n('K1')}:A2", f"{n('K2')}:A2"]
    else:
        direct_control(panel, feeder, live)
        coils = [f"{n('K1')}:A2"]
    feeder.add(panel.control(zero, *coils))
    if lamp:
        feeder.device(
            "H1", "lamp-230v" if alternating else chance.choice(("lamp", "lamp-red", "lamp-yellow")), "Tripped", at=panel.door
        )
        back = panel.control(f"{n('H1')}:X2", coils[-1], door=True, neutral=alternating)
        feeder.add(panel.control(lamp_out, f"{n('H1')}:X1", door=True), back)


def has_buttons(panel: Panel) -> bool:
    """Whether buttons are on the door; else a contact of the field or of other equipment starts."""
    return panel.style.door != "none" and panel.chance.random() < 0.7


def direct_control(panel: Panel, feeder: Feeder, live: str) -> None:
    chance, n = panel.chance, feeder.n
    coil = n("K1")
    if has_buttons(panel):
        form = chance.choice(("buttons", "buttons", "selector", "hand-auto"))
        if form == "selector":
            feeder.device("S1", chance.choice(("selector-2", "selector-2-key")), "Run", at=panel.door)
            feeder.add(panel.control(live, f"{n('S1')}:13", door=True), panel.control(f"{n('S1')}:14", f"{coil}:A1", door=True))
            return
        if form == "hand-auto":
            feeder.device("S1", "selector-3", "Hand - off - automatic", at=panel.door)
            field_contact(panel, feeder)
            feeder.add(
                panel.control(live, f"{n('S1')}:13", f"{n('S1')}:23", door=True),
                panel.control(f"{n('S1')}:14", f"{coil}:A1", door=True),
            )
            feeder.add(panel.control(f"{n('S1')}:24", f"{n('X3')}:1", door=True), panel.control(f"{n('X3')}:2", f"{coil}:A1"))
            return
        feeder.device("S1", chance.choice(("push-button-start", "push-button")), "Start", at=panel.door)
        feeder.device("S2", chance.choice(("push-button-stop", "push-button-break")), "Stop", at=panel.door)
        feeder.add(panel.control(live, f"{n('S2')}:21", door=True))
        if chance.random() < 0.5:
            feeder.add(panel.control(f"{n('S2')}:22", f"{n('S1')}:13", f"{coil}:13", door=True))
            feeder.add(panel.control(f"{n('S1')}:14", f"{coil}:14", door=True), panel.control(f"{coil}:14", f"{coil}:A1"))
        else:
            feeder.add(
                panel.control(f"{n('S2')}:22", f"{n('S1')}:13", door=True),
                panel.control(f"{n('S1')}:13", f"{coil}:13", door=True),
            )
            feeder.add(panel.control(f"{coil}:14", f"{coil}:A1"), panel.control(f"{coil}:A1", f"{n('S1')}:14", door=True))
        return
    field_contact(panel, feeder)
    feeder.add(panel.control(live, f"{n('X3')}:1"), panel.control(f"{n('X3')}:2", f"{coil}:A1"))


def field_contact(panel: Panel, feeder: Feeder) -> None:
    """A contact in the field, or of equipment outside, behind two terminals."""
    chance, n = panel.chance, feeder.n
    feeder.add(
        f'strip {n("X3")} "{chance.choice(("Field contact", "Float", "Command"))}" at={panel.inside} {{', "  :1..2 2.5mm2", "}"
    )
    length = chance.randint(4, 40)
    if chance.random() < 0.3:
        feeder.add(
            f'outside {n("A1")} "Building controller" at={panel.hall} {{',
            "  terminal :13 :14 contact voltage=250V current=2A",
            "}",
        )
        ends = (f"{n('A1')}:13", f"{n('A1')}:14")
    else:
        kind = chance.choice(("level-switch", "pressure-switch", "flow-switch", "temperature-switch", "limit-switch"))
        feeder.device("B7", kind, at=panel.hall)
        ends = (
            (f"{n('B7')}:13", f"{n('B7')}:14")
            if kind == "limit-switch"
            else (f"{n('B7')}:11", f"{n('B7')}:{chance.choice(('12', '14'))}")
        )
    if not ends[0].startswith(n("A1")) and chance.random() < 0.25:
        junction_box(panel, feeder, length, ends)
        return
    feeder.add(
        *panel.cable(n("W8"), "2x1.5", length, "control", (f"BN {n('X3')}:1 to {ends[0]}", f"BU {n('X3')}:2 to {ends[1]}"))
    )


def junction_box(panel: Panel, feeder: Feeder, length: float, ends: tuple[str, str]) -> None:
    """A box of sheet steel on the way to a field contact: the earth core goes to its strip and on to the box."""
    n, chance = feeder.n, panel.chance
    place = f"{panel.hall}.JB{feeder.index}"
    metal = chance.random() < 0.7
    panel.places.append(f'place {place} "Junction box" kind=box' + ("" if metal else " material=plastic"))
    box = n("X13")
    feeder.add(f'strip {box} "Junction box" at={place} {{', "  :1..2 2.5mm2", *(["  :3 earth 2.5mm2"] if metal else []), "}")
    cores = [f"BN {n('X3')}:1 to {box}:1/in", f"BU {n('X3')}:2 to {box}:2/in"]
    if metal:
        feeder.add(panel.wire(f"{box}:3/out to {place}:PE", "earth", 2.5, length=0.2, colour="GNYE").replace("wire", "wire", 1))
        if "mm2" not in feeder.lines[-1]:
            feeder.lines[-1] = feeder.lines[-1].replace(f"{place}:PE", f"{place}:PE 2.5mm2", 1)
        cores.append(f"GNYE {panel.field_earth()} to {box}:3/in")
    feeder.add(*panel.cable(n("W8"), "3G1.5" if metal else "2x1.5", length, "control", cores))
    feeder.add(
        *panel.cable(n("W28"), "2x1.5", chance.randint(1, 6), "control", (f"BN {box}:1 to {ends[0]}", f"BU {box}:2 to {ends[1]}"))
    )


def reversing_control(panel: Panel, feeder: Feeder, live: str) -> None:
    chance, n = panel.chance, feeder.n
    one, two = n("K1"), n("K2")
    if has_buttons(panel) and chance.random() < 0.7:
        feeder.device("S1", "push-button-start", "Open", at=panel.door)
        feeder.device("S2", "push-button-start", "Close", at=panel.door)
        feeder.device("S3", "push-button-stop", "Stop", at=panel.door)
        s1, s2, s3 = n("S1"), n("S2"), n("S3")
        feeder.add(
            panel.control(live, f"{s3}:21", door=True),
            panel.control(f"{s3}:22", f"{s1}:13", f"{s2}:13", f"{two}:13", door=True),
            panel.control(f"{two}:13", f"{one}:13"),
            panel.control(f"{s1}:14", f"{one}:14", door=True),
            panel.control(f"{one}:14", f"{two}:21"),
            panel.control(f"{two}:22", f"{one}:A1"),
            panel.control(f"{s2}:14", f"{two}:14", door=True),
            panel.control(f"{two}:14", f"{one}:21"),
            panel.control(f"{one}:22", f"{two}:A1"),
        )
        return
    # a selector, and limit switches that end each way
    stands = panel.door if panel.style.door != "none" else panel.inside
    to_door = panel.style.door != "none"
    feeder.device("S1", "selector-3", "Open - off - close", at=stands)
    feeder.device("B5", "limit-switch", "Open", at=panel.hall)
    feeder.device("B6", "limit-switch", "Closed", at=panel.hall)
    feeder.add(f'strip {n("X3")} "Limits" at={panel.inside} {{', "  :1..4 2.5mm2", "}")
    feeder.add(
        *panel.cable(
            n("W8"),
            "4x1.5",
            chance.randint(4, 30),
            "control",
            (
                f"BN {n('X3')}:1 to {n('B5')}:21",
                f"BK {n('X3')}:2 to {n('B5')}:22",
                f"GY {n('X3')}:3 to {n('B6')}:21",
                f"BU {n('X3')}:4 to {n('B6')}:22",
            ),
        )
    )
    feeder.add(
        panel.control(live, f"{n('S1')}:13", f"{n('S1')}:23", door=to_door),
        panel.control(f"{n('S1')}:14", f"{n('X3')}:1", door=to_door),
        panel.control(f"{n('X3')}:2", f"{two}:21"),
        panel.control(f"{two}:22", f"{one}:A1"),
        panel.control(f"{n('S1')}:24", f"{n('X3')}:3", door=to_door),
        panel.control(f"{n('X3')}:4", f"{one}:21"),
        panel.control(f"{one}:22", f"{two}:A1"),
    )


def star_delta_control(panel: Panel, feeder: Feeder, live: str) -> None:
    chance, n = panel.chance, feeder.n
    main, delta, star, timer = n("K1"), n("K2"), n("K3"), n("K4")
    own = chance.random() < 0.5
    feeder.device("K4", "timer-star-delta" if own else "timer-on-delay", "Star to delta")
    feeder.add(f"fit {chance.choice(('aux-contacts-1-1', 'aux-contacts-2-2'))} on {main}")
    to_door = panel.style.door != "none"
    stands = panel.door if to_door else panel.inside
    feeder.device("S1", "push-button-start", "Start", at=stands)
    feeder.device("S2", "push-button-stop", "Stop", at=stands)
    feeder.add(
        panel.control(live, f"{n('S2')}:21", door=to_door),
        panel.control(f"{n('S2')}:22", f"{n('S1')}:13", f"{main}:13", door=to_door),
        panel.control(f"{n('S1')}:14", f"{main}:14", door=to_door),
        panel.control(f"{main}:14", f"{timer}:A1", f"{timer}:{'17' if own else '15'}", f"{star}:13", f"{main}:53"),
        panel.control(f"{star}:14", f"{main}:A1"),
        panel.control(f"{main}:54", f"{main}:A1"),
        panel.control(f"{timer}:{'18' if own else '16'}", f"{delta}:21"),
        panel.control(f"{delta}:22", f"{star}:A1"),
        panel.control(f"{timer}:{'28' if own else '18'}", f"{star}:21"),
        panel.control(f"{star}:22", f"{delta}:A1"),
    )
