"""Refreshes what editors get of the language: `python -m netdsl.editor.build`."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from netdsl.syntax.grammar import GRAMMAR_PATH
from netdsl.syntax.lexer import KINDS

FOLDER = Path(__file__).parent / "extension"
GRAMMAR = FOLDER / "syntaxes" / "netdsl.tmLanguage.json"
_OURS = ".netdsl"


def words() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The words of `grammar.lark`: those with which a line begins, and those that stand further on in one."""
    text = re.sub(r"//[^\n]*", "", GRAMMAR_PATH.read_text("utf-8"))
    first: dict[str, None] = {}
    inner: dict[str, None] = {}
    for rule, body in re.findall(r"^([a-z_]+):\s(.*?)(?=^[a-z_]+:\s|\Z)", text, re.MULTILINE | re.DOTALL):
        begins_lines = rule == "statement" or rule.endswith("_line")
        for alternative in re.split(r"\|\s", body):
            for number, piece in enumerate(alternative.split()):
                if re.fullmatch(r'"[a-z-]+"', piece):
                    (first if begins_lines and not number else inner)[piece.strip('"')] = None
    return tuple(sorted(first)), tuple(sorted(inner))


def grammar() -> dict[str, Any]:
    """The TextMate grammar: the patterns of the lexer in its order, so that colours part a line as the language does."""
    first, inner = words()
    kinds = dict(KINDS)
    parameter = _scoped("variable.parameter", kinds["PARAM"])
    number = _scoped("constant.numeric", r"\d[\w./+-]*%?")
    assignment = _scoped("keyword.operator.assignment", "=")
    terms = _within("variable.other.member", kinds["TERMS"], parameter)
    return {
        "name": "netdsl",
        "scopeName": "source.netdsl",
        "fileTypes": ["netdsl"],
        "patterns": [
            _scoped("comment.line.number-sign", kinds["COMMENT"]),
            {
                "match": rf"^[\ufeff\s]*({_any(first)})(?=\s|$)(?![ \t]+=(?![^ \t]))",
                "captures": {"1": {"name": f"keyword.control{_OURS}"}},
            },
            _within(
                "",
                rf"{kinds['KEY']}(?:(?:{_any(inner)})(?=\s|$))?",
                assignment,
                _scoped("entity.other.attribute-name", r"[^\s=]+(?=\s*=)"),
            ),
            _scoped("keyword.operator.word", rf"(?<=\s)(?<!,\s)(?:{_any(inner)})(?=\s|$)"),
            _within("", kinds["WORD"], {"match": r"[^\W\d_].*"}, _scoped("constant.numeric", ".+")),
            _within("variable.other", kinds["REF"], terms, parameter),
            terms,
            _within("string.quoted.double", kinds["STRING"], _scoped("constant.character.escape", r"\\.")),
            parameter,
            _within("", kinds["COMPUTED"], parameter, number),
            _scoped("string.quoted.double", kinds["OPENSTRING"]),
        ],
    }


def _scoped(name: str, match: str) -> dict[str, Any]:
    return {"name": name + _OURS, "match": match}


def _within(name: str, match: str, *inner: dict[str, Any]) -> dict[str, Any]:
    """What is matched, of `name` where it has one, with what stands in it."""
    named = {"name": name + _OURS} if name else {}
    return {"match": match, "captures": {"0": {**named, "patterns": list(inner)}}}


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
