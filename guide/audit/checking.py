"""All checks by name, and the findings of one knowledge."""
from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date

from guide.audit import forbidding, linking, phrasing, planned, sourcing, wording
from guide.audit.case import Case, Hears
from guide.audit.describing import origin
from guide.audit.findings import LEVELS, Finding, Found
from guide.audit.locating import Locator
from guide.audit.profile import Acceptance, Profile
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem
from guide.language.reading import Reader
from guide.language.utterances import told_in

Check = Callable[[Case], Iterable[Found]]
EXPIRED, UNUSED = "acceptance_expired", "acceptance_unused"
CHECKS: Mapping[str, Check] = {check.__name__: check for check in (
    sourcing.no_source, sourcing.memory_only, sourcing.source_unread, sourcing.clause_unused,
    sourcing.dispute_without_default, sourcing.dispute_one_sided, sourcing.dispute_in_no_step,
    linking.unreadable, linking.dangling_id, linking.unreachable_step, linking.ring, linking.caution_unused, linking.fact_never_set,
    linking.fact_never_used, linking.item_never_used, linking.item_nowhere, linking.item_outside_packs,
    planned.topic_without_steps, planned.never_comes_up, planned.never_done, planned.done_by_word_only,
    planned.contradictory_steps, planned.shadowed_rule,
    wording.too_long, wording.hard_to_read, wording.unit_missing, wording.caution_missing, wording.said_twice, forbidding.forbidden_advice,
    phrasing.thin_phrases, phrasing.phrase_near_other, phrasing.denied_alike,
    phrasing.denial_unheard)}
NAMES = (*CHECKS, EXPIRED, UNUSED)
"""What a profile has to hold a rule for."""


def findings(knowledge: Knowledge, profile: Profile, accepted: Iterable[Acceptance] = (), *,
             today: date, hears: Hears | None = None,
             problems: Iterable[Problem] = ()) -> tuple[Finding, ...]:
    """Every finding, gravest first and then by place; those accepted say so."""
    case = Case(knowledge, profile, hears, tuple(problems))
    taken = [(name, found) for name, check in CHECKS.items() for found in check(case)]
    answers = _answers(accepted, today)
    unanswered = _of_acceptances([one for one in accepted if _runs(case, one.check)], taken, today)
    locator = Locator(knowledge.folder)
    made = [_finding(case, locator, name, found, answers.get((name, found.node))) for name, found in taken]
    made += [_finding(case, locator, name, found, None) for name, found in unanswered]
    return tuple(sorted(set(made)))


def heard_by(reader: Reader) -> Hears:
    """What the guide itself reads in a sentence."""
    return lambda text: [(told.fact, told.value) for told in told_in(reader.read(text).readings)]


def _answers(accepted: Iterable[Acceptance], today: date) -> dict[tuple[str, str], Acceptance]:
    return {(one.check, node): one for one in accepted if one.until >= today for node in one.nodes}


def _runs(case: Case, check: str) -> bool:
    """Whether a check can be run with what there is: phrases, and something that reads them."""
    if check == phrasing.denial_unheard.__name__:
        return case.hears is not None
    return CHECKS.get(check) not in (phrasing.phrase_near_other, phrasing.thin_phrases) or bool(case.knowledge.language.questions)


def _finding(case: Case, locator: Locator, name: str, found: Found, answer: Acceptance | None) -> Finding:
    rule = case.profile.rules[name]
    why = f"{answer.reason} ({answer.who}, until {answer.until})" if answer else ""
    place = locator.at(found.place, found.hint)
    return Finding(LEVELS.index(rule.severity), place, name, rule.severity, found.node, found.problem, rule.mend,
                   origin(case.knowledge, found.node, found.place), why)


def _of_acceptances(accepted: Iterable[Acceptance], taken: list[tuple[str, Found]], today: date) -> Iterable[tuple[str, Found]]:
    seen = {(name, found.node) for name, found in taken}
    for one in accepted:
        if one.until < today:
            yield EXPIRED, Found(one.nodes[0] if one.nodes else "", one.place, f"the acceptance of {one.check} by {one.who} ended on {one.until}")
        for node in one.nodes:
            if (one.check, node) not in seen:
                yield UNUSED, Found(node, one.place, f"{one.check} is accepted for {node}, where it finds nothing")
