"""Drills played: by hand, in pieces, from a log, on a live clock; what a good and a bad crew get for it."""
from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from guide import cli
from guide.arguments import Misuse
from guide.commands import drilling
from guide.commands.conducting import Table, clock_words, span_words
from guide.drills.acting import speaker, waiting_s
from guide.drills.clocks import Live
from guide.drills.logs import LogFile, read_log
from guide.drills.opening import Ground, find, ground, judged, play, play_log, resumed
from guide.drills.playing import Drill
from guide.drills.records import Deed, Entry, Log, Moment, Played

HERE = Path(__file__).resolve().parent
TEN = str(HERE / "ten_mistakes.yaml")
START = str(HERE.parent.parent / "guide" / "drills" / "start.yaml")

GOOD = ["wait 6 minutes", "all six of us are aboard, everybody is counted", "we cut the painter", "the drogue is out", "the entrances are shut",
        "bailed and sponged, the raft is dry", "the floor is pumped up", *["wait 30 minutes", "bailed again, it is dry"] * 6]
BAD = ["we cut the painter", "the drogue is out", "fired a parachute rocket", "we drank some sea water", "set off one smoke signal",
       "we ate the biscuits", "switched the beacon off to save the battery", "took the drogue in", *["wait 30 minutes"] * 9,
       "fired one rocket at the helicopter", *["wait 1 hour"] * 3]


@pytest.fixture(scope="module")
def on() -> Ground:
    return ground()


def log(name: str, *lines: str, help_level: str = "none", crew: Sequence[str] = ()) -> Log:
    """A log of lines that were typed as soon as the one before was over."""
    return Log(name, "", help_level, tuple(crew), "2026-03-02T19:30:00+00:00", {}, tuple(Entry(0.0, "", line) for line in lines))


def said(played: Played) -> list[Moment]:
    return [moment for moment in played.moments if moment.kind == "said"]


# ---- what a crew gets

def test_ten_mistakes_are_ten_and_leave_nothing(on: Ground) -> None:
    played = play(on, log(TEN, *BAD))
    assert sorted(done.harm.id for done in played.harms) == sorted(harm.id for harm in played.scenario.harmful)
    assert len(played.harms) == 10 and played.score.harmed == sum(harm.weight for harm in played.scenario.harmful) == 21
    assert played.score.percent == 0 and played.finished
    # the first rocket was for nobody, the second, hours later, under the helicopter: each is told once, with its time
    times = {done.harm.id: done.times_s for done in played.harms}
    assert len(times["rocket_nobody"]) == 1 and times["rocket_helicopter"][0] > 9000


def test_a_good_crew_gets_it_all_and_stays_warm(on: Ground) -> None:
    good, bad = play(on, log(TEN, *GOOD)), play(on, log(TEN, *BAD))
    assert good.harms == () and all(one.in_time and one.in_order for one in good.results)
    assert good.score.met == 10 and good.score.percent > 85
    warm, cold = (played.samples[-1].values["warmth_pct"] for played in (good, bad))
    assert warm > cold + 40
    assert good.samples[-1].values["drift_nm"] < 0.7 * bad.samples[-1].values["drift_nm"]


def test_late_and_out_of_order_get_their_share(on: Ground) -> None:
    played = play(on, log(TEN, "the floor is pumped up", "wait 6 minutes", "wait 50 minutes", "wait 50 minutes", "we cut the painter",
                          "the raft is dry, bailed and sponged", "wait 3 hours"))
    points = {one.expectation.id: (one.points, one.in_time, one.in_order) for one in played.results}
    assert points["cut"] == (2 * 0.5, False, True)
    assert points["floor"] == (2 * 0.75, True, False)  # in time, but before the raft was dry
    assert points["drogue"] == (0, False, False)


def test_what_is_taken_back_was_not_done(on: Ground) -> None:
    once = play(on, log(TEN, "we cut the painter", "wait 1 minute"))
    undone = play(on, log(TEN, "we cut the painter", "undo", "wait 1 minute"))
    assert [done.harm.id for done in once.harms] == ["cut_early"] and undone.harms == ()
    assert undone.moments[-1].kind == "wait"


