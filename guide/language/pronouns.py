"""A short sentence with the thing named that a word in it stands for."""
from __future__ import annotations

from guide.knowledge.records import Fact
from guide.language.wording import regular
from guide.patterns import pattern

_IT, _THEY, _ONE_OF = pattern(r"\bit\b"), pattern(r"\b(?:they|them|it)\b"), pattern(r"\b(?:one|theirs|his|hers|mine)\b")
_SOMEBODY = pattern(r"\b(?:she|he|him)\b|\bher\b(?=\W*$)")
_SHORT = 10
"""Words of a sentence in which `it` is what was spoken of before."""


def spelt_out(text: str, fact: Fact) -> str | None:
    """A short statement with the fact's thing in the place of `it` or `they`; None where it has neither."""
    said = regular(text)
    if not fact.thing or len(said.split()) > _SHORT:
        return None
    pronoun = _ONE_OF if fact.thing.startswith("a ") else _THEY if fact.thing.endswith("s") else _IT
    found, number = pronoun.subn(fact.thing, said, count=1)
    return found if number else None


def in_post(text: str, post: str) -> str | None:
    """A text about somebody with the post that he has, `the lookout`, in the place of `he` or `her`; None where it has neither."""
    found, number = _SOMEBODY.subn(post, regular(text), count=1)
    return found if number else None
