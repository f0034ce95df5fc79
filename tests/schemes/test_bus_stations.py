"""Drives on a serial line with a station on the door: nets, termination, screens, addresses."""

from __future__ import annotations

import pytest

from netdsl.quantities import Quantity
from tests.cases import each_of
from tests.schemes.scheme_plants import RELEASED, ZERO, Wired, check_drive, findings_of, wired, with_scheme

STATIONS = ("=CP1", "=CP2", "=CP3")


def line(at: Wired, own: str, function: str, master: str) -> frozenset[str]:
    """The terminals of the line that the one of `own` is joined to: the master's and those of the other drives."""
    found = {master}
    for station in STATIONS:
        device = at.plant.devices[f"{station}-T1"]
        found |= {f"{device.id}:{name}" for name, terminal in device.terminals.items() if function in terminal.functions}
    return frozenset(node for node in found if not node.startswith(f"{own}-"))


@each_of("house_drive", [False, True])
@each_of("own", STATIONS)
def test_nets_at_each_drive_of_the_line(own: str, house_drive: bool) -> None:
    at = wired("serial-bus", house_drive)
    check_drive(
        at,
        f"{own}-T1",
        {
            "start": frozenset({f"{own}-S22:14"}),
            "stop": frozenset({f"{own}-S23:22"}),
            "remote": frozenset({f"{own}-S21:24"}),
            "enable": RELEASED,
            "common": ZERO,
            "reference-10v": frozenset({f"{own}-R21:3"}),
            "reference-voltage": frozenset({f"{own}-R21:2"}),
            "analogue-common": frozenset({f"{own}-R21:1"}),
            "bus-a": line(at, own, "bus-a", "-A1:A"),
            "bus-b": line(at, own, "bus-b", "-A1:B"),
            "bus-common": line(at, own, "bus-common", "-A1:G"),
            "motor-u": frozenset({f"{own}-M1:U1"}),
            "motor-v": frozenset({f"{own}-M1:V1"}),
            "motor-w": frozenset({f"{own}-M1:W1"}),
            "motor-earth": f"{own}-M1:PE",
        },
    )


def test_the_start_button_works_in_local_and_the_stop_in_both() -> None:
    at = wired("serial-bus")
    for own in STATIONS:
        assert at.net(f"{own}-S22:13") == {f"{own}-S21:12"}
        assert {f"{own}-S21:11", f"{own}-S21:23"} < at.net(f"{own}-S23:21")


def test_the_line_is_terminated_at_its_ends_and_every_station_has_an_address() -> None:
    at = wired("serial-bus")
    ends = {name: at.plant.devices[name].settings["termination"] for name in ("-A1", *(f"{own}-T1" for own in STATIONS))}
    assert ends == {"-A1": "on", "=CP1-T1": "off", "=CP2-T1": "off", "=CP3-T1": "on"}
    addresses = [at.plant.devices[f"{own}-T1"].settings["address"] for own in STATIONS]
    assert [address.value for address in addresses if isinstance(address, Quantity)] == [11, 12, 13]


def test_each_piece_of_the_line_has_its_screen_on_both_stations() -> None:
    at = wired("serial-bus")
    for before, own in zip(("-A1:SH", "=CP1-T1:SHC", "=CP2-T1:SHC"), STATIONS, strict=True):
        ends = at.plant.cables[f"{own}-W21"].screens[0].ends
        assert [(f"{end.device}:{end.terminal}", end.how) for end in ends] == [(before, "clamp"), (f"{own}-T1:SHC", "clamp")]


@pytest.mark.parametrize(
    ("right", "wrong", "rule"),
    [
        ("clamp to $drive:(screen-control) clamp", "clamp", "screen-unterminated"),
        ("2x2x0.5 screened spare=insulated", "2x2x0.5 spare=insulated", "screen-missing"),
    ],
    ids=["screen-left-off", "no-screen"],
)
def test_a_line_without_its_screen_is_reported(right: str, wrong: str, rule: str) -> None:
    text = with_scheme("serial-bus", "schemes-bus.netdsl", "bus-line", right, wrong)
    if rule == "screen-missing":
        text = text.replace("    screen $from-screen clamp to $drive:(screen-control) clamp\n", "")
    assert set(findings_of(text)) == {rule}


def test_what_the_line_must_not_carry_is_a_caution() -> None:
    notes = wired("serial-bus").plant.notes
    for own in STATIONS:
        cautions = " ".join(note.text for note in notes if note.kind == "caution" and note.subject == f"{own}-T1")
        assert all(word in cautions for word in ("Emergency stop", "silent", "stop button", "address", "screen"))
