"""Which claims to walk or to count: by topic, source, mark, kind, family, state or id."""
from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from guide.arguments import Misuse
from guide.knowledge.base import Knowledge
from guide.knowledge.claims import CLAIM_MARKS, Claim
from guide.knowledge.problems import did_you_mean
from guide.knowledge.records import COMMON_PRACTICE, UNVERIFIED
from guide.signoff import STATES, Review, state_of


@dataclass(frozen=True, slots=True)
class Standing:
    """A claim, the review that counts for it (perhaps of older words), and its state."""

    claim: Claim
    review: Review | None
    state: str


def standings(claims: Sequence[Claim], reviews: Mapping[str, Review]) -> tuple[Standing, ...]:
    """Every claim with its state."""
    return tuple(Standing(claim, reviews.get(claim.id), state_of(claim, reviews)) for claim in claims)


def narrowed(found: Sequence[Standing], pairs: Sequence[str], knowledge: Knowledge) -> tuple[Standing, ...]:
    """Those that fit every `NAME=VALUE`. Misuse for a name or value that does not exist."""
    for pair in pairs:
        name, _, value = pair.partition("=")
        fits = _fitting(name, value, pair, found, knowledge)
        found = [standing for standing in found if fits(standing)]
    return tuple(found)


def _fitting(name: str, value: str, pair: str, found: Sequence[Standing], knowledge: Knowledge) -> Callable[[Standing], bool]:
    of: dict[str, tuple[Callable[[Standing], Iterable[str]], Iterable[str]]] = {
        "topic": (lambda s: (s.claim.topic,), knowledge.topics),
        "source": (lambda s: (*s.claim.works, *s.claim.sources),
                   (*knowledge.sources, *knowledge.clauses, COMMON_PRACTICE, UNVERIFIED)),
        "mark": (lambda s: s.claim.marks, CLAIM_MARKS),
        "kind": (lambda s: (s.claim.kind,), dict.fromkeys(s.claim.kind for s in found)),
        "family": (lambda s: (s.claim.family,), dict.fromkeys(s.claim.family for s in found)),
        "state": (lambda s: (s.state,), STATES),
        "id": (lambda s: (s.claim.id,), [s.claim.id for s in found])}
    if name not in of:
        raise Misuse(f'--only {pair}: write it as NAME=VALUE with a name of {", ".join(of)}')
    has, known = of[name]
    if value not in known:
        few = list(known)
        allowed = f"; it is one of {', '.join(few)}" if len(few) <= 12 else did_you_mean(value, few)
        raise Misuse(f'--only {pair}: unknown {name} "{value}"{allowed}')
    return lambda standing: value in has(standing)


def counted(found: Sequence[Standing]) -> dict[str, Counter[str]]:
    """Family → state → how many, the families in the order met."""
    table: dict[str, Counter[str]] = {}
    for standing in found:
        table.setdefault(standing.claim.family, Counter())[standing.state] += 1
    return table
