"""The control side of a drive: two and three wires, local and remote, closed loop, preset speeds, a station of a serial line."""

from __future__ import annotations

from tests.soundness.commands import field_contact
from tests.soundness.drives import NAMES, Drive, drive_of, output
from tests.soundness.panel import Feeder, Panel

WAYS = ("two-wire", "three-wire", "local-remote", "loop-two-wire", "loop-four-wire", "preset", "bus")


def drive_feeder(panel: Panel, feeder: Feeder, way: str) -> None:
    """A drive with its motor, run in one of the ways."""
    if way in ("local-remote", "preset", "bus", "three-wire") and panel.style.door == "none":
        way = panel.chance.choice(("two-wire", "loop-two-wire", "loop-four-wire", "bus"))
    drive, part = drive_of(panel, feeder)
    output(panel, drive, part)
    if panel.chance.random() < 0.3:
        drive.rail = panel.rail(0.15)
    {
        "two-wire": two_wire,
        "three-wire": three_wire,
        "local-remote": local_remote,
        "loop-two-wire": loop_two_wire,
        "loop-four-wire": loop_four_wire,
        "preset": preset,
        "bus": station,
    }[way](panel, drive)
    permission(panel, drive)
    if panel.chance.random() < 0.5:
        lamps(panel, drive)
    drive.close()


def contact_to(panel: Panel, drive: Drive, live: str, end: str, *, door: bool, words: str) -> None:
    """A maintained contact from 24 V to an input: a selector on the door, or something in the field."""
    feeder = drive.feeder
    n = feeder.n
    if door:
        feeder.device("S1", panel.chance.choice(("selector-2", "selector-2-key")), words, at=panel.door)
        feeder.add(panel.control(live, f"{n('S1')}:13", door=True), panel.control(f"{n('S1')}:14", end, door=True))
        return
    field_contact(panel, feeder)
    feeder.add(panel.control(live, f"{n('X3')}:1"), panel.control(f"{n('X3')}:2", end))


def permission(panel: Panel, drive: Drive) -> None:
    """The early contact of an isolator in the motor cable, or a permission of the field, at the enable input."""
    feeder = drive.feeder
    n, chance = feeder.n, panel.chance
    if not drive.enable_from and (chance.random() < 0.6 or "enable-input" in drive.settings):
        return
    drive.settings["enable-input"] = "on"
    if drive.enable_from:
        ends = (f"{drive.enable_from[0]}:13", f"{drive.enable_from[0]}:14")
    else:
        feeder.device("B8", chance.choice(("level-switch", "pressure-switch", "flow-switch")), "Permission", at=panel.hall)
        ends = (f"{n('B8')}:11", f"{n('B8')}:{chance.choice(('12', '14'))}")
    screened = chance.random() < 0.5
    if chance.random() < 0.4 and drive.rail is None:
        # straight to the drive's terminals
        cores = [f"BN {drive.plus()} to {ends[0]}", f"BU {drive.t('enable')} to {ends[1]}"]
        if screened:
            cores.append(f"screen {drive.t('shc')} clamp to {ends[0].split(':')[0]} open")
        feeder.add(*panel.cable(n("W6"), "2x1.5", chance.randint(5, 38), "control", cores, screened=screened))
        return
    feeder.add(f'strip {n("X5")} "Permission" at={panel.inside} {{', "  :1..2 2.5mm2", "}")
    cores = [f"BN {n('X5')}:1 to {ends[0]}", f"BU {n('X5')}:2 to {ends[1]}"]
    feeder.add(*panel.cable(n("W6"), "2x1.5", chance.randint(5, 38), "control", cores))
    feeder.add(panel.control(drive.plus(), f"{n('X5')}:1"), panel.control(f"{n('X5')}:2", drive.t("enable")))


def lamps(panel: Panel, drive: Drive) -> None:
    """Fault and running, on the drive's relays."""
    if panel.style.door == "none":
        return
    feeder = drive.feeder
    n, chance = feeder.n, panel.chance
    live, back = drive.plus(), drive.zero()
    feeder.device("H1", chance.choice(("lamp", "lamp-red", "lamp-yellow")), "Fault", at=panel.door)
    feeder.device("H2", chance.choice(("lamp", "lamp-green", "hours-counter")), "Running", at=panel.door)
    counter = any("hours-counter" in line for line in feeder.lines)
    one, two = ("1", "2") if counter else ("X1", "X2")
    feeder.add(
        panel.control(live, drive.t("fault-c"), drive.t("run-c")),
        panel.control(drive.t("fault-a"), f"{n('H1')}:X1", door=True),
        panel.control(drive.t("run-a"), f"{n('H2')}:{one}", door=True),
        panel.control(f"{n('H2')}:{two}", f"{n('H1')}:X2", door=True),
        panel.control(f"{n('H1')}:X2", back, door=True),
    )


