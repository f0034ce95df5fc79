"""Words of a stated form: the protection ahead of a supply, degrees of protection, utilisation categories."""

from __future__ import annotations

import re

from netdsl.model.value_kinds import Shaped
from netdsl.model.vocabulary import FUSE_CLASSES

_CLASSES = "|".join(FUSE_CLASSES)
#: protection ahead of a supply; a fuse without a class is a gG, a breaker without a curve one of IEC 60947-2; some current, of
#: less than 100 kA
UPSTREAM = re.compile(
    rf"(?P<kind>(?P<fuse>fuse)|mcb|mccb|breaker)(?:-(?P<curve>(?(fuse)(?:{_CLASSES})|[BCDKZ])))?-(?=[\d.]*[1-9])(?P<amps>\d{{1,5}}(?:\.\d{{1,2}})?)A"
)
#: the same written wrongly: a dash left out or another, in another case, without its unit
_LIKE_UPSTREAM = re.compile(r"(?i)(?P<kind>fuse|mcb|mccb|breaker)[-_/]?(?P<curve>[a-z]{0,2}?)[-_/]?(?P<amps>\d+(?:\.\d+)?)a?")
_KIND = rf"(?:fuse(?:-(?:{_CLASSES}))?|(?:mcb|mccb|breaker)(?:-[BCDKZ])?|motor-breaker)"


def _meant(match: re.Match[str]) -> str:
    curve = next((each for each in ("", *FUSE_CLASSES, *"BCDKZ") if each.casefold() == match["curve"].casefold()), None)
    if curve is None:
        return ""
    return "-".join(each for each in (match["kind"].lower(), curve, f"{match['amps']}A") if each)


PROTECTION = Shaped(UPSTREAM, "protection ahead", ("fuse-gG-63A", "mcb-C-32A", "mccb-160A"), _LIKE_UPSTREAM, _meant)
PROTECTION_KINDS = Shaped(re.compile(rf"{_KIND}(?:[/,]{_KIND})*"), "kind of protection", ("fuse-gG", "fuse-gG/mcb"))
DEGREE = Shaped(re.compile(r"IP[0-6X][0-9X]K?[A-DHMSW]*"), "degree of protection", ("IP55",))
UTILISATION = Shaped(
    re.compile(r"(?:AC|DC)-\d{1,2}[a-eA-B]?"),
    "utilisation category",
    ("AC-3", "DC-13"),
    re.compile(r"(?i)(?P<kind>AC|DC)[-_]?(?P<number>\d{1,2}[a-e]?)"),
    lambda match: f"{match['kind'].upper()}-{match['number']}",
)
SAFETY_LEVEL = Shaped(re.compile(r"PL[a-e]|SIL[1-4]"), "level of safety", ("PLe", "SIL3"))
