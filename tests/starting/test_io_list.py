"""Lists of inputs and outputs: what is read of them, what is wrong, and the cards, terminals and channels they give."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.starting import Signal, read_io_list, read_motor_list
from netdsl.starting.io_cards import addressed, cards_of
from render.build import drawing_set
from render.drawing import Drawing
from render.layout.overlap import overlaps
from tests.cases import each_of
from tests.starting.written import judged, written

HEAD = "tag;description;type;address;place;length;panel\n"
MOTORS = "tag;kW;control;place;panel\nP1;4;hand-off-auto;Hall;East\nP2;2.2;vfd;Hall;West\n"


def read(rows: str, motors: str = MOTORS) -> tuple[tuple[Signal, ...], list[str]]:
    signals, findings = read_io_list(HEAD + rows, "io.csv", read_motor_list(motors, "m.csv")[0])
    return signals, [f"{found.span.begin[0]}:{found.span.begin[1]} {found.message} | {found.remedy}" for found in findings]


def test_a_signal_is_read_with_the_words_of_the_trade_and_the_place_of_the_motors() -> None:
    signals, findings = read("LSL1;Tank low;Digital input;I0.3;hall;18,5m;East\nTT2;;Pt-100;;;;\n")
    assert findings == []
    assert signals == (
        Signal("LSL1", "Tank low", "di", "I0.3", "HALL", "hall", 18.5, "East"),
        Signal("TT2", "TT2", "rtd", "", "FIELD", "Field", 20.0),
    )


@each_of(
    ("row", "said"),
    [
        (";Tank low;DI;;;;", "2:1 the tag is missing | give each signal one, as on the flow diagram"),
        ("L1;;digital inptu;;;;", "2:5 `digital inptu` is no type of a signal | did you mean `digital-input`? "),
        ("L1;;;;;;", "2:1 the type is missing | one of di, do, ai, ao, rtd"),
        ("L1;;DI;I0.1;;;\nL2;;DI;I0.1;;;", "3:8 address `I0.1` stands in line 2 already | give each signal its own"),
        ("L1;;DI;;;;Est", "2:11 panel `Est` feeds no motor of the list | did you mean `East`?"),
        ("L1;;DI;;;far;", "2:10 `far` is no length of a cable"),
        ('"L""1";;DI;;;;', '2:1 `L"1` is no tag | write it without quotation marks and backslashes'),
    ],
)
def test_what_cannot_be_taken_is_told_where_it_stands(row: str, said: str) -> None:
    _, (finding,) = read(row + "\n")
    assert finding.startswith(said)


@each_of(
    ("text", "said"),
    [
        ("", "the list holds no heading and no signal"),
        (HEAD, "the list holds a heading and no signal"),
        ("motor;volts\nP1;4\n", "the first line is no heading of an I/O list"),
        ("tag;description\nL1;low\n", "column `type` is missing"),
    ],
)
def test_a_list_without_signals_is_told(text: str, said: str) -> None:
    signals, (finding,) = read_io_list(text, "io.csv")
    assert signals == () and finding.message == said


def test_signals_fill_cards_and_those_without_address_take_the_next_free_one() -> None:
    signals, _ = read("".join(f"L{n};;DI;{'I0.1' if n == 5 else ''};;;\n" for n in range(1, 18)) + "P1;;AI;;;;\nS1;;AO;;;;\n")
    listed = addressed(signals)
    assert [signal.address for signal in listed[:6]] == ["I0.0", "I0.2", "I0.3", "I0.4", "I0.1", "I0.5"]
    assert [signal.address for signal in listed[-3:]] == ["I2.0", "IW64", "QW64"]
    cards, placed = cards_of(listed)
    assert [(card.name, card.part) for card in cards] == [
        ("-K2", "card-16di"),
        ("-K3", "card-16di"),
        ("-K4", "card-8ai"),
        ("-K5", "card-4ao"),
    ]
    assert [(each.card, each.channel) for each in placed[15:]] == [("-K2", 16), ("-K3", 1), ("-K4", 1), ("-K5", 1)]


def test_lists_of_motors_and_signals_give_panels_with_cards_whose_channels_say_what_they_are(tmp_path: Path) -> None:
    kinds = {"DI": 17, "DO": 2, "AI": 9, "AO": 5, "RTD": 2}
    rows = [
        f"{kind}{n};Signal {n};{kind};;{'Hall' if n % 2 else 'Well'};{10 + n}m;{('', 'East', 'West')[n % 3]}"
        for kind, number in kinds.items()
        for n in range(number)
    ]
    (tmp_path / "m.csv").write_text(MOTORS)
    (tmp_path / "io.csv").write_text(HEAD + "\n".join(rows) + "\n")
    plant = written(tmp_path / "plant", "--from", tmp_path / "m.csv", "--io", tmp_path / "io.csv")
    found = judged(plant)
    assert [finding.message for finding in found.findings] == []
    assert found.network is not None
    said = {
        terminal.attributes.text("tag"): device.id
        for device in found.network.plant.devices.values()
        for terminal in device.terminals.values()
        if terminal.attributes.text("address")
    }
    assert len(said) == sum(kinds.values()) + 1  # those of the motor that a controller commands have no tag
    assert said["DI0"] == "=MCPA.IO1-K2" and said["DI2"] == "=MCPB.IO1-K2"
    sheets = drawing_set(Drawing(found.network, (), found.calculation))
    assert [message for sheet in sheets for message in overlaps(sheet)] == []
    assert max(map(len, plant.read_text("utf-8").splitlines())) <= 130


def test_an_empty_plant_takes_no_list_of_signals(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as leaving:
        main(["new", str(tmp_path / "plant"), "--empty", "--io", "io.csv"])
    assert leaving.value.code == 2
    assert "`--empty` and `--io` exclude each other" in capsys.readouterr().err
