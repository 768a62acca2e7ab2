"""Questions about packs in a talk: what one holds, whether there is an item, how many there should be, how packs differ.

The answer comes from what was reported, else from a pack's published list, and says from which. The sentences are the
knowledge's (`says` of a file of `kind: stores`). Nothing is answered here that a list or a report does not tell.
"""
from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Equipment, Pack, PackLine
from guide.language.numbers import numbers, split
from guide.language.wording import regular
from guide.patterns import pattern
from guide.planning.items import View
from guide.quantities import Question

RATED = ("raft_capacity", "persons")
"""What a pack's amounts go by: the rated number, or for want of it the people aboard."""
CONTENTS, DIFFERENCES = "pack_contents", "pack_differences"
"""The topics of lists."""
_LISTING = frozenset((CONTENTS, "take_inventory"))
_OF_PACKS = _LISTING | {DIFFERENCES}
_PLAIN = frozenset(
    "is are there here it we you they i us our the a an any some one each of in on at to by for with aboard board bag bags kit pack packs packed "
    "packet raft rafts list container canister do does have has got get hold holds carry carries carried contain contains include includes included "
    "come comes should would will must ought supposed meant required called be been also too anywhere so and but then hey ok okay please many "
    "much how whats what standard normal full type kind usually normally still left people persons person men man us places place ? . , ! '".split())
"""All the words that may stand beside an item in a question for whether there is one, or how many; any other makes it another question."""
_ASKS_WHETHER = pattern(r"^(?:(?:so|and|but|then|hey|ok|okay) ,?)*(?:is|are|do|does|have|has|should|would|will|must) ")
_THERE = pattern(r"\bthere\b|\b(?:have|has|got|hold|holds|carry|carries|contain|contains|include|includes|included|come|comes)\b|\bin (?:the|our|a|an)\b")
_HOW_MANY = pattern(r"\bhow (?:many|much)\b")
_OUGHT = pattern(r"\b(?:should|must|ought|supposed|meant|required)\b")
_CONTENTS = pattern(r"\bwhat (?:is |are |else is |all is )?(?:in|inside|aboard|on board)\b|\blist\b|\bcontents?\b|\beverything\b|\ball (?:of )?the\b|\bstock\b"
                       r"|\bwhat\b.*\b(?:hold|holds|contain|contains|have|has|got|carry|carries|include|includes|included|come|comes|packed|get)\b")
_OF_A_PACK = pattern(r"\bwhich pack\b|\bwho\b|\bwhere\b|\bwhy\b|\bwhen\b|\bhow (?:do|can) (?:i|we|you) (?:tell|know)\b|\bmiles?\b|\bmean\b|\bmeaning\b")
"""A question about packs that their lists do not answer."""
_LACKS = pattern(r"\bwhat\b.*\b(?:not|lack|lacks|lacking|without|missing)\b")
_NO_STORES = pattern(r"\bin (?:the |our )?(?:water|smoke)\b|\bsmoke(?! (?:signal|pot|float|can|buoy))\b|\b(?:have|has|got) to\b")
"""Water about us, smoke in the air and what has to be done are nothing that a pack holds."""
_AGAIN = pattern(r"^(?:(?:and|or|but) (?:(?:what|how) about )?|(?:what|how) about )")
_ARTICLE = r"(?:an|the|our|solas|and|or|versus|vs|to|with|between) "
_BESIDE = frozenset("it is its it's we have got has a an the our i think one raft pack packs kind type carries carry says marked label so ok yes that this "
                    "service for of ish probably . , ! '".split())
"""Words that may stand beside a pack in a short answer."""


class Packed(NamedTuple):
    """What is told of packs, what the next turn may answer, and the steps to show instead of the topic's own (None: those)."""

    notes: tuple[str, ...]
    question: Question
    steps: tuple[str, ...] | None = None


class _Asked(NamedTuple):
    """A question as read: the packs and items it names, the number it is for, and whether the list alone is meant."""

    text: str
    packs: tuple[Pack, ...]
    items: tuple[Equipment, ...]
    persons: int | None
    plain: bool
    """Beside items, packs and number stands nothing that asks for more than whether, or how many."""

    @property
    def only_items(self) -> bool:
        """Whether it is about items, and nothing besides."""
        return bool(self.items) and self.plain


