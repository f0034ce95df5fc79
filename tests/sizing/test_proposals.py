"""Proposals of sizes: the smallest that passes, out of what the shop stocks, the same every time."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from netdsl.calc import Calculation
from netdsl.cli.work import connect
from netdsl.network.types import Network
from netdsl.sizing import Proposal, Sizing, propose, propose_open
from netdsl.sizing.items import Item, items_of
from netdsl.sizing.reducing import reduce
from netdsl.sizing.search import Search
from netdsl.sizing.substitute import with_sizes
from tests.cases import each_of

OPEN = (Path(__file__).parent / "open-plant.netdsl").read_text()
ONE_SECTION = OPEN.replace('  created-by = "Workshop"', '  one-section-per-class = yes\n  created-by = "Workshop"')


def network_of(text: str, folder: Path) -> Network:
    file = folder / "plant.netdsl"
    file.write_text(text)
    network = connect(file).network
    assert network is not None
    return network


@cache
def opened(text: str) -> tuple[Network, tuple[Proposal, ...]]:
    """A plant and the proposals for what it leaves open, for tests that look at these alone."""
    with TemporaryDirectory() as folder:
        network = network_of(text, Path(folder))
    return network, propose_open(network)


@cache
def sized(text: str) -> Sizing:
    """All that is said of the sizes of a plant, for tests that look at it alone."""
    return propose(opened(text)[0])


def failing(network: Network, sizes: dict[Item, float]) -> set[str]:
    """What does not keep its limit, and protective conductors thinner than the table asks for."""
    results = Calculation(with_sizes(network, sizes)).judged
    return {result.key for result in results if result.limit is not None and not result.holds} | {
        result.key
        for result in results
        if result.question == "protective-conductor.table" and result.limit_given and result.value > result.limit_given.value
    }


def test_what_is_open_has_the_same_proposals_alone_as_beside_what_is_written() -> None:
    _, proposals = opened(OPEN)

    def said(made: Iterable[Proposal]) -> list[object]:
        return [(p.item.name, p.verdict, p.size, p.because, p.smaller, p.tightest, p.lacking, p.note) for p in made]

    assert said(proposals) == said(p for p in sized(OPEN).proposals if p.item.open_values)


def test_nothing_fails_with_the_proposals_and_each_section_is_the_smallest_that_passes() -> None:
    network, proposals = opened(OPEN)
    sizes = {p.item: p.size for p in proposals if p.size is not None}
    assert not failing(network, sizes)
    for proposal in proposals:
        item = proposal.item
        if item not in sizes or item.kind not in ("section", "cable"):
            continue
        smaller = [size for size in item.series if size < sizes[item]]
        if smaller and not proposal.because.startswith("clamp of"):
            assert failing(network, {**sizes, item: smaller[-1]}), f"{item.name}: {smaller[-1]} would do"


FAULT_CLEARED_SOON = """netdsl 1
project "Hatchery" {{
  {choice}
}}
place +MCP "Cabinet" kind=cabinet size=600x800x250mm
supply -G0 "Supply" system=TN-S voltage=400V fault-current=2kA earth-fault-current=1kA upstream=fuse-gG-63A
strip -X0 "Incoming" at=+MCP {{
  :1..3 16mm2
  :4 earth 16mm2
}}
device -Q1 mcb-3p at=+MCP current=63A curve=C
device -XE1 earth-bar at=+MCP ways=6
device -M1 motor "Feed mixer" at=+MCP power=22kW current=41A power-factor=0.85 winding=400/690V
connect -M1 delta
cable -W0 4G16 "incoming" length=10m method=C {{
  BN    -G0:L1 to -X0:1
  BK    -G0:L2 to -X0:2
  GY    -G0:L3 to -X0:3
  GNYE  -G0:PE to -X0:4
}}
wire -X0:1,2,3 to -Q1:1,3,5 16mm2 length=1m
wire -Q1:2,4,6 to -M1:U1,V1,W1 16mm2 length=2m
wire -X0:4 to -XE1:1 16mm2 length=1m
wire -M1:PE to -XE1:2 auto length=2m
"""


@pytest.mark.parametrize(("choice", "text"), [("", "16mm2"), ("protective-conductor-size = equation", "1.5mm2")])
def test_a_protective_conductor_is_proposed_by_the_table_unless_the_project_wants_the_equation(
    choice: str, text: str, tmp_path: Path
) -> None:
    sizing = propose(network_of(FAULT_CLEARED_SOON.format(choice=choice), tmp_path))
    (proposal,) = (each for each in sizing.proposals if each.item.name.startswith("wire -M1:PE"))
    assert (proposal.text, proposal.holds) == (text, True)
    assert not [result for result in sizing.unresolved if result.question.startswith("protective")]


def test_a_short_tap_says_that_no_fault_is_judged_in_it(tmp_path: Path) -> None:
    text = FAULT_CLEARED_SOON.format(choice="").replace(" length=1m\nwire -Q1", " length={}\nwire -Q1")
    near, far = (propose(network_of(text.replace("{}", length), tmp_path)) for length in ("1m", "4m"))
    notes = [next(p.note for p in sizing.proposals if p.item.name.startswith("wire -X0:1")) for sizing in (near, far)]
    assert "no fault is judged" in notes[0]
    assert notes[1] == ""


def test_a_rating_is_the_smallest_that_carries_its_load() -> None:
    texts = {p.item.name: p.text for p in opened(OPEN)[1]}
    assert (texts["-Q11"], texts["-Q12"], texts["-F1"]) == ("10A", "6.3A", "6A")
    assert texts["tripping-current of -Q12"] == "4.9A"


def test_what_the_shop_stocks_is_kept_to() -> None:
    stock = '  stock-sections = 1mm2,4mm2,16mm2\n  stock-ratings = 6A,10A\n  created-by = "Workshop"'
    _, proposals = opened(OPEN.replace('  created-by = "Workshop"', stock))
    for proposal in proposals:
        if proposal.item.kind in ("section", "cable"):
            assert proposal.size in (1, 4, 16) or "-T9:L" in proposal.obstacle, proposal.item.name  # a clamp of up to 2.5 mm²
    assert next(p.text for p in proposals if p.item.name == "-F1") == "6A"


def test_one_section_for_the_wires_of_a_class() -> None:
    by_class: dict[str, set[float | None]] = {}
    for proposal in opened(ONE_SECTION)[1]:
        if proposal.item.kind == "section" and "takes no more than" not in proposal.note:
            by_class.setdefault(proposal.item.klass, set()).add(proposal.size)
    assert {"mains", "control", "earth"} <= set(by_class)
    assert all(len(sizes) == 1 for sizes in by_class.values()), by_class


@pytest.mark.parametrize("text", [OPEN, ONE_SECTION], ids=["sections of their own", "one section"])
def test_twice_the_same(text: str) -> None:
    first, second = sized(text), propose(opened(text)[0])
    assert [(p.text, p.because, p.holds) for p in first.proposals] == [(p.text, p.because, p.holds) for p in second.proposals]


IN_SERIES = """netdsl 1
project "Hatchery" {
}
place +MCP "Cabinet" kind=cabinet size=600x800x250mm
supply -G0 "Mains" system=TN-S voltage=400V fault-current=5kA earth-fault-current=5kA
device -M1 motor at=+MCP power=9kW current=20A power-factor=0.85 efficiency=90% winding=400/690V
connect -M1 delta
strip -X1 at=+MCP {
  :1..3 35mm2
}
strip -X2 at=+MCP {
  :1..3 35mm2
}
device -Q1 mcb-3p at=+MCP current=25A curve=C
wire -G0:L1,L2,L3 to -Q1:1,3,5   auto length=30m method=C
wire -Q1:2,4,6    to -X1:1,2,3   auto length=30m method=C
wire -X1:1,2,3    to -X2:1,2,3   auto length=30m method=C
wire -X2:1,2,3    to -M1:U1,V1,W1 auto length=60m method=C
"""


@pytest.mark.parametrize("step", [1, -1])
def test_of_wires_that_bear_as_much_the_first_is_tried_smaller_first(tmp_path: Path, step: int) -> None:
    """Whatever the order in which they lie in memory: the same text gets the same sizes each time."""
    network = network_of(IN_SERIES, tmp_path)
    items = [item for item in items_of(network, Calculation(network)) if item.open_values][::step]
    search = Search(network, dict.fromkeys(items, 10.0), along=set(items))
    search.judge()
    reduce(search, {})
    sizes = list(search.sizes.values())
    assert sizes == sorted(sizes)
    assert sizes[0] < sizes[-1]


DRIVE = """netdsl 1
project "Drive" {{
  {choice}
}}
place +MCP "Panel" kind=cabinet size=600x1200x300mm ambient=25degC
place +HALL "Hall" kind=field
route TRAY1 "motors" at=+HALL kind=perforated-tray length=20m
defaults within=+MCP length=1.5m
supply -G0 "Hall" system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA upstream=fuse-gG-50A
busbar -WB1 "Main busbars" at=+MCP poles=4 current=63A
device -XE1 earth-bar "Main earth bar" at=+MCP ways=12
cable -W0 5G10 "incoming cable" length=18m method=E {{
  BN   -G0:L1 to -WB1:L1
  BK   -G0:L2 to -WB1:L2
  GY   -G0:L3 to -WB1:L3
  BU   -G0:N  to -WB1:N
  GNYE -G0:PE to -XE1:1
}}
device -Q20 mcb-3p at=+MCP current=auto
device -T20 vsd-0.75kw at=+MCP
device -M20 motor-0.75kw-4p at=+HALL
connect -M20 star
wire -WB1:L1,L2,L3 to -Q20:1,3,5 2.5mm2
wire -Q20:2,4,6 to -T20:L1,L2,L3 2.5mm2
wire -T20:PE to -XE1:9 10mm2
cable -W20 4Gauto screened "motor cable" length=120m method=E along=TRAY1 {{
  BN -T20:U to -M20:U1
  BK -T20:V to -M20:V1
  GY -T20:W to -M20:W1
  GNYE -T20:PE2 to -M20:PE
  screen -T20:SH clamp to -M20:SH gland
}}
"""


@each_of(
    ("choice", "rating", "words"),
    [
        ("", "6A", "inrush of -T20: no less than 6 A"),
        ("smallest-inrush-rating = 1A", "4A", "inrush of -T20: 1.25 times its current of 2.6 A"),
        ("smallest-inrush-rating = 1A inrush-factor = 2.5", "10A", "inrush of -T20: 2.5 times its current of 2.6 A"),
    ],
)
def test_the_breaker_of_a_drive_is_not_sized_by_its_load_alone(choice: str, rating: str, words: str) -> None:
    text = DRIVE.format(choice=choice)
    proposal = next(p for p in opened(text)[1] if p.item.name == "-Q20")
    assert (proposal.text, proposal.because) == (rating, words)


def test_a_motor_cable_that_is_too_long_for_its_drive_gets_the_section_that_all_else_asks_for(tmp_path: Path) -> None:
    sizing = propose(network_of(DRIVE.format(choice=""), tmp_path))
    proposal = next(p for p in sizing.proposals if p.item.name == "cable -W20")
    assert (proposal.text, proposal.holds) == ("4G1.5", True)
    assert "motor-cable.length" in {result.question for result in sizing.unresolved}


def test_a_breaker_of_a_control_circuit_is_rated_for_all_that_it_feeds(tmp_path: Path) -> None:
    network = network_of(
        """netdsl 1
