"""Damage to texts by chance: bytes, words and lines lost, doubled, exchanged or strange; figures that nobody would write."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

TOKEN = re.compile(r"\s+|[{}(),]|\"[^\"\n]*\"|[^\s{}(),\"]+")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
STRANGE = (
    *('{ } " # ( ) = + - : $ ..'.split()),
    *("1..999999999", "0mm2", "\t", "\r", "\x00", "\u2028", "\ufeff", "水", "\U0001f41f", "9" * 400, "-T1:1..0", "screen", "use"),
    'include "plant.netdsl"',
)
#: words that stand where others belong
ODD = (
    *STRANGE,
    *("auto", "none", "inf", "nan", "($a+$a-$a)", "(1/0)", "(2*3)", "$a", ":1..40", "-X1:1,2,3", "a/../b", "CON", "é", "A" * 300),
    *('"</text><script>"', '"=1+2"', "\x1b[2J", "\u202e"),
)
FIGURES = (
    *("0 -1 0.0 1e9 0.000001 0.5 1 2 3 7 1000 99999999 1000000000000 0..0 5..1 1..100000 -0 00 1.".split()),
    *("9" * 30, "9" * 5000, "0." + "0" * 40 + "1", "١٢"),
)


def damaged_bytes(data: bytes, chance: random.Random) -> bytes:
    """Some bytes flipped, lost or added, or the end cut off."""
    result = bytearray(data)
    for _ in range(chance.randint(1, 6)):
        if not result:
            break
        place = chance.randrange(len(result))
        kind = chance.randrange(4)
        if kind == 0:
            result[place] = chance.randrange(256)
        elif kind == 1:
            del result[place : place + chance.randint(1, 20)]
        elif kind == 2:
            result[place:place] = bytes(chance.randrange(256) for _ in range(chance.randint(1, 8)))
        else:
            del result[max(1, len(result) - chance.randint(0, 400)) :]
    return bytes(result)


def damaged_parts(parts: list[str], chance: random.Random) -> bytes:
    """Some parts (tokens or lines) lost, doubled, exchanged, replaced by another or by something strange."""
    for _ in range(chance.randint(1, 5)):
        one, other = chance.randrange(len(parts)), chance.randrange(len(parts))
        kind = chance.randrange(6)
        if kind == 0:
            parts[one] = ""
        elif kind == 1:
            parts[one] += parts[one]
        elif kind == 2:
            parts[one], parts[other] = parts[other], parts[one]
        elif kind == 3:
            parts[one] = parts[other]
        elif kind == 4:
            parts[one] = chance.choice(STRANGE)
        else:
            parts[one] += chance.choice(STRANGE)
    return "".join(parts).encode("utf-8", "surrogatepass")


def damaged_tokens(data: bytes, chance: random.Random) -> bytes:
    """Some words lost, doubled, exchanged, replaced or strange."""
    return damaged_parts(TOKEN.findall(data.decode()) or [""], chance)


def damaged_lines(data: bytes, chance: random.Random) -> bytes:
    """Some lines lost, doubled, exchanged, replaced or strange."""
    return damaged_parts(data.decode().splitlines(keepends=True) or [""], chance)


def damaged_figures(data: bytes, chance: random.Random) -> bytes:
    """One to three numbers of the text are others, strange ones among them: most of the plant is still read."""
    text = data.decode()
    for _ in range(chance.randint(1, 3)):
        found = list(NUMBER.finditer(text))
        if not found:
            break
        place = chance.choice(found)
        figure = chance.choice(FIGURES) if chance.random() < 0.7 else chance.choice(found)[0]
        text = text[: place.start()] + figure + text[place.end() :]
    return text.encode()


DAMAGE: tuple[Callable[[bytes, random.Random], bytes], ...] = (damaged_bytes, damaged_tokens, damaged_lines)
