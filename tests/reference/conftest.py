"""What is computed of the plants of these tests is compared with what was kept, beside what each test asks."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.computed import compare


@pytest.fixture(autouse=True)
def _numbers() -> Iterator[None]:
    yield
    compare()
