"""Days for the tests of what runs teach."""

from datetime import date

import pytest


@pytest.fixture
def a_day():
    return date(2026, 3, 4)
