"""The evidence weights, learned from what the phrase bank teaches: a linear support-vector classifier for each family of labels.

Needs the extra `train` (scikit-learn). Deterministic; nothing is downloaded. `guide.learning` is the command.
"""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from guide.knowledge.base import Knowledge
from guide.language import teaching, weights
from guide.language.clauses import mask_amounts
from guide.language.features import Lexicon, features, in_context
from guide.language.labels import AMOUNTS, POLARITY
from guide.language.wording import stem, tokens

_KEEP = 0.1375
"""Weights smaller than this are left out, a fifth of them: on 2,300 sentences and turns that were not learned that costs two; 0.2 costs more."""
_USERS = 4
"""Voices that must use a word before a misspelt one is taken for it."""

FAMILIES = {"topics": (teaching.topic_examples, 4.0), "reports": (teaching.report_examples, 4.0), "facts": (teaching.fact_examples, 4.0), "kinds": (teaching.kind_examples, 2.0)}
"""Family → its sentences and the cost of one that is taken wrongly."""
BALANCED = ("kinds",)
"""Families whose labels count alike, however many sentences each has."""
AMOUNTS_COST = 2.0


def _matrix(vectorizer: Any, rows: list[dict[str, float]], fit: bool) -> Any:
    found = vectorizer.fit_transform(rows) if fit else vectorizer.transform(rows)
    found.indices, found.indptr = found.indices.astype("int32"), found.indptr.astype("int32")
    return found


def seen(examples: Iterable[teaching.Example], lexicon: Lexicon) -> list[teaching.Seen]:
    """Sentences as what they show of themselves."""
    return [(_features(text, spoken_of, lexicon), label, voice) for text, label, voice, *spoken_of in examples]


def _features(text: str, spoken_of: Sequence[str], lexicon: Lexicon) -> dict[str, float]:
    found = features(tokens(mask_amounts(text)), lexicon)
    return in_context(found, spoken_of[0]) if spoken_of else found


def fit(examples: list[teaching.Seen], cost: float, balanced: bool = False) -> tuple[Any, Any]:
    """A vectorizer and a classifier for one family of labels."""
    from sklearn.feature_extraction import DictVectorizer
    from sklearn.svm import LinearSVC
    vectorizer = DictVectorizer()
    classifier = LinearSVC(C=cost, random_state=0, class_weight="balanced" if balanced else None)
    classifier.fit(_matrix(vectorizer, [row for row, _, _ in examples], True), [label for _, label, _ in examples])
    return vectorizer, classifier


def packed(examples: list[teaching.Seen], cost: float, balanced: bool = False) -> tuple[list[str], list[float], weights.Rows]:
    """Labels, base values and the weights worth keeping of one family."""
    vectorizer, classifier = fit(examples, cost, balanced)
    names = vectorizer.get_feature_names_out()
    rows: dict[str, dict[int, float]] = {}
    if len(classifier.classes_) == 2:  # one row of weights speaks for the second label and against the first
        classifier.coef_ = [-classifier.coef_[0], classifier.coef_[0]]
        classifier.intercept_ = [-classifier.intercept_[0], classifier.intercept_[0]]
    for label, row in enumerate(classifier.coef_):
        for column in (abs(row) >= _KEEP).nonzero()[0]:
            rows.setdefault(str(names[column]), {})[label] = float(row[column])
    return [str(c) for c in classifier.classes_], [float(b) for b in classifier.intercept_], rows


def polarity(examples: list[teaching.Seen], cost: float) -> tuple[list[str], list[float], weights.Rows]:
    """For each yes/no fact whether a sentence about it says that it is so (above 0) or not: learned from its own sentences only."""
    by_fact: dict[str, list[teaching.Seen]] = {}
    for row, label, voice in examples:
        fact, _, value = label.partition("=")
        if value in ("true", "false"):
            by_fact.setdefault(fact, []).append((row, value, voice))
    facts = sorted(fact for fact, said in by_fact.items() if len({value for _, value, _ in said}) == 2)
    base: list[float] = []
    rows: dict[str, dict[int, float]] = {}
    for number, fact in enumerate(facts):
        _, (_, intercept), found = packed(by_fact[fact], cost)
        base.append(intercept)
        for name, weight in found.items():
            rows.setdefault(name, {})[number] = weight[1]
    return facts, base, rows


def learned(k: Knowledge, lexicon: Lexicon, without: frozenset[str] = frozenset()) -> list[tuple[str, list[str], list[float], weights.Rows]]:
    """All families, as `writing.pack` takes them, learned without some voices."""
    def heard(examples: Iterable[Any]) -> list[Any]:
        return [example for example in examples if example[2] not in without]

    families = [(name, *packed(seen(heard(examples(k)), lexicon), cost, name in BALANCED)) for name, (examples, cost) in FAMILIES.items()]
    return [*families, (POLARITY, *polarity(seen(heard(teaching.fact_examples(k)), lexicon), FAMILIES["facts"][1])),
            (AMOUNTS, *packed(heard(teaching.amount_examples(k, lexicon)), AMOUNTS_COST))]


def common(k: Knowledge) -> frozenset[str]:
    """The words of the bank, as stems, that enough of its voices use: what one voice alone writes is as likely misspelt."""
    voices: dict[str, set[str]] = {}
    for text, _, voice, *_ in teaching.topic_examples(k):
        for word in set(map(stem, tokens(text))):
            voices.setdefault(word, set()).add(voice)
    return frozenset(word for word, users in voices.items() if len(users) >= _USERS)


def leave_out(k: Knowledge, voice: str) -> Iterator[tuple[str, float, int]]:
    """For each family, the share of one voice's sentences understood by weights that never saw it, and how many those are."""
    lexicon = Lexicon.of(k.language.concepts)
    for family, (examples, cost) in FAMILIES.items():
        every = seen(examples(k), lexicon)
        vectorizer, classifier = fit([e for e in every if e[2] != voice], cost, family in BALANCED)
        held = [e for e in every if e[2] == voice]
        said = classifier.predict(_matrix(vectorizer, [row for row, _, _ in held], False))
        right = sum(str(a) == label for a, (_, label, _) in zip(said, held))
        yield family, right / len(held), len(held)
