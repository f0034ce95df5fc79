"""The page itself: its HTML, and the files beside it that are the same for every plant."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from html import escape
from importlib import resources
from string import Template

from netdsl.viewing.shown import Shown

STYLES = ("view.css", "paper.css")
SCRIPTS = ("base.js", "paper.js", "lists.js", "chosen.js", "main.js")
ICON = "icon.svg"
KINDS = {"css": "text/css; charset=utf-8", "js": "text/javascript; charset=utf-8", "svg": "image/svg+xml"}
#: what a page may load: its own files alone, nothing that stands in it as text
ALONE = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'"
#: of the page of a running desk: data from where it comes from, in no frame, and markup from no text
SERVED = f"{ALONE}; connect-src 'self'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types 'none'"


@cache
def fixed(name: str) -> bytes:
    """One of `STYLES`, `SCRIPTS` or the `ICON`."""
    return resources.files("netdsl.viewing").joinpath("page", name).read_bytes()


def page(shown: Shown, sheets: Iterable[tuple[str, str]], live: bool) -> bytes:
    """The page. `sheets`: addresses with words, for who lets no script run. `live`: of a running desk; else one that stands
    alone and brings its policy itself."""
    text = resources.files("netdsl.viewing").joinpath("page", "view.html").read_text("utf-8")
    policy = "" if live else f'<meta http-equiv="Content-Security-Policy" content="{escape(ALONE)}">\n'
    return (
        Template(text)
        .substitute(
            live=" data-live" if live else "",
            policy=policy,
            title=escape(shown.title or "netdsl"),
            sheets="".join(f'<li><a href="{escape(address)}">{escape(words)}</a></li>' for address, words in sheets),
            scripts="".join(f'<script src="{name}"></script>\n' for name in SCRIPTS),
        )
        .encode("utf-8", "replace")
    )
