"""README and DEVELOPERS.md: what they point at exists, the commands are one line each, every dependency has its reason."""

from __future__ import annotations

import os
import re
import tomllib
from pathlib import Path

from click.testing import CliRunner

from netdsl.cli.entry import netdsl
from tests.cases import each_of
from tests.refresh import rows

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text("utf-8")


@each_of("text", [README, GUIDE])
def test_links_lead_somewhere(text: str) -> None:
    targets = re.findall(r"(?<!!)\[[^\]]*\]\(([^)#:]+)\)", text)
    assert targets
    assert [target for target in targets if not (ROOT / target).exists()] == []


def test_two_commands_of_one_line_each() -> None:
    commands = re.findall(r"^```sh\n(.*?)\n```$", README, re.MULTILINE | re.DOTALL)
    assert len(commands) == 2
    assert all("\n" not in command and command.startswith("python3 -m venv .venv && ") for command in commands)
    assert "netdsl build examples/hatchery" in commands[0]
    assert "pytest" in commands[1]
    assert commands[1] in GUIDE or "pytest -n auto" in GUIDE


def test_the_readme_shows_a_drawing_and_the_cautions() -> None:
    assert re.search(r"!\[[^\]]+\]\(examples/hatchery/[\w-]+\.(png|svg)\)", README)
    for words in (
        "lock off",
        "DC link",
        "prove dead",
        "manufacturer's instructions prevail",
        "licensed person",
        "skilled persons",
    ):
        assert words in README


def test_the_readme_quotes_what_the_commands_print() -> None:
    quoted = re.findall(r"^```text\n\$ netdsl (.*?)\n(.*?)\n```$", README, re.MULTILINE | re.DOTALL)
    assert quoted
    for command, lines in quoted:
        printed = CliRunner().invoke(netdsl, command.split()).stdout
        assert [line for line in lines.splitlines() if line != "..." and line not in printed.splitlines()] == []


def test_every_dependency_has_its_reason() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["dev"]]
    names = {re.split(r"[<>=!~\[]", each)[0] for each in asked}
    table = next(part for part in GUIDE[GUIDE.index("## Dependencies") :].split("\n\n") if part.startswith("|"))
    rows = dict(re.findall(r"^\| ([a-z0-9, -]+?) \| (.+) \|$", table, re.MULTILINE))
    reasoned = {name.strip() for cell in rows for name in cell.split(",")} - {"package"}
    assert reasoned - {"---"} == names


def test_the_continuous_check_is_a_program_that_stops_at_faults() -> None:
    script = ROOT / ".ci" / "run"
    assert os.access(script, os.X_OK)
    assert "set -e" in script.read_text("utf-8")


def test_what_is_generated_has_a_command_that_can_be_run() -> None:
    found = dict(rows())
    assert len(found) > 10
    for what, command in found.items():
        words = [word for word in command.split() if "=" not in word]
        module = words[2] if words[:2] == ["python", "-m"] else ""
        script = ROOT / (module.replace(".", "/") + ".py" if module else words[1] if words[0] == "python" else words[-1])
        assert script.exists(), what
