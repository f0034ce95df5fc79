"""Power of a frequency converter: what protects and feeds it, its output up to the motor in the ways it is built."""

from __future__ import annotations

from dataclasses import dataclass, field

from tests.soundness.panel import Feeder, Panel, Rail
from tests.soundness.starters import conduit
from tests.soundness.trade import CABLES, IN_DUCT, Part, factor, meet, number, rating, section, series

#: functions of a drive's terminals, as the library and three makers of this generator's own call them
NAMES: dict[str, tuple[str, ...]] = {
    "l1": ("L1", "R", "1", "U1"),
    "l2": ("L2", "S", "3", "V1"),
    "l3": ("L3", "T", "5", "W1"),
    "u": ("U", "U", "2", "U2"),
    "v": ("V", "V", "4", "V2"),
    "w": ("W", "W", "6", "W2"),
    "pe": ("PE", "E", "PE1", "PE"),
    "pe2": ("PE2", "EM", "PE2", "PEM"),
    "sh": ("SH", "SM", "S1", "SCR1"),
    "shc": ("SHC", "SC", "S2", "SCR2"),
    "24v": ("24V", "P24", "12", "X2.1"),
    "com": ("COM", "CM", "20", "X2.2"),
    "start": ("DI1", "M1", "18", "X1.1"),
    "stop": ("DI2", "M2", "19", "X1.2"),
    "remote": ("DI3", "M3", "27", "X1.3"),
    "enable": ("DI4", "M4", "29", "X1.4"),
    "preset-1": ("DI5", "M5", "32", "X1.5"),
    "preset-2": ("DI6", "M6", "33", "X1.6"),
    "10v": ("10V", "+V", "50", "X3.1"),
    "ai-v": ("AI1", "A1", "53", "X3.2"),
    "ai-i": ("AI2", "A2", "54", "X3.3"),
    "agnd": ("AGND", "AC", "55", "X3.4"),
    "ao": ("AO1", "AM", "42", "X3.5"),
    "fault-c": ("RO1C", "MA", "01", "X4.1"),
    "fault-a": ("RO1A", "MC", "02", "X4.2"),
    "run-c": ("RO2C", "RA", "04", "X4.3"),
    "run-a": ("RO2A", "RC", "05", "X4.4"),
    "bus-a": ("A", "DA", "69", "X5.1"),
    "bus-b": ("B", "DB", "68", "X5.2"),
    "bus-c": ("BCOM", "DG", "61", "X5.3"),
    "sto-1": ("STO1", "H1", "37", "X6.1"),
    "sto-2": ("STO2", "H2", "38", "X6.2"),
    "sto-c": ("STOC", "HC", "39", "X6.3"),
    "ptc-1": ("THP", "TH", "70", "X7.1"),
    "ptc-2": ("THN", "TC", "71", "X7.2"),
}

#: how a motor hangs at its drive
OUTPUTS = ("straight", "straight", "straight", "box", "isolator", "slope", "thermistor", "combined")


@dataclass
class Drive:
    """A drive in a feeder: `maker` 0 is the library; taps of its own 24 V and 0 V, or of the panel's."""

    panel: Panel
    feeder: Feeder
    maker: int
    part: Part
    rail: Rail | None = None  # fed by the panel's 24 V
    plus_taps: int = 0
    zero_taps: int = 0
    settings: dict[str, str] = field(default_factory=dict)
    enable_from: list[str] = field(default_factory=list)  # contacts that its enable runs through

    def t(self, what: str) -> str:
        """A terminal by what it does."""
        return f"{self.feeder.n('T1')}:{NAMES[what][self.maker]}"

    def far(self, what: str) -> str:
        """The same as other feeders write it."""
        return f"{self.feeder.full('T1')}:{NAMES[what][self.maker]}"

    def plus(self) -> str:
        """A 24 V tap for its inputs."""
        if self.rail is not None:
            self.rail.amps += 0.02
            return self.panel.plus(self.rail)
        self.plus_taps += 1
        return f"{self.feeder.n('X4')}:{self.plus_taps + 1}"

    def zero(self) -> str:
        """A tap of the common of its inputs."""
        if self.rail is not None:
            return self.panel.zero(self.rail)
        self.zero_taps += 1
        return f"{self.feeder.n('X4')}:{51 + self.zero_taps}"

    def close(self) -> None:
        """The strip of its own 24 V, the settings."""
        feeder, panel = self.feeder, self.panel
        if self.rail is not None:
            feeder.add(panel.control(panel.zero(self.rail), self.t("com")))
        elif self.plus_taps or self.zero_taps:
            feeder.add(f'strip {feeder.n("X4")} "24 V of the drive" at={panel.inside} {{')
            for first, taps in ((1, self.plus_taps), (51, self.zero_taps)):
                if taps:
                    feeder.add(f"  :{first}..{first + taps} 2.5mm2", f"  bridge :{first}..{first + taps}")
            feeder.add("}")
            if self.plus_taps:
                feeder.add(panel.control(self.t("24v"), f"{feeder.n('X4')}:1"))
            if self.zero_taps:
                feeder.add(panel.control(self.t("com"), f"{feeder.n('X4')}:51"))
        if self.settings:
            feeder.add(f"set {feeder.n('T1')} " + " ".join(f"{name}={value}" for name, value in self.settings.items()))


