"""`lint` and `render` are common names: a distribution that brings its own is told, and nothing is judged with it."""

import subprocess
import sys
from pathlib import Path

import pytest

from netdsl.cli.neighbours import NAMES, stranger

ROOT = Path(__file__).parent.parent.parent


def test_nothing_is_said_where_netdsl_is_installed_as_it_should_be() -> None:
    assert stranger() is None


@pytest.mark.parametrize("name", NAMES)
def test_a_package_of_the_same_name_that_comes_first_is_told_and_nothing_is_judged(name: str, tmp_path: Path) -> None:
    (tmp_path / name).mkdir()
    (tmp_path / name / "__init__.py").write_text("", "utf-8")
    start = f"import sys; sys.path[:0] = [{str(tmp_path)!r}, {str(ROOT)!r}]; from netdsl.cli import script; script()"
    done = subprocess.run(
        [sys.executable, "-c", start, "check", str(ROOT / "examples" / "hatchery")], capture_output=True, text=True
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert f"the package `{name}` comes from `{tmp_path / name}`" in done.stderr
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize("name", NAMES)
def test_a_package_that_another_one_wrote_over_is_told(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for each in ("netdsl", *NAMES):
        (tmp_path / each).mkdir()
        (tmp_path / each / "__init__.py").write_bytes((ROOT / each / "__init__.py").read_bytes() if each != name else b"\n")
    monkeypatch.setattr("netdsl.__file__", str(tmp_path / "netdsl" / "__init__.py"))
    monkeypatch.syspath_prepend(tmp_path)
    for each in NAMES:
        monkeypatch.delitem(sys.modules, each, raising=False)
    said = stranger()
    assert said is not None and f"the package `{name}` in `{tmp_path / name}` was overwritten" in said
