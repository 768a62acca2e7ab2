"""One turn of a conversation: text → readings → events → state → plan → reply.

Here it is decided what kind of text it is, and what of it is kept. Nothing is printed here.
"""
from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import takewhile
from typing import NamedTuple

from guide import asides
from guide.brief import Brief
from guide.correcting import takes_back, told_in_turn, wrong_turn
from guide.explaining import Explaining
from guide.following import Following, goes_on_supposing, meant_by_done, stock_asked, supposing_as_well
from guide.guidance import Guidance
from guide.knowledge.records import Step
from guide.language.matching import Candidate
from guide.language.reading import Reader
from guide.language.units import Units
from guide.language.utterances import Reading, Utterance, telling_nothing, told_in
from guide.language.wording import clean
from guide.log import Log
from guide.packing import list_asked
from guide.quantities import Question, no_idea
from guide.replying import Replying, changes_of
from guide.reporting import Reporting, counted, counts_some_flares, uncounted
from guide.sofar import SoFar
from guide.state.facts import same, supposing
from guide.talk.asking import Asking
from guide.talk.before import Talk, asks_on
from guide.talk.deciding import Deciding, Decision
from guide.talk.telling import Telling
from guide.turn import Change, Turn, in_short
from guide.understanding import Before, Understanding
from guide.undoing import Undoing
from guide.whether import Whether, asked_back, asked_whether

_WHICH_FLARES = "Which flares: parachute rockets or hand flares? Say how many of each."
_WHICH = "Which number is which? Say each with its unit."
_NO_FIGURE = "Then there is no figure; this holds without it."


class _Heard(NamedTuple):
    """An utterance with what it is about."""

    text: str
    utterance: Utterance
    decision: Decision
    stock: str | None
    """The stock of which it asks how much there is."""
    sounds: str | None
    """The topic that what is refused sounds most like."""


