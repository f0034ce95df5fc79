"""Several motors on one drive, a drive with a way round it, pumps that a drive hands to the mains."""

from __future__ import annotations

from tests.soundness.drives import NAMES, drive_of, output
from tests.soundness.panel import Feeder, Panel
from tests.soundness.running import permission, potentiometer, two_wire
from tests.soundness.starters import linked
from tests.soundness.trade import CABLES, Part, meet, number, section, series, smallest


def contactor_for(amps: float, power: float) -> Part:
    """The smallest contactor of 24 V for a motor."""
    fitting = [each for each in series("contactor-") if each.name.removeprefix("contactor-").removesuffix("a").isdigit()]
    found = smallest(fitting, lambda each: each.values["current"] >= amps and each.values["power"] >= power - 1)
    assert found is not None
    return found


def relay_for(amps: float) -> Part:
    """The overload relay that can be set to a current."""
    found = smallest(series("overload-relay-"), lambda each: each.setting[0] <= amps <= each.setting[1])
    assert found is not None
    return found


def several_motors(panel: Panel, feeder: Feeder) -> None:
    """Two or three equal motors on one drive, each with an overload relay whose contact lies in the enable."""
    chance, n = panel.chance, feeder.n
    count = chance.choice((2, 3))
    motors = [each for each in series("motor-") if each.winding and 1.2 <= each.values["current"] <= 4]
    part = chance.choice(motors)
    amps = part.values["current"]
    drive, _ = drive_of(panel, feeder, amps=amps * count, power=part.values["power"] * count, motor=False)
    drive.settings["motor-current"] = f"{number(min(round(amps * count, 1), drive.part.values['current']))}A"
    relay = relay_for(amps)
    block, screens = n("X6"), n("X7")
    total = drive.part.values["current"]
    size = max(2.5, section(total) or 2.5)
    feeder.add(f'distribution-block {block} "Output of the drive" at={panel.inside} poles=3 current={number(max(25, total))}A')
    feeder.add(f"device {screens} screen-bar at={panel.inside} ways={count + 1}")
    outs = ",".join(NAMES[each][drive.maker] for each in "uvw")
    feeder.add(panel.wire(f"{n('T1')}:{outs} to {block}:L1,L2,L3", "motor", size, length=0.2))
    contacts = []
    for k in range(1, count + 1):
        feeder.device(f"B{k}", relay.name)
        feeder.device(f"M{k}", part.name, at=panel.hall)
        feeder.add(
            f"set {n(f'B{k}')} tripping-current={number(amps)}A",
            f"connect {n(f'M{k}')} {'star' if part.winding.startswith('230') else 'delta'}",
        )
        feeder.add(panel.wire(f"{block}:L1,L2,L3 to {n(f'B{k}')}:1,3,5", "motor", min(size, relay.power_clamp[1]), length=0.15))
        core = section(total, CABLES, 0.7, least=1.5) or 2.5
        core = min(core, meet([relay.power_clamp, part.power_clamp])[1])
        feeder.add(
            *panel.cable(
                n(f"W{k}"),
                f"4G{number(core)}",
                chance.randint(2, 12),
                "motor",
                (
                    f"BN {n(f'B{k}')}:2 to {n(f'M{k}')}:U1",
                    f"BK {n(f'B{k}')}:4 to {n(f'M{k}')}:V1",
                    f"GY {n(f'B{k}')}:6 to {n(f'M{k}')}:W1",
                    f"GNYE {panel.earth()} to {n(f'M{k}')}:PE",
                    f"screen {screens}:{k} clamp to {n(f'M{k}')}:SH gland",
                ),
                screened=True,
            )
        )
        contacts.append(n(f"B{k}"))
    two_wire(panel, drive)
    drive.settings["enable-input"] = "on"
    chain = [drive.plus(), *(each for name in contacts for each in (f"{name}:95", f"{name}:96")), drive.t("enable")]
    for one, other in zip(chain[::2], chain[1::2], strict=True):
        feeder.add(panel.control(one, other))
    drive.close()


