"""Checks of what is planned when: steps that never come up or never end, contradictions, rules that never count."""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import combinations

from guide.audit.case import Case
from guide.audit.findings import Found
from guide.audit.worlds import can_hold, offered_in, together, view_of
from guide.knowledge.base import Knowledge
from guide.knowledge.conditions import Atom
from guide.knowledge.records import Step, WatersRule
from guide.planning.planner import answer

_PUT_OFF = re.compile(r"\b(?:never|nobody|not|no|without|before|after|until|unless|if|once|ready to)\b")
_BREAKS = "(?:with|so|and|then|while|when|from)"
"""Words that end what a verb is about."""


def _planned(k: Knowledge) -> Iterator[Step]:
    return (step for step in k.steps.values() if step.band != "note")


def topic_without_steps(case: Case) -> Iterator[Found]:
    """A topic that has nothing to say to a crew with some pack."""
    k = case.knowledge
    views = {pack.name: view_of(k, {"aboard_raft": True, "pack": pack.id}) for pack in k.packs.values()}
    for topic in k.topics.values():
        silent = [name for name, view in views.items() if not answer(view, filter(k.steps.__contains__, topic.steps))[0]]
        if silent or not topic.steps:
            yield Found(f"topic:{topic.id}", topic.place, f"topic {topic.id} has no step {'with the ' + ', the '.join(silent) if silent else 'at all'}",
                        "steps:")


def never_comes_up(case: Case) -> Iterator[Found]:
    """A planned step whose conditions cannot hold together, or hold only where its `unless` forbids it."""
    for step in _planned(case.knowledge):
        if not can_hold(case.knowledge, step.when):
            yield Found(f"step:{step.id}", step.place, f"the conditions of step {step.id} can never hold together", "when:")
        elif offered_in(case.knowledge, step) is None:
            yield Found(f"step:{step.id}", step.place, f"step {step.id} is forbidden by its unless wherever its when holds", "unless:")


def never_done(case: Case) -> Iterator[Found]:
    """A planned step whose end cannot come: its `done_when` cannot hold, or names what nothing ever tells."""
    k = case.knowledge
    told = _told(k)
    for step in _planned(k):
        deaf = [atom.words() for condition in step.done_when for atom in condition.any_of
                if len(condition.alternatives) == 1 and not _tellable(k, atom, told)]
        if step.done_when and (deaf or not can_hold(k, step.done_when)):
            yield Found(f"step:{step.id}", step.place, f"step {step.id} is never done: " + (f"nothing tells {deaf[0]}" if deaf else "its done_when cannot hold"),
                        "done_when:")


def _told(k: Knowledge) -> set[str]:
    """Each `fact=value` that something tells, and each amount by its fact alone."""
    told = {phrase.means for phrase in (*k.language.facts, *k.language.frames)}
    told |= {phrase.means.partition("=")[0] for phrase in k.language.amounts}
    told |= {f"{fact}={str(value).lower()}" for step in k.steps.values() for fact, value in step.sets.items()}
    told |= {f"{p.fact}={str(p.value).lower()}" for p in k.presumptions}
    return told | {f"{fact.id}=true" for fact in k.facts.values() if fact.told_by}


def _tellable(k: Knowledge, atom: Atom, told: set[str]) -> bool:
    if atom.op != "is" or atom.value in ("known", "unknown") or atom.fact.removeprefix("has_") in k.equipment:
        return True
    return f"{atom.fact}={str(atom.value).lower()}" in told or atom.fact in told


def done_by_word_only(case: Case) -> Iterator[Found]:
    """A planned step that no report ends, and that does not return: only the word "done" takes it off the plan."""
    for step in _planned(case.knowledge):
        if step.band in ("ordered", "immediate") and not (step.done_when or step.sets or step.again_s):
            yield Found(f"step:{step.id}", step.place, f'no report ends step {step.id}: it stays open until somebody says "done"')


