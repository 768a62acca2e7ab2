"""Figures in a conversation: the figures of a topic, fed from the sentence, the state, the clock and the pack's list."""
from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, NamedTuple

from guide.figures.units import unit_written, written
from guide.knowledge.base import Knowledge
from guide.knowledge.computed import Computed, Feed, Quantity
from guide.language.facts import Told
from guide.language.positions import PLACE
from guide.language.wording import clean
from guide.planning.items import View
from guide.quantities import Quantities, Question
from guide.spoken import (
    CLOCK,
    KNOWN,
    PRESUMED,
    REPORTED,
    SAID,
    SUPPOSED,
    USUAL,
    WORKED,
    Found,
    as_data,
    as_list,
    instead_line,
    minutes_of,
    used_line,
)

if TYPE_CHECKING:
    from datetime import date

    from guide.figures.model import FigureError, Result

_OR_PLACE = "Or your latitude and longitude, which give that moment."
_ANY_TIME = "2000-01-01T00:00:00+00:00"


class Worked(NamedTuple):
    """The figures of a topic as data, the lines that tell them, and what the next turn may answer or vary."""

    figures: tuple[dict[str, object], ...] = ()
    notes: tuple[str, ...] = ()
    question: Question | None = None


class _Work:
    """One topic being worked out: what is known for it, and what has been found."""

    __slots__ = ("now", "question", "remarks", "results", "told", "unlisted", "view", "wants")

    def __init__(self, view: View, told: Mapping[str, object], question: Question, now: str) -> None:
        self.view, self.told, self.question, self.now = view, told, question, now
        self.results: dict[str, Result] = {}
        self.wants: dict[str, None] = {}
        self.remarks: dict[str, None] = {}
        self.unlisted: dict[str, str] = {}
        """Items that were looked for in the pack's list and are not in it, with the pack."""