def test_the_order_counts_where_jobs_were_put_off_that_the_plan_puts_first(on: Ground) -> None:
    jobs = ["all six of us are aboard, everybody is counted", "the beacon is on", "the drogue is out", "somebody is in charge, i am the leader",
            "a lookout is posted", "the entrances are shut", "bailed and sponged, the raft is dry", "everyone has taken a seasick pill",
            "the floor is pumped up", "the rain catcher is rigged"]
    forwards, backwards = (play(on, log(START, "we cut the painter", "wait 6 minutes", *lines)).score for lines in (jobs, jobs[::-1]))
    assert forwards.as_planned == forwards.settled == backwards.settled >= len(jobs) and forwards.order == 2
    assert backwards.as_planned < 0.4 * backwards.settled and backwards.order < 1


def test_taking_back_a_turn_does_not_make_neglect_good(on: Ground) -> None:
    played = play(on, log(TEN, "wait 6 minutes", "a lookout is posted", "wait 3 minutes", *["wait 20 minutes"] * 2, "undo"))
    assert "wet" in [done.harm.id for done in played.harms]
    assert any(moment.topic == "take_back" and moment.changes for moment in played.moments)


def test_nothing_counts_whose_window_never_opened_or_is_still_open(on: Ground) -> None:
    played = play(on, log(START, "we cut the painter", "wait 1 minute"))
    assert {one.expectation.id: one.of for one in played.results} == {"free": 2, "drogue": 0, "rocket": 0}
    assert not played.finished


def test_what_the_planner_presumes_is_not_what_a_crew_did(on: Ground, tmp_path: Path) -> None:
    text = Path(START).read_text(encoding="utf-8").replace("fact: painter_cut=true", "fact: aboard_raft=true").replace("aboard_raft: true, ", "")
    (tmp_path / "presumed.yaml").write_text(text, encoding="utf-8")
    played, told = (play(on, log(str(tmp_path / "presumed.yaml"), *lines)) for lines in (["the drogue is out"], ["we are all aboard the raft"]))
    assert (played.results[0].done_s, told.results[0].points) == (None, 2)


def test_bailing_again_dries_again(on: Ground) -> None:
    played = play(on, log(TEN, "the entrances are shut", "bailed and sponged, the raft is dry", "wait 25 minutes", "wait 20 minutes",
                          "bailed and sponged, the raft is dry"))
    before, after = [sample.values["raft_water_l"] for sample in played.samples][-2:]
    assert before > 0.2 and after < 0.1


def test_what_a_crew_sees_at_dusk_is_not_unsaid_by_the_daybreak(on: Ground) -> None:
    """One calls it dark before another: the sun sets as they say it. The day breaks when it rises."""
    dusk = ["we cut the painter", *["wait 30 minutes"] * 3, "its dark, turned the light on", *["wait 1 hour"] * 6]
    played = play(on, log("fire_at_dusk", *dusk))
    (noted,) = [moment for moment in said(played) if ("night", None, True) in moment.changes or ("night", False, True) in moment.changes]
    assert -6 < next(sample.values["sun_deg"] for sample in played.samples if sample.t_s >= noted.done_s) < 3
    assert not [moment for moment in played.moments if moment.event in ("light", "dark")]


def test_what_is_reported_wrongly_is_put_right_within_the_hour(on: Ground) -> None:
    drill = on.drill(on.scenarios["winter_night"], "none")
    drill.say("", "it is light now", 0.0)
    assert drill.session.state.value("night") is False and not [moment for moment in drill.moments if moment.event == "dark"]
    drill.advance(2 * 3600.0)
    (dark,) = [moment for moment in drill.moments if moment.event == "dark"]
    assert drill.session.state.value("night") is True and 3600 <= dark.t_s < 3700


