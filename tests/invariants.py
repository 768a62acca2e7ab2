"""What must never be shown, in any state: each invariant with a change to the knowledge that has to trip it.

An invariant looks at what is shown in one state (the next steps, or the steps of an answer) and names the breach,
or returns None. Words are judged sentence by sentence: one that forbids, warns or denies is no advice.
"""
from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from guide.knowledge.compiling import Knowledge
from guide.knowledge.conditions import Condition, parse
from guide.knowledge.records import COMMON_PRACTICE, MARKS, UNVERIFIED, Step
from guide.planning.items import View
from guide.planning.planner import NextStep

PYROTECHNICS = frozenset({"rocket_flare", "hand_flare", "smoke_signal"})
FLARE_CAUTIONS = frozenset({"rocket_not_at_aircraft", "rocket_from_outside", "flare_burns", "flare_overboard_lee",
                            "flare_fuel_near", "smoke_hot_can", "smoke_lee_side", "flare_use_outboard", "flare_dud_overboard"})
AWAKE = frozenset({"by_mouth_awake", "people_nothing_by_mouth"})
EMERGENCIES: Mapping[tuple[str, object], tuple[str, ...]] = {
    ("someone_bleeding", True): ("bleeding_press",), ("someone_unconscious", True): ("unconscious_check",),
    ("someone_hypothermic", True): ("hypothermia_flat",), ("leak_open", True): ("leak_hand_on", "leak_stop"),
    ("tubes_firm", False): ("top_up_pump", "top_up_mouth"), ("raft_inverted", True): ("righting_roll_over",),
    ("person_in_water", True): ("water_breathe", "recover_throw", "recover_any_line"),
    ("vessel_on_fire", True): ("fire_away_upwind", "fire_last_people")}
BEFORE_LEAVING = frozenset({"decide_to_leave", "dress_to_leave", "take_with_you", "launch_raft", "cut_free", "stay_tied"})
ON_THE_VESSEL = frozenset({*BEFORE_LEAVING, "distress_call", "raft_not_inflating", "board_raft", "in_the_water", "raft_upside_down",
                           "head_count", "fire_or_oil"})