def contradictory_steps(case: Case) -> Iterator[Found]:
    """Two steps that can be open in one state and bring about, or ask for, opposite things."""
    k = case.knowledge
    for one, other, what in (*_set_apart(k), *_said_apart(case)):
        state = None if _sides_of_one(one.dispute, other.dispute) else together(k, one, other)
        if state is not None:
            known = ", ".join(f"{name}={str(value).lower()}" for name, value in state.items())
            yield Found(f"step:{one.id}", one.place, f"steps {one.id} and {other.id} {what} and are both open with {known}", "when:")


def _sides_of_one(side: str, other: str) -> bool:
    """Whether two steps take different sides of one dispute, so that only one of them is ever open."""
    return bool(side) and side != other and side.partition(".")[0] == other.partition(".")[0]


def _set_apart(k: Knowledge) -> Iterator[tuple[Step, Step, str]]:
    for one, other in combinations(_planned(k), 2):
        for fact in one.sets:
            if fact in other.sets and other.sets[fact] != one.sets[fact]:
                yield one, other, f"set {fact} to opposite values"


def _said_apart(case: Case) -> Iterator[tuple[Step, Step, str]]:
    for pair in case.profile.opposites:
        asked = [(step, _objects(step.say, pair.one, pair.of), _objects(step.say, pair.other, pair.of)) for step in _planned(case.knowledge)]
        for one, opened, _ in asked:
            for other, _, shut in asked:
                if one.id != other.id and opened & shut:
                    yield one, other, f"ask to {pair.one[0]} and to {pair.other[0]} the {min(opened & shut)}"


def _objects(say: str, verbs: Iterable[str], of: Iterable[str]) -> set[str]:
    """What of `of` a text asks to be done to, by one of the verbs in the same phrase; sentences that deny or put off are left out."""
    found: set[str] = set()
    for sentence in re.split(r"[.;:!?]", say.lower()):
        if not _PUT_OFF.search(sentence):
            phrases = re.findall(rf"\b(?:{'|'.join(map(re.escape, verbs))})\b((?: (?!{_BREAKS}\b)[\w'-]+){{1,5}})", sentence)
            found |= {thing for phrase in phrases for thing in of if re.search(rf"\b{thing}(?:s|es)?\b", phrase)}
    return found


def shadowed_rule(case: Case) -> Iterator[Found]:
    """A rule that an earlier one always forestalls, or a stand-in of a step that needs nothing."""
    k = case.knowledge
    for earlier, later in combinations(k.presumptions, 2):
        if earlier.fact == later.fact and set(earlier.when) <= set(later.when):
            yield Found(f"fact:{later.fact}", later.place, f"this presumption of {later.fact} never counts: the one at {earlier.place} goes first")
    for first, second in combinations(k.stores.waters.values(), 2):
        if first.basis == second.basis and _covers(first, second):
            yield Found(f"waters:{second.id}", second.place, f"waters rule {second.id} never counts: {first.id} goes first")
    for step in k.steps.values():
        if step.instead and not step.needs:
            yield Found(f"step:{step.id}", step.place, f"step {step.id} needs nothing, so {step.instead} never takes its place", "instead:")
    yield from _patterns(case)


def _covers(first: WatersRule, second: WatersRule) -> bool:
    """Whether the first holds wherever the second does; `at_least` and `upto` include the number, the others do not."""
    lower = first.at_least <= max(second.at_least, second.beyond) and (first.beyond < second.at_least or first.beyond <= second.beyond)
    upper = first.upto >= min(second.upto, second.inside) and (first.inside >= second.inside or first.inside > second.upto)
    sizes = (first.length_from_ft <= second.length_from_ft and first.length_below_ft >= second.length_below_ft
             and first.persons_upto >= second.persons_upto)
    return lower and upper and sizes and first.water in ("any", second.water)


def _patterns(case: Case) -> Iterable[Found]:
    """Patterns alike under two meanings: they disagree, so that neither counts."""
    seen: dict[str, str] = {}
    for frame in case.knowledge.language.frames:
        if seen.setdefault(frame.text, frame.means) != frame.means:
            fact = frame.means.partition("=")[0]
            yield Found(f"fact:{fact}", frame.place, f'the pattern "{frame.text}" stands under {seen[frame.text]} and {frame.means}: neither counts')