def potentiometer(panel: Panel, drive: Drive, short: str = "R1", name: str = "W4", end: str = "ai-v") -> None:
    """A reference by hand, in a screened cable up to the drive."""
    feeder = drive.feeder
    n, chance = feeder.n, panel.chance
    door = panel.style.door != "none"
    stands = panel.door if door else panel.hall
    feeder.device(short, chance.choice(("potentiometer", "potentiometer-4.7k", "potentiometer-10k")), "Speed", at=stands)
    pairs = chance.random() < 0.4
    colours = ("2a", "1a", "1b") if pairs else ("BN", "BK", "GY")
    cores = (
        f"{colours[0]} {drive.t('10v')} to {n(short)}:3",
        f"{colours[1]} {drive.t(end)} to {n(short)}:2",
        f"{colours[2]} {drive.t('agnd')} to {n(short)}:1",
        f"screen {drive.t('shc')} clamp to {n(short)} open",
    )
    made = panel.cable(
        n(name), "2x2x0.5" if pairs else "3x0.75", 3 if door else chance.randint(5, 30), "signal", cores, screened=True
    )
    if door:
        made[0] = made[0].split(" length=")[0] + f" length=3m{panel.to_door('signal')} {{"
    feeder.add(*made)


def two_wire(panel: Panel, drive: Drive) -> None:
    """One maintained contact."""
    door = panel.style.door != "none" and panel.chance.random() < 0.5
    contact_to(panel, drive, drive.plus(), drive.t("start"), door=door, words="Run")
    if panel.chance.random() < 0.5:
        potentiometer(panel, drive)


def three_wire(panel: Panel, drive: Drive) -> None:
    """Buttons: stops in series, starts side by side, perhaps also at the machine."""
    feeder, chance = drive.feeder, panel.chance
    n = feeder.n
    feeder.device("S1", "push-button-start", "Start", at=panel.door)
    feeder.device("S2", "push-button-stop", "Stop", at=panel.door)
    live = drive.plus()
    if chance.random() < 0.5:
        feeder.add(panel.control(live, f"{n('S2')}:21", f"{n('S1')}:13", door=True))
        feeder.add(
            panel.control(f"{n('S2')}:22", drive.t("stop"), door=True),
            panel.control(f"{n('S1')}:14", drive.t("start"), door=True),
        )
        return
    feeder.device("S3", "push-button-stop", "Stop at the machine", at=panel.hall)
    feeder.device("S4", "push-button-start", "Start at the machine", at=panel.hall)
    feeder.add(f'strip {n("X6")} "Buttons at the machine" at={panel.inside} {{', "  :1..4 2.5mm2", "}")
    feeder.add(
        *panel.cable(
            n("W5"),
            "4x1.5 cores=numbers",
            chance.randint(5, 38),
            "control",
            (
                f"1 {n('X6')}:1 to {n('S3')}:21",
                f"2 {n('X6')}:2 to {n('S3')}:22",
                f"3 {n('X6')}:3 to {n('S4')}:13",
                f"4 {n('X6')}:4 to {n('S4')}:14",
            ),
        )
    )
    feeder.add(
        panel.control(live, f"{n('S1')}:13", f"{n('S2')}:21", door=True),
        panel.control(f"{n('S2')}:22", f"{n('X6')}:1", door=True),
        panel.control(f"{n('X6')}:2", drive.t("stop")),
        panel.control(drive.plus(), f"{n('X6')}:3"),
        panel.control(f"{n('X6')}:4", f"{n('S1')}:14", door=True),
        panel.control(f"{n('S1')}:14", drive.t("start"), door=True),
    )


