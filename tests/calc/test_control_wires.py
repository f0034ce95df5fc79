"""Overload of the wires of control circuits, there and back."""

from __future__ import annotations

from pathlib import Path

from control_plants import by_key, computed

from netdsl.calc.basis import Result
from netdsl.calc.control.overload import ControlOverloads
from netdsl.calc.control.returns import ControlReturns
from tests.cases import each_of

CABINET = """\
place +CAB "Cabinet" kind=cabinet size=600x800x250mm
device -T9 supply at=+CAB output-current=40A
device -P1 bulb at=+CAB
device -P2 bulb at=+CAB
"""
FUSED = (
    CABINET
    + """\
device -F1 fuse-1p at=+CAB current=10A
strip -X1 at=+CAB {{
  :1 {kind}
}}
wire -T9:+ to -F1:1 10mm2 length=1m
wire -F1:2 to -X1:1/in 4mm2 length=1m
wire -X1:1/out to -P1:X1 0.75mm2 length=1m
wire -P1:X2 to -T9:- 10mm2 length=1m
"""
)
TAP = (
    CABINET
    + """\
device -F2 fuse-1p at=+CAB current={amps}A
wire -T9:+ to -F2:1 1mm2 length={metres}m
wire -T9:+ to -P2:X1 6mm2 length=1m
wire -F2:2 to -P1:X1 1mm2 length=1m
wire -P1:X2 to -P2:X2 to -T9:- 10mm2 length=1m
"""
)
RETURN = (
    CABINET
    + """\
device -F1 fuse-1p at=+CAB current=25A
device -F2 fuse-1p at=+CAB current=6A
wire -T9:+ to -F1:1 10mm2 length=1m
wire -F1:2 to -F2:1 4mm2 length=1m
wire -F2:2 to -P1:X1 4mm2 length=1m
wire -P1:X2 to -T9:- 0.75mm2 length=1m
"""
)


def wire_of(device: str, folder: Path, text: str) -> Result:
    return by_key(computed(folder, text).of(ControlOverloads).results())[f"overload.control {device}"]


@each_of(("kind", "thinnest"), [("disconnect", "-X1:1/out -- -P1:X1"), ("fused", "-F1:2 -- -X1:1")])
def test_a_fuse_protects_as_far_as_the_next(tmp_path: Path, kind: str, thinnest: str) -> None:
    found = wire_of("-F1", tmp_path, FUSED.format(kind=kind))
    assert found.conductors == (thinnest,)
    assert found.value == 10


@each_of(
    ("amps", "metres", "thinnest"),
    [(6, 3, "-T9:+ -- -P2:X1"), (6, 3.1, "-T9:+ -- -F2:1"), (20, 3, "-T9:+ -- -F2:1")],
)
def test_a_short_tap_is_protected_by_what_it_leads_to(tmp_path: Path, amps: float, metres: float, thinnest: str) -> None:
    assert wire_of("-T9", tmp_path, TAP.format(amps=amps, metres=metres)).conductors == (thinnest,)


def test_in_a_return_flows_what_the_device_nearest_to_the_load_lets_through(tmp_path: Path) -> None:
    found = by_key(computed(tmp_path, RETURN).of(ControlReturns).results())["overload.return -T9:+"]
    assert found.value == 6
    assert found.conductors == ("-P1:X2 -- -T9:-",)
    assert found.givens[0].words == "rated current of -F2"


@each_of(("thin", "where"), [(("0.75", "4"), "-P1:X2 -- -T9:-"), (("4", "0.75"), "-P2:X2 -- -T9:-")])
def test_of_several_returns_the_fullest_counts(tmp_path: Path, thin: tuple[str, str], where: str) -> None:
    text = f"""{CABINET}
device -F1 fuse-1p at=+CAB current=6A
device -F2 fuse-1p at=+CAB current=6A
wire -T9:+ to -F1:1 to -F2:1 10mm2 length=1m
wire -F1:2 to -P1:X1 4mm2 length=1m
wire -F2:2 to -P2:X1 4mm2 length=1m
wire -P1:X2 to -T9:- {thin[0]}mm2 length=1m
wire -P2:X2 to -T9:- {thin[1]}mm2 length=1m
"""
    found = by_key(computed(tmp_path, text).of(ControlReturns).results())["overload.return -T9:+"]
    assert found.conductors == (where,)


def test_a_return_is_no_wire_that_the_supply_feeds(tmp_path: Path) -> None:
    """Through a lamp that states no poles nothing leads on; the 0 V beside it may be as thin as it is."""
    found = wire_of("-T9", tmp_path, TAP.format(amps=25, metres=9).replace("to -T9:- 10mm2", "to -T9:- 0.75mm2"))
    assert found.conductors == ("-T9:+ -- -F2:1",)