def packed(question: Question, view: View, *, asks: bool) -> Packed | None:
    """The answer by report or list; None where the question is not about what a pack holds.

    `asks` tells whether the sentence is a question, or answers one that was left open.
    """
    if not asks or not view.knowledge.stores.says or not (question.topic in _OF_PACKS or _may_be_about_items(question.text)):
        return None
    asked = _read(question.text, view.knowledge)
    if _asks_how_many(asked):
        return _how_many(asked, question, view)
    if _asks_whether(asked):
        return _whether(asked, question, view)
    if question.topic == DIFFERENCES and len(asked.packs) > 1:
        return _differ(asked, question, view)
    pack = _pack_of(asked, view)
    if question.topic in _OF_PACKS and pack and pack.lacks and not asked.items and _LACKS.search(asked.text):
        return Packed((f"{pack.name}: {pack.lacks}",), _told(question), _lesson(view, question, pack))
    if question.topic in _LISTING and not asked.items and _CONTENTS.search(asked.text) and not _OF_A_PACK.search(asked.text):
        return _contents(asked, question, view)
    return None


_DIFFER = pattern(r"\b(?:differ|differs|different|difference|differences|compare|compared|versus|vs)\b")


def list_asked(text: str, knowledge: Knowledge) -> str:
    """The topic of the list that a sentence asks for: how two packs differ, or whether there is an item, or how much of it there ought to be,
    and nothing besides; nothing where it asks for none."""
    if _DIFFER.search(regular(text)) and len(_packs_in(text, knowledge)) > 1:
        return DIFFERENCES
    asked = _read(text, knowledge) if knowledge.stores.says and _may_be_about_items(text) else None
    return CONTENTS if asked is not None and (_asks_how_many(asked) or _asks_whether(asked)) else ""


def _may_be_about_items(text: str) -> bool:
    """Whether the items of the lists are worth looking for in a sentence."""
    return bool(_HOW_MANY.search(regular(text)) or _ASKS_WHETHER.match(regular(text)))


def _asks_how_many(asked: _Asked) -> bool:
    ought = bool(_OUGHT.search(asked.text) or asked.packs or re.search(r"\bpacks?\b", asked.text)) and bool(_THERE.search(asked.text) or re.search(r"\bbe\b", asked.text))
    return asked.only_items and ought and bool(_HOW_MANY.search(asked.text))


def _asks_whether(asked: _Asked) -> bool:
    return asked.only_items and bool(_ASKS_WHETHER.match(asked.text) and _THERE.search(asked.text) and not _HOW_MANY.search(asked.text))


def answered_pack(text: str, knowledge: Knowledge) -> tuple[str, str] | None:
    """The pack that a short answer names, `B`, `a coastal one, I think`, and the words that are left; None where it is no such answer."""
    plain = regular(text)
    found = _packs_in(text, knowledge) or tuple(p for p in knowledge.packs.values() if _short(p) and re.search(rf"\b{_short(p)}\b", plain))
    if len(found) > 1:  # `a B pack`: the article is no pack
        found = tuple(p for p in found if _short(p) != "a")
    if len(found) != 1:
        return None
    names = "|".join(sorted(map(re.escape, _names(found[0])), key=len, reverse=True))
    left = split(re.sub(rf"\b(?:{names})\b", " ", plain, count=1))
    taken = {at for number in numbers(left) if not number.bare_article for at in range(number.start, number.stop)}
    rest = {word for at, word in enumerate(left) if at not in taken}
    counted = " ".join(left[at] for at in sorted(taken))
    return (found[0].id, counted) if rest <= _BESIDE | {"people", "persons", "us", "men", "man", "places"} else None


def asked_again(text: str, question: Question, knowledge: Knowledge) -> Question | None:
    """The question asked again of another pack or number, `and for 25 people?`, `what about a B pack`; None where it is something else."""
    if not question.listed or not _AGAIN.match(regular(text)):
        return None
    again = _read_line(_AGAIN.sub("", regular(text), count=1), text, knowledge)
    if again.items or not again.plain or not (again.packs or again.persons):
        return None
    return Question(question.topic, f"{question.text}\n{text}", {}, listed=True)


