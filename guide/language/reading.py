"""An utterance → readings: clause by clause the kind, the topic, and the facts asserted or supposed."""
from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Value
from guide.language import clauses, cutting, muster, orders, pieces
from guide.language.addressing import Addressing
from guide.language.amounts import AmountReader
from guide.language.asserting import Asserting
from guide.language.beside import Amount
from guide.language.doubting import Doubting
from guide.language.facts import FactReader, Least, Told
from guide.language.kits import kind_of_pack
from guide.language.lacking import Lacking
from guide.language.matching import Matcher
from guide.language.mentions import TEMPERATURES
from guide.language.moods import Moods
from guide.language.naming import Naming
from guide.language.numbers import split
from guide.language.pieces import Piece
from guide.language.positions import position
from guide.language.pronouns import spelt_out
from guide.language.quantified import Lead
from guide.language.rewording import Rewording
from guide.language.ruling import Spoken
from guide.language.supposing import Supposing
from guide.language.turning import Turning
from guide.language.units import Units
from guide.language.utterances import ALONE, Lent, Reading, Utterance, told_in
from guide.language.vocabulary import Vocabulary
from guide.language.weights import Learned
from guide.language.wording import clean, regular, tokens
from guide.patterns import compile_among, pattern

_REPORTED = Least(support=5.7, lead=0.4)
"""Below which a statement tells nothing: on four voices left out 3 in 100 sentences that state nothing still tell a yes/no fact then,
and 89 in 100 that state one are understood."""
_SUPPOSED = Least(support=3.0, lead=0.0)
"""The same for what-ifs, where a wrong reading changes nothing and is echoed."""


class _Background(NamedTuple):
    """What is heard beside a clause: what the conversation knows and speaks of, whether degrees without a letter are Fahrenheit."""

    known: Mapping[str, object]
    spoken_of: str | None
    counted: str | None
    fahrenheit: bool
    told: frozenset[str]
    """The facts that sentences before it told."""


_BARE = 3
"""Words that suppose something of what stands before them, `skipper unconscious, suppose`, rather than something of their own."""
SUPPOSED_STATES, ORDER_STATES = 1.5, -9.0
"""How clearly a supposition states what it supposes, and an order anything."""
HINTS = -0.4
"""Evidence that one clause at least must have for what only the sentence as one tells."""
IDLE = 0.0
"""How clearly a clause that tells nothing must state something, not to be an order, a plan or a wish."""
BESIDE, POINTING = 0.3, 1.2
"""How much less clearly a piece states a fact of its own where one before it told some, and one that only points back (`it's slowing`):
much said beside a report is an aside."""
ASIDE = 0.45
"""The same for what is said in one breath with a question: most of it sets the scene (`there is a card by the door, do we read it`)."""
AMOUNT_LEAD, AMOUNT_STATES, AMOUNT_LEAST = 0.8, 1.1, 0.0
"""How far the evidence for an amount must lead that for none where a piece states nothing, how much less per unit of stating, and
how much at least. Both ends are a tenth lower than was found: a bank twice as large is surer of none, and of 1,850 turns two more are heard so, none falsely."""
WITHOUT_NUMBER = 0.4
"""How much less what is told without a number needs: few sentences of the bank are such, so that evidence for them is shy."""
ASKED, IMAGINED = Lead(-0.7, None), Lead(-0.3, -0.9)
"""The same in what asks, which tells nothing but numbers, and in what supposes; they change nothing and are echoed."""


def _amount_lead(kind: str, states: float) -> Lead:
    """What an amount in a piece of this kind needs."""
    if kind != "report":
        return IMAGINED if kind == "what_if" else ASKED
    number = max(AMOUNT_LEAST, AMOUNT_LEAD - AMOUNT_STATES * states)
    return Lead(number, number - WITHOUT_NUMBER)


