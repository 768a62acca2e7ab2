"""What things are called: the names of items and of what amounts count, and which of them a text calls by name."""
from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import cached_property

from guide.knowledge.base import Knowledge
from guide.language.vocabulary import Vocabulary
from guide.language.wording import plain_tokens, stem, tokens
from guide.patterns import pattern

_LONGEST = 8
"""Words of the longest name of an item, and an article."""
CALLED = 4
"""Words of a name by which an item is called within a sentence; nobody says more."""
_NOTE = pattern(r"(?P<lead>^|(?<=[.;!,] ))(?:[Tt]he )?(?P<thing>[A-Za-z][A-Za-z -]{2,30}?) ?[:=] ?(?P<state>(?!(?:why|how|what|who|when|where|is|are|should)\b)[A-Za-z]+(?: [A-Za-z]+){0,4})(?=[.;!,]|$)")
_ARTICLES = ("the", "a", "an", "our")


class Naming:
    """Looks names up with one knowledge."""

    def __init__(self, knowledge: Knowledge, words: Vocabulary) -> None:
        self._knowledge, self._words = knowledge, words

    @cached_property
    def known(self) -> frozenset[str]:
        """The items by all their names, and the things that amounts count, as stems."""
        counted = (form for name, forms in self._knowledge.language.words.items() if name.startswith("noun_") for form in forms)
        return frozenset((*self._items, *map(_well_written, counted)))

    @cached_property
    def _items(self) -> Mapping[str, list[str]]:
        """Name, as stems → the items that go by it."""
        found: dict[str, list[str]] = {}
        for item in self._knowledge.equipment.values():
            for name in (item.name, *item.also):
                found.setdefault(_well_written(name), []).append(item.id)
        return found

    def is_name(self, text: str) -> bool:
        """Whether a text is no more than the name of a thing: `the hand flares`."""
        return len(tokens(text)) <= _LONGEST and _plain(text) in self.known

    def notes_spelt_out(self, text: str) -> str:
        """A text in the form of notes as sentences, where each names a thing and says how it is: `Drogue: out. Beacon: on.`"""
        def spelt_out(note: re.Match[str]) -> str:
            return f"{note['lead']}the {note['thing'].lower()} {'are' if note['thing'].endswith('s') else 'is'} {note['state']}" if self.is_name(note["thing"]) or self.facts_named(note["thing"]) else note[0]

        if ":" not in text and "=" not in text:
            return text
        return _NOTE.sub(spelt_out, text) if len(_NOTE.findall(text)) > 1 else text

    def named(self, text: str) -> frozenset[str]:
        """The items that a text calls by a name; of names that begin at the same word, by the longest."""
        return frozenset(item for _, items in self.put_for_names(tokens(text), "") for item in items)

    def put_for_names(self, words: list[str], thing: str) -> Iterator[tuple[list[str], list[str]]]:
        """Words of a text with `thing` in the place of each name of items in turn, and those items; of names that begin at the same word the longest."""
        stems = list(map(stem, words))
        for at in range(len(stems)):
            for size in self._sizes.get(stems[at], ()):
                items = self._items.get(" ".join(stems[at:at + size]))
                if items:
                    yield [*words[:at], thing, *words[at + size:]], items
                    break

    def facts_named(self, text: str) -> frozenset[str]:
        """The facts whose thing a text names: `the rockets`, `the drogue`."""
        return self._words.named_in(text).union(*(self._by_thing[word] for word in map(stem, tokens(text)) if word in self._by_thing))

    def facts_about(self, text: str) -> frozenset[str]:
        """The facts whose thing a text names by any of its names: `the doors`, `the sea anchor`."""
        return self.facts_named(text).union(*(self._knowledge.facts_about.get(item, ()) for item in self.named(text)))

    @cached_property
    def _by_thing(self) -> Mapping[str, frozenset[str]]:
        """The stem of what a fact is about, `drogue` → those facts."""
        things = {fact.id: stem(fact.thing.split()[-1].lower()) for fact in self._knowledge.facts.values() if fact.thing}
        return {thing: frozenset(fact for fact, other in things.items() if other == thing) for thing in things.values()}

    @cached_property
    def _sizes(self) -> Mapping[str, list[int]]:
        """Stem → how many words the names have that begin with it and are looked for, the most first."""
        found: dict[str, set[int]] = {}
        for name in self._items:
            words = name.split()
            if len(words) <= CALLED:
                found.setdefault(words[0], set()).add(len(words))
        return {word: sorted(sizes, reverse=True) for word, sizes in found.items()}


def _well_written(name: str) -> str:
    """As `_plain`, of a name of the knowledge, of which hundreds are looked at for one sentence."""
    return _plain(name, tokens if "'" in name else plain_tokens)


def _plain(text: str, words: Callable[[str], list[str]] = tokens) -> str:
    """A name as stems without an article in front: `the hand flares` → `hand flare`."""
    found = [stem(word) for word in words(text)]
    return " ".join(found[1:] if found[:1] and found[0] in _ARTICLES else found)
