"""What the connections of a plant alone decide, worked out once for all calculations that differ by sections of conductors."""

from __future__ import annotations

from typing import TYPE_CHECKING, ParamSpec, TypeVar

from netdsl.kept import cached_property, kept

P = ParamSpec("P")
R = TypeVar("R")

if TYPE_CHECKING:
    from functools import cached_property as of_connections
else:

    class of_connections(cached_property):
        """A property of a question that no section of a conductor changes, and for which nothing is noted as missing. Of a
        calculation like another one it is that of the other: a search for sizes makes dozens of these."""

        def __get__(self, instance, owner=None):
            like = None if instance is None else instance._calculation.like
            if like is None:
                return super().__get__(instance, owner)
            value = instance.__dict__[self._name] = getattr(like.of(type(instance)), self._name)
            return value


class kept_of_connections(kept[P, R]):
    """The same of a method, whose answers are kept: no section of a conductor changes one of them."""

    def __get__(self, instance, owner):  # type: ignore[no-untyped-def]
        like = None if instance is None else instance._calculation.like
        if like is None:
            return super().__get__(instance, owner)
        made = instance.__dict__[self._name] = getattr(like.of(type(instance)), self._name)
        return made


__all__ = ["kept_of_connections", "of_connections"]
