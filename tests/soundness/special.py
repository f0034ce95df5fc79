"""Less usual feeders: thermistors without a drive, a guard over two contactors, drives of one phase, large machines, stations."""

from __future__ import annotations

from tests.soundness.drives import drive_of, output
from tests.soundness.panel import Feeder, Panel
from tests.soundness.pumps import contactor_for
from tests.soundness.running import two_wire
from tests.soundness.starters import linked
from tests.soundness.trade import CABLES, IN_DUCT, factor, meet, number, section, series, smallest


def motor_cable(panel: Panel, feeder: Feeder, construction: str, length: int, earth: str) -> list[str]:
    """The screened cable from drive T1 to motor M1; `earth`: the terminal of the drive that its earth core ends at."""
    n = feeder.n
    phases = zip(("BN", "BK", "GY"), "UVW", strict=True)
    return panel.cable(
        n("W1"),
        construction,
        length,
        "motor",
        (
            *(f"{core} {n('T1')}:{phase} to {n('M1')}:{phase}1" for core, phase in phases),
            f"GNYE {n('T1')}{earth} to {n('M1')}:PE",
            f"screen {n('T1')}:SH clamp to {n('M1')}:SH gland",
        ),
        screened=True,
    )


def field_contact(panel: Panel, feeder: Feeder, live: str, back: str) -> None:
    """The cable from two terminals of drive T1 to the contact of B7 in the field."""
    n, length = feeder.n, panel.chance.randint(3, 25)
    feeder.add(
        *panel.cable(
            n("W2"), "2x1.5", length, "control", (f"BN {n('T1')}{live} to {n('B7')}:11", f"BU {n('T1')}{back} to {n('B7')}:14")
        )
    )


def own_duct(panel: Panel, size_of: float, most: float) -> tuple[str, float]:
    """`along=` of a feeder's wires and their section: in a shared duct where clamps take what that asks for, else beside it."""
    way = f" along={panel.power_way()}" if panel.style.routes else ""
    size = section(size_of, reduced=factor(IN_DUCT, 5) if way else 1.0, least=2.5)
    if size is None or size > most:
        way, size = "", section(size_of, least=2.5)
    assert size is not None and size <= most, (size_of, most)
    return way, size


def with_thermistors(panel: Panel, feeder: Feeder) -> None:
    """A motor on the mains whose thermistors open its contactor's circuit; breaker without a motor's curve ahead."""
    chance, n = panel.chance, feeder.n
    part = chance.choice([each for each in series("motor-") if each.winding and 3 <= each.values["current"] <= 9])
    amps = part.values["current"]
    guard = next(value for value in (6, 10, 13, 16) if value >= amps * 1.1)
    switch = contactor_for(amps, part.values["power"])
    way, size = own_duct(panel, guard, switch.power_clamp[1])
    feeder.amps, feeder.largest = amps, guard
    rail = panel.rail(0.4)
    feeder.device("Q1", "mcb-3p-d", current=f"{guard}A")
    feeder.device("K1", switch.name)
    feeder.device("K2", "thermistor-relay", "Winding hot")
    feeder.device("M1", part.name, feeder.title, at=panel.hall)
    linked(feeder, part)
    feeder.add(
        panel.wire(f"{panel.bus}:L1,L2,L3 to {n('Q1')}:1,3,5", "mains", size, way=way, length=1),
        panel.wire(f"{n('Q1')}:2,4,6 to {n('K1')}:1,3,5", "mains", size, way=way, length=1),
    )
    length = chance.randint(3, 15)
    core = 2.5 if guard <= 13 else 4
    core = min(max(core, 2.5), meet([switch.power_clamp, part.power_clamp])[1])
    motor = n("M1")
    feeder.add(
        *panel.cable(
            n("W1"),
            f"4G{number(core)}",
            length,
            "mains",
            (
                f"BN {n('K1')}:2 to {motor}:U1",
                f"BK {n('K1')}:4 to {motor}:V1",
                f"GY {n('K1')}:6 to {motor}:W1",
                f"GNYE {panel.field_earth()} to {motor}:PE",
            ),
        ),
        f"device {n('X7')} screen-bar at={panel.inside} ways=1",
        *panel.cable(
            n("W2"),
            "1x2x0.75",
            length,
            "signal",
            (
                f"1a {n('K2')}:T1 to {motor}:TP1",
                f"1b {n('K2')}:T2 to {motor}:TP2",
                f"screen {n('X7')}:1 clamp to {motor}:SH open",
            ),
            screened=True,
        ),
    )
    door = panel.style.door != "none"
    feeder.device("S1", "selector-2", "Run", at=panel.door if door else panel.inside)
    feeder.add(
        panel.control(panel.plus(rail), f"{n('K2')}:A1", f"{n('K2')}:11"),
        panel.control(f"{n('K2')}:14", f"{n('S1')}:13", door=door),
        panel.control(f"{n('S1')}:14", f"{n('K1')}:A1", door=door),
        panel.control(panel.zero(rail), f"{n('K2')}:A2", f"{n('K1')}:A2"),
    )


