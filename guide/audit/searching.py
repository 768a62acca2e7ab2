"""`guide find`: the nodes whose text is nearest to some words; misspelt words are mended first."""
from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from guide.audit.describing import Describer
from guide.language.matching import nearest
from guide.language.wording import stem

_ID, _TITLE, _TEXT, _PHRASE = 4.0, 3.0, 1.0, 0.6
"""What a word counts by where it stands."""
_SHORT = 4
"""Words of a text up to which each counts in full."""
_WORD = re.compile(r"[^\W_]+(?:\.[^\W_]+)*")
_COMMON = frozenset("a an the of to in on at is are be it its and or for with by from as that this what how do i we you".split())


@dataclass(frozen=True, slots=True)
class Hit:
    """A node and how well it fits, from 0 to 1."""

    name: str
    score: float
    title: str
    place: str


class Searcher:
    """Looks words up in all that the nodes of one knowledge say, and in the phrases that lead to them."""

    def __init__(self, describer: Describer) -> None:
        self._describer = describer
        self._words = {name: self._weighed(name) for name in describer.places}
        seen = Counter(word for words in self._words.values() for word in words)
        self._rarity = {word: math.log(1 + len(self._words) / number) for word, number in seen.items()}
        self._vocabulary = sorted(word for word in seen if len(word) > 3)

    def find(self, text: str, most: int = 10) -> list[Hit]:
        """The best nodes, best first; none where no word of the text is known."""
        asked = [word for word in map(self._mended, _WORD.findall(text.lower())) if word]
        total = sum(self._rarity[word] for word in asked)
        if not total:
            return []
        scored = ((sum(words.get(word, 0.0) * self._rarity[word] for word in asked) / (_ID * total), name)
                  for name, words in self._words.items())
        best = sorted(((score, name) for score, name in scored if score > 0), key=lambda found: (-found[0], found[1]))[:most]
        return [Hit(name, round(score, 3), self._describer.title(name), str(self._describer.places[name])) for score, name in best]

    def _mended(self, word: str) -> str:
        root = stem(word)
        if root in self._rarity:
            return root if word not in _COMMON else ""
        return nearest(root, self._vocabulary) if len(root) > 3 else ""

    def _weighed(self, name: str) -> Mapping[str, float]:
        """Each word of a node with the weight of the best place that it stands at; a word of a long text counts less."""
        found: dict[str, float] = {}
        for weight, text in self._texts(name):
            words = _WORD.findall(text.lower())
            thin = 1 + math.log(max(1.0, len(words) / _SHORT))
            for word in words:
                found[stem(word)] = max(found.get(stem(word), 0.0), weight / thin)
        return found

    def _texts(self, name: str) -> Iterator[tuple[float, str]]:
        yield _ID, name.partition(":")[2].replace("_", " ")
        yield _TITLE, self._describer.title(name)
        yield from ((_TITLE if said.label in ("also", "name") else _TEXT, said.text) for said in self._describer.words(name))
        if not name.startswith("step:"):
            yield from ((_PHRASE, phrase.text) for phrase in self._describer.phrases(name))