def bypass(panel: Panel, feeder: Feeder) -> None:
    """A drive with a way round it: two contactors, interlocked; an overload relay in the mains' way; a dead time."""
    chance, n = panel.chance, feeder.n
    door = panel.style.door != "none"
    stands = panel.door if door else panel.inside
    motors = [each for each in series("motor-") if each.winding == "400/690V" and 7 <= each.values["current"] <= 12]
    part = chance.choice(motors)
    amps = part.values["current"]
    drive, _ = drive_of(panel, feeder, amps=amps, power=part.values["power"], motor=False)
    drive.settings["motor-current"] = f"{number(amps)}A"
    drive.settings["enable-input"] = "on"
    drive.rail = rail = panel.rail(0.8)
    switch, relay = contactor_for(amps, part.values["power"]), relay_for(amps)
    way = f" along={panel.power_way()}" if panel.style.routes else ""
    guard = next(value for value in (10, 13, 16, 20) if value >= amps * 1.2)
    wide = meet([switch.power_clamp, relay.power_clamp])[1]
    size = section(guard, reduced=0.65 if way else 1.0, least=2.5)
    if size is None or size > wide:
        way, size = "", section(guard, least=2.5)
    assert size is not None and size <= wide, (size, wide)
    feeder.device("F2", "mcb-3p-d", "Bypass", current=f"{guard}A")
    feeder.device("K1", switch.name, "Drive to motor")
    feeder.device("K2", switch.name, "Mains to motor")
    feeder.device("K3", chance.choice(("relay-interposing", "relay-1co")), "Drive runs")
    feeder.device("K4", "timer-on-delay", "Residual voltage has gone")
    feeder.device("B1", relay.name, "Bypass")
    feeder.device("B2", chance.choice(("level-switch", "pressure-switch")), "Release", at=panel.hall)
    feeder.device("S1", "selector-3-2", "Hand on mains - off - auto on drive", at=stands)
    feeder.device("M1", part.name, at=panel.hall)
    feeder.add(
        f"connect {n('M1')} delta",
        f"set {n('B1')} tripping-current={number(amps)}A reset=manual",
        f"fit mechanical-interlock on {n('K1')}",
        f"interlock {n('K1')} {n('K2')} mechanical",
        f"interlock {n('K2')} {n('K1')} electrical",
        f"device {n('X7')} screen-bar at={panel.inside} ways=3",
        f'strip {n("X8")} "Release" at={panel.inside} {{',
        "  :1..2 2.5mm2",
        "}",
    )
    outs = [drive.t(each) for each in "uvw"]
    core = min(section(drive.part.values["current"], CABLES, 0.7, least=2.5) or 4, wide)
    inner = panel.cable(
        n("W2"),
        f"3x{number(core)}",
        2,
        "motor",
        (
            *(f"{colour} {one} to {n('K1')}:{end}" for colour, one, end in zip(("BN", "BK", "GY"), outs, "135", strict=True)),
            f"screen {drive.t('sh')} clamp to {n('X7')}:1 clamp",
        ),
        screened=True,
    )
    if panel.style.routes:
        name = f"DUCT5{feeder.index}"
        panel.output_ducts.append(name)
        inner[0] = inner[0].split(" method")[0] + f" method=B2 along={name} {{"
    feeder.add(*inner)
    feeder.add(
        panel.wire(f"{panel.bus}:L1,L2,L3 to {n('F2')}:1,3,5", "mains", size, way=way, length=1),
        panel.wire(f"{n('F2')}:2,4,6 to {n('K2')}:1,3,5", "mains", size, way=way, length=1),
        panel.wire(f"{n('K2')}:2,4,6 to {n('B1')}:1,3,5", "mains", size, length=0.1),
        panel.wire(f"{n('B1')}:2,4,6 to {n('K1')}:2,4,6", "motor", size, length=0.15),
    )
    feeder.add(
        *panel.cable(
            n("W1"),
            f"4G{number(core)}",
            chance.randint(3, 30),
            "motor",
            (
                *(
                    f"{colour} {n('K1')}:{end} to {n('M1')}:{to}"
                    for colour, end, to in zip(("BN", "BK", "GY"), "246", ("U1", "V1", "W1"), strict=True)
                ),
                f"GNYE {panel.earth()} to {n('M1')}:PE",
                f"screen {n('X7')}:2 clamp to {n('M1')}:SH gland",
            ),
            screened=True,
        )
    )
    feeder.add(
        *panel.cable(
            n("W3"),
            "2x1.5",
            chance.randint(5, 30),
            "control",
            (f"BN {n('X8')}:1 to {n('B2')}:11", f"BU {n('X8')}:2 to {n('B2')}:14"),
        )
    )

    def c(*ends: str, outside: bool = False) -> None:
        feeder.add(panel.control(*ends, door=outside and door))

    k1, k2, k3, k4, b1, s1 = (n(each) for each in ("K1", "K2", "K3", "K4", "B1", "S1"))
    c(panel.plus(rail), f"{n('X8')}:1")
    c(f"{n('X8')}:2", f"{s1}:13", f"{s1}:43", outside=True)
    c(f"{s1}:43", drive.t("enable"), outside=True)
    c(f"{s1}:44", f"{k1}:13", outside=True)
    c(f"{k1}:14", drive.t("start"))
    c(f"{s1}:24", f"{k3}:14", outside=True)
    c(f"{k3}:14", f"{k2}:21")
    c(f"{k2}:22", f"{k1}:A1")
    c(panel.plus(rail), drive.t("run-c"), f"{k3}:11")
    c(f"{k3}:11", f"{s1}:23", outside=True)
    c(drive.t("run-a"), f"{k3}:A1")
    c(f"{s1}:14", f"{b1}:95", outside=True)
    c(f"{b1}:96", f"{k1}:21")
    c(f"{k1}:22", f"{k4}:A1", f"{k4}:15")
    c(f"{k4}:18", f"{k2}:A1")
    c(panel.zero(rail), f"{k1}:A2", f"{k2}:A2", f"{k3}:A2", f"{k4}:A2")
    if chance.random() < 0.5:
        potentiometer(panel, drive)
    drive.close()


