"""What the tests share: the shipped knowledge, read once."""
from __future__ import annotations

import pytest

from guide.knowledge import compiling
from guide.knowledge.compiling import Knowledge


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    """The shipped knowledge. That it loads without a problem is a test of its own."""
    return compiling.load()[0]
