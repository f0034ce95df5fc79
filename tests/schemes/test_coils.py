"""Coils and lamps of all examples: their returns, and what the relays of a drive may carry."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from netdsl.model.plant import Device, Role
from netdsl.network import Network
from tests.cases import each_of
from tests.readings import PLANTS, network_of

each_example = each_of("plant", PLANTS)


def consumers(network: Network) -> Iterator[tuple[Device, str, str]]:
    """Each coil and lamp of 24 V that is wired, with its two terminals."""
    for device in network.plant.devices.values():
        for each in device.consumers:
            wired = network.net(f"{device.id}:{each.a}") is not None and device.kind in ("contactor", "relay", "timer", "lamp")
            if wired and each.voltage is not None and each.voltage.value == 24:
                yield device, each.a, each.b


@each_example
def test_coils_and_lamps_return_straight_to_the_zero_of_a_source(plant: Path) -> None:
    network = network_of(plant)
    zeros = {
        network.net_of[f"{device.id}:{source.poles[-1]}"]
        for device in network.plant.devices.values()
        for source in device.sources
        if source.poles
    }
    for device, _, back in consumers(network):
        assert network.net_of[f"{device.id}:{back}"] in zeros, f"{device.id}:{back}"


@each_example
def test_no_contactor_hangs_on_a_relay_of_a_drive(plant: Path) -> None:
    network = network_of(plant)
    for drive in (device for device in network.plant.devices.values() if device.kind == "drive"):
        for terminal in drive.terminals.values():
            net = network.net(f"{drive.id}:{terminal.name}")
            if terminal.role is not Role.CONTACT or net is None:
                continue
            coils = {f"{device.id}:{a}" for device, a, _ in consumers(network) if device.kind == "contactor"}
            assert not coils & set(net.nodes), f"{drive.id}:{terminal.name}"