def dropped_twice(panel: Panel, feeder: Feeder) -> None:
    """A motor behind two contactors that a safety relay drops; their guided break contacts lie in its reset."""
    chance, n = panel.chance, feeder.n
    if panel.style.door == "none":
        with_thermistors(panel, feeder)
        return
    part = chance.choice([each for each in series("motor-") if each.winding and 2 <= each.values["current"] <= 9])
    amps = part.values["current"]
    guard = smallest(series("motor-breaker-"), lambda each: each.setting[0] <= amps <= each.setting[1])
    assert guard is not None
    switch = contactor_for(amps, part.values["power"])
    way, size = own_duct(panel, guard.values["current"], meet([switch.power_clamp, guard.power_clamp])[1])
    feeder.amps, feeder.largest = amps, guard.values["current"]
    rail = panel.rail(0.7)
    feeder.device("Q1", guard.name)
    feeder.device("K1", switch.name)
    feeder.device("K2", switch.name)
    feeder.device("K3", "safety-relay", "Guard")
    feeder.device("M1", part.name, feeder.title, at=panel.hall)
    feeder.device("S1", "push-button-start", "Start", at=panel.door)
    feeder.device("S2", "push-button-stop", "Stop", at=panel.door)
    feeder.device("S3", "push-button", "Reset", at=panel.door)
    feeder.add(f"set {n('Q1')} tripping-current={number(amps)}A")
    linked(feeder, part)
    feeder.add(
        panel.wire(f"{panel.bus}:L1,L2,L3 to {n('Q1')}:1,3,5", "mains", size, way=way, length=1),
        panel.wire(f"{n('Q1')}:2,4,6 to {n('K1')}:1,3,5", "mains", size, way=way, length=0.5),
        panel.wire(f"{n('K1')}:2,4,6 to {n('K2')}:1,3,5", "mains", size, length=0.2),
        *panel.cable(
            n("W1"),
            "4G2.5",
            chance.randint(3, 15),
            "mains",
            (
                f"BN {n('K2')}:2 to {n('M1')}:U1",
                f"BK {n('K2')}:4 to {n('M1')}:V1",
                f"GY {n('K2')}:6 to {n('M1')}:W1",
                f"GNYE {panel.field_earth()} to {n('M1')}:PE",
            ),
        ),
    )
    kind = chance.choice(("guard", "button"))
    if kind == "guard":
        feeder.device("B1", "safety-switch", "Guard", at=panel.hall)
        feeder.add(f'strip {n("X5")} "Guard" at={panel.inside} {{', "  :1..4 2.5mm2", "}")
        feeder.add(
            *panel.cable(
                n("W2"),
                "4x1.5",
                chance.randint(3, 30),
                "control",
                (
                    f"BN {n('X5')}:1 to {n('B1')}:11",
                    f"BK {n('X5')}:2 to {n('B1')}:12",
                    f"GY {n('X5')}:3 to {n('B1')}:21",
                    f"BU {n('X5')}:4 to {n('B1')}:22",
                ),
            )
        )
        loops = [("S11", f"{n('X5')}:1", f"{n('X5')}:2", "S12"), ("S21", f"{n('X5')}:3", f"{n('X5')}:4", "S22")]
    else:
        feeder.device("S4", "emergency-stop", at=panel.door)
        loops = [("S11", f"{n('S4')}:11", f"{n('S4')}:12", "S12"), ("S21", f"{n('S4')}:21", f"{n('S4')}:22", "S22")]
    relay = n("K3")
    feeder.add(panel.control(panel.plus(rail), f"{relay}:A1"), panel.control(panel.zero(rail), f"{relay}:A2"))
    for out, there, back, home in loops:
        feeder.add(
            panel.control(f"{relay}:{out}", there, door=kind == "button"),
            panel.control(back, f"{relay}:{home}", door=kind == "button"),
        )
    one, two = n("K1"), n("K2")
    feeder.add(
        panel.control(f"{relay}:S33", f"{one}:21"),
        panel.control(f"{one}:22", f"{two}:21"),
        panel.control(f"{two}:22", f"{n('S3')}:13", door=True),
        panel.control(f"{n('S3')}:14", f"{relay}:S34", door=True),
        # the start holds itself on the first contactor; the second follows the relay alone
        panel.control(panel.plus(rail), f"{n('Q1')}:13"),
        panel.control(f"{n('Q1')}:14", f"{n('S2')}:21", door=True),
        panel.control(f"{n('S2')}:22", f"{relay}:13", door=True),
        panel.control(f"{relay}:14", f"{n('S1')}:13", door=True),
        panel.control(f"{n('S1')}:13", f"{one}:13", door=True),
        panel.control(f"{one}:14", f"{n('S1')}:14", door=True),
        panel.control(f"{one}:14", f"{one}:A1"),
        panel.control(panel.plus(rail), f"{relay}:23"),
        panel.control(f"{relay}:24", f"{two}:A1"),
        panel.control(panel.zero(rail), f"{one}:A2", f"{two}:A2"),
    )


