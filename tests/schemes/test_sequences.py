"""The schemes in motion: what pulls and drops when buttons, selectors, drive relays and protective contacts move."""

from __future__ import annotations

from tests.cases import each_of
from tests.schemes.control_play import Play
from tests.schemes.scheme_plants import wired


def test_direct_on_line_starts_holds_and_stops() -> None:
    play = Play(wired("direct-on-line"))
    assert not play.pulled
    play.push("=TD1-S1")
    assert play.pulled == {"=TD1-K1"}
    play.push("=TD1-S2")
    assert not play.pulled
    play.push("=TD1-S1")
    play.move("=TD1-Q1", "handle", False)
    assert not play.pulled
    assert play.live("=TD1-H1:X1")
    play.move("=TD1-Q1", "handle", True)
    assert not play.pulled  # a start is asked for again


def test_reversing_takes_the_other_direction_only_after_a_stop() -> None:
    play = Play(wired("reversing"))
    play.push("=SG1-S1")
    assert play.pulled == {"=SG1-K1"}
    play.push("=SG1-S2")
    assert play.pulled == {"=SG1-K1"}
    play.push("=SG1-S3")
    play.push("=SG1-S2")
    assert play.pulled == {"=SG1-K2"}


def test_star_delta_starts_in_star_and_runs_in_delta() -> None:
    play = Play(wired("star-delta"))
    play.push("=WP1-S1")
    assert play.pulled == {"=WP1-K1", "=WP1-K3", "=WP1-K4"}
    play.wait()
    assert play.pulled == {"=WP1-K1", "=WP1-K2", "=WP1-K4"}
    play.move("=WP1-B1", "overload", True)
    assert not play.pulled
    assert play.live("=WP1-H1:X1")


def test_bypass_waits_for_the_drive_and_for_the_dead_time() -> None:
    play = Play(wired("mains-bypass"))
    play.turn("=OB1-S1", "auto")
    assert not play.live("=OB1-T1:DI1") and not play.live("=OB1-T1:DI4")  # no run without the release
    play.move("=OB1-B2", "pressure", True)
    assert play.pulled == {"=OB1-K1"}
    assert play.live("=OB1-T1:DI1")
    play.move("=OB1-T1", "running", True)
    play.turn("=OB1-S1", "hand")
    assert play.pulled == {"=OB1-K1", "=OB1-K3"}  # the drive still gives out: its contactor holds
    assert not play.live("=OB1-T1:DI1")
    play.move("=OB1-T1", "running", False)
    assert play.pulled == {"=OB1-K4"}
    play.wait()
    assert play.pulled == {"=OB1-K2", "=OB1-K4"}
    play.turn("=OB1-S1", "auto")
    assert play.pulled == {"=OB1-K1"}


def test_bypass_loses_both_ways_with_the_release() -> None:
    play = Play(wired("mains-bypass"))
    play.move("=OB1-B2", "pressure", True)
    play.turn("=OB1-S1", "hand")
    play.wait()
    assert "=OB1-K2" in play.pulled
    play.move("=OB1-B2", "pressure", False)
    assert not play.pulled
    play.move("=OB1-B2", "pressure", True)
    play.turn("=OB1-S1", "auto")
    play.move("=OB1-T1", "running", True)
    assert play.live("=OB1-T1:DI4")
    play.move("=OB1-B2", "pressure", False)
    # Enable and start are gone; the contactor does not open while the drive may still give out.
    assert not play.live("=OB1-T1:DI4") and not play.live("=OB1-T1:DI1")
    assert play.pulled == {"=OB1-K1", "=OB1-K3"}
    play.turn("=OB1-S1", "off")
    play.move("=OB1-T1", "running", False)
    assert not play.pulled


def test_fixed_lead_calls_trips_and_dry_run() -> None:
    play = Play(wired("fixed-lead-pumps"))
    play.move("=RM1-B2", "level", True)
    for name in ("=RM2", "=RM3"):
        play.turn(f"{name}-S1", "auto")
    assert play.live("=RM1-T1:DI5") and play.live("=RM1-T1:DI6")
    play.move("=RM1-T1", "fault", True)  # relay 1
    assert play.pulled == {"=RM2-K1", "=RM2-K2"}
    play.move("=RM1-T1", "running", True)  # relay 2
    assert {"=RM2-K1", "=RM3-K1"} <= play.pulled
    play.move("=RM2-B1", "overload", True)
    assert "=RM2-K1" not in play.pulled and not play.live("=RM1-T1:DI5") and play.live("=RM1-T1:DI6")
    play.move("=RM3-Q2", "handle", False)
    assert "=RM3-K1" not in play.pulled and not play.live("=RM1-T1:DI6")
    play.move("=RM3-Q2", "handle", True)
    play.turn("=RM3-S1", "hand")
    assert "=RM3-K1" in play.pulled
    play.move("=RM1-B2", "level", False)
    assert not play.pulled and not play.live("=RM1-T1:DI4")


def test_alternating_hands_the_lead_to_the_mains_and_starts_the_other() -> None:
    play = Play(wired("alternating-pumps"))
    enable = "=BD1-T1:DI4"
    play.move("=BD1-T1", "fault", True)  # pump 1 called
    assert play.pulled == {"=BP1-K1", "=BP1-K3"} and play.live(enable)
    play.move("=BD1-T1", "running", True)  # pump 2 called to help
    assert {"=BP1-K4", "=BP1-K5", "=BP2-K1"} <= play.pulled and not {"=BP1-K1", "=BP1-K2"} & play.pulled
    play.wait()
    assert {"=BP1-K2", "=BP2-K1"} <= play.pulled and play.live(enable)
    play.move("=BD1-T1", "fault", False)  # the oldest on the mains is dismissed
    assert play.pulled == {"=BP2-K1", "=BP2-K3"} and play.live(enable)
    play.move("=BD1-T1", "fault", True)  # called again: now pump 2 goes to the mains
    play.wait()
    assert {"=BP2-K2", "=BP1-K1"} <= play.pulled and not {"=BP2-K1", "=BP1-K2"} & play.pulled
    play.move("=BP1-Q2", "handle", False)  # the isolator of the pump on the drive
    assert not play.live(enable) and "=BP1-K1" not in play.pulled and "=BP2-K2" in play.pulled


def test_alternating_frees_the_drive_before_a_contactor_moves() -> None:
    play = Play(wired("alternating-pumps"))
    play.move("=BD1-T1", "fault", True)
    play.pulled.discard("=BP1-K3")  # the call has dropped, the contactor not yet
    assert "=BP1-K1" in play.pulled and not play.live("=BD1-T1:DI4")


@each_of(
    "example",
    ["direct-on-line", "reversing", "star-delta", "mains-bypass", "fixed-lead-pumps", "alternating-pumps", "serial-bus"],
)
def test_what_goes_to_the_door_and_nothing_else_lies_in_the_hinge_loop(example: str) -> None:
    at = wired(example)
    for run in at.network.runs.values():
        places = {
            at.plant.devices[end.device].place if end.device in at.plant.devices else end.device for end in run.conductor.ends
        }
        between, laid = len(places) > 1 and "+MCP.D" in places, "HINGE1" in run.routes
        # A cable to the door may take another way than the hinge loop.
        assert between or not laid or places == {"+MCP.D"}, run.id
        assert laid or not between or run.conductor.cable, run.id