def local_remote(panel: Panel, drive: Drive) -> None:
    """Hand by selector and potentiometer, automatic by a controller outside."""
    feeder, chance = drive.feeder, panel.chance
    n = feeder.n
    feeder.device("S1", "selector-3-4", "Hand - off - automatic", at=panel.door)
    feeder.add(
        f'outside {n("A1")} "Controller" at={panel.hall} {{',
        '  terminal :13 :14 contact voltage=30V current=1A "run"',
        '  terminal :I+ analogue-out common=:I- "speed, 4..20 mA"',
        "  terminal :I- analogue-common",
        "  terminal :SH screen",
        "}",
        f'strip {n("X6")} "Controller" at={panel.inside} {{',
        "  :1..2 2.5mm2",
        "}",
    )
    length = chance.randint(10, 38)
    feeder.add(
        *panel.cable(n("W5"), "2x1.5", length, "control", (f"BN {n('X6')}:1 to {n('A1')}:13", f"BU {n('X6')}:2 to {n('A1')}:14"))
    )
    feeder.add(
        panel.control(drive.plus(), f"{n('S1')}:13", f"{n('S1')}:33", door=True),
        panel.control(f"{n('S1')}:34", drive.t("remote"), door=True),
        panel.control(drive.plus(), f"{n('X6')}:1"),
        panel.control(f"{n('X6')}:2", f"{n('S1')}:23", door=True),
        panel.control(f"{n('S1')}:24", f"{n('S1')}:14", door=True),
        panel.control(f"{n('S1')}:14", drive.t("start"), door=True),
    )
    drive.settings["ai2"] = "4..20mA"
    potentiometer(panel, drive)
    feeder.add(
        *panel.cable(
            n("W9"),
            "1x2x0.75",
            length,
            "signal",
            (
                f"1a {drive.t('ai-i')} to {n('A1')}:I+",
                f"1b {drive.t('agnd')} to {n('A1')}:I-",
                f"screen {drive.t('shc')} clamp to {n('A1')}:SH open",
            ),
            screened=True,
        )
    )


def loop_start(panel: Panel, drive: Drive) -> None:
    door = panel.style.door != "none" and panel.chance.random() < 0.6
    contact_to(panel, drive, drive.plus(), drive.t("start"), door=door, words="Run")
    drive.settings["ai2"] = "4..20mA"


def loop_two_wire(panel: Panel, drive: Drive) -> None:
    """A transmitter that its own loop feeds from the drive's 24 V."""
    feeder, chance = drive.feeder, panel.chance
    n = feeder.n
    drive.rail = None
    loop_start(panel, drive)
    kind = chance.choice(("transmitter-4-20ma", "transmitter-pressure", "transmitter-level", "transmitter-temperature"))
    feeder.device("B1", kind, at=panel.hall)
    feeder.add(panel.wire(f"{drive.t('agnd')} to {drive.t('com')}", "control", length=0.1))
    taps = drive.plus() if chance.random() < 0.4 else drive.t("24v")
    construction, one, two = chance.choice((("1x2x0.75", "1a", "1b"), ("2x0.75", "BN", "BU")))
    feeder.add(
        *panel.cable(
            n("W9"),
            construction,
            chance.randint(5, 38),
            "signal",
            (
                f"{one} {taps} to {n('B1')}:+",
                f"{two} {drive.t('ai-i')} to {n('B1')}:-",
                f"screen {drive.t('shc')} clamp to {n('B1')}:SH {chance.choice(('open', 'open', 'capacitor'))}",
            ),
            screened=True,
        )
    )
    if chance.random() < 0.3:
        potentiometer(panel, drive)


def loop_four_wire(panel: Panel, drive: Drive) -> None:
    """A transmitter with a supply of its own."""
    feeder, chance = drive.feeder, panel.chance
    n = feeder.n
    loop_start(panel, drive)
    kind = chance.choice(("transmitter-4-20ma-4wire", "transmitter-flow", "transmitter-oxygen"))
    feeder.device("B1", kind, at=panel.hall)
    length = chance.randint(5, 30)
    rail = panel.rail(0.4)
    feeder.add(f'strip {n("X9")} "Transmitter" at={panel.inside} {{', "  :1..2 2.5mm2", "}")
    feeder.add(panel.control(panel.plus(rail), f"{n('X9')}:1"), panel.control(panel.zero(rail), f"{n('X9')}:2"))
    if chance.random() < 0.5:
        feeder.add(
            *panel.cable(
                n("W18"), "2x1.5", length, "control", (f"BN {n('X9')}:1 to {n('B1')}:+", f"BU {n('X9')}:2 to {n('B1')}:-")
            )
        )
        feeder.add(
            *panel.cable(
                n("W9"),
                "1x2x0.75",
                length,
                "signal",
                (
                    f"1a {drive.t('ai-i')} to {n('B1')}:I+",
                    f"1b {drive.t('agnd')} to {n('B1')}:I-",
                    f"screen {drive.t('shc')} clamp to {n('B1')}:SH open",
                ),
                screened=True,
            )
        )
        return
    feeder.add(
        *panel.cable(
            n("W9"),
            "2x2x0.75",
            length,
            "signal",
            (
                f"1a {drive.t('ai-i')} to {n('B1')}:I+",
                f"1b {drive.t('agnd')} to {n('B1')}:I-",
                f"2a {n('X9')}:1 to {n('B1')}:+",
                f"2b {n('X9')}:2 to {n('B1')}:-",
                f"screen {drive.t('shc')} clamp to {n('B1')}:SH open",
            ),
            screened=True,
        )
    )