def one_phase(panel: Panel, feeder: Feeder) -> None:
    """A small drive of one phase with a three-phase motor for 230 V."""
    chance, n = panel.chance, feeder.n
    if not panel.neutral:
        with_thermistors(panel, feeder)
        return
    name = "one-phase-drive"
    if not any(line.startswith(f"part {name} ") for line in panel.places):
        panel.places += [
            f'part {name} "Frequency converter 0.75 kW, one phase" {{',
            "  kind = drive   symbol = frequency-converter   letter = T   class = I",
            "  power = 0.75kW   current = 4.2A   input-current = 8A   voltage = 200..240V   losses = 40W   touch-current = 3mA",
            "  max-upstream = 16A   max-cable-length = 50m   phases = 1",
            "  terminal :L line-in 1..6mm2 required",
            "  terminal :N neutral 1..6mm2 required",
            "  terminal :U :V :W motor-out 1..6mm2 required",
            "  terminal :PE :PEM earth 1.5..10mm2",
            "  terminal :SH :SHC screen",
            "  terminal :24 supply-out 0.2..2.5mm2 clamps=2 common=:0 voltage=24V dc",
            "  terminal :0 digital-common 0.2..2.5mm2 clamps=2",
            "  terminal :1 :2 digital-in 0.2..2.5mm2 common=:0 voltage=24V dc",
            "  source :24 to :0 voltage=24V dc current=100mA",
            "}",
        ]
    way = f" along={panel.power_way()}" if panel.style.routes else ""
    feeder.amps, feeder.largest = 8, 10
    panel.losses += 40
    feeder.device("F1", "mcb-1p-c", current="10A")
    feeder.device("T1", name)
    feeder.device("M1", "motor-0.75kw-4p", feeder.title, at=panel.hall, current="3.3A", voltage="230V")
    feeder.lines[-1] = f"device {n('M1')} motor at={panel.hall} power=0.55kW current=2.5A winding=230/400V power-factor=0.75"
    feeder.add(f"connect {n('M1')} delta")
    feeder.add(
        panel.wire(f"{panel.bus}:{chance.choice(('L1', 'L2', 'L3'))} to {n('F1')}:1", "mains", 4, way=way, length=1),
        panel.wire(f"{n('F1')}:2 to {n('T1')}:L", "mains", 4, way=way, length=0.5),
        panel.wire(f"{panel.bus}:N to {n('T1')}:N", "neutral", 4, way=way, length=1),
        panel.wire(f"{n('T1')}:PE to {panel.earth()}", "earth", 4),
        *motor_cable(panel, feeder, "4G1.5", chance.randint(3, 25), ":PEM"),
    )
    feeder.device("B7", chance.choice(("level-switch", "temperature-switch")), at=panel.hall)
    field_contact(panel, feeder, ":24", ":1")


