"""A drill while it is played: the talk, the simulated raft and the events, on one clock that only moves forward.

What is typed takes effect when its act is over. Time runs on a fixed grid, so that a drill played by hand, with a live
clock or again from its log is the same.
"""
from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from itertools import count

from guide.drills import acting, hull
from guide.drills.beginning import TELLS, facts_at_start
from guide.drills.model import Model, Signal
from guide.drills.raft import Raft
from guide.drills.records import Changed, Event, Moment, NextShown, Pass, Sample, Scenario
from guide.drills.scoring import Ordered
from guide.drills.watching import Watch, all_true
from guide.knowledge.records import Value
from guide.planning.planner import NextStep, plan
from guide.planning.readiness import done, settled
from guide.planning.reasons import fact_words
from guide.session import Session
from guide.starting import Started
from guide.turn import Turn

SHOWN = 3
PLACE = ("latitude_deg", "longitude_deg")
_GRID = ((6 * 3600.0, 60.0), (86400.0, 300.0), (float("inf"), 600.0))
"""Up to a time, time goes in steps of so many seconds."""
_SAMPLES = ((2 * 3600.0, 60.0), (86400.0, 600.0), (float("inf"), 1800.0))
"""Up to a time, a sample is kept each so many seconds."""
_STANDS_S = 3600.0
"""What the crew says it sees stands so long before the raft may show otherwise: at dusk one calls it dark before another does."""