place +MCP "Panel" kind=cabinet
part block "Valve block" {
  kind = valve   symbol = valve   letter = M   class = III
  terminal :1 :2 load 0.5..2.5mm2
  load :1 to :2 voltage=24V dc power=180W
}
part supply "DC supply 24 V" {
  kind = supply-24v   letter = T   class = II
  terminal :+ supply-out
  terminal :- supply-common
  source :+ to :- voltage=24V dc current=20A
}
device -T9 supply at=+MCP
device -F1 mcb-1p-b at=+MCP current=auto
device -V1 block at=+MCP
wire -T9:+ to -F1:1 4mm2 length=1m
wire -F1:2 to -V1:1 2.5mm2 length=1m
wire -V1:2 to -T9:- 2.5mm2 length=1m
""",
        tmp_path,
    )
    (breaker,) = (each for each in propose(network).proposals if each.item.name == "-F1")
    assert breaker.because == "what could be checked asks for no less than 10A, load current 7.5 A"
    assert breaker.lacking == "whether -T9 can trip -F1: the peak current of -T9 is missing"


def test_larger_wires_in_the_panel_ask_no_larger_earth_core_of_the_cable_before_them(tmp_path: Path) -> None:
    text = """netdsl 1
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Site" system=TN-S voltage=400V fault-current=6kA earth-fault-current=4kA upstream=fuse-gG-50A
device -XE1 earth-bar at=+MCP ways=8
device -Q0 switch-disconnector at=+MCP current=63A
busbar -WB1 at=+MCP poles=3 current=63A
cable -W0 4Gauto length=10m method=E {
  BN -G0:L1 to -Q0:1
  BK -G0:L2 to -Q0:3
  GY -G0:L3 to -Q0:5
  GNYE -G0:PE to -XE1:1
}
wire -XE1:2 to +MCP:PE 16mm2 GNYE length=1m
wire -Q0:2,4,6 to -WB1:L1,L2,L3 25mm2 BK length=1m
device -E1 heater at=+HALL power=3kW voltage=400V
cable -W1 3G10 length=5m method=E {
  BN -WB1:L1 to -E1:L
  BU -WB1:L2 to -E1:N
  GNYE -XE1:3 to -E1:PE
}
"""
    (cable,) = (each for each in propose(network_of(text, tmp_path)).proposals if each.item.name == "cable -W0")
    assert cable.size == 10 and "protective" not in cable.because  # 16 mm² would go with the 25 mm² of the wires