def ahead_of_drive(panel: Panel, feeder: Feeder) -> None:
    """A contactor ahead of a drive that a stop drops, while the drive is started by its own input."""
    chance, n = panel.chance, feeder.n
    drive, part = drive_of(panel, feeder, most=12)
    output(panel, drive, part)
    # the contactor stands between breaker and drive: lead the breaker's wires over it
    target = (
        next(
            line
            for line in feeder.lines
            if f"{n('T1')}:" in line and line.startswith("wire ") and " to " in line and f"{n('Q1')}:2,4,6" in line
        )
        if any(f"{n('Q1')}:2,4,6 to {n('T1')}:" in line for line in feeder.lines)
        else ""
    )
    if target and panel.style.door != "none":
        switch = smallest(
            [each for each in series("contactor-") if each.name.removeprefix("contactor-").removesuffix("a").isdigit()],
            lambda each: (
                each.values["thermal-current"] >= max(drive.part.values["input-current"], feeder.largest)
                and each.power_clamp[1] >= 10
            ),
        )
        assert switch is not None
        at = feeder.lines.index(target)
        ends = target.removeprefix("wire ").split(" to ")
        tail = ends[1].split(" ", 1)
        rest = f" {tail[1]}" if len(tail) > 1 else ""
        feeder.lines[at : at + 1] = [
            f"device {n('K9')} {switch.name}" + (f" at={panel.inside}" if panel.style.flat else ""),
            f"wire {ends[0]} to {n('K9')}:1,3,5{rest}",
            f"wire {n('K9')}:2,4,6 to {tail[0]}{rest}",
        ]
        rail = panel.rail(0.3)
        feeder.device("S8", "selector-2-key", "Service switch", at=panel.door)
        feeder.add(
            panel.control(panel.plus(rail), f"{n('S8')}:13", door=True),
            panel.control(f"{n('S8')}:14", f"{n('K9')}:A1", door=True),
            panel.control(panel.zero(rail), f"{n('K9')}:A2"),
        )
    two_wire(panel, drive)
    if drive.enable_from:
        drive.settings["enable-input"] = "on"
        name = drive.enable_from[0]
        feeder.add(
            *panel.cable(
                n("W6"),
                "2x1.5",
                chance.randint(5, 38),
                "control",
                (f"BN {drive.plus()} to {name}:13", f"BU {drive.t('enable')} to {name}:14"),
            )
        )
    drive.close()


def large_machine(panel: Panel, feeder: Feeder) -> None:
    """A machine of 22 to 55 A on a drive behind fuses, its cable with a divided protective conductor or a usual one."""
    chance, n = panel.chance, feeder.n
    room = panel.share()
    motors = [each for each in series("motor-") if each.winding == "400/690V" and 28 <= each.values["current"] <= min(60, room)]
    if not motors or panel.system == "TT":
        with_thermistors(panel, feeder)
        return
    part = chance.choice(motors)
    drives = sorted(series("vsd-"), key=lambda each: each.values["power"])
    drive = next(
        each
        for each in drives
        if each.values["current"] >= part.values["current"] and each.values["power"] >= part.values["power"]
    )
    taken = drive.values["input-current"]
    fuse = next(value for value in (50, 63, 80, 100, 125) if value >= taken * 1.25)
    size = section(fuse * 1.11, least=max(6, drive.power_clamp[0]))
    if size is None or size > drive.power_clamp[1]:
        with_thermistors(panel, feeder)
        return
    feeder.amps, feeder.largest = taken, fuse
    panel.losses += drive.values["losses"]
    feeder.device("F1", "fuse-nh00-gg", current=f"{fuse}A")
    feeder.device("T1", drive.name)
    feeder.device("M1", part.name, feeder.title, at=panel.hall)
    feeder.add(f"connect {n('M1')} delta")
    settings = f"motor-current={number(part.values['current'])}A" + (" emc-filter=disconnected" if panel.system == "IT" else "")
    feeder.add(f"set {n('T1')} {settings}")
    earths = max(10.0, size if size <= 16 else 16 if size <= 35 else size / 2)
    feeder.add(
        panel.wire(f"{panel.bus}:L1,L2,L3 to {n('F1')}:1,3,5", "mains", size, length=1),
        panel.wire(f"{n('F1')}:2,4,6 to {n('T1')}:L1,L2,L3", "mains", size, length=1),
        panel.wire(f"{n('T1')}:PE to {panel.earth()}", "earth", max(earths, drive.earth_clamp[0])),
    )
    core = section(drive.values["current"], CABLES, 0.7, least=max(6, drive.power_clamp[0], part.power_clamp[0]))
    assert core is not None
    core = min(core, drive.power_clamp[1], part.power_clamp[1])
    third = next(s for s, _ in CABLES if s * 3 >= max(core if core <= 16 else 16 if core <= 35 else core / 2, 6))
    construction = chance.choice((f"4G{number(core)}", f"3x{number(core)}+3G{number(third)}"))
    feeder.add(*motor_cable(panel, feeder, construction, chance.randint(5, 40), ":PE2"))
    feeder.device("B7", "pressure-switch", at=panel.hall)
    field_contact(panel, feeder, ":24V", ":DI1")


