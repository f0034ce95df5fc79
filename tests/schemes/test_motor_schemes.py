"""Motors on the mains, direct, in two directions, in star and delta: the nets of power and coils, the interlocks."""

from __future__ import annotations

from tests.schemes.scheme_plants import PLUS, ZERO, Wired, wired


def _of(function: str, *names: str) -> frozenset[str]:
    return frozenset(f"{function}{name}" for name in names)


def _interlocks(at: Wired) -> set[tuple[frozenset[str], str]]:
    return {(frozenset(pair.devices), pair.kind) for pair in at.plant.interlocks}


def test_direct_on_line_holds_itself_behind_breaker_and_stop() -> None:
    at = wired("direct-on-line")
    assert PLUS in at.net("=TD1-Q1:13")
    assert at.net("=TD1-Q1:14") == _of("=TD1", "-S2:21")
    assert at.net("=TD1-S2:22") == _of("=TD1", "-S1:13", "-K1:13")
    assert at.net("=TD1-K1:A1") == _of("=TD1", "-S1:14", "-K1:14")
    assert at.net("=TD1-Q1:22") == _of("=TD1", "-H1:X1")
    assert _of("=TD1", "-K1:A2", "-H1:X2") < at.net(ZERO)


def test_reversing_exchanges_two_phases_and_leads_each_coil_through_the_other_contactor() -> None:
    at = wired("reversing")
    assert at.net("=SG1-M1:U1") == _of("=SG1", "-K1:2", "-K2:6")
    assert at.net("=SG1-M1:V1") == _of("=SG1", "-K1:4", "-K2:4")
    assert at.net("=SG1-M1:W1") == _of("=SG1", "-K1:6", "-K2:2")
    assert at.net("=SG1-K1:A1") == _of("=SG1", "-K2:22")
    assert at.net("=SG1-K2:A1") == _of("=SG1", "-K1:22")
    assert at.net("=SG1-K2:21") == _of("=SG1", "-S1:14", "-K1:14")
    assert at.net("=SG1-K1:21") == _of("=SG1", "-S2:14", "-K2:14")
    assert {(_of("=SG1", "-K1", "-K2"), kind) for kind in ("mechanical", "electrical")} <= _interlocks(at)


def test_star_delta_gives_each_winding_its_phases_in_delta() -> None:
    at = wired("star-delta")
    for pole, first, second in ((2, "U1", "W2"), (4, "V1", "U2"), (6, "W1", "V2")):
        assert at.net(f"=WP1-M1:{first}") == _of("=WP1", f"-B1:{pole}")
        assert at.net(f"=WP1-M1:{second}") == _of("=WP1", f"-K2:{pole}", f"-K3:{pole - 1}")
    assert at.net("=WP1-K3:2") == _of("=WP1", "-K3:4", "-K3:6")


def test_star_delta_never_closes_both() -> None:
    at = wired("star-delta")
    assert at.net("=WP1-K4:16") == _of("=WP1", "-K2:21")
    assert at.net("=WP1-K2:22") == _of("=WP1", "-K3:A1")
    assert at.net("=WP1-K4:18") == _of("=WP1", "-K3:21")
    assert at.net("=WP1-K3:22") == _of("=WP1", "-K2:A1")
    assert at.net("=WP1-K1:A1") == _of("=WP1", "-K3:14", "-K1:54")
    assert at.net("=WP1-S1:14") == _of("=WP1", "-K1:14", "-K4:A1", "-K4:15", "-K3:13", "-K1:53")
    assert {(_of("=WP1", "-K2", "-K3"), kind) for kind in ("mechanical", "electrical")} <= _interlocks(at)
