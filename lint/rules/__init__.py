"""One module per family of rules; a module dropped in here is found by itself: what it decorates with `@rule` is a rule."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache

from lint.registry import Rule, entered


@cache
def rules() -> dict[str, Rule]:
    """All rules by name, in the order of their names."""
    for module in sorted(found.name for found in pkgutil.iter_modules(__path__)):
        importlib.import_module(f"{__name__}.{module}")
    return dict(sorted(entered().items()))
