"""Files for editors: a grammar for colours, an extension, settings."""

from __future__ import annotations