def preset(panel: Panel, drive: Drive) -> None:
    """Four speeds, counted in binary."""
    feeder = drive.feeder
    n = feeder.n
    feeder.device("S1", "selector-2", "Run", at=panel.door)
    feeder.device("S5", "selector-4-binary", "Speed", at=panel.door)
    feeder.add(
        panel.control(drive.plus(), f"{n('S1')}:13", f"{n('S5')}:13", f"{n('S5')}:23", door=True),
        panel.control(f"{n('S1')}:14", drive.t("start"), door=True),
        panel.control(f"{n('S5')}:14", drive.t("preset-1"), door=True),
        panel.control(f"{n('S5')}:24", drive.t("preset-2"), door=True),
    )
    potentiometer(panel, drive)


def station(panel: Panel, drive: Drive) -> None:
    """A station of the serial line; the pieces of the line follow when all stations are known."""
    feeder, chance = drive.feeder, panel.chance
    n = feeder.n
    panel.stations.append(drive)
    drive.settings["address"] = str(10 + len(panel.stations))
    if panel.style.door != "none" and chance.random() < 0.5:
        feeder.device("S1", "selector-local-remote", "Local - remote", at=panel.door)
        feeder.device("S3", "push-button-start", "Start", at=panel.door)
        feeder.device("S4", "push-button-stop", "Stop", at=panel.door)
        feeder.add(
            panel.control(drive.plus(), f"{n('S4')}:21", f"{n('S1')}:11", f"{n('S1')}:23", door=True),
            panel.control(f"{n('S4')}:22", drive.t("stop"), door=True),
            panel.control(f"{n('S1')}:12", f"{n('S3')}:13", door=True),
            panel.control(f"{n('S3')}:14", drive.t("start"), door=True),
            panel.control(f"{n('S1')}:24", drive.t("remote"), door=True),
        )
        potentiometer(panel, drive)


def line(panel: Panel) -> list[str]:
    """The serial line from its master outside over all stations; terminated at both ends."""
    if not panel.stations:
        return []
    chance = panel.chance
    lines = [
        f'outside -A9 "Controller" at={panel.hall} {{',
        "  terminal :A bus line=a",
        "  terminal :B bus line=b",
        "  terminal :C bus line=common",
        "  terminal :SH screen",
        "  terminal :PE earth",
        "  setting termination off on",
        "}",
        "set -A9 termination=on",
    ]
    panel.used.add("signal")
    tray = ""
    if panel.style.routes:
        tray = " along=" + ("TRAY3/2" if panel.style.divided else "TRAY4")
    length = chance.randint(5, 60)
    lines += [f"cable -W90 1G16 length={length}m{tray} {{", f"  GNYE {panel.earth()} to -A9:PE", "}"]
    before, screen, bus = "-A9", "-A9:SH", ("A", "B", "C")
    order = list(panel.stations)
    for count, drive in enumerate(order):
        inside = count > 0
        way = (" along=DUCT3" if inside else tray + ",DUCT3") if panel.style.routes else ""
        name = f"-W{91 + count}"
        ends = [NAMES[each][drive.maker] for each in ("bus-a", "bus-b", "bus-c")]
        near = drive.feeder.full("T1")
        lines += [
            f"cable {name} 2x2x0.5 screened spare=insulated length={2 if inside else length}m{way} {{",
            f"  1a {before}:{bus[0]} to {near}:{ends[0]}",
            f"  1b {before}:{bus[1]} to {near}:{ends[1]}",
            f"  2a {before}:{bus[2]} to {near}:{ends[2]}",
            f"  screen {screen} clamp to {drive.far('shc')} clamp",
            "}",
        ]
        before, screen, bus = near, drive.far("shc"), (ends[0], ends[1], ends[2])
    lines.append(f"set {before} termination=on")
    return lines
