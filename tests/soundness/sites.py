"""What feeds a panel and what all its feeders share: supply, isolator, busbars, earth, 24 V, surge protection, air."""

from __future__ import annotations

from tests.soundness.panel import Panel
from tests.soundness.trade import CABLES, FUSE, FUSES, WIRES, earth_of, number, section


def head(panel: Panel, title: str) -> list[str]:
    """Project, places, routes, defaults."""
    chance, style = panel.chance, panel.style
    shades = ['shade DBU = BU "dark blue"'] if "DBU" in (style.control, style.power) else []
    lines = ["netdsl 1", "", f'project "{title}" {{', f'  number = "S-{chance.randint(1, 999)}"', "}", ""]
    width, losses = chance.choice((1000, 1200, 1600)), panel.losses
    airflow = f" airflow={int(losses * 0.5) + 20}m3/h" if losses > 120 else ""
    material = chance.choice(("", "", " material=stainless", " material=sheet-steel"))
    words, ambient = chance.choice(("Control panel", "Cabinet", "Pump panel")), chance.choice((15, 20, 25))
    lines.append(f'place {panel.name} "{words}" kind=cabinet size={width}x2000x500mm ambient={ambient}degC{material}{airflow}')
    if style.plate:
        lines.append(f'place {panel.name}.P "Mounting plate" kind=plate')
    if panel.needs_door:
        kind = "kind=door" if style.door == "metal" else "kind=door metal=no"
        lines.append(f'place {panel.name}.D "Door" {kind}')
    lines.append(f'place {panel.hall} "{chance.choice(("Hall", "Plant room", "Yard"))}" kind=field')
    lines += routes(panel)
    lines += [*panel.places, *shades]
    if not style.explicit:
        along = " along=DUCT2" if style.routes else ""
        if style.routes:
            panel.used.add("control-duct")
        inside = f"within={panel.name}"
        lines += [
            f"defaults {inside} class=mains section=2.5mm2 colour={style.power} length=1.5m",
            f"defaults {inside} class=motor section=2.5mm2 colour={style.power}",
            f"defaults {inside} class=control section=0.75mm2 colour={style.control}{along} length=1.5m",
            f"defaults {inside} class=safety section=0.75mm2 colour={style.control}{along} length=1.5m",
            f"defaults {inside} class=earth section=2.5mm2 colour=GNYE length=1m",
        ]
    return [*lines, ""]


def routes(panel: Panel) -> list[str]:
    """Ducts and trays, and how each lies to the others."""
    if not panel.style.routes:
        return []
    chance, lines = panel.chance, []
    power = [f"DUCT1{number_}" for number_ in range(1, panel.ducts + 1)] + ["DUCT10"]
    for name in power:
        lines.append(f'route {name} "power" at={panel.name} kind=duct')
    lines.append(f'route DUCT2 "control" at={panel.name} kind=duct')
    lines.append(f'route DUCT3 "signals" at={panel.name} kind=duct')
    if panel.needs_door:
        lines.append(f'route HINGE1 "hinge loop" at={panel.name}.D kind=hinge')
        if panel.alternating:  # 230 V goes to the door: signals have a loop of their own
            lines.append(f'route HINGE2 "hinge loop, signals" at={panel.name}.D kind=hinge')
            lines.append("relation HINGE1 HINGE2 spacing=200mm parallel=0.5m")
    kind = chance.choice(("perforated-tray", "ladder"))
    for name, words, divider in (
        ("TRAY1", "drives", ""),
        ("TRAY2", "mains", ""),
        ("TRAY3", "control", " divider=yes" if panel.style.divided else ""),
    ):
        lines.append(f'route {name} "{words}" at={panel.hall} kind={kind} length=30m{divider}')
    if not panel.style.divided:
        lines.append(f'route TRAY4 "signals" at={panel.hall} kind={kind} length=30m')
    for name in power:
        lines.append(f"relation {name} DUCT2 crossing={chance.choice((85, 90, 95))}deg")
        lines.append(f"relation {name} DUCT3 spacing={chance.choice((200, 250, 300))}mm parallel={chance.choice((1, 1.5))}m")
    for name in panel.output_ducts:
        lines.append(f'route {name} "output of a drive" at={panel.name} kind=duct')
        for other in (*power, "DUCT2", "DUCT3"):
            lines.append(f"relation {name} {other} spacing={chance.choice((250, 300))}mm parallel=1m")
    for number_, one in enumerate(panel.output_ducts):
        for other in panel.output_ducts[number_ + 1 :]:
            lines.append(f"relation {one} {other} spacing=250mm parallel=1m")
    trays = ("TRAY1", "TRAY2", "TRAY3") if panel.style.divided else ("TRAY1", "TRAY2", "TRAY3", "TRAY4")
    for number_, one in enumerate(trays):
        for other in trays[number_ + 1 :]:
            if chance.random() < 0.2:
                lines.append(f"relation {one} {other} crossing={chance.choice((82, 90, 98))}deg")
            else:
                lines.append(
                    f"relation {other} {one} spacing={chance.choice((500, 600, 800))}mm parallel={chance.choice((10, 20, 30))}m"
                )
    return lines


