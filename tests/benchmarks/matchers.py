"""General-purpose matchers on the same bank, to compare with: rapidfuzz, BM25, TF-IDF with a linear classifier. Need the extra `train`."""
from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from typing import Any

Example = tuple[str, str]
"""Sentence and label."""
Matcher = Callable[[str], dict[str, float]]
"""Sentence → a score for each label that has one."""


def rapidfuzz_best(examples: Sequence[Example]) -> Matcher:
    """The most similar sentence of the bank by plain similarity (the default weighted ratio finds short names in everything: a quarter as many
    right); each label by its best sentence among the first 50."""
    from rapidfuzz import fuzz, process, utils
    texts = [utils.default_process(text) for text, _ in examples]

    def score(text: str) -> dict[str, float]:
        found: dict[str, float] = {}
        for _, value, at in process.extract(utils.default_process(text), texts, scorer=fuzz.ratio, limit=50):
            found[examples[at][1]] = max(found.get(examples[at][1], 0.0), value)
        return found
    return score


def bm25(examples: Sequence[Example], k: float = 1.5, b: float = 0.75) -> Matcher:
    """Okapi BM25 over the sentences (Robertson and Zaragoza 2009, with the usual k and b); each label by its best sentence."""
    bags = [Counter(text.lower().split()) for text, _ in examples]
    mean = sum(bag.total() for bag in bags) / len(bags)
    holding: dict[str, list[tuple[int, float]]] = defaultdict(list)
    for number, bag in enumerate(bags):
        for word, count in bag.items():
            holding[word].append((number, count * (k + 1) / (count + k * (1 - b + b * bag.total() / mean))))

    def score(text: str) -> dict[str, float]:
        sums: dict[int, float] = defaultdict(float)
        for word in text.lower().split():
            rows = holding.get(word, ())
            rarity = math.log(1 + (len(bags) - len(rows) + 0.5) / (len(rows) + 0.5))
            for number, weight in rows:
                sums[number] += rarity * weight
        found: dict[str, float] = {}
        for number, value in sums.items():
            label = examples[number][1]
            found[label] = max(found.get(label, 0.0), value)
        return found
    return score


def tfidf_linear(examples: Sequence[Example]) -> Matcher:
    """TF-IDF of words, pairs and pieces of 3 to 5 letters, and a linear support-vector classifier."""
    from sklearn.feature_extraction.text import TfidfVectorizer
    from sklearn.pipeline import FeatureUnion
    from sklearn.svm import LinearSVC
    vectors: Any = FeatureUnion([("words", TfidfVectorizer(ngram_range=(1, 2), sublinear_tf=True, min_df=2)),
                                 ("pieces", TfidfVectorizer(analyzer="char_wb", ngram_range=(3, 5), sublinear_tf=True, min_df=3))])
    table = vectors.fit_transform([text for text, _ in examples]).tocsr()
    table.indices, table.indptr = table.indices.astype("int32"), table.indptr.astype("int32")
    classifier = LinearSVC(C=0.5, random_state=0).fit(table, [label for _, label in examples])

    def score(text: str) -> dict[str, float]:
        return dict(zip(map(str, classifier.classes_), map(float, classifier.decision_function(vectors.transform([text]))[0])))
    return score


MATCHERS: dict[str, Callable[[Sequence[Example]], Matcher]] = {
    "rapidfuzz best match": rapidfuzz_best, "BM25": bm25, "TF-IDF and linear classifier": tfidf_linear}
