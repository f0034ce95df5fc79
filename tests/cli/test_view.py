"""`netdsl view`: what it takes and refuses; what the pages do stands in the tests of their room."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from netdsl.cli import main
from tests.cases import each_of
from tests.viewing.desks import PLANT


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Exit code, output and errors of one command."""
    with pytest.raises(SystemExit) as leaving:
        main(["view", *arguments])
    said = capsys.readouterr()
    return int(leaving.value.code or 0), said.out, said.err


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    file = tmp_path / "plant.netdsl"
    file.write_text(PLANT, encoding="utf-8")
    return file


def test_pages_are_exported_and_their_first_named(plant: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, str(plant), "--export", str(tmp_path / "pages"), "--editor", "https://host.example/{file}#L{line}")
    assert (code, out) == (0, f"{tmp_path / 'pages' / 'index.html'}\n")
    assert "https://host.example/{file}#L{line}" in (tmp_path / "pages" / "state.js").read_text("utf-8")


@each_of(
    ("link", "said"),
    [
        ("javascript:alert({path})", "is no address of an editor"),
        ("DATA:text/html,{path}", "is no address of an editor"),
        ("{path}", "is no address of an editor"),
        ("editor://open", "it takes {path} or {file}"),
        ("editor://{path}?{user}", "it takes {path} or {file}"),
    ],
)
def test_only_the_link_of_an_editor_is_taken(plant: Path, link: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, error = run(capsys, str(plant), "--editor", link)
    assert code == 2
    assert said in error


def test_pages_for_others_do_not_say_where_a_file_lies(plant: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, error = run(capsys, str(plant), "--export", str(tmp_path / "pages"), "--editor", "editor://{path}")
    assert (code, (tmp_path / "pages").exists()) == (2, False)
    assert "must not say where a file lies on this machine" in error


def test_the_editor_of_this_machine_goes_into_no_pages_for_others(
    plant: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NETDSL_EDITOR", "editor://{path}")
    code, _, _ = run(capsys, str(plant), "--export", str(tmp_path / "pages"))
    assert code == 0
    assert "editor://" not in (tmp_path / "pages" / "state.js").read_text("utf-8")


def test_a_page_of_somebody_else_is_left_alone(plant: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "index.html").write_text("mine", encoding="utf-8")
    code, _, error = run(capsys, str(plant), "--export", str(tmp_path))
    assert (code, (tmp_path / "index.html").read_text("utf-8")) == (2, "mine")
    assert "is none of these pages: name another folder" in error


def test_a_port_that_is_taken_is_said(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        code, out, error = run(capsys, str(plant), "--no-open", "--port", str(port))
    assert (code, out) == (2, "")
    assert (
        error == f"netdsl: port {port} cannot be served at: address already in use: name another, or none for any that is free\n"
    )