def button_station(panel: Panel, feeder: Feeder) -> None:
    """A direct motor with its buttons and a lamp in a station beside it, on one cable of seven cores over a strip."""
    chance, n = panel.chance, feeder.n
    part = chance.choice([each for each in series("motor-") if each.winding and 1 <= each.values["current"] <= 9])
    amps = part.values["current"]
    guard = smallest(series("motor-breaker-"), lambda each: each.setting[0] <= amps <= each.setting[1])
    assert guard is not None
    switch = contactor_for(amps, part.values["power"])
    way, size = own_duct(panel, guard.values["current"], meet([switch.power_clamp, guard.power_clamp])[1])
    feeder.amps, feeder.largest = amps, guard.values["current"]
    rail = panel.rail(0.35)
    feeder.device("Q1", guard.name)
    feeder.device("K1", switch.name)
    feeder.device("M1", part.name, feeder.title, at=panel.hall)
    feeder.device("S1", "push-button-start", at=panel.hall)
    feeder.device("S2", "push-button-stop", at=panel.hall)
    feeder.device("H1", "lamp-green", "Running", at=panel.hall)
    feeder.add(f"fit aux-contacts-1-1 on {n('K1')}", f"set {n('Q1')} tripping-current={number(amps)}A")
    linked(feeder, part)
    length = chance.randint(3, 15)
    feeder.add(
        panel.wire(f"{panel.bus}:L1,L2,L3 to {n('Q1')}:1,3,5", "mains", size, way=way, length=1),
        panel.wire(f"{n('Q1')}:2,4,6 to {n('K1')}:1,3,5", "mains", size, way=way, length=0.5),
        *panel.cable(
            n("W1"),
            "4G2.5",
            length,
            "mains",
            (
                f"BN {n('K1')}:2 to {n('M1')}:U1",
                f"BK {n('K1')}:4 to {n('M1')}:V1",
                f"GY {n('K1')}:6 to {n('M1')}:W1",
                f"GNYE {panel.field_earth()} to {n('M1')}:PE",
            ),
        ),
        f'strip {n("X5")} "Station" at={panel.inside} {{',
        "  :1..5 2.5mm2",
        "}",
        *panel.cable(
            n("W2"),
            "7x1.5",
            length,
            "control",
            (
                f"1 {n('X5')}:1 to {n('S2')}:21",
                f"2 {n('X5')}:2 to {n('S2')}:22",
                f"3 {n('X5')}:3 to {n('S1')}:14",
                f"4 {n('X5')}:4 to {n('H1')}:X1",
                f"5 {n('X5')}:5 to {n('H1')}:X2",
            ),
        ),
        # within the station the stop's far end and the start's are one point
        f"cable {n('W3')} 1x1.5 length=0.3m {{",
        f"  1 {n('S2')}:22 to {n('S1')}:13",
        "}",
    )
    feeder.add(
        panel.control(panel.plus(rail), f"{n('Q1')}:13"),
        panel.control(f"{n('Q1')}:14", f"{n('X5')}:1"),
        panel.control(f"{n('X5')}:2", f"{n('K1')}:13"),
        panel.control(f"{n('X5')}:3", f"{n('K1')}:14", f"{n('K1')}:A1"),
        panel.control(panel.plus(rail), f"{n('K1')}:53"),
        panel.control(f"{n('K1')}:54", f"{n('X5')}:4"),
        panel.control(panel.zero(rail), f"{n('K1')}:A2"),
        panel.control(panel.zero(rail), f"{n('X5')}:5"),
    )


SPECIAL = {
    "thermistors": with_thermistors,
    "dropped-twice": dropped_twice,
    "one-phase": one_phase,
    "contactor-ahead": ahead_of_drive,
    "large": large_machine,
    "station": button_station,
}