def infeed(panel: Panel) -> list[str]:
    """Supply, incoming cable, isolator, busbars, the earth bar's main conductor, bonds."""
    chance, system = panel.chance, panel.system
    total = max(sum(feeder.amps for feeder in panel.feeders) + panel.beside, 12)
    largest = max((feeder.largest for feeder in panel.feeders), default=16)
    fuse = next((value for value in FUSES if value >= max(total * 1.1, largest * 1.25, 25)), None)
    assert fuse is not None, total
    cable = section(fuse * FUSE, CABLES, 0.7 if panel.style.routes else 1.0) or 240
    inside = section(fuse * FUSE, WIRES, 0.8 if panel.style.routes else 1.0)
    bars = "" if inside else f" ampacity={fuse * 2}A"
    inside = inside or 120
    cable = max(cable, 10 if system == "TN-C" else 4)
    main_earth = max(earth_of(max(cable, inside)), 10)
    if main_earth != earth_of(cable) or cable not in (4, 6, 10, 16):
        split = True
    else:
        split = chance.random() < 0.2
    split = split and system != "TN-C"
    isolator = next(
        value
        for value, most in ((25, 10), (40, 16), (63, 25), (100, 50), (160, 70), (250, 150))
        if value >= fuse and most >= inside
    )
    way = " along=TRAY2" if panel.style.routes else ""
    bus = panel.bus
    fault = chance.choice(("4kA", "5kA", "6kA"))
    stated = {
        "TN-S": f"fault-current={fault} earth-fault-current={chance.choice(('2.5kA', '3kA'))}",
        "TN-C-S": f"fault-current={fault} earth-fault-current={chance.choice(('2.5kA', '3kA'))}",
        "TN-C": f"fault-current={fault} earth-fault-current={chance.choice(('2.5kA', '3kA'))}",
        "TT": f"fault-current={fault} earth-fault-current=20A earth-resistance={chance.choice((10, 20, 40, 60))}ohm",
        "IT": f"fault-current={fault}",
    }[system]
    if system in ("TN-S", "TN-C-S") and chance.random() < 0.2:
        kva = 160
        stated = f"transformer={kva}kVA transformer-impedance=4% transformer-losses={chance.choice((1.8, 2.4))}kW"
    words = chance.choice(("Site distribution", "Hall distribution", "Main distribution, way 3"))
    lines = [f'supply -G0 "{words}" system={system} voltage=400V frequency=50Hz {stated} upstream=fuse-gG-{fuse}A']
    length = chance.randint(5, 25)
    poles = 4 if panel.neutral else 3
    strip = chance.random() < 0.6 or system == "TT" or cable > {25: 10, 40: 16, 63: 25, 100: 50, 160: 70, 250: 150}[isolator]
    ends = [f"-X0:{each}" for each in ("L1", "L2", "L3")] if strip else [f"-Q0:{each}" for each in "135"]
    if strip:
        size = max(cable, inside)
        lines += [
            f'strip -X0 "{chance.choice(("Incoming", "Supply", "Infeed"))}" at={panel.inside} {{',
            f"  :L1 :L2 :L3 {number(size)}mm2",
        ]
        if panel.neutral and system != "TN-C":
            lines.append(f"  :N neutral {number(size)}mm2")
        lines.append("}")
    neutral_end = "-X0:N" if strip else f"{bus}:N"
    cores = [
        f"{colour} -G0:{pole} to {end}" for colour, pole, end in zip(("BN", "BK", "GY"), ("L1", "L2", "L3"), ends, strict=True)
    ]
    with_neutral = panel.neutral and system != "TN-C"
    if with_neutral:
        cores.append(f"BU -G0:N to {neutral_end}")
    first = panel.earth()
    pen = "PEN" if system == "TN-C" else "PE"
    count = len(cores)
    if split:
        lines += panel.cable("-W0", f"{count}x{number(cable)}", length, "mains", cores, words=' "incoming"')
        lines += [
            f"cable -W00 1G{number(max(main_earth, earth_of(cable)))} length={length}m{way} {{",
            f"  GNYE -G0:PE to {first}",
            "}",
        ]
    else:
        lines += panel.cable(
            "-W0", f"{count + 1}G{number(cable)}", length, "mains", (*cores, f"GNYE -G0:{pen} to {first}"), words=' "incoming"'
        )
    lines.append(
        f'device -Q0 switch-disconnector-{isolator}a "Main isolator" at={panel.inside}'
        + (f" operated-at={panel.door}" if panel.style.door != "none" else "")
    )
    lines.append(f'busbar {bus} "Busbars" at={panel.inside} poles={poles} current={isolator}A')
    along = " along=DUCT10" if panel.style.routes else ""

    def heavy(ends: str, klass: str = "mains") -> str:
        text = panel.wire(ends, klass, inside, way=along, length=chance.choice((0.5, 0.8, 1)))
        text = text if "mm2" in text else text.replace(" along", f" {number(inside)}mm2 along", 1)
        return text.replace(f"{number(inside)}mm2", f"{number(inside)}mm2") + bars

    if strip:
        lines.append(heavy("-X0:L1,L2,L3 to -Q0:1,3,5"))
    guarded = system == "TT"
    after = "-Q0:2,4,6"
    if guarded:
        drives = any(feeder.title.startswith("Drive") for feeder in panel.feeders)
        kind = "rcd-4p-b-300" if drives else chance.choice(("rcd-4p-b-300", "rcd-4p-a"))
        said = "" if kind == "rcd-4p-b-300" else " residual-current=300mA"
        lines.append(f'device -F0 {kind} "Residual current" at={panel.inside} current={fuse if fuse <= 63 else 100}A{said}')
        lines.append(heavy(f"{after} to -F0:1,3,5"))
        after = "-F0:2,4,6"
        # the neutral goes through the device as the phases do
        lines.append(heavy("-X0:N to -F0:N1", "neutral"))
        lines.append(heavy(f"-F0:N2 to {bus}:N", "neutral"))
    elif with_neutral and strip:
        lines.append(heavy(f"-X0:N to {bus}:N", "neutral"))
    if system == "TN-C":
        lines.append(heavy(f"{panel.earth()} to {bus}:N", "neutral"))
    lines.append(heavy(f"{after} to {bus}:L1,L2,L3"))
    bond = max(main_earth, 10)
    lines.append(bonded(panel, f"{panel.earth()} to {panel.name}:PE", bond))
    if panel.needs_door and panel.style.door == "metal":
        hinge = " along=HINGE1" if panel.style.routes else ""
        lines.append(panel.wire(f"{panel.name}:PE to {panel.door}:PE", "earth", chance.choice((6, 10)), way=hinge, length=1))
    return lines


