"""`python -m lint.document`: write RULES.md anew from what the rules say about themselves."""

from __future__ import annotations

from pathlib import Path

from lint.explanation import page

PAGE = Path(__file__).parent / "RULES.md"

if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
