"""What the tests of review, changes and report share."""
from __future__ import annotations

from pathlib import Path

import pytest

from tests.review.small_knowledge import write


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A folder with a small knowledge of our own."""
    return write(tmp_path / "knowledge")