class Computing:
    """Computes what a topic's figures need and says what is missing. Nothing is computed from a guess."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._knowledge = knowledge
        self.quantities = Quantities(knowledge)

    def takes(self, topic: str) -> frozenset[str]:
        """The facts and quantities that a topic's figures are fed from."""
        sources = [source for each in self._knowledge.computed if each.topic == topic for source in each.inputs.values()]
        return frozenset(name for source in sources for name in (source.said.name, source.fact.name) if name)

    def question(self, topic: str, text: str, now: str) -> Question:
        """A sentence about a topic, with the quantities that it tells."""
        names = sorted(self.takes(topic) & self._knowledge.quantities.keys() - self._knowledge.facts.keys())
        return Question(topic, text, self.quantities.said(text, names, now))

    def meant(self, question: Question, told: Iterable[Told]) -> list[Told]:
        """What a sentence tells, without the numbers that are one of the question's quantities instead: `a litre each`."""
        taken = {(quantity.instead_of, value) for name, value in question.said.items()
                 if (quantity := self._knowledge.quantities[name]).instead_of}
        return [item for item in told if (item.fact, item.value) not in taken]

    def varies(self, topic: str, text: str, facts: Iterable[str], *, named: bool = False) -> bool:
        """Whether a sentence with these facts tells something that the topic's figures are fed from, or (`named`) names one."""
        ours = [each for each in self._knowledge.computed if each.topic == topic]
        states = {atom.fact for each in ours for source in each.inputs.values() for when in source.when for atom in when.condition.any_of}
        return bool(self.takes(topic).intersection(facts) or text.lower().startswith("and") and states.intersection(facts) or self.question(topic, text, _ANY_TIME).said or named and _named(ours, text)
                    or any(_first(source.words, text) for each in ours for source in each.inputs.values()))

    def of(self, question: Question, view: View, told: Mapping[str, object], now: str) -> Worked:
        """The figures of a question's topic from the state, `told` facts of its sentence and its quantities.

        `now` is ISO 8601. What is missing is asked for by name, in a note and in the question handed back.
        """
        work = _Work(view, told, question, now)
        figures: list[dict[str, object]] = []
        lines: list[str] = []
        follows: list[str] = []
        for computed in self._chosen(question):
            figure = self._compute(computed, work)
            if figure:
                figures.append(figure)
                lines += [line for line in as_list(figure["lines"]) if line not in lines]
                follows += [str(figure["follows"])] if figure["follows"] not in ("", *follows) else []
        used = used_line(figures)
        asked = [self.quantities.asking(work.wants)] if work.wants else []
        also = self._place_for(work)
        if also:
            asked.append(_OR_PLACE)
        if work.unlisted:
            asked.insert(0, f"The {next(iter(work.unlisted.values()))}'s list has no {', no '.join(work.unlisted)}.")
        return Worked(tuple(figures), (*lines, *follows, *used, *work.remarks, *asked),
                      question._replace(wants=(*work.wants, *also), figures=bool(figures)))

    def compared(self, then: Worked, now: Worked) -> Worked:
        """The figures as supposed, each with what it is now: in words in front, and as `instead_of`."""
        before = {(f["id"], f.get("name")): f for f in now.figures}
        figures, lines = [], []
        for figure in then.figures:
            was = before.get((figure["id"], figure.get("name")))
            if was is not None and was["inputs"] != figure["inputs"]:
                lines.append(instead_line(figure, was))
                figure = {**figure, "instead_of": {"value": was["value"], "inputs": was["inputs"]}}
            figures.append(figure)
        return then._replace(figures=tuple(figures), notes=(*lines, *then.notes))

    def _chosen(self, question: Question) -> list[Computed]:
        """The topic's figures that the sentence is about: by its words, else those without words, else all."""
        ours = [each for each in self._knowledge.computed if each.topic == question.topic]
        named = _named(ours, question.text)
        main = [c for c in named if not c.extra] or [c for c in ours if not c.words and not c.extra] or [c for c in ours if not c.extra]
        return [c for c in ours if c in main or c.extra and (not c.words or c in named)]

    def _compute(self, computed: Computed, work: _Work) -> dict[str, object] | None:
        """The figure as data; None where something is missing or the figure refuses."""
        inputs: dict[str, Found] = {}
        wants: list[str] = []
        for name, source in computed.inputs.items():
            found = self._value(source, work, quiet=computed.extra)
            if found is None:
                wants.append(self._wanted(source, work))
            else:
                inputs[name] = found
        if wants:
            work.wants.update(dict.fromkeys(filter(None, wants)) if not computed.extra else {})
            return None
        from guide.figures import catalogue
        from guide.figures.model import FigureError
        try:
            result = catalogue.compute(computed.figure, {name: found.value for name, found in inputs.items()})
        except FigureError as error:
            if not computed.extra:
                self._refused(computed, error, work)
            return None
        work.results[computed.figure] = result
        return as_data(computed, result, inputs, self._cautions(computed.figure), work.now)

    def _cautions(self, figure: str) -> list[str]:
        """The cautions told with a figure. Of its steps a talk advises by itself, as it knows what is aboard."""
        return [record.say for record in self._knowledge.told_with(figure) if record.id in self._knowledge.cautions]

    def _wanted(self, source: Feed, work: _Work) -> str:
        """What to ask for an input: people, where the pack's list tells the rest."""
        pack = self._knowledge.packs.get(str(work.view.lookup("pack")))
        return "persons" if pack and source.pack.name in pack.items else source.said.name or source.fact.name

    def _place_for(self, work: _Work) -> tuple[str, ...]:
        """Latitude and longitude, where a moment of the day was named that only they give."""
        asked = [self._knowledge.quantities[name].events for name in work.wants if name in self._knowledge.quantities]
        named = any(_first(events.items(), work.question.text) for events in asked)
        return PLACE if named and not set(PLACE) & work.wants.keys() else ()

    def _refused(self, computed: Computed, error: FigureError, work: _Work) -> None:
        """A figure that cannot be: said, and its input asked for again."""
        work.remarks[f"That gives no figure: {error}."] = None
        source = computed.inputs.get(error.input_name or "", Feed())
        wanted = source.said.name or source.fact.name
        if wanted and (source.said.name or source.fact.name in work.told):
            work.wants[wanted] = None

    def _value(self, source: Feed, work: _Work, *, quiet: bool) -> Found | None:
        """The first value that an input's sources give, and where it is from."""
        said = self._said(source, work)
        if said is not None:
            return said
        fact = work.view.lookup(source.fact.name) if source.fact.name else None
        if isinstance(fact, (int, float)) and not isinstance(fact, bool):
            return self._scaled(source, fact, _origin(work.view, source.fact.name))
        for condition, value in source.when:
            if condition.holds(work.view.lookup):
                return Found(value, KNOWN, f"given that {condition.words()}")
        if source.figure.name:
            return self._from_figure(source, work)
        if source.clock:
            return Found(self._day(work).isoformat(), CLOCK)
        listed = self._listed(source, work, quiet=quiet) if source.pack.name else None
        return listed or (Found(source.usual, USUAL) if source.usual else None)

    def _said(self, source: Feed, work: _Work) -> Found | None:
        """What the sentence tells for an input: a quantity, a moment of the day, a phrase or a fact's amount."""
        name, asked = source.said.name, work.question.text.lower()
        if name in work.question.said:
            number = work.question.said[name]
            plain = source.said.plus == 0 and source.said.factor == 1
            return Found(source.said.of(number), SAID, "" if plain else written(number), "" if plain else self.quantities.ask(name))
        hours = self._until(self._knowledge.quantities[name], work) if name else None
        if hours is not None:
            return Found(hours, SAID)
        phrase = _first(source.words, asked)
        if phrase:
            return Found(dict(source.words)[phrase], SAID, phrase)
        told = work.told.get(source.fact.name)
        return self._scaled(source, told, SAID) if isinstance(told, (int, float)) and not isinstance(told, bool) else None

    def _scaled(self, source: Feed, value: float, origin: str) -> Found:
        """A fact's amount for an input, shown in the fact's own unit."""
        unit = self._knowledge.facts[source.fact.name].unit
        return Found(source.fact.of(value), origin, written(value) + unit_written(unit) if source.fact.factor != 1 else "")

    @staticmethod
    def _from_figure(source: Feed, work: _Work) -> Found | None:
        name, _, detail = source.figure.name.partition(".")
        result = work.results.get(name)
        number = (result.details.get(detail) if detail else result.value) if result else None
        return None if number is None else Found(source.figure.of(number), WORKED)

    def _listed(self, source: Feed, work: _Work, *, quiet: bool) -> Found | None:
        """What the pack's list says that a full pack holds, for the raft's places or for the persons in it."""
        pack = self._knowledge.packs.get(str(work.view.lookup("pack")))
        if pack is None:
            return None
        line = pack.items.get(source.pack.name)
        if line is None:
            if not quiet:
                work.unlisted[self._knowledge.equipment[source.pack.name].name] = pack.name
            return None
        places = work.view.lookup("raft_capacity") or work.told.get("persons") or work.view.lookup("persons")
        if not isinstance(places, int) and (line.each or line.share or line.steps):
            return None
        count = line.number(places if isinstance(places, int) else 1)
        for_whom = f" for {places}" if line.each or line.share or line.steps else ""
        return Found(source.pack.of(count), f"by the {pack.name}'s list{for_whom}, a full pack with nothing used")

    def _place(self, work: _Work) -> tuple[float, float] | None:
        """Latitude and longitude in degrees, as told or reported."""
        at = [work.told.get(name, work.view.lookup(name)) for name in PLACE]
        return (float(at[0]), float(at[1])) if isinstance(at[0], (int, float)) and isinstance(at[1], (int, float)) else None

    def _day(self, work: _Work) -> date:
        """The date where the raft is, or the next where last light has passed."""
        from datetime import datetime, timedelta
        place = self._place(work)
        at = datetime.fromisoformat(work.now)
        if place is None:
            return at.date()
        day = (at + timedelta(hours=place[1] / 15)).date()
        dusk = _sun(day, *place).get("civil_dusk_min")
        return day + timedelta(days=1) if dusk is not None and dusk < minutes_of(work.now, day) else day

    def _until(self, quantity: Quantity, work: _Work) -> float | None:
        """Hours from now to a moment of the day that the sentence names, `dawn`, where the place is known."""
        wanted = next((detail for word, detail in quantity.events.items() if re.search(rf"\b{re.escape(word)}\b", work.question.text.lower())), None)
        place = self._place(work)
        if wanted is None or place is None:
            return None
        from datetime import datetime, timedelta
        day = (datetime.fromisoformat(work.now) + timedelta(hours=place[1] / 15)).date()
        waits = [minutes - minutes_of(work.now, each) for each in (day, day + timedelta(days=1))
                 if (minutes := _sun(each, *place).get(wanted)) is not None]
        return next((round(wait / 60, 2) for wait in waits if wait >= 0), None)