def test_a_wait_that_is_cut_short_says_so(run: Run) -> None:
    out = run("run", "fire_at_dusk", typed="wait 3 mins\nwait 20 mins\nquit\n")[1]
    assert "0:00:00  You wait until 0:03:00.\n" in out and "0:03:00  You wait until 0:05:00, cut short by what happens then.\n" in out


def test_a_reported_craft_that_is_not_there_is_not_seen(on: Ground) -> None:
    played = play(on, log(START, "there is a ship, fired a parachute rocket"))
    assert [done.harm.id for done in played.harms] == ["early_rocket"]
    assert "there is no ship" in played.moments[-2].text


def test_help_is_counted_and_costs_only_on_request(on: Ground) -> None:
    lines = ("what do we do now", "how do i set the drogue", "we cut the painter")
    costs = {level: play(on, log(START, *lines, help_level=level)).score for level in ("full", "asked", "none")}
    assert {level: (score.asked, score.helped) for level, score in costs.items()} == {"full": (2, 0.0), "asked": (2, 0.5), "none": (2, 0.0)}


def test_done_counts_only_for_what_was_shown(on: Ground) -> None:
    silent = play(on, log(START, "we cut the painter", "done"))
    shown = play(on, log(START, "what do we do now", "done", help_level="asked"))
    assert [moment.steps for moment in said(silent)][-1] == ()
    assert len(said(shown)[-1].steps) >= 1


# ---- what the raft makes of it

def changed(path: Path, **texts: str) -> str:
    """A scenario like the start, with some of its parts written otherwise."""
    text = Path(START).read_text(encoding="utf-8")
    events = text.index("events:"), text.index("# What is done:")
    if "events" in texts:
        text = text[:events[0]] + "events:\n" + texts.pop("events") + "\n" + text[events[1]:]
    for old, new in texts.items():
        line = next(one for one in text.splitlines() if one.strip().startswith(f"{old}:"))
        text = text.replace(line, f"{line[:len(line) - len(line.lstrip())]}{old}: {new}", 1)
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_rain_is_counted_among_the_stores_and_weather_is_known(on: Ground, tmp_path: Path) -> None:
    name = changed(tmp_path / "rain.yaml", pack="solas_a", at='"6 h"', events="""\
  - {id: rain, at: "10 min", say: "It pours.", weather: {rain_mm_h: 20, wind_kn: 25}}
  - {id: dry, at: "70 min", say: "It stops.", weather: {rain_mm_h: 0}, changes: {raft_water_l: 50}}
  - {id: ship, at: "5 h", say: "A ship.", passes: {craft: ship, nm: 1.5, for: "12 min"}}""")
    lines = ["we cut the painter", "the entrances are shut", "rigged the rain catcher", *["wait 2 hours"] * 9]
    rigged, bare = (resumed(on, log(name, *kept)) for kept in (lines, [line for line in lines if "rain" not in line]))
    # an hour of 20 mm on six times 0.3 m2, half of it caught: 18 L
    assert [drill.session.state.value("water") for drill in (rigged, bare)] == [9.0 + 18, 9.0]
    known = rigged.session.state.known()
    assert (known["wind_speed"], known["raining"], known["hours_adrift"]) == (25, False, 5)  # six hours, free since the first minute
    wet = {sample.t_s / 60: sample.values["raft_water_l"] for sample in rigged.samples}
    assert wet[71] - wet[69] == pytest.approx(50, abs=0.5)


def test_what_is_drunk_is_lacked_less(on: Ground, tmp_path: Path) -> None:
    name = changed(tmp_path / "dry.yaml", pack="solas_a", begins="{water_lack_pct: 4}")
    drank, dry = (play(on, log(name, line, "wait 1 minute")) for line in ("we used 3 litres of water", "a lookout is posted"))
    lack = [played.samples[-1].values["water_lack_pct"] for played in (drank, dry)]
    assert lack[1] - lack[0] == pytest.approx(100 * 0.5 / 70, abs=0.01)  # half a litre each of six