def own_part(panel: Panel, maker: int, part: Part) -> str:
    """A drive of another maker with the ratings of a shipped one; its name."""
    values = part.values
    name = f"inverter-{maker}-{number(values['power'] / 1000)}kw"
    if any(line.startswith(f"part {name} ") for line in panel.places):
        return name

    def n(what: str) -> str:
        return ":" + NAMES[what][maker]

    low, high = part.power_clamp
    power, signal = f"{number(low)}..{number(high)}mm2", "0.2..2.5mm2"
    earth = f"{number(part.earth_clamp[0])}..{number(part.earth_clamp[1])}mm2"
    panel.places += [
        f'part {name} "Inverter {number(values["power"] / 1000)} kW" {{',
        "  kind = drive   symbol = frequency-converter   letter = T   class = I",
        f"  power = {number(values['power'] / 1000)}kW   current = {number(values['current'])}A   voltage = 380..480V",
        f"  input-current = {number(values['input-current'])}A   losses = {number(values['losses'])}W",
        f"  touch-current = {number(values['touch-current'] * 1000)}mA   max-upstream = {number(values['max-upstream'])}A",
        "  max-cable-length = 100m",
        f"  terminal {n('l1')} {n('l2')} {n('l3')} line-in {power} required",
        f"  terminal {n('u')} {n('v')} {n('w')} motor-out {power} required",
        f"  terminal {n('pe')} earth {earth} required",
        f"  terminal {n('pe2')} earth {earth}",
        f"  terminal {n('sh')} {n('shc')} screen",
        f"  terminal {n('24v')} supply-out {signal} clamps=2 common={n('com')} voltage=24V dc",
        f"  terminal {n('com')} digital-common {signal} clamps=2",
        *(
            f"  terminal {n(what)} digital-in {signal} common={n('com')} voltage=24V dc"
            for what in ("start", "stop", "remote", "enable", "preset-1", "preset-2")
        ),
        f"  terminal {n('10v')} reference-out {signal} common={n('agnd')} voltage=10V dc",
        f"  terminal {n('ai-v')} {n('ai-i')} analogue-in {signal} common={n('agnd')}",
        f"  terminal {n('ao')} analogue-out {signal} common={n('agnd')}",
        f"  terminal {n('agnd')} analogue-common {signal} clamps=2",
        *(
            f"  terminal {n(what)} contact {signal} clamps=2 voltage=250V current=2A"
            for what in ("fault-c", "fault-a", "run-c", "run-a")
        ),
        *(
            f"  terminal {n(what)} bus 0.2..1.5mm2 clamps=2 line={line}"
            for what, line in (("bus-a", "a"), ("bus-b", "b"), ("bus-c", "common"))
        ),
        f"  terminal {n('sto-1')} {n('sto-2')} safety-in {signal} clamps=2 common={n('sto-c')} voltage=24V dc",
        f"  terminal {n('sto-c')} digital-common {signal} clamps=2",
        f"  terminal {n('ptc-1')} {n('ptc-2')} thermistor {signal}",
        f"  source {n('24v')} to {n('com')} voltage=24V dc current=200mA",
        f"  source {n('10v')} to {n('agnd')} voltage=10V dc current=10mA",
        f"  contact {n('fault-c')} to {n('fault-a')} make by=fault",
        f"  contact {n('run-c')} to {n('run-a')} make by=running",
        "  setting ai1 voltage 4..20mA",
        "  setting ai2 4..20mA voltage",
        f"  setting motor-current 0.2..{number(values['current'])}A",
        "  setting address 1..247",
        "  setting termination off on",
        "  setting enable-input off on",
        "  setting thermistor off on",
        "  setting emc-filter connected disconnected",
        "}",
    ]
    return name


