"""Small cases of one statement, tried in one test: what pytest does for a test of its own takes a millisecond."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import wraps
from inspect import signature
from typing import Any

import pytest

Test = Callable[..., None]


def each_of(names: str | Sequence[str], cases: Iterable[Any] | Callable[[], Iterable[Any]]) -> Callable[[Test], Test]:
    """What `pytest.mark.parametrize` says of a test, for cases that are small and may share their fixtures: all are tried,
    whatever fails before, and those that fail are told with what they were given. Cases that take long to find are asked for when
    the test begins, of a function."""
    keys = [name.strip() for name in names.split(",")] if isinstance(names, str) else [*names]

    def named(found: Iterable[Any]) -> list[dict[str, Any]]:
        told = [dict(zip(keys, case if len(keys) > 1 else (case,), strict=True)) for case in found]
        assert told, "no case to try"
        return told

    known = named(cases) if isinstance(cases, Iterable) else None

    def tried(test: Test) -> Test:
        @wraps(test)
        def all_cases(**fixtures: object) -> None:
            told = known or named(cases())
            failed = [error for case in told if (error := _fault(test, case, fixtures)) is not None]
            if failed:
                raise BaseExceptionGroup(f"{len(failed)} of {len(told)} cases", failed)

        asked = signature(test)
        left = [one for name, one in asked.parameters.items() if name not in keys]
        all_cases.__signature__ = asked.replace(parameters=left)  # type: ignore[attr-defined]
        return all_cases

    return tried


def _fault(test: Test, case: dict[str, Any], fixtures: dict[str, object]) -> BaseException | None:
    """What is wrong with a case, with its values, of long ones the beginning."""
    try:
        test(**case, **fixtures)
    except (Exception, pytest.fail.Exception) as error:
        error.add_note("where " + ", ".join(f"{name} is {value!r:.400}" for name, value in case.items()))
        return error
    return None
