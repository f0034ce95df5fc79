"""What a first draft is made of, from `practice.toml`: ways of running, words of a list, sizes that nothing else decides."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any

from msgspec import Struct

#: what bears a starting current: a motor breaker, or an ordinary one of curve D
BREAKER, CURVE_D = "breaker", "curve D"


@cache
def practice() -> Mapping[str, Any]:
    """The data file as written; its comments say what each value is."""
    return tomllib.loads(resources.files("netdsl.starting").joinpath("practice.toml").read_text(encoding="utf-8"))


class Way(Struct, frozen=True):
    """A way of running. `name`: as in a list; `scheme`: of the library, which its function uses; `largest_kw`: the largest motor;
    `settings`: of its drive, None without one; `rail_w`: what it takes from the panel's 24 V, W, None for nothing; `starting`:
    what bears the starting current, `BREAKER` or `CURVE_D`, "" where none is drawn from the mains; `winding`: the one it runs
    with where the list leaves it open, "" for any; `cores`: of the motor cable; `motors`: that one line of the list gives;
    `earths`: ways of the earth bar, `feeds`: terminals of each pole of 24 V, `contacts`: terminals of its field contacts;
    `loops`: how many cables to the field lie in a row in its 24 V; `parts`: pattern of the library's parts that alone serve it,
    `part`: words for one of them, "" where a motor of any power does; `quantity`: motors on one drive where the list does not
    say."""

    name: str
    scheme: str
    largest_kw: float
    settings: tuple[str, ...] | None
    rail_w: float | None
    starting: str
    winding: str
    cores: int
    motors: int
    earths: int
    feeds: int
    contacts: int
    loops: float
    parts: str
    part: str
    quantity: int

    @property
    def driven(self) -> bool:
        """Whether it has a drive."""
        return self.settings is not None

    @property
    def on_rail(self) -> bool:
        """Whether it needs 24 V of the panel."""
        return self.rail_w is not None


@cache
def words_of_ways() -> Mapping[str, tuple[str, ...]]:
    """The other words for each way of running, by its name, small letters and hyphens alone."""
    others: Mapping[str, str] = practice()["other_words"]
    return {name: tuple(word for word, way in others.items() if way == name) for name in ways()}


@cache
def ways() -> Mapping[str, Way]:
    """The ways of running by name, in the order in which messages list them."""
    return {row["name"]: _way(row) for row in practice()["way"]}


def _way(row: Mapping[str, Any]) -> Way:
    settings = row.get("settings")
    return Way(
        row["name"],
        row["scheme"],
        row["largest_kw"],
        None if settings is None else tuple(settings),
        row.get("rail_w"),
        row.get("starting", ""),
        row.get("winding", ""),
        row.get("cores", 4),
        row.get("motors", 1),
        row.get("earths", 1),
        row.get("feeds", 1),
        row.get("contacts", 0),
        row.get("loops", row.get("contacts", 0) / 2),
        row.get("parts", ""),
        row.get("part", ""),
        row.get("quantity", 1),
    )


class Infeed(Struct, frozen=True):
    """What carries a fuse's rating, mm2 and A: the incoming `cable` (`doubled`: two side by side, with a protective conductor of
    its own), single cores in a duct of the `panel` (`bars`: copper bars from the incoming terminals to the busbars), the
    conductor that bonds the cabinet, the main isolator, the clamps of the incoming strip; and the fault currents assumed at its
    origin, as the language writes them."""

    fuse: int
    cable: int
    panel: int
    bonding: int
    isolator: int
    clamp: int
    doubled: bool
    bars: bool
    fault_current: str
    earth_fault_current: str


@cache
def infeeds() -> tuple[Infeed, ...]:
    """The infeeds to choose from, ascending."""
    table = practice()["infeeds"]
    names = ("fuse", "cable", "panel", "bonding", "isolator", "clamp")
    found = []
    for row in zip(*(table[name] for name in names), strict=True):
        sizes = dict(zip(names, row, strict=True))
        origin = next(origin for origin in practice()["origins"] if sizes["fuse"] <= origin["fuse_up_to"])
        found.append(
            Infeed(
                **sizes,
                doubled=sizes["fuse"] > table["doubled_above"],
                bars=sizes["fuse"] > table["bars_above"],
                fault_current=origin["fault_current"],
                earth_fault_current=origin["earth_fault_current"],
            )
        )
    return tuple(found)


def bars_a() -> int:
    """What laminated copper bars of 240 mm2 carry, A."""
    return int(practice()["infeeds"]["bars_a"])
