"""Answers kept by object and question."""

from __future__ import annotations

import gc
import weakref

import pytest

from netdsl.kept import Asking, alike, kept, meanwhile


class Ring:
    """Points in a ring, each asked for the next."""

    def __init__(self, *names: str) -> None:
        self.names, self.asked = names, list[str]()

    @kept
    def length(self, name: str) -> int:
        """Letters of a name."""
        self.asked.append(name)
        if not name:
            raise ValueError("no name")
        return len(name)

    @meanwhile(("ring",))
    def ahead(self, name: str) -> Asking[tuple[str, ...]]:
        """Points ahead of one, up to where it comes round."""
        self.asked.append(name)
        beyond: tuple[str, ...] = yield self.ahead, self.names[(self.names.index(name) + 1) % len(self.names)]
        return (name, *beyond)

    @meanwhile(0)
    def count(self, name: str) -> Asking[int]:
        """Letters ahead of one, up to where it comes round, asked by way of another question."""
        beyond: int = yield self.doubled, self.names[(self.names.index(name) + 1) % len(self.names)]
        return len(name) + beyond // 2

    @meanwhile(0)
    def doubled(self, name: str) -> Asking[int]:
        """Twice as many."""
        return 2 * (yield self.count, name)

    @alike(lambda self, name: (len(self.names), name.lower()))
    def first(self, name: str) -> str:
        """The name as it was first spelt."""
        self.asked.append(name)
        return name

    @meanwhile("ring", key=lambda _, name, __: name)
    def way(self, name: str, asker: str) -> Asking[str]:
        """Points ahead of one, and who asked first."""
        beyond: str = yield self.way, self.names[(self.names.index(name) + 1) % len(self.names)], name
        return f"{name} for {asker}, {beyond}"


def test_an_answer_is_worked_out_once_for_each_object() -> None:
    one, other = Ring("a"), Ring("b")
    assert [one.length("abc"), one.length("abc"), one.length("ab"), other.length("abc")] == [3, 3, 2, 3]
    assert (one.asked, other.asked) == (["abc", "ab"], ["abc"])


def test_what_raises_is_asked_again() -> None:
    ring = Ring()
    for _ in range(2):
        with pytest.raises(ValueError, match="no name"):
            ring.length("")
    assert ring.asked == ["", ""]


def test_what_comes_back_to_itself_finds_the_answer_meanwhile() -> None:
    ring = Ring("a", "b", "c")
    assert ring.ahead("a") == ("a", "b", "c", "ring")
    assert ring.ahead("b") == ("b", "c", "ring")  # as it was found on the way
    assert ring.asked == ["a", "b", "c"]


def test_thousands_may_ask_one_another_in_a_row() -> None:
    ring = Ring(*(str(number) for number in range(1000, 6000)))
    assert ring.count("1000") == 4 * 5000
    assert ring.count("5999") == 4  # as it was found on the way
    assert ring.ahead("3000")[-2:] == ("2999", "ring")


def test_what_is_alike_has_the_answer_of_the_first() -> None:
    one, other = Ring("a"), Ring("a")
    assert [one.first("Ab"), one.first("aB"), one.first("b"), other.first("AB")] == ["Ab", "Ab", "b", "AB"]
    assert one.asked == ["Ab", "b"]
    one.names = ("a", "c")
    assert one.first("AB") == "AB"  # the key asks the object too


def test_what_makes_no_difference_is_no_part_of_the_key() -> None:
    ring = Ring("a", "b")
    assert ring.way("a", "x") == ring.way("a", "y") == "a for x, b for a, ring"


def test_answers_go_with_their_object() -> None:
    gc.freeze()  # what other tests left is not looked through
    ring = Ring()
    ring.length("abc")
    gone = weakref.ref(ring)
    del ring
    gc.collect()
    gc.unfreeze()
    assert gone() is None
    assert Ring.length.__doc__ == "Letters of a name."
