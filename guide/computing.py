"""Figures in a conversation: the figures of a topic, fed from the sentence, the state, the clock and the pack's list."""
from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import NamedTuple

from guide.figures.model import RANGE, FigureError, Result
from guide.figures.units import unit_written, written
from guide.knowledge.base import Knowledge
from guide.knowledge.computed import Computed, Feed, Quantity
from guide.language.reading import Told
from guide.planning.items import View
from guide.quantities import Quantities, Question

SAID, REPORTED, PRESUMED, SUPPOSED = "as you say", "as reported", "as presumed", "as supposed"
KNOWN, CLOCK = "from what is known", "by the clock"
WORKED, USUAL = "from the figure before", "assumed"
_ANY_TIME = "2000-01-01T00:00:00+00:00"


class Worked(NamedTuple):
    """The figures of a topic as data, the lines that tell them, and what the next turn may answer or vary."""

    figures: tuple[dict[str, object], ...] = ()
    notes: tuple[str, ...] = ()
    question: Question | None = None


class Moment(NamedTuple):
    """Minutes after 00:00 UTC of a day, and those of now. In a format string `clock` gives the time, else how far off it is."""

    minutes: float | None
    now: float

    def __format__(self, spec: str) -> str:
        if self.minutes is None:
            return "not that day"
        if spec == "clock":
            whole = round(self.minutes) % 1440
            return f"{whole // 60:02d}:{whole % 60:02d} UTC"
        away = self.minutes - self.now
        return f"in {spoken(away, 'min')}" if away >= 0 else f"{spoken(-away, 'min')} ago"


class _Found(NamedTuple):
    """A value for an input, where it is from, and how it is shown where its number tells nobody anything."""

    value: object
    origin: str
    shown: str = ""


