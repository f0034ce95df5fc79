"""What terminal roles and the parameters of the shipped schemes mean."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources


@cache
def words() -> dict[str, dict[str, str]]:
    """What terminal roles (`roles`) and parameters of schemes (`parameters`) mean, by their names."""
    text = resources.files("netdsl.library").joinpath("words.toml").read_text(encoding="utf-8")
    read: dict[str, dict[str, str]] = tomllib.loads(text)
    return read