class Drill:
    """A scenario under way. `moments` and `samples` grow; `over` says that it has come to its ending."""

    def __init__(self, scenario: Scenario, model: Model, started: Started, help_level: str) -> None:
        self.scenario, self.model, self.knowledge, self.help = scenario, model, started.knowledge, help_level
        self.t_s = 0.0
        self.over = False
        self.moments: list[Moment] = []
        self.samples: list[Sample] = []
        self.orders: list[Ordered] = []
        self.turn: Turn | None = None
        """The guide's last reply."""
        self._start = datetime.fromisoformat(scenario.setting.utc)
        self._started = started
        self._passing: dict[str, Pass] = {}
        self.session = started.session(clock=self._now)
        self.raft = Raft(model, scenario.setting)
        self.session.given(facts_at_start(scenario.setting, started.knowledge, dark=self.raft.dark))
        self.watch = Watch(scenario, started.knowledge)
        self._queue: list[tuple[float, int, Event | Pass]] = []
        self._number = count()
        self._fired: set[str] = set()
        self._showing: set[str] = set()
        self._unsaid: dict[str, float] = {}
        """Sign → until when it is not shown, because it would unsay what was just reported."""
        self._adrift: tuple[float, float] | None = None
        self._view = self.session.view()
        self._values = self.raft.values(self._view.lookup)
        self._schedule("", 0.0)
        self.watch.open("", 0.0)
        self._notice()
        self._settle()

    # ---- time

    def advance(self, to_s: float) -> list[Moment]:
        """Let time run up to `to_s`; returns what happened. Stops at the ending."""
        first = len(self.moments)
        while not self.over and (stop := self._next_stop()) <= to_s:
            self._run_to(stop)
            while self._queue and self._queue[0][0] <= self.t_s and not self.over:
                self._happen(heapq.heappop(self._queue)[2])
            self._settle()
        return self.moments[first:]

    def reach(self, to_s: float) -> list[Moment]:
        """As `advance`, and let the raft come to the very second, between the stops of the grid."""
        happened = self.advance(to_s)
        if not self.over and to_s > self.t_s:
            self._run_to(to_s)
        return happened

    def _next_stop(self) -> float:
        grid = _every(_GRID, self.t_s)
        tick = (self.t_s // grid + 1) * grid
        return min(tick, self.scenario.ends.at_s, self._queue[0][0] if self._queue else tick)

    def _run_to(self, t_s: float) -> None:
        self.raft.step(t_s - self.t_s, self._view.lookup)
        self.t_s = t_s
        self._values = self.raft.values(self._view.lookup)

    def _settle(self) -> None:
        """After each stop: stores that have changed, signs, events whose conditions hold, what is watched, the ending."""
        self._count_stores()
        for event in (*self.model.signs, *self.scenario.events):
            if event.at_s is None:
                self._on_condition(event)
        self.watch.look(self.t_s, self.look, self.session.state.known(), self._turn_number())
        every = _every(_SAMPLES, self.t_s)
        ends = self.scenario.ends
        if self.t_s >= ends.at_s or ends.when and all_true(ends.when, self.look):
            self.over = True
            self.moments.append(Moment(self.t_s, self.t_s, "end", "", ends.say))
        if self.t_s % every == 0 or self.over:
            self._sample()

    def _sample(self) -> None:
        if not self.samples or self.samples[-1].t_s < self.t_s:
            self.samples.append(Sample(self.t_s, self.raft.sample(self._view.lookup)))

    def samples_to_now(self) -> tuple[Sample, ...]:
        """The samples kept, and one of this moment."""
        last = () if self.samples and self.samples[-1].t_s == self.t_s else (Sample(self.t_s, self.raft.sample(self._view.lookup)),)
        return (*self.samples, *last)

    # ---- what happens

    def _on_condition(self, event: Event) -> None:
        holds = all_true(event.when, self.look)
        if not event.repeats:
            if holds and event.id not in self._fired:
                self._happen(event)
        elif not holds:
            self._showing.discard(event.id)
            self._unsaid.pop(event.id, None)
        elif event.id not in self._showing and self.t_s >= self._unsaid.get(event.id, 0.0):
            self._showing.add(event.id)
            self._happen(event)

    def _schedule(self, since: str, t_s: float) -> None:
        for event in self.scenario.events:
            if event.at_s is not None and event.since == since:
                self._queue_up(t_s + event.at_s, event)

    def _queue_up(self, t_s: float, what: Event | Pass) -> None:
        heapq.heappush(self._queue, (t_s, next(self._number), what))

    def _happen(self, what: Event | Pass) -> None:
        if isinstance(what, Pass):
            self._pass_on(what)
        elif what.at_s is None or all_true(what.when, self.look):
            self._take_place(what)

    def _take_place(self, event: Event) -> None:
        shown = self._next()
        before = self.session.state.known()
        self._fired.add(event.id)
        self.raft.numbers.update(event.weather)
        self.raft.add(event.changes)
        facts: dict[str, Value] = {TELLS[name]: value for name, value in event.weather.items() if name in TELLS}
        if "rain_mm_h" in event.weather:
            facts["raining"] = event.weather["rain_mm_h"] > 0
        if event.passes:
            facts |= self._come_in_sight(event.passes)
        self._tell({**facts, **event.sets}, event.say)
        self.moments.append(Moment(self.t_s, self.t_s, "sign" if event.repeats else "event", "", event.say, event.id,
                                   changes=self._changes(before), next=shown))
        if not event.repeats:
            self._schedule(event.id, self.t_s)
            self.watch.open(event.id, self.t_s)

    def _come_in_sight(self, craft: Pass) -> dict[str, Value]:
        self._passing[craft.craft] = craft
        self._queue_up(self.t_s + craft.seconds / 2, craft._replace(seconds=craft.seconds / 2))
        return {self.model.craft[craft.craft].fact: True}

    def _pass_on(self, craft: Pass) -> None:
        """At half time the craft may notice what shows by itself; at the end it is gone."""
        kind = self.model.craft[craft.craft]
        if craft.seconds > 0:
            for signal in self.model.signals:
                if signal.deed is None and all_true(signal.when, self.look):
                    self._signalled(signal, [self._passing[craft.craft]])
            self._queue_up(self.t_s + craft.seconds, craft._replace(seconds=0.0))
            return
        if craft.stays:
            return
        shown, before = self._next(), self.session.state.known()
        self._passing.pop(craft.craft, None)
        self._tell({kind.fact: False}, kind.gone)
        self.moments.append(Moment(self.t_s, self.t_s, "sign", "", kind.gone, f"{craft.craft}_gone", changes=self._changes(before), next=shown))

    def _signalled(self, signal: Signal, near_by: Iterable[Pass]) -> None:
        """Each of the craft may notice the signal."""
        for near in near_by:
            craft, visibility_nm = self.model.craft[near.craft], self.raft.numbers["visibility_nm"]
            self.raft.noticed(hull.notice_chance(self.model, signal, craft, near.nm, visibility_nm, dark=self.raft.dark))

    # ---- what is said

    def say(self, who: str, text: str, t_s: float) -> list[Moment]:
        """Something typed at `t_s`; returns the moments up to when its act is over. It counts for nothing if the drill ends first."""
        first = len(self.moments)
        self.reach(max(t_s, self.t_s))
        if text and not self.over:
            self._said(who, text)
        return self.moments[first:]

    def shows(self, turn: Turn) -> bool:
        """Whether the help level lets the guide's advice be shown."""
        return self.help == "full" or self.help == "asked" and acting.asks(turn)

    def _said(self, who: str, text: str) -> None:
        typed_s, wait = self.t_s, acting.waiting_s(text)
        if wait is not None:
            self._wait(who, text, typed_s + wait)
            return
        self.reach(typed_s + self._takes(text))
        if not self.over:
            self.moments.append(self._answered(who, text, typed_s))
            self._settle()

    def _wait(self, who: str, text: str, until_s: float) -> None:
        """Time passes until then, or until something happens: nobody waits through that."""
        typed_s, place, shown = self.t_s, len(self.moments), self._next()
        while not self.over and len(self.moments) == place and self.t_s < until_s:
            self.reach(min(until_s, self._next_stop()))
        self.moments.insert(place, Moment(typed_s, self.t_s, "wait", who, text, next=shown))

    def _takes(self, text: str) -> float:
        """Seconds that the act takes, found by answering it once on a copy of the talk."""
        trial = Session(self.knowledge, self._started.answering, self._now, events=self.session.events,
                        positions=self.knowledge.overlay.positions)
        trial.last = self.session.last
        opened = self._open()
        turn = trial.answer(text)
        steps = [shown.step for shown in self._settled(opened, trial)]
        return acting.seconds_taken(self.model, turn, steps, self.raft.persons(self._view.lookup))

    def _answered(self, who: str, text: str, typed_s: float) -> Moment:
        opened, before, kept = self._open(), self.session.state.known(), len(self.session.events)
        turn = self.turn = self.session.answer(text)
        if not self.shows(turn):
            self.session.last = turn._replace(next=(), advice=())  # `done` means what was shown, and nothing was
        self._refresh()
        self._see_truly(before)
        steps = tuple(shown.step.id for shown in self._settled(opened, self.session))
        if steps:
            self.orders.append(Ordered(steps, tuple(shown.step.id for shown in opened)))
        for event in self.session.events[kept:]:
            if event.kind == "undo" and isinstance(event.value, int):
                self.watch.take_back(event.value)
        self.watch.act(self.t_s, turn, steps, self.look, self._turn_number())
        self._effects(turn, steps)
        changes = self._changes(before)
        self._let_stand(changes)
        words = tuple(fact_words(self._view, change.fact, change.now) for change in changes)
        return Moment(typed_s, self.t_s, "said", who, text, "", turn.outcome, turn.topic or "", acting.asks(turn), words, changes, steps,
                      acting.used(turn), _shown(opened), tuple(advice.step.say for advice in turn.advice))

    def _see_truly(self, before: Mapping[str, object]) -> None:
        """A report cannot bring a craft into sight: only the scenario can."""
        for craft in self.model.craft.values():
            if before.get(craft.fact) is not True and self._view.lookup(craft.fact) is True:
                self._tell({craft.fact: False}, craft.none)
                self.moments.append(Moment(self.t_s, self.t_s, "sign", "", craft.none, f"no_{craft.id}"))

    def _let_stand(self, changes: Iterable[Changed]) -> None:
        """A report alone brings about no sign to the contrary: nothing has changed in the raft."""
        told = {change.fact: change.now for change in changes}
        for sign in self.model.signs:
            if any(told.get(fact, value) != value for fact, value in sign.sets.items()) and all_true(sign.when, self.look):
                self._unsaid[sign.id] = self.t_s + _STANDS_S

    def _effects(self, turn: Turn, steps: Sequence[str]) -> None:
        """What an act does to raft, stores and whoever looks."""
        persons = self.raft.persons(self._view.lookup)
        self.raft.drink(acting.used(turn).get("water", 0.0), persons)
        for act in self.model.acts:
            if acting.does(act.deed, turn, steps) or acting.says_again(act.deed, turn):
                self.raft.act(act)
                self._drink(act.drinks_l * persons, persons)
        for signal in self.model.signals:
            if signal.deed is not None and acting.does(signal.deed, turn, steps):
                self._signalled(signal, self._passing.values())
        self._values = self.raft.values(self._view.lookup)

    def _drink(self, litres: float, persons: int) -> None:
        stock = self._view.lookup("water")
        if litres and isinstance(stock, (int, float)):
            litres = min(litres, float(stock))
            self._tell({"water": round(float(stock) - litres, 3)}, "the share of water")
        self.raft.drink(litres, persons)

    # ---- what is known

    def look(self, name: str) -> object:
        """A quantity, whether a step is done, or a fact or item as the planner sees it."""
        if name in self._values:
            return self._values[name]
        if name in PLACE:
            return dict(zip(PLACE, self.raft.position()))[name]
        if name in self.knowledge.steps and name not in self.knowledge.facts:
            return "done" if done(self._view, self.knowledge.steps[name]) else None
        return self._view.lookup(name)

    def _now(self) -> str:
        return (self._start + timedelta(seconds=self.t_s)).isoformat()

    def _turn_number(self) -> int:
        return self.session.events[-1].turn if self.session.events else 0

    def _tell(self, facts: Mapping[str, Value], told: str) -> None:
        known = self.session.state.known()
        new = {name: value for name, value in facts.items() if known.get(name) != value or name not in known}
        if new:
            self.session.happened(new, told)
            self._refresh()

    def _refresh(self) -> None:
        self._view = self.session.view()

    def _open(self) -> list[NextStep]:
        return plan(self._view, self._now(), None)

    def _next(self) -> tuple[NextShown, ...]:
        return _shown(plan(self._view, self._now(), SHOWN))

    def _settled(self, opened: Sequence[NextStep], session: Session) -> list[NextStep]:
        view = session.view()
        return [shown for shown in opened if settled(view, shown.step, self._now())]

    def _changes(self, before: Mapping[str, object]) -> tuple[Changed, ...]:
        after = self.session.state.known()
        return tuple(Changed(name, before.get(name), after.get(name)) for name in dict.fromkeys((*before, *after))
                     if before.get(name) != after.get(name))

    # ---- stores and clock, as facts

    def _count_stores(self) -> None:
        """Rain caught, and the hours since the raft came free, told as facts as they come to a whole one."""
        whole = int(self.raft.caught_l + 1e-6)  # many small sums come to a hair less than a litre
        if whole:
            stock = self._view.lookup("water")
            self.raft.caught_l -= whole
            self._tell({"water": (float(stock) if isinstance(stock, (int, float)) else 0.0) + whole}, "rain caught")
        if self._adrift is None and self._view.lookup("aboard_raft") is True and self._view.lookup("painter_cut") is True:
            known = self._view.lookup("hours_adrift")
            self._adrift = (self.t_s, float(known) if isinstance(known, (int, float)) else 0.0)
        if self._adrift is not None:
            hours = int(self._adrift[1] + (self.t_s - self._adrift[0]) / 3600)
            if hours > self._adrift[1]:
                self._tell({"hours_adrift": float(hours)}, "the clock")

    def _notice(self) -> None:
        """The start as a moment, so that a timeline begins with it."""
        self.moments.append(Moment(0.0, 0.0, "event", "", self.scenario.setting.told, "start", next=self._next()))


def _every(table: Sequence[tuple[float, float]], t_s: float) -> float:
    return next(seconds for upto, seconds in table if t_s < upto)


def _shown(steps: Sequence[NextStep]) -> tuple[NextShown, ...]:
    return tuple(NextShown(one.step.id, one.step.say, one.line) for one in steps[:SHOWN])

