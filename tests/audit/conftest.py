"""The profile and the described knowledge, read once for the tests of the audit."""
from __future__ import annotations

import pytest

from guide.audit import checking
from guide.audit.describing import Describer
from guide.audit.profile import PROFILE, Profile, read_profile
from guide.knowledge.base import AUDIT, Knowledge, default_folder


@pytest.fixture(scope="session")
def profile() -> Profile:
    return read_profile(default_folder() / AUDIT / PROFILE, checking.NAMES)


@pytest.fixture(scope="session")
def describer(knowledge: Knowledge) -> Describer:
    return Describer(knowledge)