def _counted_all(readings: list[Reading], text: str) -> list[Reading]:
    """With everybody accounted for, where those in the raft are counted as all of the crew, and two who are missing by name."""
    told = {(each.fact, each.value) for each in told_in(readings, "report")}
    if (muster.MISSING, 1) in told and muster.named_missing(text) == 2:  # `Tom and Jim are missing`
        return [reading._replace(told=tuple(each._replace(value=2) if each.fact == muster.MISSING else each for each in reading.told)) for reading in readings]
    if not muster.mustered(text, told):
        return readings
    last = [reading for reading in readings if reading.kind == "report" and reading.told][-1]
    return [reading._replace(told=(*reading.told, Told("all_accounted", True, "set"))) if reading is last else reading for reading in readings]


_AFTER_DARK = pattern(r"\b(?:after dark|at night|in the dark|middle of the night)\b")
_ALL_HERE = Told("all_accounted", True, "set")
_ITEM_LEAD = pattern(r"^(?:and|but|so|now|then) (?=(?:the|a|an|our|that)\b)", re.IGNORECASE)
_WHAT_IF = pattern(r"^(?:and |but |so )?(?:what (?:if|happens if|then if)|(?<=so )if)\b", re.IGNORECASE)
_AND_THE = pattern(r"^and (?=(?:the|our)\b)", re.IGNORECASE)
_POINTS_OUT = pattern(r"^(?:and |but |so )?(?:that|this|it|they|those)\b", re.IGNORECASE)


