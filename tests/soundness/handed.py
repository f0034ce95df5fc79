"""Two pumps that one drive starts in turn and hands to the mains: contactors from both sides, interlocked, with a dead time."""

from __future__ import annotations

from tests.soundness.drives import drive_of
from tests.soundness.panel import Feeder, Panel
from tests.soundness.pumps import contactor_for, relay_for
from tests.soundness.trade import CABLES, meet, number, section, series


def alternating(panel: Panel, feeder: Feeder) -> None:
    """The drive in one function with both pumps; terminals are led in an order of their own."""
    chance, n = panel.chance, feeder.n
    motors = [each for each in series("motor-") if each.winding == "400/690V" and 7 <= each.values["current"] <= 10]
    part = chance.choice(motors)
    amps = part.values["current"]
    drive, _ = drive_of(panel, feeder, amps=amps, power=part.values["power"], motor=False)
    drive.settings |= {"motor-current": f"{number(amps)}A", "enable-input": "on"}
    switch, relay = contactor_for(amps, part.values["power"]), relay_for(amps)
    drive.rail = panel.rail(0.2)
    feeder.amps += 2 * amps
    clamp = meet([switch.power_clamp, relay.power_clamp, (1, 16)])
    guard = next(value for value in (10, 13, 16) if value >= amps * 1.15)
    block, screens = n("X6"), n("X7")
    total = drive.part.values["current"]
    inner = max(2.5, section(total) or 2.5)
    feeder.add(
        f'distribution-block {block} "Output of the drive" at={panel.inside} poles=3 current={number(max(25, total))}A',
        f"device {screens} screen-bar at={panel.inside} ways=4",
        f'strip {n("X8")} "Release" at={panel.inside} {{',
        "  :1..3 2.5mm2",
        "  bridge :1..3",
        "}",
        f'strip {n("X9")} "Isolators" at={panel.inside} {{',
        "  :1..4 2.5mm2",
        "}",
    )
    core = min(section(total, CABLES, 0.7, least=2.5) or 4, clamp[1])
    outs = ["u", "v", "w"]
    made = panel.cable(
        n("W5"),
        f"3x{number(core)}",
        2,
        "motor",
        (
            *(
                f"{colour} {drive.t(out)} to {block}:{pole}"
                for colour, out, pole in zip(("BN", "BK", "GY"), outs, ("L1", "L2", "L3"), strict=True)
            ),
            f"screen {drive.t('sh')} clamp to {screens}:1 clamp",
        ),
        screened=True,
    )
    if panel.style.routes:
        name = f"DUCT5{feeder.index}"
        panel.output_ducts.append(name)
        made[0] = made[0].split(" method")[0] + f" method=B2 along={name} {{"
    feeder.add(*made)
    way = f" along={panel.power_way()}" if panel.style.routes else ""
    size = section(guard, reduced=0.57 if way else 1.0, least=2.5)
    if size is None or size > clamp[1]:
        way, size = "", section(guard, least=2.5)
    assert size is not None and size <= clamp[1]

    def c(*ends: str, outside: bool = False) -> None:
        feeder.add(panel.control(*ends, door=outside and panel.style.door != "none"))

    stands = panel.door if panel.style.door != "none" else panel.inside
    feeder.device("S1", "selector-2", "Pumps", at=stands)
    c(drive.plus(), f"{n('S1')}:13", outside=True)
    c(f"{n('S1')}:14", drive.t("start"), outside=True)
    c(f"{n('X8')}:1", drive.t("enable"))
    length = chance.randint(3, 25)
    for one, other, taps in (
        (1, 2, (drive.t("fault-c"), drive.t("fault-a"), drive.t("preset-1"))),
        (2, 1, (drive.t("run-c"), drive.t("run-a"), drive.t("preset-2"))),
    ):
        call_from, call_to, interlock = taps
        rail = panel.rail(0.75)
        short = [
            f"{letter}{one}{k}"
            for letter, k in (("K", 1), ("K", 2), ("K", 3), ("K", 4), ("K", 5), ("B", 1), ("Q", 7), ("M", 1), ("F", 1))
        ]
        k1, k2, k3, k4, k5, b1, q7, m1, f1 = (n(each) for each in short)
        other_k1, other_k3, other_k4 = (n(f"K{other}{k}") for k in (1, 3, 4))
        feeder.device(f"F{one}1", "mcb-3p-d", current=f"{guard}A")
        feeder.device(f"K{one}1", switch.name, f"Drive to pump {one}")
        feeder.device(f"K{one}2", switch.name, f"Mains to pump {one}")
        feeder.device(f"K{one}3", "relay-4co", "Called")
        feeder.device(f"K{one}4", "relay-4co", "Handed over")
        feeder.device(f"K{one}5", "timer-on-delay", "Residual voltage has gone")
        feeder.device(f"B{one}1", relay.name)
        feeder.device(f"Q{one}7", "field-isolator", at=panel.hall, current="16A")
        feeder.device(f"M{one}1", part.name, f"Pump {one}", at=panel.hall)
        feeder.add(
            f"fit aux-contacts-1-1 on {k1}",
            f"fit mechanical-interlock on {k1}",
            f"fit relay-socket on {k3}",
            f"fit relay-socket on {k4}",
            f"interlock {k1} {k2} mechanical",
            f"interlock {k1} {k2} electrical",
            f"set {b1} tripping-current={number(amps)}A reset=manual",
            f"connect {m1} delta",
            panel.wire(f"{block}:L1,L2,L3 to {k1}:1,3,5", "motor", min(inner, clamp[1]), length=0.2),
            panel.wire(f"{panel.bus}:L1,L2,L3 to {f1}:1,3,5", "mains", size, way=way, length=1),
            panel.wire(f"{f1}:2,4,6 to {k2}:1,3,5", "mains", size, way=way, length=1),
            panel.wire(f"{k1}:2,4,6 to {k2}:2,4,6", "motor", min(max(size, inner), clamp[1]), length=0.1),
            panel.wire(f"{k2}:2,4,6 to {b1}:1,3,5", "motor", min(max(size, inner), clamp[1]), length=0.1),
            *panel.cable(
                n(f"W{one}1"),
                f"4G{number(core)}",
                length,
                "motor",
                (
                    f"BN {b1}:2 to {q7}:1",
                    f"BK {b1}:4 to {q7}:3",
                    f"GY {b1}:6 to {q7}:5",
                    f"GNYE {panel.earth()} to {q7}:PE1",
                    f"screen {screens}:{one + 1} clamp to {q7}:SH1 gland",
                ),
                screened=True,
            ),
            *panel.cable(
                n(f"W{one}2"),
                f"4G{number(core)}",
                2,
                "motor",
                (
                    f"BN {q7}:2 to {m1}:U1",
                    f"BK {q7}:4 to {m1}:V1",
                    f"GY {q7}:6 to {m1}:W1",
                    f"GNYE {q7}:PE2 to {m1}:PE",
                    f"screen {q7}:SH2 gland to {m1}:SH gland",
                ),
                screened=True,
            ),
        )
        first = f"{n('X9')}:{2 * one - 1}"
        second = f"{n('X9')}:{2 * one}"
        feeder.add(*panel.cable(n(f"W{one}3"), "2x1.5", length, "control", (f"BN {first} to {q7}:13", f"BU {second} to {q7}:14")))
        c(panel.plus(rail), f"{b1}:95", call_from)
        c(f"{b1}:96", first)
        c(second, f"{k3}:11", f"{k3}:21", f"{k3}:41", interlock)
        c(call_to, f"{k3}:A1")
        # to the drive as long as it is called, not handed over, its mains contactor and the other pump's contactor out
        c(f"{k3}:14", f"{k4}:11")
        c(f"{k4}:12", f"{k2}:21")
        c(f"{k2}:22", f"{other_k1}:61")
        c(f"{other_k1}:62", f"{k1}:A1")
        # handed over: to the mains, the drive's contactor confirmed open, after the dead time
        c(f"{k4}:14", f"{k1}:21")
        c(f"{k1}:22", f"{k5}:A1", f"{k5}:15")
        c(f"{k5}:18", f"{k2}:A1")
        # the hand-over, held while called; the other's keeps it off
        c(f"{k3}:44", f"{other_k4}:41")
        c(f"{other_k4}:42", f"{k1}:53", f"{k4}:31")
        c(f"{k1}:54", f"{other_k3}:31")
        c(f"{other_k3}:34", f"{k4}:34", f"{k4}:A1")
        # current only while the contactor is closed
        c(f"{k3}:24", f"{k4}:21")
        c(f"{k4}:22", f"{k1}:13")
        c(f"{k1}:14", f"{n('X8')}:{one + 1}")
        c(panel.zero(rail), f"{k1}:A2", f"{k2}:A2", f"{k3}:A2", f"{k4}:A2", f"{k5}:A2")
    feeder.add(f"interlock {n('K11')} {n('K21')} electrical")
    drive.close()