_NO = re.compile(r"\b(no|not|never|nobody|nothing|none|without|refuse|don't|cannot|neither|nor|before|instead of|is no|tales|sooner)\b",
                 re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Shown:
    """What is shown in one state: the next steps in order, and the steps of an answer."""

    view: View
    next: Sequence[NextStep]
    advice: Sequence[Step]

    def steps(self) -> Iterator[Step]:
        """Every step shown, each once."""
        yield from {step.id: step for step in (*(item.step for item in self.next), *self.advice)}.values()


@dataclass(frozen=True, slots=True)
class Invariant:
    """A thing that must never happen. `reads`: the facts it depends on beside those of the step shown."""

    name: str
    never: str
    reads: tuple[str, ...]
    breach: Callable[[Shown], str | None]
    mutations: tuple[Callable[[Knowledge], Knowledge], ...]
    """Each must trip the invariant."""
    touched: tuple[str, ...]
    """The steps that the mutations change."""
    plans: bool = False
    """Whether it needs the whole plan, not only whether a step may be shown."""
    about: Callable[[Step], object] = bool
    """Which steps it can be about at all, in any state: for the others the facts that it reads are left unknown."""
    beside: tuple[str, ...] = ()
    """Steps each of which it judges another step against."""


def told(step: Step, pattern: str) -> str | None:
    """The first sentence of the step that matches and neither forbids nor denies."""
    return _told(step.say, pattern)


@cache
def _told(text: str, pattern: str) -> str | None:
    return next((part for part in _advising(text) if re.search(pattern, part, re.IGNORECASE)), None)


def _advising(text: str) -> Iterator[str]:
    """The sentences, and what stands after a colon by itself, that neither forbid nor deny. "Never: ..." forbids all of it."""
    for sentence in re.split(r"[.;!?](?:\s|$)", text):
        for part in sentence.split(": "):
            if _NO.search(part):
                if part.strip().lower() in ("never", "no", "do not"):
                    break
                continue
            yield part.strip()


def changed(name: str, **fields: Any) -> Callable[[Knowledge], Knowledge]:
    """The knowledge with one step changed; text for a condition field is parsed, `+` in `say` appends."""
    def apply(knowledge: Knowledge) -> Knowledge:
        step = knowledge.steps[name]
        values: dict[str, Any] = {}
        for key, value in fields.items():
            conditions = key in ("when", "unless", "done_when")
            values[key] = tuple(_condition(text) for text in value) if conditions else value
            if key == "say" and str(value).startswith("+"):
                values[key] = f"{step.say} {str(value)[1:]}"
        return knowledge._replace(steps={**knowledge.steps, name: step._replace(**values)})
    return apply


def _condition(text: str) -> Condition:
    found = parse(text)
    assert isinstance(found, Condition), found
    return found


def all_changed(*names: str, **fields: object) -> Callable[[Knowledge], Knowledge]:
    """The same change to several steps."""
    def apply(knowledge: Knowledge) -> Knowledge:
        for name in names:
            knowledge = changed(name, **fields)(knowledge)
        return knowledge
    return apply


def _each(judge: Callable[[View, Step], str | None]) -> Callable[[Shown], str | None]:
    """A breach by any one step shown."""
    def breach(shown: Shown) -> str | None:
        for step in shown.steps():
            found = judge(shown.view, step)
            if found is not None:
                return f"{step.id}: {found}"
        return None
    return breach


_FOUL = r"(sea ?water|salt ?water|urine|alcohol|wine|beer|rum|whisky|blood|from the sea)"


def _drinks_foul(view: View, step: Step) -> str | None:
    return (told(step, rf"(?<!may )\b(drink|drinking|sip|sips|swallow)\b.*\b{_FOUL}\b")
            or told(step, rf"\b(give|take|try|share|use)\b.*\b{_FOUL}\b.*\b(thirst|drink|cold)\b")
            or told(step, rf"\b{_FOUL}\b.*\b(is fit to drink|may be drunk|quenches|can be drunk)\b"))


def _tells_to_eat(step: Step) -> str | None:
    return told(step, r"^(then |first |now |from the second day )?(eat(?! again only when)|chew|nibble|fish from|share out the food|feed)\b|\b(eat|give) (a|about|the) "
                      r"(third|ration|food)\b|\b(may|can) (be eaten|eat)\b|\bwith water to spare\b")


def _eats_dry(view: View, step: Step) -> str | None:
    return _tells_to_eat(step) if view.has("drinking_water") is False else None


def _caps(step: Step) -> str | None:
    return told(step, r"^(then |now |\w+ the second day )?(cut|hold|limit|give|keep)\b.*\b\d[\d.]* ?(L|mL)\b.*\b(a day|each)\b|\bcut the share\b|\bno water in the first\b"
                      r"|\bgive water only\b|\bwait until the second day\b")


def _caps_hurt(view: View, step: Step) -> str | None:
    limit = _caps(step)
    named = re.search(r"\b(hurt|sick|fit|casualt\w+|ill|wounded|burned)\b", step.say, re.IGNORECASE)
    return None if limit is None or named or "water_hurt_no_cap" in step.cautions else limit


def _names_gear(step: Step) -> bool:
    return bool(step.needs or PYROTECHNICS & {*step.uses})


def _uses_absent(view: View, step: Step) -> str | None:
    lacking = [item for item in step.needs if view.has(item) is False]
    fired = told(step, r"^(fire|burn|light|throw one smoke|set off)\b") if not lacking else None
    lacking += [item for item in PYROTECHNICS & {*step.uses} if fired and len(PYROTECHNICS & {*step.uses}) == 1
                and view.has(item) is False]
    return f"needs {lacking[0]}, which is not there" if lacking else None


def _aims(view: View, step: Step) -> str | None:
    if not PYROTECHNICS & {*step.needs, *step.uses}:
        return None
    aimed = told(step, r"\b(aim|fire|point|shoot|throw|hold|burn)\b.*\b(at|towards|under|beneath|below|into) (the |an? )?"
                       r"(aircraft|plane|helicopter|path)\b")
    if aimed:
        return aimed
    beneath = view.lookup("aircraft_in_sight") is True and told(step, r"\bfire\b.*\brocket\b")
    warned = "rocket_not_at_aircraft" in step.cautions or "flare_use_outboard" in step.cautions
    return None if not beneath or warned else "a rocket with an aircraft about and no word of helicopters"


def _burns(view: View, step: Step) -> str | None:
    anything = told(step, r"\b(burn|set fire to|light) (the |some |a |an )?(clothes|oil|rubbish|cloth|paper|fuel|stove|candle|fire|wood|tyre)\b")
    windward = told(step, r"\b(burn|burning(?! vessel)|light|flare|smoke)\b.*\b(inside the raft|to windward|upwind side|into the wind)\b")
    flare = told(step, r"\b(burn|light) (one|a|the|your)?\s?(hand )?flare\b")
    safe = {"flare_overboard_lee", "flare_use_outboard"} & {*step.cautions} or re.search(
        r"over the side|outside|downwind|away from the wind|over the water", step.say, re.IGNORECASE)
    return anything or windward or (flare if not safe else None)


def _cuts(view: View, step: Step) -> str | None:
    sound = view.lookup("vessel_afloat") is True and view.lookup("vessel_on_fire") is not True
    if not sound or view.lookup("all_accounted") is True:
        return None
    cut = step.sets.get("painter_cut") is True or told(step, r"^(cut|untie|saw through|cast off|let go) (the )?(painter|raft)\b")
    return "cuts the painter with people on a sound vessel" if cut else None


def _makes_fast(view: View, step: Step) -> str | None:
    return told(step, r"\b(tie|make fast|fasten|clip|lash|shackle|hitch|make)\b.*\b(winch|wire|hook|hauling line|hi-line)\b")


def _plugs(view: View, step: Step) -> str | None:
    plug = told(step, r"\b(plug|push|screw|fit|block|tape|hold a pad|stop)\b.*\brelief valves?\b|\bplug in\b|\bpush or screw its plug\b")
    plug = plug or ("sets the plugs" if step.sets.get("valves_plugged") is True else None)
    if plug is None:
        return None
    if step.band != "note" and view.lookup("tubes_firm") is True:
        return "plugs the relief valve of a hard tube"
    soft = re.search(r"\b(soft|leak\w*)\b", step.say, re.IGNORECASE)
    return None if "gas_never_plug_venting" in step.cautions and soft or step.band == "note" and soft else plug


def _by_mouth(view: View, step: Step) -> str | None:
    gives = told(step, r"\b(give|issue|offer|feed|let (all|everybody|them|the \w+)|takes)\b.*"
                       r"\b(water|sips?|drinks?|tablets?|food|sugar|sweet)\b")
    if gives is None or view.lookup("someone_unconscious") is False:
        return None
    return None if AWAKE & {*step.cautions} or re.search(r"\bawake\b", step.say) else gives


def _beacon_off(view: View, step: Step) -> str | None:
    off = told(step, r"\b(switch|turn|turned|switched)\b.*\boff\b|\btake out the battery\b|\bsave the (beacon|battery)\b")
    about = step.topic in ("epirb", "beacon_life") or off is not None and re.search(r"\b(beacon|EPIRB|PLB)\b", off, re.IGNORECASE)
    until = off is not None and re.search(r"\b(rescuers|until|told|tell)\b", step.say, re.IGNORECASE)
    return off if about and not until and "lamps" not in step.say else None


def _handles_cold(view: View, step: Step) -> str | None:
    if step.topic not in ("hypothermia", "frostbite", "immersion_foot", "thermal_aid", "cold_weather", "not_breathing", "recover_swimmer",
                          "in_the_water", "cold_water_time", "unconscious"):
        return None
    return told(step, r"\b(rub|massage|exercise|jog|run about|slap|hot (water|bath|packs?|bottles?)|snow)\b|\bwalk (them|him|her|the|about)\b"
                      r"|\bwarm\b.*\b(quickly|fast|at the fire|by the stove)\b")


def _after_gear(view: View, step: Step) -> str | None:
    return told(step, r"\b(swim|jump|dive|go over the side|go in|climb out)\b.*\b(after|for|to fetch|to get back)\b.*"
                      r"\b(it|gear|beacon|drogue|bag|paddle|equipment|pump|what)\b")


def _done_or_impossible(shown: Shown) -> str | None:
    view = shown.view
    for item in shown.next:
        step = item.step
        if step.sets and not step.again_s and all(view.lookup(fact) == value for fact, value in step.sets.items()):
            return f"{step.id} is next and already done"
        if any(view.has(need) is False for need in step.needs) or step.band == "note":
            return f"{step.id} is next and impossible"
        if view.lookup("painter_cut") is True and step.topic in BEFORE_LEAVING:
            return f"{step.id} is next with the painter cut"
        raft_only = step.topic not in ON_THE_VESSEL and step.band == "ordered"
        if view.lookup("aboard_raft") is False and raft_only and step.topic not in ("water_ration", "medical_advice"):
            return f"{step.id} is next and nobody is in the raft"
        if view.lookup("raft_inverted") is True and view.lookup("aboard_raft") is True and step.priority == "protection" \
                and step.band == "ordered":
            return f"{step.id} is next in a raft upside down"
    return None


def _emergency_later(shown: Shown) -> str | None:
    if not shown.next or shown.next[0].step.band == "emergency":
        return None
    names = {item.step.id for item in shown.next}
    for (fact, value), first in EMERGENCIES.items():
        waiting = names.intersection(first)
        if waiting and shown.view.lookup(fact) is value:
            return f"{shown.next[0].step.id} goes before {min(waiting)}"
    return None


def _uncautioned(view: View, step: Step) -> str | None:
    if not PYROTECHNICS & {*step.needs, *step.uses}:
        return None
    handled = step.band != "note" or told(step, r"^(fire|burn|light|throw|strike|pull|hold|set off)\b")
    return None if not handled or FLARE_CAUTIONS & {*step.cautions} else "a signal that burns, without its caution"


def _unsourced(view: View, step: Step) -> str | None:
    clauses = view.knowledge.clauses
    marked = [s for s in step.sources if s in (COMMON_PRACTICE, UNVERIFIED) or s in clauses and clauses[s].mark in MARKS]
    return None if step.sources and len(marked) == len(step.sources) else "no source mark"


def _word(name: str, never: str, judge: Callable[[View, Step], str | None], touched: str, mutation: Iterable[dict[str, object]],
          reads: tuple[str, ...] = (), about: Callable[[Step], object] = bool) -> Invariant:
    """An invariant on any one step, with the changes of one step that trip it."""
    return Invariant(name, never, reads, _each(judge), tuple(changed(touched, **fields) for fields in mutation), (touched,), about=about)


_WATER = ("water", "pack")
INVARIANTS: tuple[Invariant, ...] = (
    _word("foul_drink", "advice to drink sea water, urine or alcohol", _drinks_foul, "rain_drink_rest",
          ({"say": "+Then sip sea water."}, {"say": "+Drink your urine while it is fresh."}, {"say": "+Give alcohol against the cold."})),
    _word("eat_dry", "advice to eat when no water is left", _eats_dry, "food_daily_share", ({"unless": (), "when": ("aboard_raft is true",)},),
          _WATER, _tells_to_eat),
    _word("cap_casualty", "a cap on water for a casualty", _caps_hurt, "water_stretch",
          ({"say": "Cut the share of everybody to 0.15 L a day.", "cautions": ()},), ("someone_bleeding", *_WATER), _caps),
    _word("absent_item", "an item known absent or used up", _uses_absent, "ship_rocket", ({"needs": (), "uses": ("rocket_flare",), "unless": ()},),
          ("rocket_flares", "hand_flares", "smoke_signals", "pack"), _names_gear),
    _word("aim_at_aircraft", "a signal aimed at an aircraft, a rocket beneath a helicopter", _aims, "aircraft_rocket",
          ({"say": "Fire one rocket at the aircraft."}, {"cautions": ()}), ("aircraft_in_sight",)),
    _word("burn", "anything burned inside or to windward", _burns, "ship_hand_flare",
          ({"say": "Burn the clothes."}, {"say": "Burn one hand flare.", "cautions": ()}, {"say": "Hold it burning to windward, light it."}),
          ("ship_in_sight",)),
    _word("cut_people_off", "the painter cut with people on a sound vessel", _cuts, "cut_free_cut",
          ({"unless": ("raft_inverted is true",)}, {"unless": (), "when": ("aboard_raft is true",)}),
          ("vessel_afloat", "vessel_on_fire", "all_accounted")),
    _word("hook_fast", "a winch wire or hook made fast to the raft", _makes_fast, "helo_ready", ({"say": "+Clip the hook to the raft."},),
          ("aircraft_in_sight",)),
    _word("plug_venting", "a relief valve plugged while venting over-pressure", _plugs, "valve_plugs_fit",
          ({"when": ("aboard_raft is true",), "unless": ()}, {"cautions": ()}), ("tubes_firm", "valves_plugged")),
    _word("by_mouth", "anything by mouth to an unconscious person", _by_mouth, "seasick_tablets",
          ({"say": "Everyone takes a tablet.", "cautions": ()},), ("someone_unconscious",)),
    _word("beacon_off", "the beacon switched off", _beacon_off, "epirb_look_at", ({"say": "+Switch it off at night."},), ("epirb_on",)),
    _word("handle_cold", "frozen skin rubbed, a cold person warmed quickly or walked about", _handles_cold, "hypothermia_wrap",
          ({"say": "+Rub their arms."}, {"say": "+Walk them about."}, {"say": "+Warm them quickly."}), ("someone_hypothermic",)),
    _word("after_gear", "anybody over the side after drifting gear", _after_gear, "epirb_tether",
          ({"say": "+If it drifts off, swim after it."},), ("epirb_on",)),
    Invariant("done_or_impossible", "a next step already done or impossible", ("painter_cut", "aboard_raft", "raft_inverted"), _done_or_impossible,
              (changed("drogue_stream", when=("aboard_raft is true",), done_when=()), changed("bail_out", when=("night is true",)),
               changed("launch_over_side", when=("night is true",), unless=())),
              ("drogue_stream", "bail_out", "launch_over_side"), plans=True),
    Invariant("emergency_first", "an emergency not first", (), _emergency_later,
              (all_changed("bleeding_press", "bleeding_bandage", band="ordered"), all_changed("leak_hand_on", "leak_stop", "leak_improvise",
                                                                                             band="ordered")),
              ("bleeding_press", "leak_hand_on"), plans=True, beside=tuple(dict.fromkeys(itertools.chain(*EMERGENCIES.values())))),
    _word("flare_caution", "a flare step without its caution", _uncautioned, "ship_rocket", ({"cautions": ()},), ("ship_in_sight",)),
    _word("source_mark", "a step without a source mark", _unsourced, "drogue_what", ({"sources": ()}, {"sources": ("nowhere",)})),
)
