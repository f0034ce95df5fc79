"""A comparison as one page of HTML that needs nothing from elsewhere, and as SARIF for what shows lines with remarks."""

from __future__ import annotations

import hashlib
import re
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from netdsl import __version__
from netdsl.cli.compare_text import by_function, closing, places, plain
from netdsl.cli.report_exchange import SCHEMA, region_of

if TYPE_CHECKING:
    from netdsl.comparing import Change, Comparison

_STYLE = """
:root { color-scheme: light dark; font: 15px/1.45 system-ui, sans-serif; }
body { margin: 1.5rem auto; padding: 0 1rem; max-width: 60rem; }
h2 { margin: 1.6rem 0 .3rem; font-size: 1.05rem; }
li { margin: .25rem 0; }
.finding, .device { font-weight: 600; }
.text, .computed { opacity: .75; }
.place { opacity: .7; font-size: .85em; white-space: nowrap; }
code { font: .92em ui-monospace, monospace; }
@media print { body { max-width: none; margin: 0; } }
"""


def html_page(comparison: Comparison, changes: tuple[Change, ...], title: str) -> str:
    """A whole page: a list for each function, what it is about in the class of each item, at the end how many there are."""
    lines = ["<!DOCTYPE html>", '<html lang="en">', '<meta charset="utf-8">', f"<title>{escape(plain(title))}</title>"]
    lines += [
        '<meta name="viewport" content="width=device-width">',
        f"<style>{_STYLE}</style>",
        f"<h1>{escape(plain(title))}</h1>",
    ]
    lines.append(f"<p>{escape(closing(changes))}</p>")
    for heading, members in by_function(comparison, changes):
        lines += [f"<h2>{escape(plain(heading))}</h2>", "<ul>"]
        for change in members:
            lines.append(f'<li class="{change.weight.name.lower()}">{_coded(change.text)} {_placed(change)}')
            if change.details:
                lines.append(f"<ul>{''.join(f'<li>{_coded(detail)}</li>' for detail in change.details)}</ul>")
            lines.append("</li>")
        lines.append("</ul>")
    lines += ["<p>That nothing more changed says nothing of whether the plant is right.</p>", "</html>", ""]
    return "\n".join(lines)


def _placed(change: Change) -> str:
    return f'<span class="place">{escape(places(change))}</span>'


def _coded(text: str) -> str:
    return re.sub(r"`([^`]*)`", r"<code>\1</code>", escape(plain(text)))


def sarif_of(comparison: Comparison, folder: Path) -> dict[str, Any]:
    """A run with a result for each change, at its line in the new text, the old one beside it; of what is no more, at the old."""
    results = []
    for change in comparison.changes:
        digest = hashlib.sha256("\n".join((change.what, change.subject, change.name, change.was, change.now)).encode())
        result: dict[str, Any] = {
            "ruleId": change.what,
            "level": "warning" if change.what in ("finding-appeared", "limit-no-longer-kept") else "note",
            "message": {"text": "\n".join(map(plain, (change.text, *change.details)))},
            "baselineState": "absent" if change.after is None else "new" if change.before is None else "updated",
            "partialFingerprints": {"change/v1": digest.hexdigest()[:16]},
        }
        logical = [{"fullyQualifiedName": each} for each in change.subjects or (change.subject,) if each]
        span = change.after or change.before
        physical = {"physicalLocation": region_of(span, folder)} if span is not None else {}
        if physical or logical:
            result["locations"] = [physical | ({"logicalLocations": logical} if logical else {})]
        if change.before is not None and change.after is not None:
            place = region_of(change.before, folder)
            result["relatedLocations"] = [{"id": 1, "message": {"text": "as it was"}, "physicalLocation": place}]
        results.append(result)
    kinds = sorted({change.what for change in comparison.changes})
    driver = {
        "name": "netdsl compare",
        "version": __version__,
        "rules": [{"id": kind, "shortDescription": {"text": kind.replace("-", " ")}} for kind in kinds],
    }
    run = {"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "results": results}
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
