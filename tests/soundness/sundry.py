"""What stands beside the machines: heaters, fans, sockets behind residual-current devices, surge protection, emergency stop."""

from __future__ import annotations

from tests.soundness.panel import Panel


def sundry(panel: Panel) -> list[str]:
    """Small circuits of one phase, where there is a neutral; surge protection."""
    chance = panel.chance
    lines: list[str] = []
    way = f" along={panel.power_way()}" if panel.style.routes else ""

    def mains(ends: str, size: float = 2.5, length: float = 1) -> None:
        lines.append(panel.wire(ends, "mains", size, way=way, length=length))

    def neutral(ends: str, size: float = 2.5) -> None:
        lines.append(panel.wire(ends, "neutral", size, way=way, length=1))

    bus, inside = panel.bus, panel.inside
    if panel.neutral and panel.system != "TT" and chance.random() < 0.4:
        lines.append(f'device -F41 {chance.choice(("mcb-1p", "mcb-1p-b", "mcb-1p-c"))} "Heater" at={inside} current=6A')
        lines.append(f"device -B41 thermostat-heater at={inside}")
        lines.append(f"device -E41 heater at={inside}")
        mains(f"{bus}:{chance.choice(('L1', 'L2', 'L3'))} to -F41:1")
        mains("-F41:2 to -B41:1")
        # behind a contact it is of the class of control, whose usual section is smaller: say it
        lines.append(panel.wire("-B41:2 to -E41:L", "mains", 2.5001, way=way, length=1))
        neutral(f"{bus}:N to -E41:N")
        lines.append(panel.wire(f"-E41:PE to {panel.earth()}", "earth", 2.5))
    if panel.neutral and panel.system != "TT" and chance.random() < 0.3:
        guard = chance.choice(("rcbo", "rcd"))
        panel.beside += 13
        lines.append(f'device -X42 socket "Service" at={inside}')
        if guard == "rcbo":
            lines.append(f'device -F42 rcbo-1pn-a "Service socket" at={inside} current=10A')
            mains(f"{bus}:L2 to -F42:1", 4)
            neutral(f"{bus}:N to -F42:N1", 4)
            mains("-F42:2 to -X42:L", 4)
            neutral("-F42:N2 to -X42:N", 4)
        else:
            lines.append(f'device -F42 mcb-1p-b "Service socket" at={inside} current=10A')
            lines.append(f'device -F43 rcd-2p-a "Service socket" at={inside} current=25A')
            mains(f"{bus}:L2 to -F42:1", 4)
            mains("-F42:2 to -F43:1", 4)
            neutral(f"{bus}:N to -F43:N1", 4)
            mains("-F43:2 to -X42:L", 4)
            neutral("-F43:N2 to -X42:N", 4)
        lines.append(panel.wire(f"-X42:PE to {panel.earth()}", "earth", 4))
    if panel.neutral and panel.system in ("TN-S", "TN-C-S") and chance.random() < 0.25:
        lines.append(f'device -F44 fuse-10x38-gg "Surge protection" at={inside} current=25A')
        lines.append(f"device -F45 spd-t2 at={inside}")
        mains(f"{bus}:L1,L2,L3 to -F44:1,3,5", 6, 0.5)
        mains("-F44:2,4,6 to -F45:L1,L2,L3", 6, 0.3)
        neutral(f"{bus}:N to -F45:N", 6)
        lines.append(panel.wire(f"-F45:PE to {panel.earth()}", "earth", 16, length=0.3))
    return lines


def emergency_stop(panel: Panel) -> list[str]:
    """Two channels over a safety relay to the safe inputs of one or more drives of the panel."""
    chance = panel.chance
    drives = [feeder.drive for feeder in panel.feeders if feeder.drive is not None]
    if not drives or panel.style.door == "none" or chance.random() < 0.6:
        return []
    stopped = drives[: chance.randint(1, min(4, len(drives)))]
    rail = panel.rail(0.2 + 0.04 * len(stopped))
    inside, door = panel.inside, panel.door
    lines = [
        f"device -K81 safety-relay at={inside}",
        f'device -S81 {chance.choice(("emergency-stop", "emergency-stop-2-1"))} "On the panel" at={door}',
        f'device -S82 {chance.choice(("push-button", "push-button-start"))} "Reset" at={door}',
    ]

    def c(*ends: str, outside: bool = False) -> None:
        lines.append(panel.control(*ends, door=outside))

    c(panel.plus(rail), "-K81:A1")
    c(panel.zero(rail), "-K81:A2")
    field = chance.random() < 0.5
    if field:
        lines.append(f'device -S83 {chance.choice(("emergency-stop", "rope-pull-switch"))} "At the machine" at={panel.hall}')
        lines.extend((f'strip -X81 "Emergency stop" at={inside} {{', "  :1..4 2.5mm2", "}"))
        lines.extend(
            panel.cable(
                "-W81",
                "4x1.5 cores=numbers",
                chance.randint(5, 30),
                "control",
                ("1 -X81:1 to -S83:11", "2 -X81:2 to -S83:12", "3 -X81:3 to -S83:21", "4 -X81:4 to -S83:22"),
            )
        )
    for feed, back, one, two in (("S11", "S12", "11", "12"), ("S21", "S22", "21", "22")):
        c(f"-K81:{feed}", f"-S81:{one}", outside=True)
        if field:
            first = 1 if one == "11" else 3
            c(f"-S81:{two}", f"-X81:{first}", outside=True)
            c(f"-X81:{first + 1}", f"-K81:{back}")
        else:
            c(f"-S81:{two}", f"-K81:{back}", outside=True)
    c("-K81:S33", "-S82:13", outside=True)
    c("-S82:14", "-K81:S34", outside=True)
    c(panel.plus(rail), "-K81:13", "-K81:23")
    one, two = "-K81:14", "-K81:24"
    common = panel.zero(rail)
    for drive in stopped:
        c(one, drive.far("sto-1"))
        c(two, drive.far("sto-2"))
        c(common, drive.far("sto-c"))
        one, two, common = drive.far("sto-1"), drive.far("sto-2"), drive.far("sto-c")
        if not drive.maker:
            lines.append(f"set {drive.feeder.full('T1')} safe-torque-off=wired")
    return lines
