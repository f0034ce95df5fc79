"""Answers worked out once for each object and question: `@kept` before a method, as `cached_property` before a property."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import cache
from types import MethodType
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


class kept_by(kept[P, R]):
    """The same with one answer for all that is alike by `key`, of the object and the arguments: that of those asked for first.

    `ring`: for what may come back to itself, the answer while it is being worked out; empty where that cannot be.
    """

    key: Callable[..., Hashable] | None = None
    ring: tuple[Any, ...] = ()

    def _made(self, bound: Callable[P, R]) -> Callable[P, R]:
        # the arguments stay with the answer: a key may be the identity of one of them, which must then not become another's
        known: dict[Hashable, tuple[tuple[Any, ...], R]] = {}
        key, ring, instance = self.key, self.ring, cast(MethodType, bound).__self__

        def asked(*args: P.args, **named: P.kwargs) -> R:
            mark = args if key is None else key(instance, *args, **named)
            if mark not in known:
                if ring:
                    known[mark] = args, ring[0]
                known[mark] = args, bound(*args, **named)
            return known[mark][1]

        return asked


def alike(key: Callable[..., Hashable]) -> Callable[[Callable[Concatenate[Any, P], R]], kept_by[P, R]]:
    """Before a method: its answers are kept by this key, `@alike(lambda self, conductor: conductor.cable)`."""
    return _taking(key)


def meanwhile(
    answer: Any, key: Callable[..., Hashable] | None = None
) -> Callable[[Callable[Concatenate[Any, P], R]], kept_by[P, R]]:
    """Before a method that may come back to itself round a ring: asked again while it is being worked out, it says `answer`.
    Without a key it takes positional arguments only."""
    return _taking(key, answer)


def _taking(key: Callable[..., Hashable] | None, *ring: Any) -> Callable[[Callable[Concatenate[Any, P], R]], kept_by[P, R]]:
    def take(method: Callable[Concatenate[Any, P], R]) -> kept_by[P, R]:
        made = kept_by(method)
        made.key, made.ring = key, ring
        return made

    return take
