"""Text to Tree and back: `parse`, `decode`, `format_text`, all pure."""

from __future__ import annotations

from netdsl.syntax.decode import decode
from netdsl.syntax.format import format_text
from netdsl.syntax.parser import parse

__all__ = ["decode", "format_text", "parse"]