class Reader:
    """Reads utterances with one knowledge. Holds no state of a conversation."""

    def __init__(self, knowledge: Knowledge, learned: Learned) -> None:
        self._knowledge = knowledge
        self.matcher = Matcher(learned)
        self.facts = FactReader(knowledge, self.matcher)
        self._units = Units(knowledge.language.words)
        self.words = Vocabulary(self._units)
        self.amounts = AmountReader(self.matcher, self._units, {item.amount: item.id for item in knowledge.equipment.values() if item.amount and item.id in knowledge.topics},
                                    lambda topic: knowledge.counts_about.get(topic, frozenset()), knowledge.language.reckoned)
        self.naming = Naming(knowledge, self.words)
        self.turning = Turning(knowledge.language.turned, self._units)
        self.never_asserts = Asserting(knowledge.language.unasserted).never
        self._moods = Moods(self.matcher, self._units, self.words, self.never_asserts)
        self.kinds = self._moods.kinds
        self.addressing = Addressing(knowledge.language.addressed)
        self.rewording = Rewording(knowledge.language.reworded)
        self.supposing = Supposing(knowledge.language.supposing)
        self._lacking = Lacking(knowledge.language.lacking, self.naming, knowledge.sought)
        self._doubting = Doubting(knowledge.language.doubts, self._units, lambda: self.naming.known)

    def read(self, text: str, lent: Lent = ALONE) -> Utterance:
        """The readings of an utterance, in the order typed, with what the talk lends to it."""
        text = self.supposing.put(clean(text))
        own = self.rewording.put(clauses.without_scene(clauses.unquoted(text)))
        said = self.matcher.without_names(self.naming.notes_spelt_out(own))
        background = _Background(*lent, self.amounts.fahrenheit(text), frozenset())
        whole = self.matcher.evidence("topics", said if own == text else self.matcher.without_names(text))
        readings: list[Reading] = []
        for sentence in cutting.sentences(said):
            told = frozenset(told.fact for told in told_in(readings, "report"))
            readings += self._sentence(sentence, background._replace(told=told))
            background = background._replace(spoken_of=self.amounts.about(sentence) or background.spoken_of)
        if self._looks_up(said):
            readings = [reading._replace(kind="question", told=()) for reading in readings]
        readings = _counted_all(readings, own)
        return Utterance(text, tuple(readings), whole, self.matcher.foreign(text),
                         self.words.corrects(text), self.matcher.evidence("reports", said), self.matcher.evidence("facts", said), self.naming.named(text))

    def stands_for(self, clause: str, told: Told) -> str:
        """A clause with the thing named that a word in it stands for, where it tells this only so; nothing where it tells it by itself."""
        def tells(text: str) -> bool:
            return any(told in reading.told for reading in self.read(text).readings)

        said = spelt_out(clause, self._knowledge.facts[told.fact])
        return said if said and not tells(clause) and tells(said) else ""

    def after_all(self, told: Told, clause: str, sentence: str, known: Mapping[str, object]) -> bool:
        """Whether a clause tells this, and does not only seem to."""
        return told in self._doubting.heard((told,), clause, sentence, known)

    def doubted_because(self, told: Told, clause: str, sentence: str, known: Mapping[str, object]) -> str:
        """Why the knowledge says that a clause only seems to tell this; nothing where it does not."""
        return self._doubting.because(told, clause, sentence, known)

    def lacking_because(self, clause: str) -> str:
        """Why the knowledge says that a clause tells of a missing thing; nothing where it does not."""
        return self._lacking.because(clause)

    def _looks_up(self, text: str) -> bool:
        """Whether a text is no more than the name of a thing, which asks about it and tells nothing: `hand flare`, `the drinking water`."""
        words = tokens(text)
        return self.naming.is_name(_AND_THE.sub("", text)) or len(words) == 1 and self._units.any("never_alone", words)

    def compile_patterns(self) -> None:
        """Compile what sentences may need, of the modules that are loaded and of this knowledge."""
        compile_among([*self._doubting.patterns(), *self.facts.frames.patterns(), *self.turning.patterns(), *self.rewording.patterns(), *self._lacking.patterns(), *self.supposing.patterns(), *self.addressing.patterns(), *self.amounts.patterns()])
        compile_among(value for name, module in [*sys.modules.items()] if name.startswith("guide.") for value in [*vars(module).values()])

    def asks_missing(self, text: str) -> bool:
        """Whether a text asks who is missing: `is anyone missing?`"""
        return clauses.asks(text) and muster.names_missing(text)

    def likeliest(self, text: str) -> str:
        """The yes/no fact that a text is likeliest about."""
        evidence = self.matcher.evidence("facts", text)
        return max(evidence, key=lambda label: evidence[label], default="").partition("=")[0]

    def sounds(self, text: str, fact: str) -> float:
        """How much a text sounds like telling a yes/no fact, so or not so."""
        evidence = self.matcher.evidence("facts", text)
        return max((evidence.get(f"{fact}={value}", -9.0) for value in ("true", "false")), default=-9.0)

    def uses(self, text: str, most: int) -> bool:
        """Whether a text of at most so many words tells of using, finding or having some, and not of itself puts a number right."""
        words = split(regular(text))
        return len(words) <= most and self._units.any("using", words) and self.amounts.alone(text) is None

    def _sentence(self, sentence: str, background: _Background) -> list[Reading]:
        texts = cutting.cut(sentence)
        if clauses.supposes(sentence) or self._moods.supposes(sentence):
            return self._told_first(texts, background) or self._read_pieces(texts, sentence, "what_if", background)
        if clauses.asks_by_tag(sentence):
            return self._tagged(texts, sentence, background)
        if sentence.endswith("?") and clauses.asks(sentence) and len(texts) > 1 and clauses.asks(texts[0]):
            return self._read_pieces(texts, sentence, "question", background)
        return self._read_pieces(texts, sentence, "", background)

    def _told_first(self, texts: list[str], background: _Background) -> list[Reading]:
        """A what-if behind an emergency, a sighting or an amount, which is told: `Tom is bleeding, what if he faints`; nothing where none is, and all is supposed."""
        at = next((at for at, text in enumerate(texts) if at and (_WHAT_IF.match(text) or len(tokens(text)) > _BARE and clauses.supposes(text))), 0)
        told, asked = ", ".join(texts[:at]), ", ".join(texts[at:])
        if not told or clauses.supposes(told) or self._moods.supposes(told):
            return []
        before = self._read_pieces(texts[:at], told, "", background)
        alarms = any(each.value is True and self._knowledge.is_alarm(each.fact) or not isinstance(each.value, bool) for each in told_in(before, "report"))
        return [*before, *self._read_pieces(texts[at:], asked, "what_if", background)] if alarms else []

    def _tagged(self, texts: list[str], sentence: str, background: _Background) -> list[Reading]:
        """A sentence with a tag, which asks whether what it hangs on is so; what is counted before that is told: `we have ten pouches, that isn't much, is it`."""
        before, asked = texts[:-2], texts[-2:]
        if not before or not _POINTS_OUT.match(asked[0]) or not any(map(self.amounts.counts, before)):
            return self._read_pieces(texts, sentence, "question", background)
        told = self._read_pieces(before, ", ".join(before), "", background)
        return [*told, *self._read_pieces(asked, ", ".join(asked), "question", background)]

    def _read_pieces(self, texts: list[str], sentence: str, mood: str, background: _Background) -> list[Reading]:
        """Each piece by itself; the sentence as one where the pieces show no fact but it does."""
        readings: list[Reading] = []
        for piece in self._pieces(texts, sentence, mood, background):
            readings.append(self._read_piece(piece, sentence, readings, background))
        return self._together(readings, sentence, background)

    def _pieces(self, texts: list[str], sentence: str, mood: str, background: _Background) -> Iterator[Piece]:
        """The pieces of a sentence with what each does, how clearly it states, and what is counted in it. `mood`: what all of them do, if anything."""
        kinds = pieces.continued([self._put_as(number, texts, sentence, mood) for number in range(len(texts))], texts, sentence)
        parts = [clauses.supposed_part(text) if kind == "what_if" else text for text, kind in zip(texts, kinds)]
        stated = sentence if "question" not in kinds else ", ".join(text for text, kind in zip(texts, kinds) if kind != "question")
        aside = 0.0 if stated == sentence else ASIDE
        states = [self._moods.states(text, stated) - aside if kind == "report" else SUPPOSED_STATES for text, kind in zip(texts, kinds)]
        least = [_amount_lead(kind, state) for kind, state in zip(kinds, states)]
        asked = [at for at, (text, kind) in enumerate(zip(texts, kinds)) if at and kind == "what_if" and clauses.asks(text)]
        around = ", ".join(text for at, text in enumerate(texts) if at not in asked) if asked else sentence  # what is asked says nothing of what is supposed
        amounts = self.amounts.told(parts, around, least, Spoken(background.spoken_of, background.counted, background.told), fahrenheit=background.fahrenheit)
        elsewhere = "report" in kinds and clauses.elsewhere(sentence)
        for number, (text, part, kind) in enumerate(zip(texts, parts, kinds)):
            counted = tuple(each for each in self._placed(part, amounts[number]) if self._high(each, sentence) and self._grows(each, part, sentence, background.known) and not (each.value == 0 and self.naming.is_name(part)))
            yield Piece(text, part, kind, states[number], counted, texts[:number], texts[number + 1:], pieces.asked_behind(kinds, texts, number), elsewhere)

    def _put_as(self, number: int, texts: list[str], sentence: str, mood: str) -> str:
        """What a piece does by its own form: question, report or what_if."""
        text = texts[number]
        if mood != "what_if" and (number > 0 and (pieces.says_more(text, sentence) or pieces.goes_on_stating(text, texts[number - 1], sentence)) or len(texts) > 1 and pieces.places(text)):
            return "report"
        return mood or self._moods.kind(text, text is texts[-1] and sentence.endswith("?"))

    def _read_piece(self, piece: Piece, sentence: str, before: list[Reading], background: _Background) -> Reading:
        """One piece in the light of those before it. What states too little to tell anything is taken for an order or a plan."""
        kind, told = self._heard_as(piece, sentence, before, background)
        goes_on = kind == "report" and before and before[-1].kind == "command" and not clauses.has_verb(piece.text) \
            and clauses.joined(before[-1].clause, piece.text, sentence)  # `they promised rain by midnight and five-metre seas`
        vague = kind == "report" and not goes_on and not told and piece.states < IDLE
        if goes_on or vague:
            kind, told = "command", self._amounts_in(piece.text, background)
        family = "reports" if kind == "report" else "topics"
        states = ORDER_STATES if kind == "command" and not vague else piece.states
        return Reading(piece.text, kind, tuple(self.matcher.rank(family, piece.text)), told, states)

    def _heard_as(self, piece: Piece, sentence: str, before: list[Reading], background: _Background) -> tuple[str, tuple[Told, ...]]:
        """What a piece does after all, and what it tells; of an order or a plan no more than its numbers."""
        if piece.kind == "question":
            return "question", piece.counted
        if piece.kind == "what_if" and piece.asks_rather():
            return "what_if", ()
        if piece.kind == "report":
            if piece.asks_behind and (self.naming.is_name(_ITEM_LEAD.sub("", piece.part)) or piece.is_of_some_kind() or piece.is_of_a_sort()):
                return "command", piece.of_what_is_asked()  # only what is asked about: `the beacon, must it float?`
            if piece.was(sentence) or pieces.only_sees(piece.text) and (background.told or any(reading.told for reading in before)):
                return "report", ()
            if piece.elsewhere or piece.before and orders.goes_on(piece.text, piece.before[-1]) or any(map(orders.asks_to_do, piece.behind)):
                return "command", ()
            if (orders.is_order(piece.text) or self.never_asserts(piece.text) or clauses.wavers(sentence)) and not (
                    piece.before and orders.tells_as_done(piece.text, piece.before[-1], sentence)):
                return "command", self._amounts_in(piece.text, background)
        return piece.kind, self._told_by(piece, sentence, before, background)

    def _told_by(self, piece: Piece, sentence: str, before: list[Reading], background: _Background) -> tuple[Told, ...]:
        """What a piece that states or supposes tells, where it tells it after all."""
        beside = (POINTING if piece.points_back() else BESIDE) if any(reading.told for reading in before) else 0.0
        told = self._told(piece.part, piece.kind, piece.of_what_is_asked(), piece.states - beside, background.known)
        clause, whole = (piece.part, clauses.supposed_part(sentence)) if piece.kind == "what_if" else (piece.text, sentence)  # `and suppose` doubts nothing
        told = pieces.not_turned(self._doubting.heard(told, clause, whole, background.known), before, piece.text)
        return tuple(each for each in told if not isinstance(each.value, str)) if piece.goes_on_asking() else told

    def _together(self, readings: list[Reading], sentence: str, background: _Background) -> list[Reading]:
        """With what only the sentence as one tells, where every piece states and none tells anything."""
        if len(readings) < 2 or any(reading.told or reading.kind not in ("report", "what_if") for reading in readings):
            return readings
        if background.told and all(pieces.only_sees(reading.clause) for reading in readings):
            return readings
        kind = readings[0].kind
        said, states = (sentence, self._moods.states(sentence, sentence)) if kind == "report" else (clauses.supposed_part(sentence), SUPPOSED_STATES)
        extra = self._told(said, kind, self._amounts_in(said, background, _amount_lead(kind, states)), states, background.known)
        extra = self._doubting.heard(extra, said, sentence, background.known)
        extra = tuple(each for each in extra if not isinstance(each.value, bool) or any(self._hints_at(reading.clause, each, background.known) for reading in readings))
        return [*readings[:-1], readings[-1]._replace(told=extra)]

    def _hints_at(self, clause: str, told: Told, known: Mapping[str, object]) -> bool:
        """Whether a clause by itself has a word for what the sentence as one tells: words of two matters may sound like a third."""
        return self.facts.own(clause, f"{told.fact}={str(told.value).lower()}", known) >= HINTS

    def _amounts_in(self, piece: str, background: _Background, least: Lead = ASKED) -> tuple[Told, ...]:
        return self._placed(piece, self.amounts.told([piece], piece, [least], Spoken(background.spoken_of, background.counted, background.told), fahrenheit=background.fahrenheit)[0])

    def _placed(self, piece: str, amounts: list[Amount]) -> tuple[Told, ...]:
        """Amounts as facts, with the position that the piece tells."""
        place = tuple(Told(angle.fact, angle.value, "set") for angle in position(piece))
        return place + tuple(Told(a.fact, self._typed(a), a.how) for a in amounts if not place or a.fact not in TEMPERATURES)

    def _high(self, told: Told, sentence: str) -> bool:
        """Whether metres are a height of waves rather than how far off somebody is: `he is in the water, twenty metres`."""
        return told.fact != "wave_height" or self.words.names("wave_height", sentence) and not self._units.any("no_waves", split(regular(sentence)))

    def _grows(self, told: Told, part: str, sentence: str, known: Mapping[str, object]) -> bool:
        """Whether more of an item than is known may be told: only of what is named, found or put right (`so that's six` is of something else)."""
        was = known.get(told.fact)
        if told.how != "set" or not isinstance(was, int) or isinstance(was, bool) or not isinstance(told.value, int) or told.value <= was or not self.amounts.is_item(told.fact):
            return True
        return self.words.names(told.fact, sentence) or self.uses(part, len(part)) or self.words.corrects(sentence)

    def _told(self, piece: str, kind: str, amounts: tuple[Told, ...], states: float, known: Mapping[str, object]) -> tuple[Told, ...]:
        """What a statement or supposition tells beside its amounts."""
        words, things = regular(piece), self._lacking.told(piece, known)
        told = [*(each for each in amounts if not (things and each.fact == muster.MISSING)), *things]  # `the knife is missing` is nobody
        missing = next((t.value for t in told if t.fact == "persons_missing"), min(1, muster.named_missing(piece)) or muster.some_missing(piece) or None)
        how = "found" if any(t.fact == "persons_missing" and t.how == "found" for t in told) else "set"
        if isinstance(missing, int) and missing > 0:
            told = [t for t in told if t.fact != "persons_missing"]
            if not self.facts.contradicts(piece, "all_accounted=false"):
                return (*told, Told("persons_missing", missing, how), Told("all_accounted", False, "set"))
        if any(t.fact == "persons" for t in told):
            told += [Told(fact, True, "set") for fact, so in (("all_accounted", muster.all_here), ("aboard_raft", muster.in_raft)) if so(piece)]
        pack = kind_of_pack(words)
        if pack:
            told.append(Told("pack", pack, "set"))
        if kind == "what_if" and _AFTER_DARK.search(words):
            told.append(Told("night", True, "set"))
        bare = kind == "what_if" and self._knowledge.generic.issuperset(tokens(piece))  # `what then`
        yes_no = None if bare else self.facts.told(piece, states, _REPORTED if kind == "report" else _SUPPOSED, known)
        if yes_no and yes_no.fact in muster.OF_ALL and muster.spares_some(piece):
            yes_no = yes_no._replace(value=False)
        many = muster.and_others(piece) or (muster.so_many(piece) if yes_no == _ALL_HERE else 0)
        if many:
            told = [t for t in told if t.fact != "persons"] + [Told("persons", many, "set")]
        return (*told, yes_no) if yes_no and yes_no.fact not in {t.fact for t in told} else tuple(told)

    def _typed(self, amount: Amount) -> Value | None:
        if amount.value is None:
            return None
        whole = self._knowledge.facts[amount.fact].type == "int"
        return int(amount.value) if whole else float(amount.value)