def _read(text: str, knowledge: Knowledge) -> _Asked:
    """A question and, in lines of their own, the packs or numbers it was asked again of; the last ones count."""
    first, *more = (_read_line(regular(line), line, knowledge) for line in text.split("\n"))
    for again in more:
        first = first._replace(packs=again.packs or first.packs, persons=again.persons or first.persons)
    return first


def _read_line(plain: str, text: str, knowledge: Knowledge) -> _Asked:
    from guide.stores.found import singular
    packs = _packs_in(text, knowledge)
    words = split(re.sub(r"(?<=\d)-(?=man|men|person|place)", " ", plain))
    persons, used = _persons(words)
    singulars = [singular(word) for word in words]
    items: dict[str, Equipment] = {}
    there = set(singulars)
    for name, found in _item_names(knowledge):
        for at in range(len(words) - len(name) + 1) if name[0] in there else ():
            if tuple(singulars[at:at + len(name)]) == name and not used.intersection(range(at, at + len(name))):
                items.update({item.id: item for item in found})
                used.update(range(at, at + len(name)))
    named = {word for pack in packs for name in _names(pack) for word in name.split()}
    rest = {word for at, word in enumerate(words) if at not in used}
    loose = any(knowledge.equipment[item].amount == "water" for item in items) and bool(rest & {"raft", "here", "aboard"})
    loose = loose or bool(_NO_STORES.search(plain))
    return _Asked(plain, packs, tuple(items.values()), persons, rest <= _PLAIN | named and not loose)


def _item_names(knowledge: Knowledge) -> Iterator[tuple[tuple[str, ...], tuple[Equipment, ...]]]:
    """Every name of what packs and bags hold as words in the singular, the longest first, with the items it means."""
    from guide.stores.found import counted_names, singular
    names: dict[str, tuple[Equipment, ...]] = {}
    items = [knowledge.equipment[name] for name in (*knowledge.stores.serves, *knowledge.stores.substitutes)]
    for item in items:
        for name in (item.name, *item.also, *counted_names(knowledge, item)):
            names.setdefault(singular(name), (item,))
    for group in knowledge.stores.groups.values():
        names[singular(group.id)] = tuple(knowledge.equipment[name] for name in group.members)
    return iter(sorted(((tuple(name.split()), found) for name, found in names.items() if name), key=lambda each: -len(each[0])))


def _persons(words: Sequence[str]) -> tuple[int | None, set[int]]:
    """The number that a list is asked for, `for ten`, `a 10-man raft`, and the places of its words."""
    for number in numbers(list(words)):
        after = words[number.stop:number.stop + 2]
        counts = set(after) & {"people", "person", "persons", "men", "man", "places", "place", "us"}
        if not number.bare_article and number.value.is_integer() and (counts or words[number.start - 1:number.start] == ["for"]):
            return int(number.value), {*range(number.start, number.stop)}
    return None, set()


def _short(pack: Pack) -> str:
    """The one letter that a pack goes by, or nothing."""
    last = pack.id.rpartition("_")[2]
    return last if len(last) == 1 else ""


def _names(pack: Pack) -> list[str]:
    """What a pack is called, in lower case, without the word pack."""
    names = [re.sub(r"[\W_]+", " ", name.lower()).replace(" pack", "").strip() for name in (pack.id, pack.name, pack.marked)]
    return [name for name in dict.fromkeys((*names, names[0].rpartition(" ")[2])) if name]


def _packs_in(text: str, knowledge: Knowledge) -> tuple[Pack, ...]:
    """The packs that a text names. `a pack` is any pack: the letter A needs a capital or a word before it that no article follows."""
    plain = regular(text)
    found = []
    for pack in knowledge.packs.values():
        letter = _short(pack)
        named = any(re.search(rf"\b{re.escape(name)}\b", plain) for name in _names(pack) if name != letter)
        if letter == "a":
            named = named or bool(re.search(rf"\b{_ARTICLE}a(?:[- ](?:pack|and|or|versus|vs)\b|\?|$)|\bpacks? a\b(?! \w+ pack)", plain)
                                  or re.search(r"\bA[- ](?:and [A-Z] )?packs?\b", text))
        elif letter:
            named = named or bool(re.search(rf"\b{letter}\b", plain))
        if named:
            found.append(pack)
    return tuple(found)


