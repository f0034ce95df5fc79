"""What of an old plant is called otherwise in the new one."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import partial

from msgspec import Struct, field

#: a designation, with a terminal where one is named
_DESIGNATION = re.compile(r"(?<!\S)([=+-][^\s,;:/()]+)(?::([^\s,;/()]+))?")


class Names(Struct, frozen=True):
    """`things`: designations of functions, devices, cables, places and routes that changed, old to new. `terminals`: of a strip,
    by its new designation, names of terminals that changed, old to new. `lost`: things that are no more, and whose name is now
    another's."""

    things: Mapping[str, str] = field(default_factory=dict)
    terminals: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    lost: frozenset[str] = frozenset()

    def of(self, text: str) -> str:
        """An old text with every designation in it as it is now."""
        if not (self.things or self.terminals or self.lost):
            return text
        return _DESIGNATION.sub(partial(_renamed, self), text)

    def way(self, text: str) -> str:
        """Routes, or compartments of them, as they are now: `TRAY1/2, DUCT3`."""
        found = []
        for each in text.split(", "):
            route, slash, compartment = each.partition("/")
            found.append(f"{self.things.get(route, route)}{slash}{compartment}")
        return ", ".join(found)

    def subject(self, name: str) -> str:
        """What a finding or a result is about, as it is called now."""
        return self.way(name) if name.partition("/")[0] in self.things else self.of(name)

    def thing(self, name: str) -> str:
        """The new designation of a thing; of one that is no more, one that nothing has."""
        return self.things.get(name, f"{name}*" if name in self.lost else name)


def _renamed(names: Names, found: re.Match[str]) -> str:
    device = names.thing(found[1])
    if found[2] is None:
        return device
    return f"{device}:{names.terminals.get(device, {}).get(found[2], found[2])}"
