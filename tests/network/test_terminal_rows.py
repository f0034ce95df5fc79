"""What is on each terminal of a device."""

from __future__ import annotations

from factory import panel

from netdsl.network import build_network
from netdsl.network.terminal_rows import terminal_rows


def test_a_row_names_the_far_end_of_what_lands_and_what_room_is_left_on_each_side() -> None:
    yard = panel()
    yard.device("-X5", "strip", "1 2 plain", category="strip", bridges=(("1", "2"),))
    yard.wire("-WB1:L1", "-X5:1")
    yard.cable("-W5", "3G1.5", {"1": ("-X5:1", "-Q0:2")})
    network, _ = build_network(yard.plant())
    first, second = terminal_rows(network, network.plant.devices["-X5"])
    assert [(row["to"], row["side"]) for row in first["conductors"]] == [("-WB1:L1", "in"), ("-Q0:2", "out")]
    assert {side: first["takes"] - left for side, left in first["free"].items()} == {"in": 1, "out": 1}
    assert (first["bridged_to"], second["bridged_to"], second["conductors"]) == (["2"], ["1"], [])
    assert first["nets"] == second["nets"]