def bonded(panel: Panel, ends: str, size: float) -> str:
    """A bond."""
    return panel.wire(ends, "earth", size, length=0.5)


def bars(panel: Panel) -> list[str]:
    """The earth bar with as many ways as were taken, and the bonded rail."""
    words = panel.chance.choice(("Earth bar", "Main earth bar", "PE"))
    lines = [f'device {panel.bar} earth-bar "{words}" at={panel.inside} ways={panel.ways} section=1.5..240mm2']
    if panel.field_earths:
        lines += [
            f'strip -X8 "Protective conductors" at={panel.inside} rail=bonded {{',
            f"  :1..{panel.field_earths} earth 25mm2",
            "}",
        ]
    return lines


def direct_voltage(panel: Panel) -> list[str]:
    """The 24 V supply and its branches; nothing where no one takes 24 V."""
    if not panel.rails:
        return []
    chance, bus = panel.chance, panel.bus
    way = f" along={panel.power_way()}" if panel.style.routes else ""
    lines = []
    many = len(panel.rails)
    if panel.neutral and chance.random() < 0.7:
        part = "supply-24v-20a"
        two = chance.random() < 0.3
        lines.append(
            f'device -F9 {"mcb-1pn" if two else chance.choice(("mcb-1p", "mcb-1p-c"))} "24 V" at={panel.inside} current=6A'
        )
        lines.append(f'device -T9 {part} "24 V" at={panel.inside}')
        phase = chance.choice(("L1", "L2", "L3"))
        lines.append(panel.wire(f"{bus}:{phase} to -F9:1", "mains", 2.5, way=way, length=1))
        lines.append(panel.wire("-F9:2 to -T9:L", "mains", 2.5, way=way, length=0.5))
        if two:
            lines.append(panel.wire(f"{bus}:N to -F9:N1", "neutral", 2.5, way=way, length=1))
            lines.append(panel.wire("-F9:N2 to -T9:N", "neutral", 2.5, way=way, length=0.5))
        else:
            lines.append(panel.wire(f"{bus}:N to -T9:N", "neutral", 2.5, way=way, length=1))
    else:
        part = chance.choice(("supply-24v-3ph-20a", "supply-24v-3ph"))
        lines.append(f'device -F9 mcb-3p-c "24 V" at={panel.inside} current=6A')
        lines.append(f'device -T9 {part} "24 V" at={panel.inside}')
        lines.append(panel.wire(f"{bus}:L1,L2,L3 to -F9:1,3,5", "mains", 2.5, way=way, length=1))
        lines.append(panel.wire("-F9:2,4,6 to -T9:L1,L2,L3", "mains", 2.5, way=way, length=0.5))
    lines.append(panel.wire(f"-T9:PE to {panel.earth()}", "earth", 2.5, length=0.5))
    if many == 1:
        plus, zero = ["-T9:+"], ["-T9:-"]
        earth_from = "-T9:-"
    else:
        lines += [
            f'strip -X20 "24 V before the branches" at={panel.inside} {{',
            f"  :1..{many + 1} 4mm2",
            f"  :51..{52 + many} 4mm2",
            f"  bridge :1..{many + 1}",
            f"  bridge :51..{52 + many}",
            "}",
        ]
        lines.append(panel.wire("-T9:+ to -X20:1", "control", 4))
        lines.append(panel.wire("-T9:- to -X20:51", "control", 4))
        plus = [f"-X20:{number_ + 2}" for number_ in range(many)]
        zero = [f"-X20:{number_ + 52}" for number_ in range(many)]
        earth_from = f"-X20:{52 + many}"
    for rail, live, back in zip(panel.rails, plus, zero, strict=True):
        guard = f"-F9{rail.number}"
        rated = "current=1A curve=Z instantaneous=3A voltage=60V"
        lines.append(f'device {guard} mcb-1p "24 V, branch {rail.number}" at={panel.inside} {rated}')
        lines.append(panel.wire(f"{live} to {guard}:1", "control", 1.5 if many == 1 else 2.5))
        if panel.style.blocks:
            lines += [
                f"distribution-block {rail.name}P at={panel.inside} poles=1 current=16A",
                f"distribution-block {rail.name}N at={panel.inside} poles=1 current=16A",
            ]
            lines.append(panel.wire(f"{guard}:2 to {rail.name}P:L1", "control", 1.5))
            lines.append(panel.wire(f"{back} to {rail.name}N:L1", "control", 1.5))
        else:
            lines += [
                f'strip {rail.name} "{chance.choice(("24 V", "Control voltage"))}" at={panel.inside} {{',
                f'  :1..{max(rail.plus, 2)} 2.5mm2 "24 V"',
                f'  :101..{100 + max(rail.zero, 2)} 2.5mm2 "0 V"',
                f"  bridge :1..{max(rail.plus, 2)}",
                f"  bridge :101..{100 + max(rail.zero, 2)}",
                "}",
            ]
            lines.append(panel.wire(f"{guard}:2 to {rail.name}:1", "control", 1.5))
            lines.append(panel.wire(f"{back} to {rail.name}:101", "control", 1.5))
    reference = panel.earth()
    lines.append(panel.wire(f"{earth_from} to {reference}", "earth", 2.5, colour="GNYE", length=0.5))
    lines.append(f"earthing of -T9:- at {reference}")
    return lines


