"""Cases that are tried in one test."""

from __future__ import annotations

import pytest

from tests.cases import each_of


def test_every_case_that_fails_is_told_with_what_it_was_given() -> None:
    tried = []

    @each_of(("number", "word"), [(1, "one"), (2, "two"), (3, "three"), (4, "four")])
    def odd(number: int, word: str) -> None:
        tried.append(word)
        if number == 4:
            pytest.fail("four")
        assert number % 2

    with pytest.raises(BaseExceptionGroup, match="2 of 4 cases") as failed:
        odd()
    assert tried == ["one", "two", "three", "four"]
    assert [error.__notes__ for error in failed.value.exceptions] == [
        ["where number is 2, word is 'two'"],
        ["where number is 4, word is 'four'"],
    ]


@pytest.fixture
def ten() -> int:
    return 10


@each_of("number", range(10))
@each_of("less, more", [(1, 2), (2, 3)])
def test_fixtures_are_handed_on_and_tables_are_crossed(number: int, less: int, more: int, ten: int) -> None:
    assert number + less < number + more < ten + more


def test_no_case_is_no_test() -> None:
    with pytest.raises(AssertionError, match="no case to try"):
        each_of("number", [])


def test_cases_are_asked_for_when_the_test_begins() -> None:
    found: list[int] = []

    @each_of("number", found.copy)
    def even(number: int) -> None:
        assert number % 2 == 0

    with pytest.raises(AssertionError, match="no case to try"):
        even()
    found += [2, 4, 5]
    with pytest.raises(ExceptionGroup, match="1 of 3 cases"):
        even()