class Answering:
    """Answers utterance after utterance into one log; it knows the last turn, and what the talk is about."""

    def __init__(self, log: Log, reader: Reader, deciding: Deciding | None = None, telling: Telling | None = None) -> None:
        knowledge = self.knowledge = log.knowledge
        self._log, self._reader = log, reader
        self._guidance = Guidance(knowledge)
        self._replying = Replying(log, self._guidance)
        self._undoing = Undoing(log, reader, self._replying)
        self._following = Following(knowledge, self._guidance.computing)
        self._deciding, self._telling = deciding or Deciding(reader.matcher), telling or Telling(knowledge, reader)
        self._explaining = Explaining(log, reader, self._deciding, self._guidance)
        self._reporting = Reporting(knowledge, reader.after_all, reader.words)
        self._brief, self._asking = Brief(knowledge, reader), Asking(knowledge, reader, self._deciding)
        self._understanding = Understanding(knowledge, reader)
        self._so_far = SoFar(knowledge, log.events)

    @property
    def _question(self) -> Question | None:
        return self._replying.question

    @property
    def last(self) -> Turn | None:
        """The last turn."""
        return self._replying.last

    @last.setter
    def last(self, turn: Turn | None) -> None:
        self._replying.last = turn

    @property
    def _before(self) -> Before:
        return Before(self._log.events, self._log.state, self.last, self._so_far.subject)

    def answer(self, text: str) -> Turn:
        """The reply to one utterance. What it changed is kept before this returns."""
        return self._turn(text, lambda: self._heard(text))

    def done(self, step: str, text: str = "done") -> Turn:
        """The reply to a report that this step is done, be it next or not."""
        return self._turn(text, lambda: self._done(text, self.knowledge.steps[step]))

    def _heard(self, text: str) -> Turn:
        """The reply of the first that knows the text for its own: what answers the guide's last question before what is a word to the guide, both before
        what is read for itself, as the same few words may be any of these."""
        picked = self._addressed(text) or self._told_which(text) or self._picked(text) or self._nodded(text) or self._told_whether(text)
        self._explaining.unclear = None
        return picked or self._command(text) or self._done_and(text) or self._answered(text) or self._read(text)

    def _addressed(self, text: str) -> Turn | None:
        """Words that would give the guide orders about itself are only text; what is told beside them is heard."""
        if not self._reader.addressing.because(text) or any(reading.told for reading in self._reader.read(text).readings if reading.kind == "report"):
            return None
        return self._replying.reply(text, Decision("outside", ()))

    def _turn(self, text: str, reply: Callable[[], Turn]) -> Turn:
        log = self._log
        log.begin()
        kept = len(log.events)
        turn = reply()
        if len(log.events) == kept:
            log.keep([log.event("note", "turn", None, text=text)])
        self._so_far.take_in(log.events[kept:])
        before = self.last.next if self.last and self.last.outcome != "outside" else ()
        same = bool(before) and [item.step.id for item in before] == [item.step.id for item in turn.next]
        self.last = turn._replace(text=text, as_before=same)
        self._so_far.after(self.last, self._understanding.counted_item(turn))
        return self.last

    def _command(self, text: str) -> Turn | None:
        """Words to the guide itself: undo, and `done` for the step that was given."""
        if asides.takes_back(text):
            return self._undoing.undo(text) if asides.takes_back_the_last(text) else self._taken_back_or_righted(text)
        before = asides.said_before_taking_back(text)
        if before and not self._reader.never_asserts(before):
            tells = any(reading.told for reading in self._reader.read(before).readings)
            return self._undoing.nothing(text) if tells else self._undoing.undo(text)
        meant = meant_by_done(self.last, self._log.view(), self._log.at) if asides.says_done(text) and self.last else []
        if len(meant) > 1:
            asking = self._replying.reply(text, Decision("unsure", ()))
            return asking._replace(advice=(), cautions=(), figures=(), notes=(), jobs=tuple(meant))
        return self._done(text, meant[0]) if meant else None

    def _done_and(self, text: str) -> Turn | None:
        """`done` and more in one breath: the job that was asked about is done, unless the rest tells something, which is then what is
        done: `done, the tubes are hard`."""
        rest, also = asides.said_after_done(text)
        meant = meant_by_done(self.last, self._log.view(), self._log.at) if rest and self.last else []
        topic = self.knowledge.topics.get(self.last.topic or "") if self.last else None
        if len(meant) != 1 or topic is None or meant[0].topic not in (topic.id, *topic.see):
            return None
        told = {t.fact for t in told_in(self._understanding.read(rest, self._before).utterance.readings)}
        if told and not (also and told.isdisjoint(meant[0].sets)):
            return None
        before, done = self._log.state, self._done(text, meant[0])
        turn = self._read(text)
        return turn._replace(changes=changes_of(before, self._log.state), notes=(*done.notes, *turn.notes)) if turn.outcome == "answered" else done

    def _nodded(self, text: str) -> Turn | None:
        """Words that nod or put off, `ok`, `hang on`, tell nothing and take nothing back: what comes next is said again."""
        return self._replying.reply(text, Decision("answered", ("what_now",))) if self._reader.words.says_nothing(text) else None

    def _told_whether(self, text: str) -> Turn | None:
        """A few words that tell something by what was asked or told last."""
        before = self._log.state
        facts = self._brief.told(text, self.last, before.known(), measured=not (self._question and self._question.wants or self._reader.words.asks_of_others(self.last.text))) if self.last else ()
        if not facts:
            whether = self._brief.next_asked(text, self.last) if self.last else None
            return self._asked_next(text, whether) if whether else None
        topic = self.knowledge.facts[facts[0].fact].topic(facts[0].value, before.value) or "what_now"
        utterance = Utterance(clean(text), (Reading(clean(text), "report", (Candidate(topic, 1.0),), facts),), {}, 0.0, False)
        events, notes = self._reporting.asserted(utterance, before, self._log.heard(text))
        self._log.keep(events)
        return self._replying.reply(text, Decision("answered", (topic,)), utterance, before, notes)

    def _asked_next(self, text: str, whether: Whether) -> Turn:
        """The next thing of a roll call is asked back as the first was."""
        topic = self.knowledge.facts[whether.fact].topic(whether.value, self._log.state.value) or "what_now"
        whether, back = asked_back(whether, self.knowledge, self._log.state.value(whether.fact))
        turn = self._replying.reply(text, Decision("answered", (topic,)), notes=[back])
        return turn._replace(readings=(Reading(clean(text), "question", (Candidate(topic, 1.0),), ()),), whether=whether)

    def _told_which(self, text: str) -> Turn | None:
        """An answer to `which is done`: a number, or neither."""
        jobs = self.last.jobs if self.last else ()
        number = asides.picked_number(text, len(jobs))
        if number is not None:
            return self._done(text, jobs[number])
        if jobs and asides.says_neither(text):
            return self._replying.reply(text, Decision("answered", ("what_now",)), notes=["Nothing is noted as done."])
        return None

    def _picked(self, text: str) -> Turn | None:
        """An answer to `which of these`: a number, a word of one choice, or neither."""
        if not self.last or self.last.outcome != "unsure" or self.last.jobs:
            return None
        choices = self.last.choices
        number = asides.picked_number(text, len(choices))
        chosen = choices[number] if number is not None else self._by_word(text, choices)
        if chosen is not None:
            turn = self._replying.reply(text, Decision("answered", (chosen,)))
            waiting = self._explaining.unclear
            return self._explaining.explained(turn, waiting.question, Decision("unsure", ()), {**waiting.chosen, waiting.part: chosen}) if waiting else turn
        if asides.says_neither(text):
            return self._replying.reply(text, Decision("answered", ("what_can_you_do",)), notes=["Then say it in other words, or name the thing you mean."])
        if asides.says_yes(text):
            return self.last._replace(changes=(), notes=(f"Which one? Say its number, 1 to {len(choices)}, or neither.",))
        return None

    def _by_word(self, text: str, choices: Sequence[str]) -> str | None:
        """The one choice that the words name; None where they name none or several, or tell a fact."""
        at = asides.picked_title(text, [self.knowledge.topics[name].title for name in choices])
        return None if at is None or any(reading.told for reading in self._reader.read(text).readings) else choices[at]

    def _answered(self, text: str) -> Turn | None:
        """The answer to what the last reply asked for by name, `9` or `half past five`, or that it is not known."""
        question, before = self._question, self._log.state
        if question and question.wants and no_idea(text):
            turn = self._replying.reply(text, Decision("answered", (question.topic,)), None, before, question=question)
            return turn._replace(notes=(_NO_FIGURE,), question=None)
        others = self._reader.words.is_no_answer(text) or self.last is not None and self._reader.words.asks_of_others(self.last.text)
        found = None if asides.recounts(text) or others else self._following.given(text, question, self._log.at)  # `it was one` puts right what was told
        if found is None or self._tells_state(text) or self._understanding.refers(text, self._before):
            return None
        events, notes = self._reporting.asserted(found.utterance, before, self._log.heard(text))
        self._log.keep(events)
        return self._replying.reply(text, Decision("answered", (found.topic,)), found.utterance, before,
                                    [*notes, *([_WHICH] if found.unclear else [])], question=found.question if found.topic == found.question.topic else None)

    def _tells_state(self, text: str) -> bool:
        """Whether words that might be an answer tell something that is so or not: `one in the water` counts no water."""
        told = {t.fact for t in told_in(self._reader.read(text).readings)}
        return any(self.knowledge.facts[name].type == "bool" for name in told)

    def _taken_back_or_righted(self, text: str) -> Turn:
        """Taken back; what is told anew beside that, as `scratch that, it was two rockets`, is told after it, or instead."""
        told = {t.fact for t in told_in(self._understanding.read(text, self._before).utterance.readings, "report")}
        wrong, before = self._undoing.wrong(text), self._log.state
        if told and (wrong is None or told.intersection(told_in_turn(wrong, self._log.events))):
            turn = self._read(text)
            if wrong is None or turn.changes:
                return turn
        undone = self._undoing.undo(text)
        if not told or told.intersection(told_in_turn(wrong, self._log.events) if wrong is not None else ()):
            return undone
        turn = self._read(text)
        return turn._replace(changes=changes_of(before, self._log.state), notes=(*undone.notes, *turn.notes))

    def _done(self, text: str, step: Step) -> Turn:
        """`done` reports a step."""
        before, log = self._log.state, self._log
        log.keep([log.event("done", step.id, True, text=text),
                  *(log.event("fact", fact, value, before.value(fact), text) for fact, value in step.sets.items() if before.value(fact) != value)])
        reading = Reading(clean(text), "report", (), ())
        turn = self._replying.reply(text, Decision("answered", ("what_now",)), None, before, [f'Noted as done: "{in_short(step.say)}"'])
        return turn._replace(readings=(reading,))

    def _read(self, text: str) -> Turn:
        """The reply to what is reported, asked or supposed in the crew's own words."""
        utterance, unclear = self._understanding.read(text, self._before)
        if unclear:
            return self._replying.reply(text, Decision("answered", ("take_back",)), utterance, notes=[_WHICH])
        heard = self._about(text, self._following.with_number(utterance, self._question))
        self._so_far.sounded = heard.sounds
        utterance, question = heard.utterance, self._explaining.asked(text)
        if any(reading.kind == "what_if" for reading in utterance.readings) or self._following.varies(utterance, self._question):
            return self._suppose(heard)
        if self.last and self.last.outcome == "outside" and asks_on(text):
            return self._replying.reply(text, Decision("outside", ()), telling_nothing(utterance))
        wanted = self._following.told(utterance, heard.decision, self._question, self._log.at)
        decision = Decision("answered", (wanted.topic,)) if wanted else heard.decision
        if decision.topics[:1] == ("take_back",) and takes_back(utterance):
            return self._undoing.undo(text)
        turn = self._replying.reply(text, decision, utterance) if decision.outcome == "outside" else self._noted(heard._replace(decision=decision), wanted)
        return self._explaining.explained(turn, question, decision) if question else turn

    def _about(self, text: str, utterance: Utterance) -> _Heard:
        """What an utterance tells and asks in the light of the talk, and what it is about."""
        talk = self._so_far.talk(self.last, self._log.state)
        utterance = self._telling.heard(talk, utterance)
        utterance = utterance._replace(readings=self._reader.turning.turned(utterance.readings))
        if self.last and self.last.supposed and goes_on_supposing(utterance):
            utterance = supposing_as_well(utterance, self.last.supposed)
        decision = self._asking.settled(talk, utterance, text, self._deciding.decide(talk, utterance))
        spoken_of = self._asking.leans(talk, text, decision)
        if spoken_of:
            utterance, decision = telling_nothing(utterance), Decision("answered", (spoken_of,))
        stock = stock_asked(text, self.last, self.knowledge, self._reader.words)
        if stock:
            decision = Decision("answered", (self.knowledge.facts[stock].topic(self._log.state.value(stock)) or "",))
        sounds = decision.sounds
        if (decision.outcome != "answered" or decision.topics[0] == "what_done") and (listed := list_asked(text, self.knowledge)):
            decision = Decision("answered", (listed,))
        if decision.outcome != "answered" and not talk.begun:
            utterance, decision = self._introduced(talk, utterance, decision)
        return _Heard(text, utterance, decision, stock, sounds)

    def _noted(self, heard: _Heard, wanted: Question | None) -> Turn:
        """The reply to what was heard, with what it reports kept. `wanted`: the question of figures that it answers or goes on with."""
        text, decision, before, happens = heard.text, heard.decision, self._log.state, self._log.heard(heard.text)
        utterance, dates, undated = self._dated(heard)
        wrong = wrong_turn(utterance, self._log.events)
        told_before = list(told_in(self.last.readings, "report")) if self.last and wrong is None else []
        events, notes = self._reporting.asserted(utterance, before if wrong is None else self._log.without(wrong), happens, told_before)
        notes += dates
        whether = asked_whether(utterance, self.knowledge, self._reader) if decision.outcome == "answered" else None
        if whether:
            whether, back = asked_back(whether, self.knowledge, before.value(whether.fact))
            notes.append(back)
        left = [*undated, *uncounted(utterance, events, before)]
        self._log.keep([*events, *self._reporting.implied(utterance, decision, [*events], before, happens)])
        turn = self._replying.reply(text, decision, utterance, before, notes, question=wanted)._replace(whether=whether)
        if counts_some_flares(utterance):
            return turn._replace(figures=(), notes=(_WHICH_FLARES, *notes), question=None)  # those of a full pack would be wrong
        if heard.stock and not turn.figures:
            turn = turn._replace(notes=(*self._so_much(heard.stock), *turn.notes))
        if left and (undated or not turn.question):
            turn = turn._replace(question=Question(turn.topic or "", text, {}, tuple(left)))
        return turn

    def _dated(self, heard: _Heard) -> tuple[Utterance, tuple[str, ...], tuple[str, ...]]:
        """What was heard, with counts of what is in date only; what is said of that, and facts to be asked for."""
        if not self._reader.words.speaks_of_dates(heard.text):
            return heard.utterance, (), ()
        from guide.counting import in_date
        return in_date(heard.utterance, self.knowledge, self._log.state.known())

    def _so_much(self, stock: str) -> list[str]:
        """How much there is of a stock that was asked after, where it is known."""
        value = self._log.state.value(stock) if stock else None
        if not isinstance(value, (int, float)):
            return []
        fact = self.knowledge.facts[stock]
        return [f"{fact.about[:1].upper()}{fact.about[1:]}: {value:g}{f' {fact.unit}' if fact.type == 'float' else ''}."]

    def _introduced(self, talk: Talk, utterance: Utterance, decision: Decision) -> tuple[Utterance, Decision]:
        """The first words of a talk, in which somebody says who he is: what he asks beside that, or what the guide can do."""
        from guide.talk.introducing import Introducing
        introducing = Introducing(Units(self.knowledge.language.words), self._reader)
        if introducing.introduces(utterance):
            return utterance, Decision("answered", ("what_can_you_do",))
        rest = introducing.without(utterance.text)
        asked = self._telling.heard(talk, self._understanding.read(rest, self._before).utterance) if rest != utterance.text else utterance
        found = self._deciding.decide(talk, asked) if asked is not utterance else decision
        return (asked._replace(text=utterance.text), found) if found.outcome == "answered" else (utterance, decision)

    def _suppose(self, heard: _Heard) -> Turn:
        """A what-if, on a copy: it changes nothing; what sentences before it report is told."""
        text, utterance, decision = heard.text, heard.utterance, heard.decision
        before, notes = self._log.state, self._told_first(text, utterance)
        told = [t for r in utterance.readings if r.kind != "report" for t in r.told]
        figures = self._following.supposed(utterance, {t.fact for t in told}, self._question, self._log.at)
        if figures:
            told = self._guidance.computing.meant(figures[0], told)
        values: dict[str, object] = {}
        for item in told:
            value = counted(item, values.get(item.fact, self._log.state.value(item.fact)), self._log.state)
            if value is not None and self._reporting.allowed(item.fact, value):
                values[item.fact] = value
        from guide.planning.differing import differ, newly_lacking
        imagined = supposing(self._log.state, values)
        if figures:
            decision = Decision("answered", (figures[0].topic,))
        elif told and decision.outcome == "outside":
            decision = Decision("answered", ("what_now",))
        turn = self._replying.reply(text, decision, utterance, before, notes, state=imagined, question=figures[0] if figures else None,
                                    instead=(self._log.view(), figures[1]) if figures else None)
        now = self._replying.next()
        change = differ(now, turn.next)
        lacking = newly_lacking(self._log.view(), self._log.view(imagined))
        supposed = tuple(Change(f, self._log.state.value(f), v) for f, v in values.items() if not same(v, self._log.state.value(f)))
        return turn._replace(supposed=supposed, next=now, notes=(*turn.notes, *([lacking] if lacking else [])),
                       compare={"added": list(change.added), "dropped": list(change.dropped), "first": change.first})

    def _told_first(self, text: str, utterance: Utterance) -> list[str]:
        """Keep what is reported before the first what-if, which is another sentence: `the sea is 14 degrees. if he falls in, how long has he`."""
        reported = utterance._replace(readings=tuple(takewhile(lambda reading: reading.kind != "what_if", utterance.readings)))
        events, notes = self._reporting.asserted(reported, self._log.state, self._log.heard(text))
        self._log.keep(events)
        return notes
