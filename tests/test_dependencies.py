"""What netdsl stands on: each dependency is bounded, has its reason and its licence in the guide, and all data is packed."""

import re
import tomllib
from functools import cache
from importlib.metadata import metadata
from pathlib import Path

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
WANTED = [
    (match[1], match[2])
    for each in (*PROJECT["project"]["dependencies"], *PROJECT["project"]["optional-dependencies"]["dev"])
    if (match := re.fullmatch(r"([\w-]+)(.*)", each))
]
#: what the metadata of packages call a licence that the guide calls by its SPDX name
CALLED = {
    "MIT License": "MIT",
    "BSD License": "BSD-3-Clause",
    "SIL OFL 1.1": "OFL-1.1",
    "SIL Open Font License 1.1 (OFL-1.1)": "OFL-1.1",
}


@cache
def rows() -> dict[str, tuple[str, str]]:
    """Package to licences and reason, as the guide's table has them."""
    section = (ROOT / "DEVELOPERS.md").read_text("utf-8").partition("\n## Dependencies\n")[2]
    table = section.strip().partition("\n\n")[0].splitlines()[2:]
    lines = ([cell.strip() for cell in line.strip("|").split(" | ")] for line in table)
    return {name.strip(): (licences, reason) for names, licences, reason in lines for name in names.split(",")}


def said_by(package: str) -> str:
    """The licence that the installed package names for itself, as SPDX has it where that is known."""
    told = metadata(package)
    classes = [each.rpartition(" :: ")[2] for each in told.get_all("Classifier", []) if each.startswith("License ::")]
    short = told.get("License") or ""
    said = told.get("License-Expression") or (classes[0] if classes else short)
    return CALLED.get(said, said)


def test_a_dependency_is_bounded_and_said_in_the_guide() -> None:
    for package, bounds in WANTED:
        assert bounds.startswith("==") or "<" in bounds, package
        licences, reason = rows()[package]
        assert len(reason.split()) > 1, package
        known = tuple(licences.split(", ")) if "and others" not in licences else licences.split(" and ")[0]
        assert said_by(package).startswith(known), package


def test_the_guide_names_no_other_dependency() -> None:
    assert set(rows()) == {package for package, _ in WANTED}


def test_a_wheel_carries_every_file_that_is_no_code() -> None:
    packed = PROJECT["tool"]["setuptools"]["package-data"]
    for package in ("netdsl", "lint", "render"):
        home = ROOT / package
        data = {file for file in home.rglob("*") if file.is_file() and file.suffix not in (".py", ".pyc")}
        assert data - {file for pattern in packed.get(package, ()) for file in home.glob(pattern)} == set()