def drive_of(
    panel: Panel, feeder: Feeder, *, most: float = 0.0, motor: bool = True, amps: float = 0.0, power: float = 0.0
) -> tuple[Drive, Part]:
    """Feed a drive from the busbars: breaker or fuses, perhaps a reactor or a filter, its earth. It, and the motor it is for."""
    chance, n = panel.chance, feeder.n
    limit = most or max(2.5, min(panel.share(), 40))
    motors = [part for part in series("motor-") if part.winding and part.values["current"] * 1.1 <= limit]
    wanted = chance.choice(motors or [series("motor-0.75kw-4p")[0]])
    needed = amps or wanted.values["current"]
    drives = sorted(series("vsd-"), key=lambda each: each.values["power"])
    power = power or wanted.values["power"]
    part = next(each for each in drives if each.values["current"] >= needed and each.values["power"] >= power)
    maker = chance.choice((1, 2, 3)) if panel.style.own_drives else 0
    drive = Drive(panel, feeder, maker, part)
    feeder.drive = drive
    taken = part.values["input-current"]
    feeder.amps = taken
    size_of = rating(max(6, taken * 1.25))
    assert size_of is not None
    size_of = min(size_of, int(part.values["max-upstream"]))
    feeder.largest = size_of
    extra = chance.choice(("", "", "", "reactor", "filter"))
    reactor = next((each for each in series("line-reactor-") if each.values["current"] >= taken), None)
    filter_ = next((each for each in series("emc-filter-") if each.values["current"] >= taken), None)
    clamps = [part.power_clamp]
    if extra == "reactor" and reactor is not None:
        clamps.append(reactor.power_clamp)
    elif extra == "filter" and filter_ is not None and panel.system != "IT":
        clamps.append(filter_.power_clamp)
    else:
        extra = ""
    clamp = meet(clamps)
    way = f" along={panel.power_way()}" if panel.style.routes else ""
    reduced = factor(IN_DUCT, 5) if way else 1.0
    size = section(size_of, reduced=reduced, least=max(2.5, clamp[0]))
    if size is None or size > clamp[1]:
        way, size = "", section(size_of, least=max(2.5, clamp[0]))
    if size is None or size > clamp[1]:
        size_of = max(
            value
            for value in (6, 10, 13, 16, 20, 25, 32, 40, 50, 63)
            if value >= taken and value <= size_of and (section(value) or 999) <= clamp[1]
        )
        size, feeder.largest = section(size_of, least=max(2.5, clamp[0])), size_of
    assert size is not None
    first = "Q1"
    kind = "mcb-3p-b" if extra == "reactor" else chance.choice(("mcb-3p", "mcb-3p-c", "mcb-3p-c", "fuse-22x58-gg"))
    if kind.startswith("fuse") and (section(size_of * 1.11, reduced=reduced if way else 1.0) or 999) > size:
        kind = "mcb-3p-c"
    feeder.device(first, kind, "", current=f"{size_of}A")
    stated = {} if chance.random() < 0.6 else {"text": "Drive"}
    feeder.device("T1", own_part(panel, maker, part) if maker else part.name, str(stated.get("text", "")))
    steps = [f"{n(first)}:2,4,6"]
    feeder.add(
        panel.wire(f"{panel.bus}:L1,L2,L3 to {n(first)}:1,3,5", "mains", size, way=way, length=chance.choice((0.5, 1, 1.5)))
    )
    inputs = ",".join(NAMES[each][maker] for each in ("l1", "l2", "l3"))
    if extra == "reactor" and reactor is not None:
        feeder.device("L1", reactor.name)
        feeder.add(panel.wire(f"{steps[0]} to {n('L1')}:1,3,5", "mains", size, way=way, length=0.5))
        feeder.add(panel.wire(f"{n('L1')}:2,4,6 to {n('T1')}:{inputs}", "mains", size, way=way, length=0.5))
        feeder.add(panel.wire(f"{n('L1')}:PE to {panel.earth()}", "earth", max(size, 2.5)))
        panel.losses += reactor.values["losses"]
    elif extra == "filter" and filter_ is not None:
        feeder.device("L1", filter_.name)
        feeder.add(panel.wire(f"{steps[0]} to {n('L1')}:L1,L2,L3", "mains", size, way=way, length=0.5))
        feeder.add(panel.wire(f"{n('L1')}:L1o,L2o,L3o to {n('T1')}:{inputs}", "mains", size, way=way, length=0.5))
        feeder.add(filter_earth(panel, feeder, filter_, size))
        panel.losses += filter_.values["losses"]
    else:
        feeder.add(panel.wire(f"{steps[0]} to {n('T1')}:{inputs}", "mains", size, way=way, length=chance.choice((0.5, 1, 1.5))))
    panel.losses += part.values["losses"]
    earths = max(10.0, size)
    if earths <= part.earth_clamp[1]:
        feeder.add(panel.wire(f"{drive.t('pe')} to {panel.earth()}", "earth", earths))
    else:
        raise AssertionError((part.name, earths))
    if panel.system == "IT":
        drive.settings["emc-filter"] = "disconnected"
    if motor:
        drive.settings["motor-current"] = f"{number(min(wanted.values['current'], part.values['current']))}A"
    return drive, wanted


