"""Answers worked out once for each object and question: `@kept` before a method, as `cached_property` before a property."""

from __future__ import annotations

from collections.abc import Callable, Generator, Hashable
from functools import cache
from types import FunctionType, MethodType
from typing import TYPE_CHECKING, Any, Concatenate, Generic, ParamSpec, Self, TypeVar, cast, overload

P = ParamSpec("P")
R = TypeVar("R")
K = TypeVar("K")
#: what a method gives that works out its answer by asking for others: see `kept_meanwhile`
Asking = Generator[tuple[Any, ...], Any, R]


if TYPE_CHECKING:
    from functools import cached_property as cached_property
else:

    class cached_property:
        """That of `functools` without its lock, which up to Python 3.11 costs most of the time of small properties."""

        def __init__(self, method):
            self._method = method
            self.__doc__ = method.__doc__

        def __set_name__(self, owner, name):
            self._name = name

        def __get__(self, instance, owner=None):
            if instance is None:
                return self
            value = instance.__dict__[self._name] = self._method(instance)
            return value


class Answers(dict[K, R]):
    """Answers by what was asked, each worked out by `ask` when asked for first; `Answers(ask).__getitem__` gives one.

    Asking again costs one call into C, as with `functools.cache`, and making it a tenth of what making that does.
    """

    __slots__ = ("_ask",)

    def __init__(self, ask: Callable[[K], R]) -> None:
        self._ask = ask

    def __missing__(self, about: K) -> R:
        answer = self[about] = self._ask(about)
        return answer


class kept(Generic[P, R]):
    """A method whose answers are kept by its arguments, which must be hashable, as long as its object lives.

    `functools.cache` on a method would keep every object alive, and hash it with each question. Here each object gets a cache of
    its own under the method's name, so that asking again costs one call into C. A method of one argument takes it by position.
    """

    def __init__(self, method: Callable[Concatenate[Any, P], R]) -> None:
        self._method = method
        self.__doc__ = method.__doc__
        function = cast("FunctionType", method)
        self._of_one = function.__code__.co_argcount == 2 and not function.__defaults__

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
        if self._of_one:
            return cast("Callable[P, R]", Answers(cast("Callable[[Any], R]", bound)).__getitem__)
        return cast("Callable[P, R]", cache(bound))  # which takes hashable arguments alone: no type says so


class kept_by(kept[P, R]):
    """The same with one answer for all that is alike by `key`, of the object and the arguments: that of those asked for first."""

    key: Callable[..., Hashable]

    def _made(self, bound: Callable[P, R]) -> Callable[P, R]:
        # the arguments stay with the answer: a key may be the identity of one of them, which must then not become another's
        known: dict[Hashable, tuple[tuple[Any, ...], R]] = {}
        key, instance = self.key, cast("MethodType", bound).__self__

        def asked(*args: P.args, **named: P.kwargs) -> R:
            mark = key(instance, *args, **named)
            found = known.get(mark)
            if found is None:
                found = known[mark] = args, bound(*args, **named)
            return found[1]

        return asked


class kept_meanwhile(kept[P, R]):
    """Answers of methods that ask themselves or one another hundreds of times in a row, and may come back round a ring.

    Such a method is a generator and asks by yielding: `loads = yield self.behind, stage`. What it asks for is worked out beside
    it and sent back, not inside it, so that Python's stack stays as it is. Asked again while it is being worked out, the answer
    is `ring`; all that is alike by `key` has one answer.
    """

    ring: Any = None
    key: Callable[..., Hashable] | None = None

    def _made(self, bound: Callable[P, R]) -> Callable[P, R]:
        key = None if self.key is None else MethodType(self.key, cast("MethodType", bound).__self__)
        return cast("Callable[P, R]", _Asked(bound, self.ring, key))


class _Asked:
    """One such method of one object, with its answers so far."""

    __slots__ = ("_begin", "_key", "_known", "_ring")

    def __init__(self, begin: Callable[..., Any], ring: Any, key: Callable[..., Hashable] | None) -> None:
        self._begin, self._ring, self._key = begin, ring, key
        self._known: dict[Hashable, Any] = {}

    def __call__(self, *args: Any) -> Any:
        mark = args if self._key is None else self._key(*args)
        found = self._known.get(mark, _UNKNOWN)
        return self._work_out(mark, args) if found is _UNKNOWN else found

    def _work_out(self, mark: Hashable, args: tuple[Any, ...]) -> Any:
        self._known[mark] = self._ring
        asker, about, steps, sent = self, mark, self._begin(*args), None
        waiting: list[tuple[_Asked, Hashable, Any]] = []
        while True:
            try:
                asked = steps.send(sent)
            except StopIteration as done:
                sent = asker._known[about] = done.value
                if not waiting:
                    return sent
                asker, about, steps = waiting.pop()
                continue
            other, of = asked[0], asked[1:]
            mark = of if other._key is None else other._key(*of)
            sent = other._known.get(mark, _UNKNOWN)
            if sent is _UNKNOWN:
                other._known[mark], sent = other._ring, None
                waiting.append((asker, about, steps))
                asker, about, steps = other, mark, other._begin(*of)


_UNKNOWN = object()


def alike(key: Callable[..., Hashable]) -> Callable[[Callable[Concatenate[Any, P], R]], kept_by[P, R]]:
    """Before a method: its answers are kept by this key, `@alike(lambda self, conductor: conductor.cable)`."""

    def take(method: Callable[Concatenate[Any, P], R]) -> kept_by[P, R]:
        made = kept_by(method)
        made.key = key
        return made

    return take


def meanwhile(
    ring: Any, key: Callable[..., Hashable] | None = None
) -> Callable[[Callable[Concatenate[Any, P], Asking[R]]], kept_meanwhile[P, R]]:
    """Before a method that may come back to itself round a ring, a generator that takes its arguments by position: see
    `kept_meanwhile`."""

    def take(method: Callable[Concatenate[Any, P], Asking[R]]) -> kept_meanwhile[P, R]:
        made: kept_meanwhile[P, R] = kept_meanwhile(cast(Callable[Concatenate[Any, P], R], method))
        made.ring, made.key = ring, key
        return made

    return take
