"""Answers worked out once for each object and question: `@kept` before a method, as `cached_property` before a property."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, Concatenate, Generic, ParamSpec, Self, TypeVar, cast, overload

P = ParamSpec("P")
R = TypeVar("R")


class kept(Generic[P, R]):
    """A method whose answers are kept by its arguments, which must be hashable, as long as its object lives.

    `functools.cache` on a method would keep every object alive, and hash it with each question. Here each object gets a cache of
    its own under the method's name, so that asking again costs one call into C.
    """

    def __init__(self, method: Callable[Concatenate[Any, P], R]) -> None:
        self._method = method
        self.__doc__ = method.__doc__

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    @overload
    def __get__(self, instance: None, owner: type) -> Self: ...
    @overload
    def __get__(self, instance: object, owner: type) -> Callable[P, R]: ...
    def __get__(self, instance: object | None, owner: type) -> Self | Callable[P, R]:
        if instance is None:
            return self
        made = instance.__dict__[self._name] = self._made(self._method.__get__(instance))
        return made

    def _made(self, bound: Callable[P, R]) -> Callable[P, R]:
        return cast(Callable[P, R], cache(bound))  # which takes hashable arguments alone: no type says so


class kept_meanwhile(kept[P, R]):
    """The same for what may come back to itself round a ring: asked again while it is being worked out, the answer is
    `answer`."""

    answer: Any = None

    def _made(self, bound: Callable[P, R]) -> Callable[P, R]:
        known: dict[tuple[Any, ...], R] = {}

        def asked(*args: P.args, **named: P.kwargs) -> R:
            if args not in known:
                known[args] = self.answer
                known[args] = bound(*args, **named)
            return known[args]

        return asked


def meanwhile(answer: Any) -> Callable[[Callable[Concatenate[Any, P], R]], kept_meanwhile[P, R]]:
    """`kept_meanwhile` with this answer; positional arguments only."""

    def take(method: Callable[Concatenate[Any, P], R]) -> kept_meanwhile[P, R]:
        made = kept_meanwhile(method)
        made.answer = answer
        return made

    return take
