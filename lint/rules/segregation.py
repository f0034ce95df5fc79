"""Insulation of what lies together: for the highest voltage of it."""

from __future__ import annotations

from collections.abc import Iterator

from lint.bundling import Bundle, Bundles, Item
from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.separation import separation
from netdsl.findings import Related, Severity


def _together(facts: Facts) -> Iterator[str]:
    """Routes that hold something whose class is known, and cables and wires that state for which voltage they are insulated."""
    bundles = facts.of(Bundles)
    yield from (bundle.route for bundle in bundles.all if bundle.items)
    yield from (item.id for item in bundles.rated)


@rule("voltage-segregation", Severity.ERROR, source="IEC 60204-1 13.1.3; IEC 60364-5-52, 528.1", judges=_together)
def voltage_segregation(facts: Facts, this: Rule) -> Iterator[Said]:
    """Something is insulated for less than the highest voltage that lies with it.

    Reports:
      A cable or wire whose stated insulation (`voltage=`, `insulation=`) is below the highest voltage of what lies in the same
      route, or in the same compartment of it; a cable or wire that carries more itself.
    Silent:
      What is insulated for that voltage; compartments of a divided route; routes in which classes lie together that must not,
      which `bundle-mixed` speaks of. Extra-low voltage beside more, whose insulation nobody states, is not judged.
    Why:
      What lies bundled rubs and heats each other: where a weak insulation gives way, mains stands on a circuit of 24 V, and on
      whoever touches it.
    Failing:
      device -F1 mcb-1p at=+MCP current=4A
      device -T1 drive at=+MCP
      route DUCT1 "wiring" at=+MCP kind=duct
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -WB1:L1 to -F1:1 1.5mm2 BK along=DUCT1 insulation=450/750V
      wire -T1:24V to -T1:DI1 0.75mm2 RD along=DUCT1 insulation=300V
    Passing:
      - wire -T1:24V to -T1:DI1 0.75mm2 RD along=DUCT1 insulation=300V
      + wire -T1:24V to -T1:DI1 0.75mm2 RD along=DUCT1 insulation=450/750V
    Remedy:
      Take insulation for the highest voltage, or lay it in another route.
    """
    bundles = facts.of(Bundles)
    told: set[str] = set()
    for bundle in bundles.all:
        items = [item for group in bundle.items.values() for item in group]
        if not items:
            continue
        if bundles.clashes(bundle):
            yield this.spared(bundle.route, "of what lies together there and must not, `bundle-mixed` speaks")
            continue
        top = max(items, key=lambda item: item.voltage)
        weak = [item for item in items if item.rated_v is not None and item.rated_v < top.voltage and item.id not in told]
        weak = [item for item in weak if (item.rated_v or 0.0) >= item.voltage]
        told.update(item.id for item in weak)
        if weak:
            yield _beside(this, bundle, weak, top)
        low = separation().extra_low_v
        bare = [item for item in items if item.rated_v is None and item.voltage <= low < top.voltage]
        if bare:
            what = f"`{bare[0].id}`" if len(bare) == 1 else f"{len(bare)} circuits of extra-low voltage, such as `{bare[0].id}`,"
            yield this.not_judged(
                bundle.route, f"for which voltage {what} beside {top.voltage:g} V {_are(bare)} insulated is not stated"
            )
    for item in bundles.rated:
        if item.rated_v is not None and item.rated_v < item.voltage:
            yield this.report(
                f"`{item.id}` is insulated for {item.rated_v:g} V and carries {item.voltage:g} V",
                f"take insulation for {item.voltage:g} V or more",
                item.span,
                (item.id, *item.devices),
                about=(item.id,),
            )


def _are(items: list[Item]) -> str:
    return "is" if len(items) == 1 else "are"


def _beside(this: Rule, bundle: Bundle, weak: list[Item], top: Item) -> Report:
    """One report for a route: at the first that is too weak."""
    first, *others = weak
    return this.report(
        f"`{first.id}` is insulated for {first.rated_v or 0:g} V and lies in `{bundle.name}` with `{top.id}`, {top.voltage:g} V",
        f"take insulation for {top.voltage:g} V or more, or lay it in another route",
        first.span,
        (first.id, *first.devices, top.id, bundle.route, bundle.name, *(item.id for item in others)),
        about=(first.id,),
        related=[
            *(Related(f"so does `{item.id}`, for {item.rated_v or 0:g} V", item.span) for item in others),
            Related(f"`{top.id}` lies there too", top.span),
        ],
    )
