"""What a cable's construction says: `4G10`, `7x1.5`, `2x2x0.75`, `3x35+3G6`, `4G2.5+2x(2x1)` into cores."""

from __future__ import annotations

import re
from functools import lru_cache

from netdsl.model.plant import CoreType

#: printed colours by number of cores, without and with a green-yellow one (HD 308 S2)
COLOURS_PLAIN = {2: "BN BU", 3: "BN BK GY", 4: "BU BN BK GY", 5: "BU BN BK GY BK2"}
COLOURS_EARTH = {3: "BN BU", 4: "BN BK GY", 5: "BN BK GY BU"}

_PIECE = re.compile(
    r"(?P<outer>\d{1,4})x\((?P<in_count>\d{1,4})x(?P<in_section>\d+(?:\.\d+)?)\)"
    r"|(?P<pairs>\d{1,4})x(?P<per>[234])x(?P<pair_section>\d+(?:\.\d+)?)"
    r"|(?P<count>\d{1,4})(?P<kind>[xG])(?P<section>\d+(?:\.\d+)?)"
)
MAX_CORES = 200
#: least and largest section of a core, mm²: beyond them it is mistyped
SECTIONS_MM2 = 0.05, 2000.0


@lru_cache(maxsize=1024)
def cores_of(construction: str, numbered: bool | None = None) -> tuple[CoreType, ...] | None:
    """The cores of `construction` in order, or None where it cannot be read.

    `numbered`: True or False forces printed numbers or colours; None takes numbers from six cores on (without the
    green-yellow one, from five on). Source: HD 308 S2 for colours up to five cores, common practice for the rest.
    """
    cores: list[CoreType] = []
    pair = 0
    for index, text in enumerate(_split(construction)):
        match = _PIECE.fullmatch(text)
        if match is None:
            return None
        if match["count"]:
            if int(match["count"]) > MAX_CORES:
                return None
            cores += _plain(int(match["count"]), match["kind"] == "G", float(match["section"]), numbered, index > 0)
        else:
            groups = int(match["outer"] or match["pairs"])
            per = int(match["in_count"] or match["per"])
            if groups * per > MAX_CORES or per > 4:
                return None
            section = float(match["in_section"] or match["pair_section"])
            for _ in range(groups):
                pair += 1
                cores += [CoreType(f"{pair}{'abcd'[n]}", "", section, False, pair) for n in range(per)]
    least, largest = SECTIONS_MM2
    if not cores or not all(least <= core.section_mm2 <= largest for core in cores):
        return None
    names = [core.name for core in cores]
    return tuple(cores) if len(set(names)) == len(names) else None


def _split(construction: str) -> list[str]:
    return construction.split("+")


def _plain(count: int, earth: bool, section: float, numbered: bool | None, added: bool) -> list[CoreType]:
    if added and earth:  # 3x35+3G6: an earth core, split or not, laid between the phases
        return [CoreType("GNYE", "GNYE", section * count, True)]
    if count == 0:
        return []
    live = count - 1 if earth else count
    table = COLOURS_EARTH.get(count) if earth else COLOURS_PLAIN.get(count)
    use_numbers = (table is None or count > 5 or (count == 5 and not earth)) if numbered is None else numbered
    if use_numbers or table is None:
        names = [(str(n), "") for n in range(1, live + 1)]
    else:
        names = [(name, name) for name in table.split()][:live]
    cores = [CoreType(name, colour, section, False) for name, colour in names]
    if earth:
        cores.append(CoreType("GNYE", "GNYE", section, True))
    return cores