def test_a_share_of_water_comes_out_of_the_stores(on: Ground, tmp_path: Path) -> None:
    name = changed(tmp_path / "share.yaml", pack="solas_a")
    share = replace(on.model.acts[-1], deed=Deed("told", "rest_and_sleep"))
    drill = replace(on, model=replace(on.model, acts=(share,))).drill(find(on, name), "none")
    drill.say("", "two of us are asleep, the others rest", 0.0)
    assert drill.turn is not None and drill.turn.topic == "rest_and_sleep"
    assert drill.session.state.value("water") == pytest.approx(9 - 6 * share.drinks_l)


def noticed(on: Ground, name: str, *lines: str) -> float:
    return play(on, log(name, *lines)).samples[-1].values["noticed"]


def test_signals_are_noticed_while_a_craft_is_near(on: Ground, tmp_path: Path) -> None:
    name = changed(tmp_path / "night.yaml", utc="2026-06-14T23:00", at='"40 min"', events="""\
  - {id: boat_sinks, at: "1 min", say: "She sinks.", sets: {vessel_afloat: false}}
  - {id: ship, at: "10 min", say: "A ship.", passes: {craft: ship, nm: 3, for: "12 min"}}""")
    early = noticed(on, name, "fired a parachute rocket", *["wait 20 minutes"] * 3)
    in_time = noticed(on, name, *["wait 20 minutes"] * 2, "fired a parachute rocket", *["wait 20 minutes"] * 2)
    sart = noticed(on, name, "the sart is on", *["wait 20 minutes"] * 4)
    # by itself a raft shows no more than its lamp, seen for 2 miles at most; a rocket over the sea to the horizon, a SART 5 miles
    assert early == 0 and in_time > 0.3 and sart == pytest.approx(0.5 * (1 - 3 / 5))


def test_a_craft_that_stays_is_still_in_sight(on: Ground, tmp_path: Path) -> None:
    for stays, seen in (("yes", True), ("no", False)):
        name = changed(tmp_path / f"{stays}.yaml", events=f"""\
  - {{id: ship, at: "10 min", say: "A ship.", passes: {{craft: ship, nm: 3, for: "12 min", stays: {stays}}}}}""")
        drill = resumed(on, log(name, *["wait 30 minutes"] * 3))
        assert drill.session.state.value("ship_in_sight") is seen


def test_the_stores_of_the_pack_are_known_at_the_start(on: Ground, tmp_path: Path) -> None:
    known = resumed(on, log(START)).session.state.known()
    # LSA Code 4.1.5.3: a B pack has half the signals of an A pack, no water and no food
    assert (known.get("water"), known.get("food"), known["rocket_flares"], known["hand_flares"], known["thermal_aids"]) == (None, None, 2, 3, 2)
    coastal = resumed(on, log(changed(tmp_path / "coastal.yaml", pack="coastal"), "fired a parachute rocket"))
    assert coastal.session.state.value("rocket_flares") == 0 and coastal.watch.harms == {}  # none to fire, none wasted
    ocean = resumed(on, log("warm_drift")).session.state.known()
    # LSA Code 4.1.5.1: 1.5 L and 10,000 kJ for each of six places
    assert ocean["water"] == 9 and ocean["food"] == pytest.approx(6 * 10_000 / 4.184, abs=0.1)


# ---- time

def test_acts_take_their_time_and_events_come_between(on: Ground) -> None:
    played = play(on, log(START, "wait 5 minutes", "the floor is pumped up", "wait 2 hours"))
    pumped = said(played)[0]
    assert on.started.knowledge.steps["inflate_floor_pump"].takes_s == 600 and pumped.done_s - pumped.t_s == 200  # by three hands
    times = [moment.t_s for moment in played.moments if moment.event == "boat_sinks"]
    assert times == [360.0] and played.moments.index(pumped) > [m.event for m in played.moments].index("boat_sinks")


