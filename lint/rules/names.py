"""Names that are found outside the function in which they are used."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import wires_and_cores
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category
from netdsl.model.plant import Conductor, Device, End, Role


@rule("found-outside", Severity.WARNING, source="netdsl language", silences=("contact-bridged",), judges=wires_and_cores)
def found_outside(facts: Facts, this: Rule) -> Iterator[Report]:
    """A name used inside a function is found only outside it, and a device inside is left without that connection.

    Reports:
      A device of the panel, or of an outer function, to which conductors written inside a function lead, where a device of the
      function with the same letter has terminals of the same names and nothing on any of them. One finding for each pair.
    Silent:
      Bars, strips, supplies and equipment of others, which are there for all; inner devices on which the same terminals are in
      use; contacts left over on an inner device that is in use otherwise; what schemes wire, whose names are given where they are
      used.
    Why:
      A device renamed in its declaration alone rewires its function to a namesake outside, and everything still reads.
    Failing:
      device -P1 lamp-230v at=+MCP
      function =F1 "Door" at=+MCP {
        device -P2 lamp-230v
        device -F1 mcb-1p current=2A
        wire -WB1:L1 to -F1:1 1mm2 BK
        wire -F1:2 to -P1:X1 1mm2 BK
        wire -P1:X2 to -WB1:N 1mm2 BU
      }
    Passing:
      - device -P1 lamp-230v at=+MCP
      -   device -P2 lamp-230v
      +   device -P1 lamp-230v
    Remedy:
      Name the device of the function, or connect it.
    """
    found: dict[tuple[str, str], list[tuple[Conductor, End]]] = {}
    inner: dict[str, list[Device]] = {}
    for device in facts.plant.devices.values():
        inner.setdefault(device.function, []).append(device)
    for conductor in facts.plant.conductors.values():
        for end in conductor.ends if conductor.function and conductor.use is None else ():
            outer = facts.plant.devices.get(end.device)
            if outer is not None and outer.category == Category.DEVICE and _is_around(outer.function, conductor.function):
                found.setdefault((conductor.function, outer.id), []).append((conductor, end))
    for (function, name), uses in found.items():
        outer = facts.plant.devices[name]
        for device in inner.get(function, ()):
            if _is_left(facts, device, outer, [end.terminal for _, end in uses]):
                yield _report(facts, this, device, outer, uses)


def _report(facts: Facts, this: Rule, device: Device, outer: Device, uses: list[tuple[Conductor, End]]) -> Report:
    conductor = uses[0][0]
    ends = list(dict.fromkeys(end.id for _, end in uses))
    return this.report(
        f"`{outer.id}` is used from inside `{device.function}`, and those terminals of `{device.id}` are left without a "
        f"conductor: {listed(ends)}",
        f"name `{device.product}` if that is meant, or connect it",
        conductor.span,
        (outer.id, device.id, *ends),
        about=(device.id,),
        explains=[*(c.id for c, _ in uses), *(node for _, end in uses for node in _beside(facts, end))],
        related=[Related(f"`{device.id}` is declared here", device.span), Related("the one outside", outer.span)],
    )


def _beside(facts: Facts, end: End) -> tuple[str, ...]:
    """The terminals on the net of an end."""
    net = facts.network.net(end.id)
    return net.nodes if net is not None else ()


def _is_around(outer: str, function: str) -> bool:
    """Whether a function, or the common part, holds another: `=A` holds `=A.B`."""
    return outer != function and (not outer or function.startswith(outer + "."))


def _is_left(facts: Facts, device: Device, outer: Device, names: list[str]) -> bool:
    """Whether a device looks like the one that was meant: of the letter, with these terminals, and nothing on them."""
    if device.category != Category.DEVICE or _letters(device) != _letters(outer):
        return False
    used = [name for name in device.terminals if f"{device.id}:{name}" in facts.landed]
    if not set(names) <= device.terminals.keys() or set(names) & set(used):
        return False
    return not used or all(device.terminals[name].role is not Role.CONTACT for name in names)


def _letters(device: Device) -> str:
    return device.product.lstrip("-").rstrip("0123456789")
