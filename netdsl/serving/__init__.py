"""The desk of the designer: a language server for editors, on the same stages as the commands."""

from __future__ import annotations