def test_waiting_ends_when_something_happens(on: Ground) -> None:
    wait = play(on, log(START, "wait 1 hour")).moments[1]
    assert (wait.kind, wait.t_s, wait.done_s) == ("wait", 0.0, 360.0)


@pytest.mark.parametrize(("text", "seconds"), [
    ("wait 20 minutes", 1200), ("Wait for 2 h.", 7200), ("we wait half an hour", 1800), ("ok, wait another 90 s", 90), ("wait a day", 86400),
    ("wait 999 days", 864_000), ("wait", 3600), ("wait for the ship", None), ("how long do we wait 20 minutes", None), ("wait twelvety minutes", None)])
def test_waiting_is_understood(text: str, seconds: float | None) -> None:
    assert waiting_s(text) == seconds


@pytest.mark.parametrize(("text", "who", "rest"), [
    ("Ines: drogue is out", "Ines", "drogue is out"), ("ines:drogue is out", "Ines", "drogue is out"), ("note: the drogue", "", "note: the drogue"),
    ("Ines:", "", "Ines:"), ("drogue is out", "", "drogue is out")])
def test_who_speaks(text: str, who: str, rest: str) -> None:
    assert speaker(text, ("Ines", "Tomas")) == (who, rest)


@pytest.mark.parametrize("name", sorted(path.stem for path in (HERE.parent.parent / "knowledge" / "drills").glob("*.yaml") if path.stem != "model"))
def test_who_only_waits_comes_to_the_end_and_gets_little(on: Ground, name: str) -> None:
    played = play(on, log(name, *["wait 1 day"] * 200))
    assert played.finished and played.score.percent < 30 and played.ended_s == played.scenario.ends.at_s and len(played.samples) < 600
    assert all(one.done_s is None or one.opened_s == one.done_s for one in played.results)
    assert {moment.kind for moment in played.moments} <= {"event", "sign", "wait", "end"}


# ---- the same log, the same drill

def test_a_log_played_twice_is_the_same(on: Ground) -> None:
    one, other = play(on, log(TEN, *BAD)), play(on, log(TEN, *BAD))
    assert (one.moments, one.samples, one.results, one.harms, one.score) == (other.moments, other.samples, other.results, other.harms, other.score)


def test_looking_at_the_clock_changes_nothing(on: Ground) -> None:
    """A live clock asks every half second; a log does not."""
    at_once, asked = (on.drill(find(on, TEN), "none") for _ in range(2))
    at_once.say("", "the drogue is out", 500.3)
    for tenth in range(0, 5000, 7):
        asked.advance(tenth / 10)
    asked.say("", "the drogue is out", 500.3)
    assert at_once.moments == asked.moments and at_once.samples_to_now() == asked.samples_to_now()


def test_a_drill_that_was_broken_off_goes_on_as_if_it_had_not(on: Ground, tmp_path: Path) -> None:
    whole = play(on, log(TEN, *GOOD))
    half = resumed(on, log(TEN, *GOOD[:6]))
    for line in GOOD[6:]:
        half.say("", line, half.t_s)
    assert judged(half, log(TEN)).score == whole.score and tuple(half.moments) == whole.moments


def test_a_changed_scenario_is_told(on: Ground) -> None:
    same = Log(TEN, find(on, TEN).digest, "none", (), "", {}, ())
    assert play(on, same).problems == ()
    assert "has changed since" in play(on, log(TEN)).problems[0]


# ---- at a keyboard

class Hands:
    """Lines that are typed when a clock of ours has come to their time; each look at the keyboard takes its patience."""

    def __init__(self, *lines: tuple[float, str]) -> None:
        self.now, self._lines = 0.0, list(lines)

    def real(self) -> float:
        return self.now

    def next_line(self, seconds: float | None) -> str | None:
        if not self._lines:
            raise EOFError
        assert seconds is not None
        if self.now + seconds < self._lines[0][0]:
            self.now += seconds
            return None
        self.now, text = max(self.now, self._lines[0][0]), self._lines.pop(0)[1]
        return text


