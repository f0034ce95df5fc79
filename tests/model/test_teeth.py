"""Teeth of a comb: conductors of no length between its poles and clamps."""

from __future__ import annotations

from pathlib import Path

from reading import sound

HEAD = """\
place +BOX "Box" kind=box material=plastic
comb -WC1 at=+BOX poles=3 current=63A section=10mm2
device -F1 mcb-3p at=+BOX current=10A
device -F2 mcb-1p at=+BOX current=10A
"""


def test_each_pole_has_a_tooth_in_order(tmp_path: Path) -> None:
    plant = sound(tmp_path, HEAD + "teeth of -WC1 on -F1:1,3,5\nteeth of -WC1:L2 on -F2:1\n")
    made = {name: (each.section_mm2, each.length_m, each.colour) for name, each in plant.conductors.items()}
    assert made == dict.fromkeys(
        ("-WC1:L1 -- -F1:1", "-WC1:L2 -- -F1:3", "-WC1:L3 -- -F1:5", "-WC1:L2 -- -F2:1"), (10.0, 0.0, None)
    )
    (tooth, *_) = plant.conductors.values()
    assert (tooth.attributes.text("material"), tooth.attributes.amount("ampacity")) == ("comb", 63.0)
    assert tooth.is_tooth


def test_in_a_scheme_the_comb_may_be_given(tmp_path: Path) -> None:
    text = "scheme feed(comb, breaker) {\n  teeth of $comb on $breaker:1,3,5\n}\nuse feed comb=-WC1 breaker=-F1\n"
    assert list(sound(tmp_path, HEAD + text).conductors) == ["-WC1:L1 -- -F1:1", "-WC1:L2 -- -F1:3", "-WC1:L3 -- -F1:5"]
    one = text.replace(":1,3,5", ":1").replace("comb=-WC1 breaker=-F1", "comb=-WC1:L3 breaker=-F2")
    assert list(sound(tmp_path, HEAD + one).conductors) == ["-WC1:L3 -- -F2:1"]
