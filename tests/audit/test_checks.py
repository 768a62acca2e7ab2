"""Each check of the audit on its own examples, and the lists it is run by."""
from __future__ import annotations

from datetime import date

import pytest

from guide.audit import checking, examples
from guide.audit.profile import PROFILE, Profile, read_profile
from guide.knowledge import compiling

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def profile() -> Profile:
    return read_profile(compiling.default_folder() / compiling.AUDIT / PROFILE, checking.NAMES)


@pytest.mark.parametrize("check", checking.NAMES)
def test_a_check_passes_its_good_example_and_finds_its_bad_one(profile: Profile, check: str) -> None:
    rule = profile.rules[check]
    assert check not in examples.found_in(profile, rule, rule.good, TODAY)
    assert check in examples.found_in(profile, rule, rule.bad, TODAY)


def test_the_world_of_the_examples_is_sound(profile: Profile) -> None:
    rule = profile.rules["no_source"]
    assert examples.found_in(profile, rule, "", TODAY) == set()
