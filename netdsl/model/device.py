"""A device as it stands in the plant."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from netdsl.findings import Span
from netdsl.model.part_type import Consumer, InnerSource, PartType, Path, Requirement, Terminal
from netdsl.model.ratings import Rating, Ratings


class Accessory(Struct, frozen=True):
    """A part fitted on a device; its terminals and paths are among the host's."""

    part: PartType
    span: Span


class RailPiece(Struct, frozen=True):
    """A plate between the terminals of a strip: `kind` "partition" or "end-plate", `behind` which terminal, "" before the
    first."""

    kind: str
    behind: str
    text: str
    span: Span


class Device(Struct, frozen=True, kw_only=True):
    """Anything with terminals: device, strip, busbar, supply, outside equipment.

    `category`: by which statement it is in the plant. `kind`: the part's kind; "strip"; "busbar", "comb",
    "distribution-block"; "supply"; "outside". `operated_at`: the place of its handle, "" where it is not stated. `ratings`:
    the part's, overlaid with the device's own. `terminals`: in rail order for a strip; accessories' terminals follow the
    device's own. `settings`: as `set` or by default; `settings_set`: the names that a `set` gave, `settings_at`: where it
    did. `connection`: "star", "delta" or "" as `connect` gave, `connected`: where it did, `connected_use`: as `use`, of that
    statement. `protection_class`: as of a PartType. `span`: its name; `whole`: its statement; `use`: where a `use` made it
    (`span` is that statement then), the line in the scheme. Of a strip: `bridges`, terminals bridged together; `rail_bonded`,
    rail bonded to the plate; `field_side`, the side that faces the field; `pieces`, plates that it states, in rail order.
    `host`: of a channel the device in whose housing it is, on whose terminals of the same names conductors land; else "".
    """

    id: str
    title: str = ""
    category: str
    kind: str
    part: PartType | None = None
    function: str = ""  # "" in the common part
    place: str = ""
    operated_at: str = ""
    ratings: Ratings = field(default_factory=Ratings)
    terminals: Mapping[str, Terminal] = field(default_factory=dict)
    paths: tuple[Path, ...] = ()
    sources: tuple[InnerSource, ...] = ()
    consumers: tuple[Consumer, ...] = ()
    requirements: tuple[Requirement, ...] = ()
    settings: Ratings = field(default_factory=Ratings)
    settings_set: frozenset[str] = frozenset()
    settings_at: Mapping[str, Span] = field(default_factory=dict)
    accessories: tuple[Accessory, ...] = ()
    connection: str = ""
    connected: Span | None = None
    connected_use: Span | None = None
    symbol: str = ""
    protection_class: str = ""
    span: Span
    whole: Span
    use: Span | None = None
    bridges: tuple[tuple[str, ...], ...] = ()
    rail_bonded: bool = False
    field_side: str = "right"
    host: str = ""
    pieces: tuple[RailPiece, ...] = ()

    def stated(self, name: str) -> Rating | None:
        """What a `set` gave under that name, else the rating; None where neither is stated."""
        return self.settings.get(name) if name in self.settings_set else self.ratings.get(name)

    def amount(self, name: str) -> float | None:
        """The same as a number in the base unit of its kind, the first of several; None for what is no quantity."""
        return (self.settings if name in self.settings_set else self.ratings).amount(name)

    def word(self, name: str) -> str:
        """A setting, set or by default, else the rating, as written; "" where neither is stated."""
        return self.settings.text(name) or self.ratings.text(name)

    @property
    def product(self) -> str:
        """The product part of the designation, `-T1`."""
        return self.id[self.id.index("-") :]
