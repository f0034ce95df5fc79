"""Channels of cards: text, tag and address at their terminals."""

from __future__ import annotations

from pathlib import Path

from reading import sound

HEAD = """\
place +BOX "Box" kind=box material=plastic
device -K1 card-16di at=+BOX
device -K2 card-16do at=+BOX
"""


def test_what_a_channel_says_stands_at_its_terminal(tmp_path: Path) -> None:
    text = 'channel -K1:3 "tank level low" tag=LSL1 address=I0.3\nchannel -K2:1 "pump"\n'
    devices = sound(tmp_path, HEAD + text).devices
    level, pump, other = devices["-K1"].terminals["3"], devices["-K2"].terminals["1"], devices["-K1"].terminals["4"]
    assert level.text == "LSL1 I0.3 tank level low"
    assert {name: str(value) for name, value in level.attributes.items() if name in ("tag", "address")} == {
        "tag": "LSL1",
        "address": "I0.3",
    }
    assert (pump.text, other.text) == ("pump", "")
    part = devices["-K1"].part
    assert part is not None and part.terminals["3"].text == ""  # the part itself stays as it is
