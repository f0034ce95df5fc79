"""What is found at once after an edit, held to a fresh check of the whole text; `NETDSL_TYPED=1000` edits as many times.

A slice promises three things: where the whole has nothing, it shows nothing; what is wrong with the writing of the edited lines
themselves is shown; where the text can be read, nothing that it shows is of a rule and a thing of which the whole says nothing.
After a pause what is shown is what a fresh check of the same text says, at the same places.
"""

from __future__ import annotations

import os
import random
import re
from collections import Counter
from difflib import unified_diff
from pathlib import Path

import pytest

from lint.rules import rules
from netdsl.findings import Finding
from netdsl.serving.checking import judge
from netdsl.serving.pieces import Document
from netdsl.serving.plants import OpenPlant
from netdsl.serving.told import Asked, Told

ROOT = Path(__file__).parents[2]
EDITS = int(os.environ.get("NETDSL_TYPED", "12"))
EXAMPLES = ("star-delta", "hatchery") if EDITS > 100 else ("star-delta",)
TODAY = "2026-01-01"


def slip(text: str, chance: random.Random) -> str:
    """A text with one line otherwise, as a designer may slip: gone, twice, a letter otherwise, a word of another line."""
    lines = text.split("\n")
    while True:
        at = chance.randrange(len(lines))
        line = lines[at]
        words = list(re.finditer(r"[^\s{}\"#]+", line.partition("#")[0]))
        if not words or line.startswith("include"):  # another file makes another plant: that is the whole's to say
            continue
        word = chance.choice(words)
        place = chance.randrange(word.start(), word.end())
        other = chance.choice(re.findall(r"[^\s{}\"#]+", chance.choice(lines)) or ["X"])
        whole = "{" not in line and "}" not in line
        ways = [
            line[:place] + chance.choice("0123456789ABKLMNTUWX") + line[place + 1 :],
            line[: word.start()] + other + line[word.end() :],
            line[: word.start()] + line[word.end() :],
            *([None, f"{line}\n{line}"] if whole else []),
        ]
        new = chance.choice(ways)
        if new != line:
            return "\n".join([*lines[:at], *([] if new is None else [new]), *lines[at + 1 :]])


def difference(old: str, new: str) -> str:
    return "\n".join(line for line in unified_diff(old.split("\n"), new.split("\n"), lineterm="", n=0))


def touched(old: str, new: str, found: Told) -> bool:
    """Whether a finding stands in a line of the new text that the old one does not have."""
    path, start, _ = found.place
    line = new.count("\n", 0, start)
    return path == "plant.netdsl" and new.split("\n")[line] not in old.split("\n")


def fresh(file: Path, text: str) -> list[Told]:
    return [each for each in judge(Asked(str(file), TODAY, {"plant.netdsl": text})) if each.allowed is None]


def shown(plant: OpenPlant) -> list[Finding]:
    return [each for each in plant.findings(TODAY) if each.allowed is None]


def placed(plant: OpenPlant, document: Document) -> Counter[tuple[object, ...]]:
    """What is shown, each with where it stands in the whole text."""
    result: Counter[tuple[object, ...]] = Counter()
    for each in shown(plant):
        number = document.number_of(each.span.source)
        start = each.span.start if number is None else document.offset(number, each.span.start)
        result[each.rule, each.message, each.remedy, each.subjects, start] += 1
    return result


@pytest.mark.parametrize("example", EXAMPLES)
def test_what_is_shown_after_an_edit_is_what_the_whole_says(example: str) -> None:
    chance = random.Random(7)
    file = ROOT / "examples" / example / "plant.netdsl"
    text = file.read_text("utf-8")
    plant = OpenPlant(file)
    document = plant.open("plant.netdsl", text)
    plant.refresh()
    plant.confirm(judge(Asked(str(file), TODAY, {"plant.netdsl": text})), plant.copies())
    assert shown(plant) == []
    silent = alike = 0
    judged = {name for name, each in rules().items() if each.check is not None}
    for number in range(EDITS):
        edited = slip(text, chance)
        document.replace(edited)
        plant.version += 1
        wanted = fresh(file, edited)
        found = shown(plant)
        said = {(each.rule, each.subjects[:1]) for each in wanted}
        if not wanted:
            assert found == [], difference(text, edited)
            silent += 1
        readable = all(each.rule in judged for each in wanted)
        written = {each.message for each in wanted if each.rule not in judged and touched(text, edited, each)}
        assert written - {each.message for each in found} == set(), difference(text, edited)
        alike += Counter((each.rule, each.subjects) for each in found) == Counter((each.rule, each.subjects) for each in wanted)
        if readable:
            assert {(each.rule, each.subjects[:1]) for each in found} <= said, difference(text, edited)
        if number % 10 == 9:  # the pause, after which other edits follow
            text = edited if not wanted else text
            document.replace(text)
            plant.version += 1
            plant.refresh()
            told = judge(Asked(str(file), TODAY, {"plant.netdsl": text}))
            plant.confirm(told, plant.copies())
            wanted = [each for each in told if each.allowed is None]
            places = Counter((each.rule, each.message, each.remedy, each.subjects, each.place[1]) for each in wanted)
            assert placed(plant, document) == places
        document.replace(text)
        plant.version += 1
    assert silent > 0 and alike > EDITS * 0.7