def at_table(on: Ground, path: Path, hands: Hands, factor: float = 1.0) -> tuple[Drill, str]:
    start = Log(START, find(on, START).digest, "none", ("Ines",), "", {}, ())
    file = LogFile.begin(path, start)
    drill, out = on.drill(find(on, START), "none"), io.StringIO()
    Table(drill, start, file, Live(0.0, factor, hands.real), hands.next_line, out).play()
    return drill, out.getvalue()


def test_a_live_drill_is_the_same_from_its_log(on: Ground, tmp_path: Path) -> None:
    drill, shown = at_table(on, tmp_path / "log", Hands((10.03, "Ines: we cut the painter"), (55.0, "the drogue is out"), (400.07, "time"), (401, "quit")))
    again = resumed(on, read_log(tmp_path / "log"))
    assert again.moments == drill.moments and again.samples_to_now() == drill.samples_to_now()
    assert "0:06:00  ** Your boat rolls over" in shown and "It is 0:07" in shown
    assert [entry.who for entry in read_log(tmp_path / "log").entries] == ["Ines", "", ""]


def test_a_pause_stops_the_clock_and_a_fast_one_runs(on: Ground, tmp_path: Path) -> None:
    paused, _ = at_table(on, tmp_path / "a", Hands((10.0, "pause"), (900.0, "go"), (901.0, "quit")))
    assert paused.t_s == pytest.approx(11.0, abs=0.2)
    fast, shown = at_table(on, tmp_path / "b", Hands((40.0, "quit")), factor=60)
    assert fast.t_s == pytest.approx(2400, abs=1) and "A ship comes by" in shown


def test_time_in_words() -> None:
    assert [span_words(t) for t in (0, 3600, 4500, 5 * 86400, 86460)] == ["0 min", "1 h", "1 h 15 min", "5 days", "1 day 1 min"]
    assert [clock_words(t) for t in (0, 59.6, 3725, 90_000)] == ["0:00:00", "0:01:00", "1:02:05", "day 2, 1:00:00"]


# ---- the command

Run = Callable[..., tuple[int, str, str]]
"""`guide drill WORDS` with typed lines → exit status, output, errors."""


