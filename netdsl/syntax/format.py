"""Canonical text."""

from __future__ import annotations

from netdsl.findings import Source


def format_text(source: Source) -> str | None:
    return source.text
