"""What the rules say about themselves: `explain`, and the text of the page RULES.md."""

from __future__ import annotations

import inspect

from lint.examples import passing_example
from lint.frame import FRAME
from lint.registry import Rule
from lint.rules import rules
from netdsl.spelling import alike

#: headings of a rule's documentation, in order; the examples are in the language and run as tests
HEADINGS = ("Reports", "Silent", "Why", "Failing", "Passing", "Remedy")
_TITLES = {
    "Reports": "What it reports",
    "Silent": "What it leaves alone",
    "Why": "Why it matters",
    "Failing": "Example that fails",
    "Passing": "Example that passes",
    "Remedy": "Remedy",
}
_INTRODUCTION = """# Rules

Written from the rules' own documentation by `python -m lint.document`; change it there.

A passing check says that these rules found nothing in what the text states. It does not say that the panel is safe or
complies: that is for the skilled persons who design, verify and sign it, under local codes and the manufacturers'
instructions, which prevail. Before any work: isolate, lock off, wait for the DC link to discharge, prove dead.

The examples of the wiring rules continue this small plant:

```netdsl
{frame}```
"""


def sections(rule: Rule) -> dict[str, str]:
    """A rule's documentation by heading, its first paragraph under "". Examples are whole and keep their lines."""
    found: dict[str, list[str]] = {"": []}
    heading = ""
    for line in inspect.cleandoc(rule.text).splitlines():
        if line.rstrip(":") in HEADINGS and line.endswith(":"):
            heading = line.rstrip(":")
            found[heading] = []
        else:
            found[heading].append(line)
    said = {name: inspect.cleandoc("\n".join(["", *lines])).strip() for name, lines in found.items()}
    if "Passing" in said:
        said["Passing"] = passing_example(said.get("Failing", ""), said["Passing"])
    return said


def explain(rule: str | None = None) -> str:
    """What one rule looks for, as text; of all rules, a line each, without one. An unknown name gives the nearest."""
    known = rules()
    if rule is None:
        width = max(map(len, known))
        return "\n".join(f"{name:<{width}}  {entry.severity.value:<7}  {sections(entry)['']}" for name, entry in known.items())
    if rule not in known:
        near = alike(rule, known, 3)
        meant = f" Did you mean {' or '.join(near)}?" if near else ""
        return f"There is no rule called {rule}.{meant} Without a name, all rules are listed."
    entry = known[rule]
    parts = [f"{entry.name} ({entry.severity.value})", sections(entry)[""]]
    parts += [f"{_TITLES[name]}:\n{_indented(text)}" for name, text in sections(entry).items() if name]
    return "\n\n".join([*parts, f"Source:\n{_indented(entry.source)}"])


def _indented(text: str) -> str:
    return "\n".join(f"  {line}".rstrip() for line in text.splitlines())


def page() -> str:
    """The whole page of rules, wiring rules first."""
    wiring = [entry for entry in rules().values() if entry.check is not None]
    reading = [entry for entry in rules().values() if entry.check is None]
    parts = [_INTRODUCTION.format(frame=FRAME), "## Rules of the wiring\n", *map(_entry, wiring)]
    parts += ["## Rules of the text and of the check itself\n", *map(_entry, reading)]
    return "\n".join(parts)


def _entry(entry: Rule) -> str:
    lines = [f"### {entry.name}", "", f"Severity: {entry.severity.value}. {sections(entry)['']}", ""]
    for name, text in sections(entry).items():
        if name in {"Failing", "Passing"}:
            lines += [f"{_TITLES[name]}:", "", "```netdsl", text, "```", ""]
        elif name:
            lines += [f"{_TITLES[name]}: {' '.join(text.split())}", ""]
    return "\n".join([*lines, f"Source: {entry.source}.", ""])