def _say(view: View, name: str, **parts: object) -> str:
    return view.knowledge.stores.says[name].format(**parts).strip()


def _pack_of(asked: _Asked, view: View) -> Pack | None:
    """The pack that is asked about: the one named, or the raft's own."""
    return asked.packs[0] if asked.packs else view.knowledge.packs.get(str(view.lookup("pack")))


def _number_of(asked: _Asked, view: View) -> int | None:
    """The number that amounts go by: the one named, the rated number, the people aboard."""
    known = (asked.persons, *(view.lookup(name) for name in RATED))
    limits = view.knowledge.facts[RATED[0]]
    return next((n for n in known if isinstance(n, int) and not isinstance(n, bool) and limits.low <= n <= limits.high), None)


def _amount(line: PackLine, persons: int | None) -> str:
    """An amount of a list for so many persons, or how it goes by places where nobody said how many."""
    from guide.stores.packs import amount
    if persons is not None or not _by_number(line):
        return amount(line.number(persons or 1), line.unit)
    if line.each:
        return f"{amount(line.each, line.unit)} for each place"
    if line.share:
        return f"1 for {1 / line.share:g} places, {line.least:g} at the least"
    return ", ".join([amount(line.pieces, line.unit), *(f"from {place} persons {amount(n, line.unit)}" for place, n in line.steps.items())])


def _by_number(line: PackLine) -> bool:
    return bool(line.each or line.share or line.steps)


def _choices(view: View) -> str:
    names = [pack.name for pack in view.knowledge.packs.values()]
    return " or ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def _left(question: Question, view: View, *, pack: bool, persons: bool) -> tuple[list[str], Question]:
    """What is asked for, and the question that the next turn may answer."""
    notes = [_say(view, "which_pack", packs=_choices(view))] if pack else []
    notes += [_say(view, "how_many")] if persons else []
    return notes, _told(question)._replace(wants=(*(("pack",) if pack else ()), *(RATED if persons else ())))


def _told(question: Question) -> Question:
    """The question once its list is told."""
    return Question(question.topic, question.text, {}, listed=True)


def _how_many(asked: _Asked, question: Question, view: View) -> Packed:
    """How many a list calls for."""
    pack, persons = _pack_of(asked, view), _number_of(asked, view)
    if pack is None:
        return _depends(asked, question, view, persons)
    lines = [pack.items.get(item.id) for item in asked.items]
    more, left = _left(question, view, pack=False, persons=persons is None and any(line and _by_number(line) for line in lines))
    return Packed((*(_listed(view, item, pack, persons) for item in asked.items), *more), left, _lesson(view, question, pack))


def _listed(view: View, item: Equipment, pack: Pack, persons: int | None) -> str:
    line = pack.items.get(item.id)
    if line is None:
        return _say(view, "none", item=_capital(item), pack=pack.name) if _ever_packed(view, item) else _say(view, "unpacked", item=_capital(item))
    whose = f" for {_people(persons)}" if persons is not None and _by_number(line) else ""
    return _say(view, "number", item=_capital(item), amount=_amount(line, persons), pack=pack.name, persons=whose)


def _ever_packed(view: View, item: Equipment) -> bool:
    return any(item.id in pack.items for pack in view.knowledge.packs.values())


def _depends(asked: _Asked, question: Question, view: View, persons: int | None) -> Packed:
    """No pack is known: what each list says, and which it is."""
    notes, held = [], False
    for item in asked.items:
        lines = {pack.name: pack.items.get(item.id) for pack in view.knowledge.packs.values()}
        held = held or any(lines.values())
        each = "; ".join(f"{name} {_amount(line, persons) if line else 'none'}" for name, line in lines.items())
        notes.append(_say(view, "depends", item=_capital(item), each=each) if any(lines.values()) else _say(view, "unpacked", item=_capital(item)))
    more, left = _left(question, view, pack=held, persons=False)
    return Packed((*notes, *more), left, _lesson(view, question, None))


