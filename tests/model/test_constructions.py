"""Cable constructions as the trade writes them. Core colours: HD 308 S2 (from memory); numbering above five: common practice."""

from netdsl.model.construction import cores_of
from tests.cases import each_of


@each_of(
    ("construction", "names", "sections"),
    [
        ("4G10", "BN BK GY GNYE", {10.0}),
        ("5G35", "BN BK GY BU GNYE", {35.0}),
        ("3G1.5", "BN BU GNYE", {1.5}),
        ("7G1.5", "1 2 3 4 5 6 GNYE", {1.5}),
        ("3x2.5", "BN BK GY", {2.5}),
        ("2x1.5", "BN BU", {1.5}),
        ("7x1.5", "1 2 3 4 5 6 7", {1.5}),
        ("2x2x0.75", "1a 1b 2a 2b", {0.75}),
        ("3x35+3G6", "BN BK GY GNYE", {35.0, 18.0}),
        ("3x35+1G16", "BN BK GY GNYE", {35.0, 16.0}),
        ("4G2.5+2x(2x1)", "BN BK GY GNYE 1a 1b 2a 2b", {2.5, 1.0}),
    ],
)
def test_cores_of_known_constructions(construction: str, names: str, sections: set[float]) -> None:
    cores = cores_of(construction)
    assert cores is not None
    assert " ".join(core.name for core in cores) == names
    assert {core.section_mm2 for core in cores} == sections
    assert [core.name for core in cores if core.earth] == (["GNYE"] if "G" in construction else [])


def test_pairs_are_known() -> None:
    cores = cores_of("2x2x0.75")
    assert cores is not None
    assert [core.pair for core in cores] == [1, 1, 2, 2]


@each_of("construction", ["", "x", "4", "G10", "4G", "0x1.5", "4G0", "999999x1", "2x9x1", "4G10+4x2.5"])
def test_what_is_no_construction(construction: str) -> None:
    assert cores_of(construction) is None


def test_printed_numbers_can_be_asked_for() -> None:
    cores = cores_of("4G1.5", numbered=True)
    assert cores is not None
    assert [core.name for core in cores] == ["1", "2", "3", "GNYE"]


def test_a_cable_has_two_hundred_cores_at_most() -> None:
    for most, too_many in (("200x1", "201x1"), ("100x2x1", "101x2x1"), ("50x(4x1)", "51x(4x1)")):
        cores = cores_of(most)
        assert cores is not None and len(cores) == 200
        assert cores_of("9" * 6000 + most[most.index("x") :]) is None
        assert cores_of(too_many) is None
