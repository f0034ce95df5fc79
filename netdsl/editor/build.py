"""Refreshes what editors get of the language: `python -m netdsl.editor.build`."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from netdsl.syntax.grammar import GRAMMAR_PATH

FOLDER = Path(__file__).parent / "extension"
GRAMMAR = FOLDER / "syntaxes" / "netdsl.tmLanguage.json"


def words() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The words of `grammar.lark`: those with which a line begins, and those that stand further on in one."""
    text = re.sub(r"//[^\n]*", "", GRAMMAR_PATH.read_text("utf-8"))
    first: dict[str, None] = {}
    inner: dict[str, None] = {}
    for alternative in re.split(r"[:|]\s", text):
        pieces = alternative.split()
        for number, piece in enumerate(pieces):
            if re.fullmatch(r'"[a-z-]+"', piece):
                (inner if number else first)[piece.strip('"')] = None
    return tuple(sorted(first)), tuple(sorted(set(inner) - {"{"}))


def grammar() -> dict[str, Any]:
    """The TextMate grammar."""
    first, inner = words()
    return {
        "name": "netdsl",
        "scopeName": "source.netdsl",
        "fileTypes": ["netdsl"],
        "patterns": [
            {"name": "comment.line.number-sign.netdsl", "match": "#.*$"},
            {"name": "string.quoted.double.netdsl", "match": r'"(?:[^"\\]|\\.)*"?'},
            {"name": "keyword.control.netdsl", "match": rf"^\s*(?:{_any(first)})(?=\s|$)"},
            {"name": "variable.parameter.netdsl", "match": r"\$[A-Za-z][\w.\-]*"},
            {"match": r"([A-Za-z][\w.\-/]*)\s*(=)", "captures": {"1": {"name": "entity.other.attribute-name.netdsl"}}},
            {
                "match": r"((?:[=+\-][A-Za-z][\w.]*)+)(:[\w+\-./,]+)?",
                "captures": {"1": {"name": "variable.other.netdsl"}, "2": {"name": "variable.other.member.netdsl"}},
            },
            {"name": "variable.other.member.netdsl", "match": r":[\w+\-./,]+"},
            {"name": "constant.numeric.netdsl", "match": r"\b\d[\w./+-]*%?"},
            {"name": "keyword.operator.word.netdsl", "match": rf"(?<=\s)(?:{_any(inner)})(?=\s)"},
        ],
    }


def _any(choice: tuple[str, ...]) -> str:
    """The longest first: `end-plate` is not `end`."""
    return "|".join(sorted(choice, key=lambda word: (-len(word), word)))


def text() -> str:
    """The grammar as its file has it."""
    return json.dumps(grammar(), indent=2, ensure_ascii=False) + "\n"


def main() -> None:
    """Write it."""
    GRAMMAR.write_text(text(), "utf-8")


if __name__ == "__main__":
    main()
