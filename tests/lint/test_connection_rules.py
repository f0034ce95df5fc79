"""Terminals, clamps, potentials, voltages, and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from lint.frame import FRAME
from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = (
    "terminal-open",
    "clamp-overfilled",
    "clamp-range",
    "neutral-earth-joined",
    "potentials-joined",
    "voltage-mismatch",
)

DRIVE = "device -T1 drive at=+MCP\nwire -T1:PE to -XE1:3 6mm2 GNYE\n"
PARTS = """
part lamp "Lamp, 24 V" {
  kind = lamp   letter = P   class = II
  terminal :X1 :X2 load 0.5..2.5mm2 required
  load :X1 to :X2 voltage=24V dc
}
part gauge "Gauge" {
  kind = meter   letter = P   class = II
  terminal :1 :2 :3 :4 plain 0.5..2.5mm2
  setting heater off on
  require one :1 :2
  require :3 :4 when heater=on
}
part breaker "Breaker" {
  kind = breaker   letter = F   class = II   voltage = 230V
  terminal :1 line-in 0.5..16mm2
  terminal :2 load-out 0.5..16mm2
  pole :1 to :2 by=handle
}
part battery "Supply, 24 V" {
  kind = supply-24v   letter = T   class = II   voltage = 100..240V
  terminal :L line-in
  terminal :N neutral
  terminal :+ supply-out clamps=3 common=:- voltage=24V dc
  terminal :- supply-common clamps=3
  source :+ to :- voltage=24V dc current=5A
}
"""


def rules(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in findings]


def test_open_terminals_of_a_device_are_one_finding(found: Found) -> None:
    (finding,) = found(PARTS + "device -P1 lamp at=+MCP\n")
    assert finding.rule == "terminal-open"
    assert finding.subjects == ("-P1", "-P1:X1", "-P1:X2")


def test_one_of_an_alternative_is_enough(found: Found) -> None:
    assert rules(found(PARTS + "device -P1 gauge at=+MCP\n")) == ["terminal-open"]
    assert found(PARTS + DRIVE + "device -P1 gauge at=+MCP\nwire -T1:COM to -P1:2 1mm2 BU\n") == ()


def test_a_setting_asks_for_its_terminals(found: Found) -> None:
    text = PARTS + DRIVE + "device -P1 gauge at=+MCP\nwire -T1:COM to -P1:2 1mm2 BU\n"
    (finding,) = found(text + "set -P1 heater=on\n")
    assert "`heater=on`" in finding.message
    assert found(text + "set -P1 heater=off\n") == ()


def test_a_bridge_or_a_screen_connects(found: Found) -> None:
    part = (
        'part clamp "Clamp" {\n kind = controller  letter = X  class = III\n terminal :SH screen required\n}\n'
        "device -X9 clamp at=+MCP\n"
    )
    assert rules(found(part)) == ["terminal-open"]
    cable = (
        "device -T2 drive at=+MCP\nwire -T2:PE to -XE1:4 6mm2 GNYE\ncable -W1 2x0.5 screened length=1m {\n BN -T1:A to -T2:A\n"
    )
    assert found(part + DRIVE + cable + " screen -X9:SH clamp to -T2:SH clamp\n}\n") == ()


TWO_WIRES = PARTS + DRIVE + "wire -T1:DI1 to -T1:24V to -T1:DI2 0.75mm2 BU\n"


def test_as_many_conductors_as_stated_fit(found: Found) -> None:
    assert found(TWO_WIRES) == ()
    assert rules(found(TWO_WIRES + "wire -T1:24V to -T1:DI3 0.75mm2 BU\n")) == ["clamp-overfilled"]


def test_a_twin_ferrule_counts_as_one(found: Found) -> None:
    part = 'part two "Two" {\n kind = controller  letter = K  class = III\n terminal :1 :2 :3 plain 0.5..2.5mm2\n}\n'
    text = part + "device -K1 two at=+MCP\nwire -K1:1 to -K1:2 to -K1:3 1mm2 BU"
    assert rules(found(text + "\n")) == ["clamp-overfilled"]
    assert found(text + " twin\n") == ()
    wires = part + "device -K1 two at=+MCP\nwire -K1:1 to -K1:2 1mm2 BU\nwire -K1:2 to -K1:3 1mm2 BU\n"
    assert rules(found(wires)) == ["clamp-overfilled"]
    assert found(wires + "twin -K1:2\n") == ()
    (finding,) = found(wires.replace("-K1:3 1mm2", "-K1:3 1.5mm2") + "twin -K1:2\n")
    assert finding.message == "`-K1:2` holds 2 conductors and may hold 1; a twin ferrule joins two of one section"


def test_a_twin_ferrule_is_of_one_side_of_a_strip(found: Found) -> None:
    text = DRIVE + "strip -X1 at=+MCP {\n :1..2 2.5mm2\n}\nwire -T1:24V to -X1:1 1mm2 BU\nwire -X1:1 to -T1:DI1 1mm2 BU\n"
    text += "cable -W1 2x1 length=3m {\n BN -X1:1 to -T1:DI2\n}\n"
    assert rules(found(text)) == ["clamp-overfilled"]
    assert found(text + "twin -X1:1\n") == ()


def test_the_teeth_of_a_comb_count_as_one_and_it_is_tapped_at_will(found: Found) -> None:
    text = PARTS + "comb -WC1 at=+MCP poles=3 current=63A\ndevice -F1 breaker at=+MCP\nwire -WC1:L1 to -F1:1 10mm2 BK\n"
    assert found(text + "wire -WC1:L1 to -F1:1 10mm2 BK\n") == ()
    assert found(text + "device -F2 breaker at=+MCP\nwire -WC1:L1 to -F2:1 10mm2 BK\nwire -WB1:L1 to -WC1:L1 10mm2 BK\n") == ()


def test_a_tooth_of_a_comb_fits_any_clamp_and_has_no_colour(found: Found) -> None:
    text = PARTS + "comb -WC1 at=+MCP poles=3 current=63A section=25mm2\ndevice -F1 breaker at=+MCP\ndevice -F2 breaker at=+MCP\n"
    assert found(text + "teeth of -WC1:L1 on -F1:1 -F2:1\n") == ()
    assert rules(found(text + "wire -WC1:L1 to -F1:1 25mm2\n")) == ["clamp-range"]


def test_the_sides_of_a_strip_terminal_are_two_clamps(found: Found) -> None:
    text = DRIVE + "strip -X1 at=+MCP {\n :1..2 2.5mm2\n}\nwire -T1:24V to -X1:1 1mm2 BU\n"
    assert found(text + "cable -W1 2x1.5 length=3m {\n BN -X1:1 to -T1:DI1\n}\n") == ()
    assert rules(found(text + "wire -X1:1 to -T1:DI2 1mm2 BU\n")) == ["clamp-overfilled"]


def test_parallel_cables_fill_a_clamp(found: Found) -> None:
    cable = "cable -W1 4G2.5 length=9m parallel=2 {\n BN -WB1:L1 to -T1:L1\n}\n"
    assert rules(found(DRIVE + cable)) == ["clamp-overfilled"]


def test_a_list_outside_the_range_is_one_finding(found: Found) -> None:
    (finding,) = found(DRIVE + "wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 10mm2 BK\n")
    assert finding.rule == "clamp-range"
    assert {"-T1:L1", "-T1:L2", "-T1:L3"} <= set(finding.subjects)
    assert "0.5 mm² to 6 mm²" in finding.message


def test_sections_at_the_edge_or_unknown_are_left_alone(found: Found) -> None:
    edges = found(DRIVE + "wire -WB1:L1,L2 to -T1:L1,L2 6mm2 BK\nwire -WB1:L3 to -T1:L3 0.5mm2 BK\n")
    assert "clamp-range" not in rules(edges)
    assert found(DRIVE + "wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 BK\n") == ()


def test_two_in_a_clamp_have_a_range_of_their_own(found: Found) -> None:
    part = """part pair "Pair" {
  kind = controller   letter = K   class = III
  terminal :1 plain 0.5..4mm2 clamps=2 section-pair=0.5..1.5mm2
  terminal :2 :3 plain 0.5..4mm2
}
device -K1 pair at=+MCP
"""
    assert found(part + "wire -K1:1 to -K1:2 4mm2 BU\n") == ()
    assert rules(found(part + "wire -K1:2 to -K1:1 to -K1:3 2.5mm2 BU\n")) == ["clamp-range"]


BATTERIES = PARTS + "device -T8 battery at=+MCP\ndevice -T9 battery at=+MCP\nwire -T8:- to -T9:- 1mm2 BU\n"


def test_two_phases_behind_a_breaker_are_one_finding(found: Found) -> None:
    text = PARTS + "device -F1 breaker at=+MCP\ndevice -F2 breaker at=+MCP\n"
    text += "wire -WB1:L1 to -F1:1 2.5mm2 BK\nwire -WB1:L2 to -F2:1 2.5mm2 BK\nwire -F1:2 to -F2:2 2.5mm2 BK\n"
    (finding,) = found(text)
    assert finding.rule == "potentials-joined"
    assert "`-G0:L1`, `-G0:L2`" in finding.message
    assert finding.subjects[:2] == ("-F1", "-F2")


def test_neutral_and_earth_are_not_joined(found: Found) -> None:
    assert rules(found("wire -WB1:N to -XE1:5 6mm2 BU\n")) == ["neutral-earth-joined"]


def test_neutral_and_earth_meet_at_the_declared_point_alone(found: Found) -> None:
    text = "wire -WB1:N to -XE1:5 6mm2 BU\nearthing of -G0:N at -XE1:5\n"
    assert rules(found(text)) == []
    (finding,) = found(text + "strip -X1 at=+MCP {\n  :1 4mm2\n}\nwire -WB1:N to -X1:1 4mm2 BU\nwire -X1:1 to -XE1:6 4mm2 BU\n")
    assert finding.rule == "neutral-earth-joined" and "`-G0:N`" in finding.message and "`-G0:PE`" in finding.message


def test_a_line_that_joins_more_than_neutral_and_earth_is_told_as_one(found: Found) -> None:
    assert rules(found("wire -WB1:N to -XE1:5 6mm2 BU\nwire -WB1:L1 to -XE1:6 6mm2 BK\n"))[0] == "potentials-joined"


def test_commons_of_sources_may_meet(found: Found) -> None:
    assert found(BATTERIES) == ()


def test_sources_meet_only_where_declared_parallel(found: Found) -> None:
    text = BATTERIES + "wire -T8:+ to -T9:+ 1mm2 BU\n"
    assert rules(found(text)) == ["potentials-joined"]
    assert found(text + "potential P24 of -T8:+ parallel=yes\n") == ()


def test_a_declared_reference_point_may_meet_earth(found: Found) -> None:
    text = BATTERIES + "wire -T8:- to -XE1:5 1.5mm2 BU\n"
    assert rules(found(text)) == ["potentials-joined"]
    assert found(text + "earthing of -T8:- at -XE1:5\n") == ()


def test_a_pen_is_both(found: Found) -> None:
    frame = FRAME.replace("system=TN-S", "system=TN-C").replace("  BU   -G0:N  to -WB1:N\n", "")
    frame = frame.replace("GNYE -G0:PE to", "GNYE -G0:PEN to")
    assert found("wire -XE1:3 to -WB1:N 10mm2 BU mark=PEN\n", frame=frame) == ()


def test_open_contacts_join_nothing(found: Found) -> None:
    contactor = """part contactor "Contactor" {
  kind = contactor   letter = Q   class = II
  terminal :1 :3 line-in 0.5..6mm2
  terminal :2 :4 load-out 0.5..6mm2
  terminal :A1 :A2 coil
  coil :A1 to :A2 voltage=24V dc
  pole :1,3 to :2,4 switched by=coil
}
device -K1 contactor at=+MCP
wire -WB1:L1,L2 to -K1:1,3 2.5mm2 BK
wire -K1:2 to -K1:4 2.5mm2 BK
"""
    assert found(contactor) == ()


LAMP = PARTS + "device -P1 lamp at=+MCP\n"


def test_a_lamp_on_its_own_voltage_is_left_alone(found: Found) -> None:
    assert found(LAMP + DRIVE + "wire -T1:24V to -P1:X1 1mm2 BU\nwire -T1:COM to -P1:X2 1mm2 BU\n") == ()


@each_of("wires", ["L1 N", "L1 L2"])
def test_too_much_for_a_lamp(found: Found, wires: str) -> None:
    a, b = wires.split()
    (finding,) = found(LAMP + f"wire -WB1:{a} to -P1:X1 1mm2 BK\nwire -WB1:{b} to -P1:X2 1mm2 BK\n")
    assert finding.rule == "voltage-mismatch"
    assert {"L1 N": "231 V AC", "L1 L2": "400 V AC"}[wires] in finding.message


def test_mains_at_a_digital_input(found: Found) -> None:
    (finding,) = found(DRIVE + "wire -WB1:L1 to -T1:DI1 1.5mm2 BK\n")
    assert finding.rule == "voltage-mismatch"
    assert "-T1:DI1" in finding.subjects


def test_switching_devices_bear_up_to_their_rating(found: Found) -> None:
    text = PARTS + "device -F1 breaker at=+MCP\nwire -WB1:L1 to -F1:1 2.5mm2 BK\n"
    assert found(text) == ()
    assert rules(found(text.replace("at=+MCP\n", "at=+MCP voltage=60V\n", 1))) == ["voltage-mismatch"]


def test_a_drive_needs_its_range(found: Found) -> None:
    text = DRIVE + "wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 BK\n"
    assert found(text) == ()
    assert rules(found(text, frame=FRAME.replace("voltage=400V", "voltage=690V"))) == ["voltage-mismatch"]
    assert found(text, frame=FRAME.replace("voltage=400V", "voltage=415V")) == ()


def test_a_single_phase_supply_takes_phase_and_neutral(found: Found) -> None:
    text = PARTS + "device -T9 battery at=+MCP\nwire -WB1:L1 to -T9:L 1.5mm2 BK\nwire -WB1:N to -T9:N 1.5mm2 BU\n"
    assert found(text) == ()
    assert rules(found(text.replace("wire -WB1:N", "wire -WB1:L2"))) == ["voltage-mismatch"]


def test_a_terminal_that_passes_earth_on_takes_one_in_and_one_out(found: Found) -> None:
    part = 'part box "Box" {\n kind = terminal-box  letter = X  class = I\n terminal :PE earth-through 1.5..6mm2\n}\n'
    two = f"{part}device -X7 box at=+MCP\nwire -XE1:3 to -X7:PE 4mm2 GNYE\nwire -X7:PE to -XE1:4 4mm2 GNYE\n"
    assert found(two, only="clamp-overfilled") == ()
    (finding,) = found(two + "wire -X7:PE to -XE1:5 4mm2 GNYE\n", only="clamp-overfilled")
    assert "holds 3 conductors and may hold 2" in finding.message


HEATER = """\
device -F1 mcb-1p at=+MCP current=6A
device -E1 heater at=+MCP
wire -WB1:L1 to -F1:1 2.5mm2 BK
wire -F1:2 to -E1:L 1.5mm2 BK
"""


def test_earth_is_no_way_back(found: Found) -> None:
    assert rules(found(HEATER + "wire -WB1:N to -E1:N 1.5mm2 BU\n", only="neutral-earth-joined")) == []
    (finding,) = found(HEATER + "wire -XE1:5 to -E1:N 1.5mm2 BU\n", only="neutral-earth-joined")
    assert (
        finding.message == "`-E1:N` is joined to the protective earth and to nothing else: the current of `-E1` goes back by it"
    )


def test_an_arrester_leads_to_earth(found: Found) -> None:
    text = (
        'part one-pole "Arrester" {\n  kind = {kind}   letter = F   class = II\n  terminal :L line-in\n  terminal :N neutral\n}\n'
    )
    text += "device -F2 one-pole at=+MCP\nwire -WB1:L1 to -F2:L 6mm2 BK\nwire -XE1:5 to -F2:N 6mm2 BU\n"
    assert rules(found(text.replace("{kind}", "surge-protection"), only="neutral-earth-joined")) == []
    assert rules(found(text.replace("{kind}", "meter   quantity = insulation"), only="neutral-earth-joined")) == []
    assert rules(found(text.replace("{kind}", "lamp"), only="neutral-earth-joined")) == ["neutral-earth-joined"]
