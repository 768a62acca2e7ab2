"""The lists of words in the lexicon that the code looks up: which of them hold ids, of what, and what each must hold.

A list that is missing is heard of when the knowledge is checked, not when a sentence asks for it.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from guide.knowledge.base import Knowledge
from guide.knowledge.language import SIGHTED
from guide.knowledge.problems import Place, Problem, did_you_mean, unknown

OF_FACTS = frozenset("asked_as_so may_stop may_be_several posts told_by_denial told_if_sure".split())
"""Lists of facts."""
OF_TOPICS = frozenset("patient troubles".split())
"""Lists of topics."""
OF_WORDS = frozenset("""
    unit_L unit_ml unit_dl unit_cl unit_gallon unit_pint unit_quart unit_floz unit_kcal unit_kJ unit_m unit_cm unit_ft unit_kn unit_ms unit_kmh
    unit_mph unit_s unit_min unit_h unit_day unit_week unit_celsius unit_fahrenheit degrees before_unit
    warmth surely_warmth blows rates of_the_label capacity adrift of_people of_the_sea of_the_sun no_waves distance rate
    holder per_holder each
    using adding losing spending eaten gathering giving_out down_to going_down spent_behind none_left is_left alone
    out_of_date in_date absence presence told_again naming_nothing asks_of_others cries ship aircraft never_alone which_pack
    corrects correcting recounting takes_all_back hesitating says_nothing introduces
    supposing may_suppose past spelt_right generic
    leaning leaning_or_near leaning_patient who_is_hurt
""".split())
"""Lists of words, and of texts."""
PORTION = "portion_"
FAMILIES: Mapping[str, str] = MappingProxyType({"noun_": "fact", "measure_": "fact", "done_": "fact", PORTION: "fact", "leaning_": "topic"})
"""How the names of lists begin that are each about one fact or topic, whose id follows."""


def problems(k: Knowledge, places: Mapping[str, Place]) -> Iterator[Problem]:
    """What is missing among the lists, unknown among their names, or no id in those of ids. `places`: where each stands. A knowledge without
    any list has no language, and nothing to check."""
    if places:
        yield from _missing(k, next(iter(places.values())))
    for name, place in places.items():
        yield from _misnamed(k, name, place)
        yield from _no_ids(k, name, place)


def _missing(k: Knowledge, place: Place) -> Iterator[Problem]:
    lists = k.language.words
    counted = {f"noun_{item.amount}" for item in k.equipment.values() if item.amount in k.facts and k.facts[item.amount].type == "int"}
    measured = {f"noun_{name.removeprefix(PORTION)}" for name in lists if name.startswith(PORTION)}
    for name in sorted(OF_FACTS | OF_TOPICS | OF_WORDS | counted | measured):
        if not lists.get(name):
            yield Problem(place, "error", "K015", f'list "{name}" is missing or empty among the words of the lexicon')
        elif name in counted and len({word.endswith("s") for word in lists[name]}) < 2:
            yield Problem(place, "error", "K015", f'list "{name}" needs a word for one and a word in s for several')


def _misnamed(k: Knowledge, name: str, place: Place) -> Iterator[Problem]:
    if name in OF_FACTS | OF_TOPICS | OF_WORDS:
        return
    family = next((family for family in FAMILIES if name.startswith(family)), "")
    if not family:
        known = (*OF_FACTS, *OF_TOPICS, *OF_WORDS)
        yield Problem(place, "error", "K014", f'no list "{name}" is looked up{did_you_mean(name, known)}')
    elif name.removeprefix(family) not in _ids(k, FAMILIES[family]):
        yield unknown(place, f"list {name}, {FAMILIES[family]}", name.removeprefix(family), _ids(k, FAMILIES[family]))


def _no_ids(k: Knowledge, name: str, place: Place) -> Iterator[Problem]:
    kind = "fact" if name in OF_FACTS else "topic" if name in OF_TOPICS else ""
    for one in k.language.words[name] if kind else ():
        if one not in _ids(k, kind):
            yield unknown(place, f"list {name}, {kind}", one, _ids(k, kind))
        elif name == "asked_as_so" and one not in SIGHTED:
            yield Problem(place, "error", "K011", f'list {name}: "{one}" is no sighting; allowed: {", ".join(SIGHTED)}')


def _ids(k: Knowledge, kind: str) -> Mapping[str, object]:
    return k.facts if kind == "fact" else k.topics
