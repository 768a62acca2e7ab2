"""Checks of the phrase bank: too few phrases, phrases that two topics share, denials that are not heard."""
from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from guide.audit.case import Case
from guide.audit.findings import Found
from guide.knowledge.language import Phrase
from guide.knowledge.problems import Place
from guide.language.clauses import affirmed
from guide.language.cutting import cut
from guide.language.matching import alike
from guide.language.wording import regular, stem

_WORD = re.compile(r"[a-z0-9]+")
_AUXILIARY = re.compile(r"\b(?:is|are|was|were|has|have|had|can)\b")
_DENIED = 12
"""Phrases of each `fact=value` that are denied and read."""
_FEW = 4
"""Denied phrases below which a share tells nothing."""


def thin_phrases(case: Case) -> Iterator[Found]:
    """A topic, or a value of a yes/no fact, with too few phrases or too few voices to be understood."""
    k, limits = case.knowledge, case.profile.limits
    if not k.language.questions:
        return
    asked = _by_meaning((*k.language.questions, *k.language.reports))
    for topic in k.topics.values():
        yield from _thin(f"topic:{topic.id}", topic.place, f"topic {topic.id}", asked.get(topic.id, []),
                         limits["topic_phrases"], limits["topic_voices"])
    told = _by_meaning(k.language.facts)
    for fact in k.facts.values():
        for value in ("true", "false") if fact.type == "bool" and fact.id.removeprefix("has_") not in k.equipment else ():
            if not fact.told_by:
                yield from _thin(f"fact:{fact.id}", fact.place, f"{fact.id}={value}", told.get(f"{fact.id}={value}", []),
                                 limits["fact_phrases"], limits["fact_voices"])


def _thin(node: str, place: Place, what: str, phrases: Sequence[Phrase], least: float, voices: float) -> Iterator[Found]:
    heard = len({phrase.voice for phrase in phrases})
    if len(phrases) < least or heard < voices:
        yield Found(node, place, f"{what} has {len(phrases)} phrases by {heard} voices; {least:g} by {voices:g} is the least")


def _by_meaning(phrases: Iterable[Phrase]) -> dict[str, list[Phrase]]:
    found: dict[str, list[Phrase]] = defaultdict(list)
    for phrase in phrases:
        found[phrase.means].append(phrase)
    return found


def phrase_near_other(case: Case) -> Iterator[Found]:
    """A phrase that is almost the same as one of another topic. Only phrases that share a rare word are compared."""
    language = case.knowledge.language
    phrases = (*language.questions, *language.reports, *language.orders)
    stems = [sorted(map(stem, _WORD.findall(phrase.text.lower()))) for phrase in phrases]
    seen: set[tuple[str, str]] = set()
    for one, other, likeness in _pairs(phrases, stems, case.profile.limits["phrase_likeness"]):
        key = (" ".join(stems[one]), phrases[other].means)
        if key not in seen:
            seen.add(key)
            near, far = phrases[one], phrases[other]
            yield Found(f"phrase:{near.means}|{near.text.lower().rstrip('?!. ')}", near.place,
                        f'"{near.text}" ({near.means}) is {likeness:.0f} % like "{far.text}" ({far.means}, {far.place})')


def _pairs(phrases: Sequence[Phrase], stems: Sequence[Sequence[str]], least: float) -> Iterator[tuple[int, int, float]]:
    """Pairs of phrases of different topics at least so like, by number."""
    spread = Counter(word for words in stems for word in set(words))
    blocks: dict[str, list[int]] = defaultdict(list)
    for number, words in enumerate(stems):
        for word in sorted(set(words), key=lambda w: (spread[w], w))[:2]:
            blocks[word].append(number)
    texts = [" ".join(words) for words in stems]
    for block in blocks.values():
        for at, one in enumerate(block[:-1]):
            others = block[at + 1:]
            for place, likeness in alike(texts[one], [texts[n] for n in others], least):
                if phrases[others[place]].means != phrases[one].means:
                    yield one, others[place], likeness


def denied_alike(case: Case) -> Iterator[Found]:
    """A report that stands under one value both with and without its denial, or in the same words under both values."""
    by_meaning = _by_meaning(case.knowledge.language.facts)
    for means, phrases in by_meaning.items():
        fact, _, value = means.partition("=")
        plain = {_bare(phrase.text): phrase for phrase in phrases if affirmed(phrase.text) is None}
        other = {_bare(phrase.text): phrase for phrase in by_meaning.get(f"{fact}=true", ()) if value == "false"}
        for phrase in phrases:
            said = affirmed(phrase.text)
            twin = other.get(_bare(phrase.text)) or (plain.get(_bare(said)) if said else None)
            if twin is not None:
                yield Found(f"fact:{fact}", phrase.place, f'"{phrase.text}" tells {means}, and "{twin.text}" ({twin.place}) tells {twin.means}')


def _bare(text: str) -> str:
    """The stems of a sentence, in order, without articles."""
    return " ".join(stem(word) for word in _WORD.findall(regular(text)) if word not in ("the", "a", "an"))


def denial_unheard(case: Case) -> Iterator[Found]:
    """A report that is read alike with a "not" put in it, more often than the profile bears. Needs something that reads."""
    if case.hears is None:
        return
    for means, phrases in _by_meaning(case.knowledge.language.facts).items():
        fact, _, value = means.partition("=")
        record = case.knowledge.facts.get(fact)
        if record is None or value not in ("true", "false"):
            continue
        denied = [(phrase, said) for phrase in phrases if (said := _denied(phrase.text))]
        tried = denied[::max(1, len(denied) // _DENIED)][:_DENIED]
        deaf = [(phrase, said) for phrase, said in tried if (fact, value == "true") in case.hears(said)]
        if len(tried) >= _FEW and len(deaf) > case.profile.limits["blind_share"] * len(tried):
            yield Found(f"fact:{fact}", deaf[0][0].place, f'{len(deaf)} of {len(tried)} phrases that tell {means} still tell it with a "not", '
                                                           f'such as "{deaf[0][1]}"')


def _denied(text: str) -> str:
    """A report of one clause with a `not` after its one auxiliary; nothing where it has none, or denies already."""
    plain = regular(re.sub(r"\bits\b", "the", text))
    if affirmed(text) is not None or len(cut(text)) != 1 or len(_AUXILIARY.findall(plain)) != 1:
        return ""
    return _AUXILIARY.sub(lambda found: f"{found[0]} not", plain, count=1)

