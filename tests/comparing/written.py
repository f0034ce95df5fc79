"""A small plant in statements of its own, written down in another order and layout by chance."""

from __future__ import annotations

import random
from pathlib import Path

from netdsl.cli.work import connect
from netdsl.network.types import Network

HEAD = 'netdsl 1\n\nproject "Barge lift" {\n  number = "B-7"\n}\n'
#: statements whose order means nothing; a tuple has inner lines whose order means nothing either
STATEMENTS: tuple[str | tuple[str, ...], ...] = (
    'place +P "Panel" kind=cabinet',
    'place +Q "Quay" kind=field',
    'route TRAY1 "tray" kind=tray at=+Q',
    "defaults within=+P class=control section=0.75mm2 colour=DBU length=2m",
    'shade DBU = BU "dark blue"',
    "device -K1 contactor-12a at=+P",
    "device -K2 contactor-12a at=+P",
    'device -T9 supply-24v "24 V" at=+P',
    "interlock -K1 -K2 mechanical",
    "set -T1 motor-current=7.5A ai2=4..20mA",
    'device -T1 vsd-5.5kw "Winch" at=+P',
    "potential P24 of -T9:+ mark=P24",
    'allow cable-short on =RA1-W1 because "the quay is near"',
    "strip -X1 at=+P {\n  :1..4 2.5mm2\n  bridge :1..2\n}",
    "wire -T9:+ to -X1:1 to -K1:A1",
    "wire -K1:A2 to -T9:-",
    (
        'function =RA1 "Ramp" at=+P {',
        "  device -B1 level-switch at=+Q",
        "  wire -X1:2 to -K2:A1 1.5mm2",
        "  cable -W1 2x1.5 cores=numbers length=12m along=TRAY1 {\n    1 -X1:3 to -B1:11\n    2 -X1:4 to -B1:14\n  }",
        "}",
    ),
)


def text_of(statements: tuple[str | tuple[str, ...], ...] = STATEMENTS) -> str:
    """The plant as it stands above."""
    return HEAD + "".join(f"{each if isinstance(each, str) else chr(10).join(each)}\n" for each in statements)


def laid_out(chance: random.Random) -> str:
    """The same in another order, with other spaces, comments and blank lines."""
    lines = []
    for each in chance.sample(STATEMENTS, len(STATEMENTS)):
        inner = each if isinstance(each, tuple) else tuple(each.split("\n"))
        if isinstance(each, tuple):
            inner = (each[0], *chance.sample(each[1:-1], len(each) - 2), each[-1])
        for line in inner:
            lines += ["# as it stands"] * (chance.random() < 0.2) + [""] * (chance.random() < 0.2)
            spaced = line if '"' in line else line.replace(" ", " " * chance.randint(1, 3))
            lines.append(spaced + "  # see above" * (chance.random() < 0.2))
    return HEAD + "\n".join(lines) + "\n"


def network_in(folder: Path, text: str) -> Network:
    """The network of a plant with this text, which is written into `folder`; it may lack nothing that it names."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "plant.netdsl"
    file.write_text(text, encoding="utf-8")
    judged = connect(file)
    assert judged.network is not None and judged.checked, [finding.message for finding in judged.findings]
    return judged.network
