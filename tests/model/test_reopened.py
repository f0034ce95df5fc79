"""What is said of a thing in more than one place: settings at its device, functions that go on, devices wired from elsewhere."""

from __future__ import annotations

from pathlib import Path

from reading import read, sound

from tests.cases import each_of

HEAD = """\
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
"""


@each_of(
    "text",
    [
        "device -T1 vsd-15kw at=+MCP ai2=4..20mA termination=on address=11 motor-current=28A\n",
        "device -T1 vsd-15kw at=+MCP termination=on\nset -T1 ai2=4..20mA address=11 motor-current=28A\n",
        "device -T1 vsd-15kw at=+MCP\nset -T1 termination=on ai2=4..20mA address=11 motor-current=28A\n",
    ],
)
def test_a_setting_may_stand_at_its_device(text: str, tmp_path: Path) -> None:
    drive = sound(tmp_path, HEAD + text).devices["-T1"]
    assert drive.settings_set == {"termination", "ai2", "address", "motor-current"}
    assert [drive.word(name) for name in ("termination", "ai2", "address", "motor-current")] == ["on", "4..20mA", "11", "28A"]
    assert {name: span.text for name, span in drive.settings_at.items()}["ai2"] == "ai2=4..20mA"


def test_a_release_set_at_its_device_is_no_rating(tmp_path: Path) -> None:
    breaker = sound(tmp_path, HEAD + "device -Q1 motor-breaker-6.3a at=+MCP tripping-current=4.9A\n").devices["-Q1"]
    assert breaker.settings_set == {"tripping-current"} and "tripping-current" not in breaker.ratings
    assert breaker.amount("tripping-current") == 4.9


@each_of(
    ("text", "rule", "marked"),
    [
        ("device -T1 vsd-15kw at=+MCP ai2=4..21mA\n", "unknown-word", "4..21mA"),
        ("device -T1 vsd-15kw at=+MCP address=911\n", "out-of-range", "911"),
        ("device -T1 vsd-15kw at=+MCP motor-current=28V\n", "wrong-unit", "28V"),
        ("device -T1 vsd-15kw at=+MCP a12=4..20mA\n", "unknown-word", "a12"),
        ("device -T1 vsd-15kw at=+MCP ai2=4..20mA\nset -T1 ai2=0..20mA\n", "duplicate-name", "ai2=0..20mA"),
        ("device -Q1 motor-breaker-6.3a at=+MCP tripping-current=49A\n", "out-of-range", "49A"),
    ],
)
def test_a_wrong_setting_at_its_device_is_one_finding(text: str, rule: str, marked: str, tmp_path: Path) -> None:
    _, (finding,) = read(tmp_path, HEAD + text)
    assert (finding.rule, finding.span.text) == (rule, marked)


def test_the_nearest_setting_is_named_where_one_is_mistyped(tmp_path: Path) -> None:
    _, (finding,) = read(tmp_path, HEAD + "device -T1 vsd-15kw at=+MCP terminatoin=on\n")
    assert finding.remedy == "did you mean `termination`?"


@each_of(
    "text",
    [
        'function =A "Pump" at=+HALL {\n  device -H1 lamp\n}\nfunction =A {\n  device -H2 lamp\n}\n',
        'function =A {\n  device -H2 lamp\n}\nfunction =A "Pump" at=+HALL {\n  device -H1 lamp\n}\n',
        'function =A {\n  device -H1 lamp\n}\nfunction =A at=+HALL {\n}\nfunction =A "Pump" {\n  device -H2 lamp\n}\n',
    ],
)
def test_a_function_goes_on_where_it_stands(text: str, tmp_path: Path) -> None:
    plant = sound(tmp_path, HEAD + text)
    assert {each.place for each in plant.devices.values()} == {"+HALL"}
    assert [(each.id, each.title, each.place) for each in plant.functions.values()] == [("=A", "Pump", "+HALL")]


@each_of(
    "text",
    [
        "function =A at=+MCP {\n  function =B {\n    device -H1 lamp\n  }\n}\nfunction =A.B {\n  device -H2 lamp\n}\n",
        "function =A.B {\n  device -H2 lamp\n}\nfunction =A at=+MCP {\n  function =B {\n    device -H1 lamp\n  }\n}\n",
        "function =A at=+MCP {\n}\nfunction =A {\n  function =B {\n    device -H1 lamp\n    device -H2 lamp\n  }\n}\n",
        "function =A.B {\n  device -H1 lamp\n  device -H2 lamp\n}\nfunction =A at=+MCP {\n}\n",
    ],
)
def test_a_function_inside_another_may_be_named_in_full(text: str, tmp_path: Path) -> None:
    plant = sound(tmp_path, HEAD + text)
    assert {(each.id, each.place) for each in plant.devices.values()} == {("=A.B-H1", "+MCP"), ("=A.B-H2", "+MCP")}
    assert {each.id: each.parent for each in plant.functions.values()} == {"=A": None, "=A.B": "=A"}


def test_a_part_of_a_function_may_stand_elsewhere(tmp_path: Path) -> None:
    text = "function =A at=+MCP {\n  device -H1 lamp\n}\nfunction =A at=+HALL {\n  device -H2 lamp\n}\n"
    plant = sound(tmp_path, HEAD + text)
    assert {each.id: each.place for each in plant.devices.values()} == {"=A-H1": "+MCP", "=A-H2": "+HALL"}


@each_of(
    "wire",
    [
        "wire =A-H1:X1 to =A.B-H1:X1 1mm2 BU\n",
        "function =C {\n  wire =A-H1:X1 to =A.B-H1:X1 1mm2 BU\n}\n",
        "function =A {\n  wire -H1:X1 to =B-H1:X1 1mm2 BU\n}\n",
        "scheme join(one, other) {\n  wire $one to $other 1mm2 BU\n}\nuse join one==A-H1:X1 other= =A.B-H1:X1\n",
    ],
)
def test_a_device_of_a_function_is_wired_from_elsewhere_by_its_full_name(wire: str, tmp_path: Path) -> None:
    text = "function =A at=+MCP {\n  device -H1 lamp\n  function =B {\n    device -H1 lamp\n  }\n}\n"
    plant = sound(tmp_path, HEAD + text + wire.replace("one==A", "one= =A"))
    assert list(plant.conductors) == ["=A-H1:X1 -- =A.B-H1:X1"]
