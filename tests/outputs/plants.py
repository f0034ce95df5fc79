"""The plants whose outputs are recorded: all examples and fault plants, and random ones, the same for the same seed."""

from __future__ import annotations

import random
import shutil
from collections.abc import Iterator
from pathlib import Path

#: of each kind of random plants
RANDOM = 100
POWERS = ("0.37", "0.75", "1.5", "2.2", "3", "4", "5.5", "7.5", "11", "15", "18.5", "22", "30", "45")
WAYS = (
    "two-wire",
    "three-wire",
    "local-remote",
    "closed-loop",
    "preset-speeds",
    "serial-bus",
    "mains-bypass",
    "direct-on-line",
    "reversing",
    "star-delta",
)
PLACES = ("Trout hall", "Well house", "Drum filters", "")


def written(examples: Path, target: Path, seed: int = 1) -> list[Path]:
    """Copies the plants below `examples` to `target`, damages some at random, and writes random motor lists; gives the folders.

    A folder holds a `plant.netdsl`, or a `motors.csv` from which a plant is to be begun.
    """
    chance = random.Random(seed)
    sound = [path.parent for path in sorted(examples.rglob("plant.netdsl")) if "out" not in path.parts]
    made = [_copied(folder, target / folder.relative_to(examples)) for folder in sound]
    whole = [folder for folder in sound if folder.parent == examples]
    for number in range(RANDOM):
        folder = _copied(chance.choice(whole), target / f"damaged-{number:03}")
        _damage(folder, chance)
        made.append(folder)
    for number in range(RANDOM):
        folder = target / f"listed-{number:03}"
        folder.mkdir(parents=True)
        (folder / "motors.csv").write_text("\n".join(_motors(chance)) + "\n", "utf-8")
        made.append(folder)
    return made


def _copied(folder: Path, target: Path) -> Path:
    shutil.copytree(folder, target, ignore=shutil.ignore_patterns("out", "*.svg", "*.png"))
    return target


def _damage(folder: Path, chance: random.Random) -> None:
    """Takes out, doubles or exchanges a few lines, or exchanges two words of a line, as hasty editing does."""
    path = chance.choice(sorted(folder.rglob("*.netdsl")))
    lines = path.read_text("utf-8").split("\n")
    for _ in range(chance.randint(1, 3)):
        one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        kind = chance.randrange(4)
        if kind == 0:
            lines[one] = ""
        elif kind == 1:
            lines.insert(one, lines[one])
        elif kind == 2:
            lines[one], lines[other] = lines[other], lines[one]
        else:
            words = lines[one].split(" ")
            first, second = chance.randrange(len(words)), chance.randrange(len(words))
            words[first], words[second] = words[second], words[first]
            lines[one] = " ".join(words)
    path.write_text("\n".join(lines), "utf-8")


def _motors(chance: random.Random) -> Iterator[str]:
    yield "designation,description,power,voltage,way of running,cable length,place"
    for number in range(1, chance.randint(2, 9)):
        voltage = chance.choice(("400", "400V", "230/400V", ""))
        length = chance.choice((f"{chance.randint(5, 60)}m", ""))
        power, way = chance.choice(POWERS), chance.choice(WAYS)
        yield f"P{number},Pump {number},{power}kW,{voltage},{way},{length},{chance.choice(PLACES)}"