@dataclass(slots=True)
class _Work:
    """One topic being worked out: what is known for it, and what has been found."""

    view: View
    told: Mapping[str, object]
    question: Question
    now: str
    results: dict[str, Result] = field(default_factory=dict)
    wants: dict[str, None] = field(default_factory=dict)
    remarks: dict[str, None] = field(default_factory=dict)
    unlisted: dict[str, str] = field(default_factory=dict)
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

    def varies(self, topic: str, text: str, facts: Iterable[str]) -> bool:
        """Whether a sentence with these facts names something that the topic's figures are fed from, or one of them."""
        ours = [each for each in self._knowledge.computed if each.topic == topic]
        states = {atom.fact for each in ours for source in each.inputs.values() for when in source.when for atom in when.condition.any_of}
        return bool(self.takes(topic).intersection(facts) or text.lower().startswith("and") and states.intersection(facts) or self.question(topic, text, _ANY_TIME).said or _named(ours, text)
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
            found = self._compute(computed, work)
            if found:
                figure, says = found
                figures.append(figure)
                lines += says
                follows += [str(figure["follows"])] if figure["follows"] not in ("", *follows) else []
        used = _used(figures)
        asked = [self.quantities.asking(work.wants)] if work.wants else []
        if work.unlisted:
            asked.insert(0, f"The {next(iter(work.unlisted.values()))}'s list has no {', no '.join(work.unlisted)}.")
        return Worked(tuple(figures), (*lines, *follows, *used, *work.remarks, *asked),
                      replace(question, wants=tuple(work.wants), figures=bool(figures)))

    def compared(self, then: Worked, now: Worked) -> Worked:
        """The figures as supposed, each with what it is now: in words in front, and as `instead_of`."""
        before = {(f["id"], f.get("name")): f for f in now.figures}
        figures, lines = [], []
        for figure in then.figures:
            was = before.get((figure["id"], figure.get("name")))
            if was is not None and was["inputs"] != figure["inputs"]:
                lines.append(_instead(figure, was))
                figure = {**figure, "instead_of": {"value": was["value"], "inputs": was["inputs"]}}
            figures.append(figure)
        return then._replace(figures=tuple(figures), notes=(*lines, *then.notes))

    def _chosen(self, question: Question) -> list[Computed]:
        """The topic's figures that the sentence is about: by its words, else those without words, else all."""
        ours = [each for each in self._knowledge.computed if each.topic == question.topic]
        named = _named(ours, question.text)
        main = [c for c in named if not c.extra] or [c for c in ours if not c.words and not c.extra] or [c for c in ours if not c.extra]
        return [c for c in ours if c in main or c.extra and (not c.words or c in named)]

    def _compute(self, computed: Computed, work: _Work) -> tuple[dict[str, object], list[str]] | None:
        """The figure as data and the lines that tell it; None where something is missing or the figure refuses."""
        inputs: dict[str, _Found] = {}
        wants: list[str] = []
        for name, source in computed.inputs.items():
            found = self._value(source, work, quiet=computed.extra)
            if found is None:
                wants.append(self._wanted(source, work))
            else:
                inputs[name] = found
        if wants:
            work.wants.update(dict.fromkeys(wants) if not computed.extra else {})
            return None
        from guide.figures import catalogue
        try:
            result = catalogue.compute(computed.figure, {name: found.value for name, found in inputs.items()})
        except FigureError as error:
            if not computed.extra:
                self._refused(computed, error, work)
            return None
        work.results[computed.figure] = result
        return _as_data(computed, result, inputs, work), _told(computed, result)

    def _wanted(self, source: Feed, work: _Work) -> str:
        """What to ask for an input: people, where the pack's list tells the rest."""
        pack = self._knowledge.packs.get(str(work.view.lookup("pack")))
        return "persons" if pack and source.pack.name in pack.items else source.said.name or source.fact.name

    def _refused(self, computed: Computed, error: FigureError, work: _Work) -> None:
        """A figure that cannot be: said, and its input asked for again."""
        work.remarks[f"That gives no figure: {error}."] = None
        source = computed.inputs.get(error.input_name or "", Feed())
        wanted = source.said.name or source.fact.name
        if wanted and (source.said.name or source.fact.name in work.told):
            work.wants[wanted] = None

    def _value(self, source: Feed, work: _Work, *, quiet: bool) -> _Found | None:
        """The first value that an input's sources give, and where it is from."""
        said = self._said(source, work)
        if said is not None:
            return said
        fact = work.view.lookup(source.fact.name) if source.fact.name else None
        if isinstance(fact, (int, float)) and not isinstance(fact, bool):
            return self._scaled(source, fact, _origin(work.view, source.fact.name))
        for condition, value in source.when:
            if condition.holds(work.view.lookup):
                return _Found(value, KNOWN, f"given that {condition.words()}")
        if source.figure.name:
            return self._from_figure(source, work)
        if source.clock:
            return _Found(self._day(work).isoformat(), CLOCK)
        listed = self._listed(source, work, quiet=quiet) if source.pack.name else None
        return listed or (_Found(source.usual, USUAL) if source.usual else None)

    def _said(self, source: Feed, work: _Work) -> _Found | None:
        """What the sentence tells for an input: a quantity, a moment of the day, a phrase or a fact's amount."""
        name, asked = source.said.name, work.question.text.lower()
        if name in work.question.said:
            return _Found(work.question.said[name] * source.said.factor, SAID)
        hours = self._until(self._knowledge.quantities[name], work) if name else None
        if hours is not None:
            return _Found(hours, SAID)
        phrase = _first(source.words, asked)
        if phrase:
            return _Found(dict(source.words)[phrase], SAID, phrase)
        told = work.told.get(source.fact.name)
        return self._scaled(source, told, SAID) if isinstance(told, (int, float)) and not isinstance(told, bool) else None

    def _scaled(self, source: Feed, value: float, origin: str) -> _Found:
        """A fact's amount for an input, shown in the fact's own unit."""
        unit = self._knowledge.facts[source.fact.name].unit
        return _Found(value * source.fact.factor, origin, written(value) + unit_written(unit) if source.fact.factor != 1 else "")

    @staticmethod
    def _from_figure(source: Feed, work: _Work) -> _Found | None:
        name, _, detail = source.figure.name.partition(".")
        result = work.results.get(name)
        number = (result.details.get(detail) if detail else result.value) if result else None
        return None if number is None else _Found(number * source.figure.factor, WORKED)

    def _listed(self, source: Feed, work: _Work, *, quiet: bool) -> _Found | None:
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
        return _Found(count * source.pack.factor, f"by the {pack.name}'s list{for_whom}, a full pack with nothing used")

    def _place(self, work: _Work) -> tuple[float, float] | None:
        """Latitude and longitude in degrees, as told or reported."""
        at = [work.told.get(name, work.view.lookup(name)) for name in ("latitude", "longitude")]
        return (float(at[0]), float(at[1])) if isinstance(at[0], (int, float)) and isinstance(at[1], (int, float)) else None

    def _day(self, work: _Work) -> date:
        """The date where the raft is, or the next where last light has passed."""
        place = self._place(work)
        at = datetime.fromisoformat(work.now)
        if place is None:
            return at.date()
        day = (at + timedelta(hours=place[1] / 15)).date()
        dusk = _sun(day, *place).get("civil_dusk_min")
        return day + timedelta(days=1) if dusk is not None and dusk < _minutes(work.now, day) else day

    def _until(self, quantity: Quantity, work: _Work) -> float | None:
        """Hours from now to a moment of the day that the sentence names, `dawn`, where the place is known."""
        wanted = next((detail for word, detail in quantity.events.items() if re.search(rf"\b{re.escape(word)}\b", work.question.text.lower())), None)
        place = self._place(work)
        if wanted is None or place is None:
            return None
        day = (datetime.fromisoformat(work.now) + timedelta(hours=place[1] / 15)).date()
        waits = [minutes - _minutes(work.now, each) for each in (day, day + timedelta(days=1))
                 if (minutes := _sun(each, *place).get(wanted)) is not None]
        return next((round(wait / 60, 2) for wait in waits if wait >= 0), None)


def _used(figures: Iterable[Mapping[str, object]]) -> list[str]:
    """Each input that is not assumed, with its value, by where it is from; assumptions stand in what follows."""
    groups: dict[str, dict[str, None]] = {}
    for figure in figures:
        shown = figure["used"]
        assert isinstance(shown, Mapping)
        for words, origin in shown.items():
            groups.setdefault(origin, {})[words] = None
    return ["Used: " + "; ".join(f"{', '.join(words)} ({origin})" for origin, words in groups.items()) + "."] if groups else []


def _shown(result: Result, inputs: Mapping[str, _Found]) -> dict[str, str]:
    """Inputs that are not assumed in words, `people aboard 6`, each with where it is from."""
    from guide.figures import catalogue
    said = {}
    for wanted in catalogue.find(result.figure).inputs:
        found = inputs.get(wanted.name)
        if found and found.origin not in (USUAL, WORKED):
            value = result.inputs[wanted.name]
            number = written(value) + unit_written(wanted.unit) if isinstance(value, (int, float)) else value
            said[f"{re.split('[:;,]', wanted.meaning)[0]} {found.shown or number}"] = found.origin
    return said


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
    spans = [(match.span(), each) for each in figures for word in each.words
             for match in re.finditer(rf"\b{re.escape(word)}", text.lower())]
    whole = [each for (start, stop), each in spans
             if not any(a <= start and stop <= b and (a, b) != (start, stop) for (a, b), _ in spans)]
    return list({each.id: each for each in whole}.values())


def _first(phrases: Iterable[tuple[str, str]], text: str) -> str | None:
    """The phrase that comes first in a text."""
    found = [(match.start(), phrase) for phrase, _ in phrases if (match := re.search(rf"\b{re.escape(phrase)}\b", text.lower()))]
    return min(found)[1] if found else None


def _sun(day: date, latitude: float, longitude: float) -> Mapping[str, float | None]:
    from guide.figures import catalogue
    try:
        return catalogue.compute("sun_times", {"date": day, "latitude": latitude, "longitude": longitude}).details
    except FigureError:
        return {}


def _minutes(now: str, day: date) -> float:
    """Minutes of `now` after 00:00 UTC of a day."""
    at = datetime.fromisoformat(now)
    return (at - datetime(day.year, day.month, day.day, tzinfo=at.tzinfo)).total_seconds() / 60


def _as_data(computed: Computed, result: Result, inputs: Mapping[str, _Found], work: _Work) -> dict[str, object]:
    fields: dict[str, object] = {**result.inputs, **result.details, "value": result.value}
    if "date" in result.inputs:
        at = _minutes(work.now, date.fromisoformat(str(result.inputs["date"])))
        fields |= {name: Moment(minutes, at) for name, minutes in result.details.items()}
    from guide.figures import catalogue
    named = {name: value for name, value in (("name", computed.name), ("chart", computed.chart)) if value}
    return {"id": computed.figure, **named, "title": catalogue.find(computed.figure).title, "value": result.value, "unit": result.unit, "inputs": dict(result.inputs), "from": {name: found.origin for name, found in inputs.items()},
            "sources": list(result.sources), "details": dict(result.details), "sentence": result.sentence,
            "notes": list(result.notes), "used": _shown(result, inputs), "follows": computed.follows.format_map(fields)}


def _told(computed: Computed, result: Result) -> list[str]:
    """The sentence, after its range and what stands before that, where it has one: the short end is told first."""
    lead = f"{computed.name}: " if computed.name else ""
    warned = [note for note in result.notes if note.startswith("Warning: ")]
    at = next((n for n, note in enumerate(result.notes) if note.startswith(RANGE)), None)
    if at is None:
        return [f"{lead}{result.sentence}", *warned]
    first, *more = [note.removeprefix(RANGE) for note in result.notes[:at + 1]]
    return [f"{lead}{first}", *more, *([] if computed.name else [result.sentence]), *warned]


def _instead(figure: Mapping[str, object], was: Mapping[str, object]) -> str:
    """`how long the water lasts: 4 days 12 h instead of 6 days`."""
    what = str(figure.get("name") or figure["title"])
    then, now = (spoken(float(str(each["value"])), str(each["unit"])) for each in (figure, was))
    about = "about " if any(note.startswith(RANGE) for note in _list(figure["notes"])) else ""
    said = f"{then}, the same as now" if then == now else f"{about}{then} instead of {now}"
    return f"{what[0].upper()}{what[1:]}: {said}."


def _list(value: object) -> Sequence[str]:
    return value if isinstance(value, list) else ()


def spoken(value: float, unit: str) -> str:
    """A figure as it is said aloud: `4 days 12 h`, `3 h 20 min`, `8 min 40 s`, `12.4 nm`."""
    if unit == "min" and value >= 90:
        return spoken(value / 60, "h")
    if unit == "s" and value >= 120:
        return spoken(value / 60, "min")
    if unit == "min" and value >= 10:
        return f"{value:.0f} min"
    for large, small, parts, plural in (("days", "h", 24, "day"), ("h", "min", 60, ""), ("min", "s", 60, "")):
        if unit == large:
            whole, rest = divmod(round(value * parts), parts)
            first = f"{whole} {plural if plural and whole == 1 else large}"
            return (first if whole or not rest else "") + (" " if whole and rest else "") + (f"{rest} {small}" if rest else "")
    return f"{written(round(value, 1 if abs(value) >= 1 else 2))}{unit_written(unit)}"