def told_amounts(told: Iterable[Told]) -> dict[str, object]:
    """Fact → value of what a sentence tells outright; what was used or found is no amount by itself."""
    return {fact: value for fact, value, how in told if how == "set" and value is not None}


def _origin(view: View, fact: str) -> str:
    """Where a fact of the state is from."""
    if view.because(fact):
        return PRESUMED
    return SUPPOSED if view.state.facts[fact].by == "supposed" else REPORTED


def _named(figures: Iterable[Computed], text: str) -> list[Computed]:
    """The figures that a text names by one of their words; a word within a longer one, `flare` in `hand flare`, names nothing."""
    said = clean(text).lower()  # as much of it as is read: the pairs of all places grow with the square
    spans = [(match.span(), each) for each in figures for word in each.words for match in re.finditer(rf"\b{re.escape(word)}", said)]
    whole = [each for (start, stop), each in spans
             if not any(a <= start and stop <= b and (a, b) != (start, stop) for (a, b), _ in spans)]
    return list({each.id: each for each in whole}.values())


def _first(phrases: Iterable[tuple[str, str]], text: str) -> str | None:
    """The phrase that comes first in a text."""
    said = clean(text).lower()
    found = [(match.start(), phrase) for phrase, _ in phrases if (match := re.search(rf"\b{re.escape(phrase)}\b", said))]
    return min(found)[1] if found else None


def _sun(day: date, latitude: float, longitude: float) -> Mapping[str, float | None]:
    from guide.figures import catalogue
    from guide.figures.model import FigureError
    try:
        return catalogue.compute("sun_times", {"date": day, "latitude": latitude, "longitude": longitude}).details
    except FigureError:
        return {}