def alternating_voltage(panel: Panel) -> list[str]:
    """230 V for contactors: of a control transformer, earthed at one point, or between a phase and neutral."""
    taps = panel.alternating_taps
    if taps["L"] < 2:
        return []
    chance, bus = panel.chance, panel.bus
    way = f" along={panel.power_way()}" if panel.style.routes else ""
    lines = [f'strip -X60 "230 V" at={panel.inside} {{']
    for pole in "LN":
        names = " ".join(f":{pole}{count}" for count in range(1, taps[pole] + 1))
        lines += [f"  {names} 2.5mm2", f"  bridge {names}"]
    lines.append("}")
    if panel.neutral and panel.system != "TT" and chance.random() < 0.5:
        lines.append(f'device -F31 mcb-1p-c "Control" at={panel.inside} current=2A')
        lines.append(panel.wire(f"{bus}:{chance.choice(('L1', 'L2', 'L3'))} to -F31:1", "mains", 2.5, way=way, length=1))
        lines.append(panel.wire("-F31:2 to -X60:L1", "mains", 2.4999, way=way, length=0.5, colour=panel.style.power))
        lines.append(panel.wire(f"{bus}:N to -X60:N1", "neutral", 2.5, way=way, length=1))
        return lines
    lines.append(f'device -F31 mcb-2p-c "Control transformer" at={panel.inside} current=4A')
    lines.append(f"device -T8 control-transformer-400va at={panel.inside} short-circuit-voltage={chance.choice((4, 5))}%")
    lines.append(f'device -F32 mcb-1p-b "Control" at={panel.inside} current=1A')
    lines.append(panel.wire(f"{bus}:L1,L2 to -F31:1,3", "mains", 2.5, way=way, length=1))
    lines.append(panel.wire("-F31:2,4 to -T8:1,3", "mains", 2.5, way=way, length=0.5))
    lines.append(panel.wire(f"-T8:PE to {panel.earth()}", "earth", 2.5))
    lines.append(panel.wire("-T8:2 to -F32:1", "control", 1.5, length=0.5))
    lines.append(panel.wire("-F32:2 to -X60:L1", "control", 1.5, length=0.5))
    lines.append(panel.wire("-T8:4 to -X60:N1", "control", 1.5, length=0.5))
    reference = panel.earth()
    lines.append(panel.wire(f"-T8:4 to {reference}", "earth", 2.5, colour="GNYE", length=0.5))
    lines.append(f"earthing of -T8:4 at {reference}")
    return lines