def filter_earth(panel: Panel, feeder: Feeder, filter_: Part, size: float) -> str:
    """The filter's own protective conductor: 10 mm2 where its clamp takes that and its touch current asks for it, else two."""
    n = feeder.n
    if filter_.earth_clamp[1] >= 10:
        return panel.wire(f"{n('L1')}:PE1 to {panel.earth()}", "earth", max(10, size))
    feeder.add(panel.wire(f"{n('L1')}:PE1 to {panel.earth()}", "earth", 4))
    return panel.wire(f"{n('L1')}:PE2 to {panel.earth()}", "earth", 4)


def output(panel: Panel, drive: Drive, part: Part) -> None:
    """From the drive to its one motor."""
    chance, feeder, n = panel.chance, drive.feeder, drive.feeder.n
    amps = part.values["current"]
    said = {}
    if chance.random() < 0.3:
        said = {
            "power": f"{number(part.values['power'] / 1000)}kW",
            "current": f"{number(amps)}A",
            "winding": part.winding,
            "power-factor": number(part.values["power-factor"]),
        }
    feeder.device("M1", "motor" if said else part.name, feeder.title, at=panel.hall, **said)
    feeder.add(f"connect {n('M1')} {'star' if part.winding.startswith('230') else 'delta'}")
    length = chance.randint(2, 38)
    limit = max(amps, drive.part.values["current"])
    clamp = meet([drive.part.power_clamp, part.power_clamp])
    size = section(limit, CABLES, 0.7, least=max(1.5, clamp[0]))
    assert size is not None
    while limit * length / size > 200:
        size = next(larger for larger, _ in CABLES if larger > size)
    size = min(size, clamp[1])
    form = chance.choice(OUTPUTS)
    if (form == "box" and size > 4) or (form == "isolator" and size > 16) or (form == "conduit" and not panel.style.routes):
        form = "straight"
    if (form in ("sine", "slope") and amps > 24) or (size > 10 and form in ("sine", "slope")):
        form = "straight"
    motor, colours = n("M1"), ("BN", "BK", "GY")
    out = [drive.t(each) for each in "uvw"]
    windings = [f"{motor}:{each}" for each in ("U1", "V1", "W1")]
    if form == "conduit":
        conduit(panel, feeder, list(zip(out, windings, strict=True)), size, clamp[1], length, drive.t("pe2"), f"{motor}:PE")
        return
    if form in ("sine", "slope"):
        feeder.device("L2", "sine-filter-25a" if form == "sine" else "dvdt-filter-25a")
        panel.losses += 70
        inner = max(size, 2.5)
        feeder.add(
            panel.wire(
                f"{n('T1')}:{','.join(NAMES[each][drive.maker] for each in 'uvw')} to {n('L2')}:1,3,5", "motor", inner, length=0.2
            )
        )
        feeder.add(panel.wire(f"{n('L2')}:PE to {panel.earth()}", "earth", max(4, size)))
        out = [f"{n('L2')}:{end}" for end in "246"]
        cores = [f"{colour} {one} to {two}" for colour, one, two in zip(colours, out, windings, strict=True)]
        cores.append(f"GNYE {drive.t('pe2')} to {motor}:PE")
        if form == "slope":
            cores.append(f"screen {n('L2')}:SH2 clamp to {motor}:SH gland")
        feeder.add(*panel.cable(n("W1"), f"4G{number(size)}", length, "motor", cores, screened=form == "slope"))
        return
    if form in ("box", "isolator"):
        between, ins, outs, mid = ("X7", "123", "123", "PE") if form == "box" else ("Q7", "135", "246", "PE")
        if form == "box":
            feeder.device("X7", "terminal-box", at=panel.hall)
        else:
            feeder.device(
                "Q7",
                "field-isolator",
                "Maintenance",
                at=panel.hall,
                current=f"{next(a for a in (16, 20, 25, 32, 40, 63) if a >= amps)}A",
            )
        feeder.add(
            *panel.cable(
                n("W1"),
                f"4G{number(size)}",
                length,
                "motor",
                (
                    *(f"{colour} {one} to {n(between)}:{end}" for colour, one, end in zip(colours, out, ins, strict=True)),
                    f"GNYE {drive.t('pe2')} to {n(between)}:{mid}1",
                    f"screen {drive.t('sh')} clamp to {n(between)}:SH1 gland",
                ),
                screened=True,
            )
        )
        feeder.add(
            *panel.cable(
                n("W2"),
                f"4G{number(size)}",
                2,
                "motor",
                (
                    *(f"{colour} {n(between)}:{end} to {two}" for colour, two, end in zip(colours, windings, outs, strict=True)),
                    f"GNYE {n(between)}:{mid}2 to {motor}:PE",
                    f"screen {n(between)}:SH2 gland to {motor}:SH gland",
                ),
                screened=True,
            )
        )
        if form == "isolator":
            drive.enable_from.append(n("Q7"))
        return
    cores = [f"{colour} {one} to {two}" for colour, one, two in zip(colours, out, windings, strict=True)]
    cores.append(f"GNYE {drive.t('pe2')} to {motor}:PE")
    ending = chance.choice(("clamp", "clamp", "gland"))
    cores.append(f"screen {drive.t('sh')} {ending} to {motor}:SH {chance.choice(('gland', 'gland', 'clamp'))}")
    if form == "combined" and size <= 10:
        cores += [
            f"1a {drive.t('ptc-1')} to {motor}:TP1",
            f"1b {drive.t('ptc-2')} to {motor}:TP2",
            f"screen pair 1 {drive.t('shc')} clamp to {motor}:SH open",
        ]
        drive.settings["thermistor"] = "on"
        feeder.add(
            *panel.cable(n("W1"), f"4G{number(size)}+2x(2x1)", length, "motor", cores, screened=True, words=" pair-screened")
        )
        return
    apart = chance.random() < 0.15 and size >= 10
    feeder.add(
        *panel.cable(
            n("W1"),
            f"3x{number(size)}+3G{number(next(s for s, _ in CABLES if s * 3 >= size))}" if apart else f"4G{number(size)}",
            length,
            "motor",
            cores,
            screened=True,
        )
    )
    if form == "thermistor":
        drive.settings["thermistor"] = "on"
        feeder.add(
            *panel.cable(
                n("W3"),
                "1x2x0.75",
                length,
                "signal",
                (
                    f"1a {drive.t('ptc-1')} to {motor}:TP1",
                    f"1b {drive.t('ptc-2')} to {motor}:TP2",
                    f"screen {drive.t('shc')} clamp to {motor}:SH open",
                ),
                screened=True,
            )
        )