def _whether(asked: _Asked, question: Question, view: View) -> Packed:
    """Whether there is one: as reported, else by the list of the pack."""
    only_listed = bool(asked.packs) or bool(_OUGHT.search(asked.text))
    told = {} if only_listed else {item.id: line for item in asked.items if (line := _reported(view, item))}
    pack, persons = _pack_of(asked, view), _number_of(asked, view)
    open_items = tuple(item for item in asked.items if item.id not in told)
    if pack is None and open_items:
        rest = _depends(_Asked(asked.text, (), open_items, persons, True), question, view, persons)
        return rest._replace(notes=(*told.values(), *rest.notes))
    notes = [told.get(item.id) or (_listed(view, item, pack, persons) if pack else "") for item in asked.items]
    notes += [_say(view, "unseen")] if not only_listed and any(_ever_packed(view, item) for item in open_items) else []
    return Packed(tuple(notes), _told(question), _lesson(view, question, pack))


def _lesson(view: View, question: Question, pack: Pack | None) -> tuple[str, ...] | None:
    """The steps beside the answer: about packs those that tell of this one, about anything else the topic's own."""
    if question.topic != CONTENTS:
        return None
    lesson = view.knowledge.stores.lessons.get(pack.id) if pack else None
    return lesson.members if lesson else ()


def _reported(view: View, item: Equipment) -> str:
    """What was reported or counted of an item, in words; nothing where nobody said."""
    from guide.stores.packs import amount
    has, how = view.item(item.id)
    if how not in ("reported", "counted") or has is None:
        return ""
    value = view.state.value(item.amount) if item.amount else None
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        unit = view.knowledge.facts[item.amount].unit
        return _say(view, "counted", item=_capital(item), amount=amount(value, "" if unit == "items" else unit))
    return _say(view, "reported", item=_capital(item), where=item.where) if has else _say(view, "lacking", item=_capital(item))


def _differ(asked: _Asked, question: Question, view: View) -> Packed:
    """Lists side by side, without what is the same in all."""
    persons = _number_of(asked, view)
    lines = [_say(view, "differ", packs=", ".join(pack.name for pack in asked.packs))]
    for title, cells in _by_priority(view.knowledge, asked.packs, persons):
        different = [f"{name} {' / '.join(texts)}" for name, texts in cells.items() if len(set(texts)) > 1]
        lines += [f"{title}: {'; '.join(different)}."] if different else []
    return Packed(tuple(lines), _told(question))


def _by_priority(knowledge: Knowledge, packs: Sequence[Pack], persons: int | None) -> Iterator[tuple[str, Mapping[str, Sequence[str]]]]:
    """Title of a priority → each item that serves it with its amount in each pack."""
    from guide.stores.packs import groups
    for group in groups(knowledge, packs, persons or 1):
        yield group.priority.title.capitalize(), {
            held.item.name: ["none" if line is None else _amount(line, persons) for line in held.lines] for held in group.held}


def _contents(asked: _Asked, question: Question, view: View) -> Packed | None:
    """The whole list of a pack. Without a pack the topic's own steps stand, and the pack is asked for."""
    pack, persons = _pack_of(asked, view), _number_of(asked, view)
    if pack is None:
        notes, left = _left(question, view, pack=True, persons=False)
        return Packed(tuple(notes), left)
    head = _say(view, "listed", pack=pack.name, persons=_people(persons)) if persons is not None else _say(view, "listed_each", pack=pack.name)
    rows = [f"{title}: {'; '.join(f'{name} {texts[0]}' for name, texts in cells.items())}."
            for title, cells in _by_priority(view.knowledge, [pack], persons)]
    more, left = _left(question, view, pack=False, persons=persons is None)
    return Packed((head, *rows, *([pack.lacks] if pack.lacks else []), *more), left, _lesson(view, question, pack))


def _capital(item: Equipment) -> str:
    return item.name[0].upper() + item.name[1:]


def _people(persons: int | None) -> str:
    return "1 person" if persons == 1 else f"{persons} persons"