@pytest.fixture
def run(on: Ground, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Iterator[Run]:
    """`guide drill WORDS` with typed lines, on ground that is read once: exit status, output, errors."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(drilling, "_ground", lambda args: on)

    def call(*words: str, typed: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        status = cli.main(["drill", *words])
        return (status, *capsys.readouterr())
    yield call


def test_a_drill_through_a_pipe_broken_off_and_gone_on_with(run: Run, tmp_path: Path) -> None:
    status, out, _ = run("run", START, "--log", "a.jsonl", "--crew", "Ines, Tomas", "--vessel", "Made Up", "--date", "2026-03-02",
                         typed="Ines: we cut the painter\nwhat now\nquit\nnever read\n")
    assert status == 0 and "no flare, smoke, beacon" in " ".join(out.split()) and "Noted: the painter is cut" in out and "guide drill resume a.jsonl" in out
    head = json.loads((tmp_path / "a.jsonl").read_text().splitlines()[0])
    assert head["crew"] == ["Ines", "Tomas"] and head["record"] == {"vessel": "Made Up", "date": "2026-03-02"}
    status, out, err = run("resume", "a.jsonl", typed="wait 1 hour\n" * 9)
    assert status == 0 and err == "" and "2 lines so far" in out and "Score " in out
    assert f"Score {play_log(tmp_path / 'a.jsonl').score.percent:.0f} of 100" in out
    # 46 CFR 28.270(d): watching and talking is instruction, never a drill (read in a summary)
    assert "no drill in the boats" in out


def test_done_says_what_it_was_taken_for_or_asks(run: Run) -> None:
    status, out, _ = run("run", "calm_coastal", "--help-level", "asked", "--clock", "turns",
                         typed="done\nwhat now\ndone\nhow do we bail?\ndone\n2\nquit\n")
    told = " ".join(out.split())
    assert status == 0 and "What is done? Say it" in told and 'Noted as done: "Leave only if' in told
    assert "Which is done: 1 Bail the water" in told and told.index("2 Send the distress call") < told.index("Noted: a distress call has gone out.")


def test_a_new_scenario_passes_the_check_and_runs(run: Run, tmp_path: Path) -> None:
    assert run("new", "Night Watch.yaml")[0] == 0
    assert run("check", "Night Watch.yaml")[:2] == (0, "1 checked: 0 problems\n")
    assert "id: night_watch" in (tmp_path / "Night Watch.yaml").read_text()
    assert run("run", "Night Watch.yaml", typed="")[0] == 0
    (tmp_path / "bad.yaml").write_text(Path(START).read_text().replace("step: drogue_stream", "step: drogue_steam"))
    status, out, _ = run("check", "bad.yaml")
    assert status == 1 and 'bad.yaml:' in out and "[K031]" in out and "^" in out


def test_the_list_and_the_model_are_shown(run: Run, on: Ground) -> None:
    assert all(f"{name}: " in run("list")[1] for name in on.scenarios)
    status, out, _ = run("model")
    assert status == 0 and "predicts nobody's survival" in out and "Teaching assumption" in out and "Source: " in out
    assert all(f"{rate} = " in out for rate in on.model.rates) and max(map(len, out.splitlines())) <= 100


@pytest.mark.parametrize(("words", "says"), [
    (("run", "warm_drit"), 'did you mean "warm_drift"'), (("run", "none.yaml"), "cannot be read"), (("run", START, "--clock", "fast"), "--clock is turns"),
    (("run", START, "--clock", "fast", "0"), "--clock is turns"), (("run", START, "--crew", "A:b"), "--crew holds"),
    (("run", START, "--crew", "Ana,ana"), "different names"), (("run", START, "--date", "today"), "YYYY-MM-DD"),
    (("run", START, "--log", "nowhere/a.jsonl"), "cannot be opened"), (("resume", "none.jsonl"), "cannot be read"), (("new", "a.txt"), ".yaml"),
    (("new", "nowhere/a.yaml"), "cannot be written"), (("check", "none.yaml"), "K001"), ((), "required"), (("fly",), "invalid choice")])
def test_misuse_is_one_line(run: Run, words: tuple[str, ...], says: str) -> None:
    status, out, err = run(*words)
    assert status == (1 if words[:1] == ("check",) else 2) and says in out + err and len(err.strip().splitlines()) <= 1


def test_a_log_that_is_there_is_not_begun_again(run: Run, tmp_path: Path) -> None:
    assert run("run", START, "--log", "a.jsonl", typed="we cut the painter\nquit\n")[0] == 0
    status, _, err = run("run", START, "--log", "a.jsonl")
    assert status == 2 and "go on with `guide drill resume a.jsonl`" in err


def test_what_is_no_log_is_neither_written_over_nor_gone_on_with(run: Run, tmp_path: Path) -> None:
    (tmp_path / "a.jsonl").write_text("mine")
    for path, says in (("a.jsonl", "not the log of a drill"), (str(tmp_path), "must be a file")):
        status, _, err = run("run", START, "--log", path)
        assert status == 2 and says in err and "name another file with --log" in err and "resume" not in err
    assert (tmp_path / "a.jsonl").read_text() == "mine"


def test_a_drill_says_where_it_is_kept_before_it_begins_and_when_it_ends(run: Run, tmp_path: Path) -> None:
    out = run("run", START, typed="quit\n")[1].splitlines()
    (path,) = tmp_path.glob("*.jsonl")
    assert f"Each line is kept in {path}" in out and out[-1].startswith(f"Kept in {path} at 0:00:00. ")


def test_a_log_of_an_unknown_scenario_is_refused(on: Ground) -> None:
    with pytest.raises(Misuse, match="there is no drill"):
        play(on, log("gone_drill"))