def helped(panel: Panel, feeder: Feeder) -> None:
    """A pump on the drive that calls another on the mains through a relay of its own and an interposing one."""
    chance, n = panel.chance, feeder.n
    drive, part = drive_of(panel, feeder, most=9)
    output(panel, drive, part)
    drive.rail = rail = panel.rail(0.6)
    two_wire(panel, drive)
    permission(panel, drive)
    second = chance.choice([each for each in series("motor-") if each.winding and 2 <= each.values["current"] <= 8])
    amps = second.values["current"]
    switch = contactor_for(amps, second.values["power"])
    guard = smallest(series("motor-breaker-"), lambda each: each.setting[0] <= amps <= each.setting[1])
    assert guard is not None
    feeder.amps += amps
    way = f" along={panel.power_way()}" if panel.style.routes else ""
    size = section(guard.values["current"], reduced=0.57 if way else 1.0, least=2.5)
    if size is None or size > 4:
        way, size = "", section(guard.values["current"], least=2.5)
    assert size is not None
    feeder.device("Q2", guard.name, "Assisting pump")
    feeder.device("K2", switch.name, "Assisting pump")
    feeder.device("K5", chance.choice(("relay-interposing", "relay-1co", "relay-2co")), "Called")
    feeder.device("M2", second.name, "Assisting pump", at=panel.hall)
    feeder.add(f"set {n('Q2')} tripping-current={number(amps)}A")
    lines: list[str] = []
    kept, feeder.lines = feeder.lines, lines
    linked(feeder, second)
    feeder.lines = kept
    feeder.add(*(line.replace(n("M1"), n("M2")) for line in lines))
    feeder.add(
        panel.wire(f"{panel.bus}:L1,L2,L3 to {n('Q2')}:1,3,5", "mains", size, way=way, length=1),
        panel.wire(f"{n('Q2')}:2,4,6 to {n('K2')}:1,3,5", "mains", size, way=way, length=0.5),
    )
    core = 2.5
    feeder.add(
        *panel.cable(
            n("W12"),
            f"4G{number(core)}",
            chance.randint(3, 20),
            "mains",
            (
                f"BN {n('K2')}:2 to {n('M2')}:U1",
                f"BK {n('K2')}:4 to {n('M2')}:V1",
                f"GY {n('K2')}:6 to {n('M2')}:W1",
                f"GNYE {panel.field_earth()} to {n('M2')}:PE",
            ),
        )
    )
    # the drive's relay calls; not tripped is what the drive sees
    feeder.add(
        panel.control(panel.plus(rail), f"{n('Q2')}:13", drive.t("run-c")),
        panel.control(f"{n('Q2')}:14", f"{n('K5')}:11"),
        panel.control(f"{n('K5')}:11", drive.t("preset-1")),
        panel.control(f"{n('K5')}:14", f"{n('K2')}:A1"),
        panel.control(drive.t("run-a"), f"{n('K5')}:A1"),
        panel.control(panel.zero(rail), f"{n('K2')}:A2", f"{n('K5')}:A2"),
    )
    drive.close()
