"""Finding and reading what a drill needs, and playing a log again: `play_log` is the one call for whoever reads a drill."""
from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from guide.arguments import Misuse
from guide.drills import model, scoring
from guide.drills.logs import read_log
from guide.drills.model import Model
from guide.drills.playing import Drill
from guide.drills.records import Log, Played, Scenario
from guide.drills.scenario import read_scenario, scenario_files
from guide.knowledge import compiling
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem, check_command, did_you_mean, in_one_line
from guide.starting import Started, start


@dataclass(frozen=True, slots=True)
class Ground:
    """What every drill stands on: the guide, the drill model, the scenarios of the folder by id."""

    started: Started
    model: Model
    scenarios: dict[str, Scenario]

    def drill(self, scenario: Scenario, help_level: str) -> Drill:
        """A drill at its beginning."""
        return Drill(scenario, self.model, self.started, help_level)


def read_folder(folder: Path, knowledge: Knowledge) -> tuple[dict[str, Scenario], list[Problem]]:
    """The scenarios of a knowledge folder by id, and every problem found in them."""
    problems: list[Problem] = []
    found: dict[str, Scenario] = {}
    for path in scenario_files(folder):
        if path.name == model.FILE:
            continue
        scenario = read_scenario(path, path.relative_to(folder).as_posix(), knowledge, problems)
        if scenario is None:
            continue
        if scenario.id in found:
            first = found[scenario.id].place
            problems.append(Problem(scenario.place, "error", "K030", f"drill {scenario.id} stands twice; first at {first}"))
        found.setdefault(scenario.id, scenario)
    return found, problems


def check_folder(folder: Path, knowledge: Knowledge) -> list[Problem]:
    """Every problem of a folder's drills."""
    problems = read_folder(folder, knowledge)[1]
    model.read_model(folder, knowledge, problems)
    return problems


def ground(folder: Path | None = None, overlay: Path | None = None) -> Ground:
    """The ground of a knowledge folder, the shipped one if left out. Misuse with the first problem where it cannot be used."""
    try:
        started = start(folder, overlay)
    except OSError as error:
        raise Misuse(str(error)) from error
    place = folder or compiling.default_folder()
    scenarios, problems = read_folder(place, started.knowledge)
    rates = model.read_model(place, started.knowledge, problems)
    if problems:
        raise Misuse(in_one_line(problems, check_command(folder, overlay)))
    return Ground(started, rates, scenarios)


def find(on: Ground, name: str) -> Scenario:
    """A scenario by its id, or from a file by its path. Misuse with one line where there is none, or it has problems."""
    if name in on.scenarios:
        return on.scenarios[name]
    if not name.endswith(".yaml"):
        listed = ", ".join(on.scenarios) or "none"
        raise Misuse(f'there is no drill "{name}"{did_you_mean(name, on.scenarios)}; there are: {listed}; or name a .yaml file')
    problems: list[Problem] = []
    scenario = read_scenario(Path(name), name, on.started.knowledge, problems)
    if problems or scenario is None:
        raise Misuse(in_one_line(problems, f"guide drill check {name}") if problems else f"{name}: not a scenario")
    return scenario


def play_log(path: Path, folder: Path | None = None, overlay: Path | None = None) -> Played:
    """The drill that a log holds, played again. Misuse with one line where log or scenario cannot be used."""
    return play(ground(folder, overlay), read_log(path))


def play(on: Ground, log: Log) -> Played:
    """A log played again on ground that is read already, as for a folder of logs."""
    drill = resumed(on, log)
    return judged(drill, log)


def resumed(on: Ground, log: Log) -> Drill:
    """The drill of a log, brought to where the log ends."""
    drill = on.drill(find(on, log.scenario), log.help)
    for entry in log.entries:
        drill.say(entry.who, entry.text, entry.t_s)
    return drill


def judged(drill: Drill, log: Log) -> Played:
    """The drill as it stands, with its score."""
    met, harmed = scoring.results(drill.watch, drill.t_s), scoring.harms(drill.watch)
    changed = log.digest != drill.scenario.digest
    problems = (*log.problems, *(["the scenario has changed since this log was made: times and score may differ"] if changed else []))
    return Played(drill.scenario, log, tuple(drill.moments), drill.samples_to_now(), met, harmed,
                  scoring.score(drill.scenario, drill.moments, drill.orders, met, harmed, log.help), drill.t_s, drill.over, problems)
