"""`guide drill`: list, write, check, run and go on with drills, and show the drill model."""
from __future__ import annotations

import argparse
import math
import re
import sys
import textwrap
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.safe import safe

if TYPE_CHECKING:
    from guide.drills.clocks import Clock
    from guide.drills.logs import LogFile
    from guide.drills.model import Basis, Model
    from guide.drills.opening import Ground
    from guide.drills.playing import Drill
    from guide.drills.records import Log
    from guide.knowledge.base import Knowledge

WIDTH = 80
MOST_CREW, LONGEST_NAME, FASTEST = 40, 40, 1000


def parser_drill() -> argparse.ArgumentParser:
    """The words of `guide drill`."""
    parser = command_parser("drill", "Rehearse leaving ship against the clock.", "guide drill list",
                            'guide drill run winter_night --crew "Ines,Tomas" --help-level asked',
                            "guide drill resume winter_night-20260114-194000.jsonl", "guide drill new mine.yaml")
    parser.add_argument("--knowledge", type=file_path, metavar="DIR", help="another knowledge folder")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="your vessel's own raft, bag, numbers and choices")
    actions = parser.add_subparsers(dest="action", required=True, metavar="list|new|check|run|resume|model")
    actions.add_parser("list", help="the drills there are")
    actions.add_parser("new", help="write a commented start of a scenario").add_argument("file", type=file_path, metavar="FILE.yaml")
    actions.add_parser("check", help="name what is wrong with scenarios").add_argument("files", nargs="*", type=file_path, metavar="FILE")
    actions.add_parser("model", help="the simulated raft: rates, sources, limits")
    run = actions.add_parser("run", help="play a drill, by name or from a .yaml file")
    run.add_argument("name", metavar="DRILL", help="the name of one that `guide drill list` shows, or a .yaml file")
    run.add_argument("--help-level", choices=("full", "asked", "none"), help="advice: always, on request and counted, none")
    run.add_argument("--crew", default="", metavar="A,B", help="who takes part; `A: text` then says who speaks")
    run.add_argument("--log", type=file_path, metavar="FILE", help="where to keep what is typed; a new file in the folder one is in, if left out")
    run.add_argument("--vessel", default="", help="for the record of the drill")
    run.add_argument("--date", default="", metavar="YYYY-MM-DD", help="for the record of the drill; today if left out")
    resume = actions.add_parser("resume", help="go on with the drill of a log")
    resume.add_argument("log", type=file_path, metavar="LOG")
    for command in (run, resume):
        command.add_argument("--clock", nargs="+", default=["turns"], metavar="HOW",
                             help="turns (acts and waiting take time), live, or fast N (N times as fast)")
    return parser


def run_drill(words: list[str]) -> int:
    """Carry out `guide drill`: 0 fine, 1 problems found by `check`, 2 misuse."""
    return carry_out(parser_drill(), words, lambda args: _ACTIONS[args.action](args))


def _ground(args: argparse.Namespace) -> Ground:
    from guide.drills.opening import ground
    return ground(args.knowledge, args.overlay)


def _list(args: argparse.Namespace) -> int:
    from guide.commands.conducting import span_words
    for scenario in _ground(args).scenarios.values():
        print(f"{scenario.id}: {scenario.title} ({span_words(scenario.ends.at_s)}, help {scenario.help})")
        print(textwrap.fill(scenario.about, WIDTH, initial_indent="  ", subsequent_indent="  "))
    return 0


def _new(args: argparse.Namespace) -> int:
    """A start with the file's name as its id; a file that is there is left alone."""
    if args.file.suffix != ".yaml":
        raise Misuse(f"{args.file}: name a file that ends in .yaml")
    start = (Path(__file__).resolve().parent.parent / "drills" / "start.yaml").read_text(encoding="utf-8")
    name = re.sub(r"\W+", "_", args.file.stem.lower()).strip("_") or "my_drill"
    try:
        with args.file.open("x", encoding="utf-8") as out:
            out.write(start.replace("id: my_drill", f"id: {name}", 1))
    except OSError as error:
        raise Misuse(f"{args.file}: cannot be written: {error.strerror or error}") from error
    print(f"{args.file} written. Change it, then: guide drill check {args.file}; guide drill run {args.file}")
    return 0


def _check(args: argparse.Namespace) -> int:
    from guide.drills.opening import check_folder
    from guide.drills.scenario import read_scenario
    from guide.knowledge import compiling
    from guide.knowledge.problems import Problem, render
    folder = args.knowledge or compiling.default_folder()
    knowledge, _ = compiling.load(folder, bank=False, overlay=args.overlay)
    problems: list[Problem] = []
    for file in args.files:
        read_scenario(file, str(file), knowledge, problems)
    if not args.files:
        problems = check_folder(folder, knowledge)
    for problem in sorted(set(problems)):
        print(render(problem, Path() if args.files else folder))
    print(f"{len(args.files) or 'all'} checked: {len(problems)} problem{'' if len(problems) == 1 else 's'}")
    return 1 if problems else 0


def _run(args: argparse.Namespace) -> int:
    from guide.drills.logs import LogFile
    from guide.drills.opening import find
    from guide.drills.records import Log
    now = datetime.now(UTC).replace(microsecond=0)
    record = {"vessel": args.vessel, "date": _day(args.date) if args.date else now.date().isoformat()}
    crew, clock = _crew(args.crew), _clock(args.clock, 0.0)
    on = _ground(args)
    scenario = find(on, args.name)
    log = Log(args.name, scenario.digest, args.help_level or scenario.help, crew, now.isoformat(), record, ())
    path = args.log or Path(f"{scenario.id}-{now:%Y%m%d-%H%M%S}.jsonl")
    if path.exists():
        raise Misuse(_taken(path))
    file = LogFile.begin(path, log)
    drill = on.drill(scenario, log.help)
    for line in _opening(drill, log, path):
        print(line)
    return _play(drill, log, file, clock)


def _taken(path: Path) -> str:
    """What to do about a log's place that is taken: only a log can be gone on with."""
    from guide.drills.logs import read_log
    try:
        read_log(path)
    except Misuse as error:
        return f"{error}; name another file with --log"
    return f"{path} is there already: go on with `guide drill resume {path}`, or name another with --log"


def _resume(args: argparse.Namespace) -> int:
    from guide.commands.conducting import clock_words
    from guide.drills.logs import LogFile, read_log
    from guide.drills.opening import judged, resumed
    file, log = LogFile.go_on(args.log), read_log(args.log)
    _clock(args.clock, 0.0)
    drill = resumed(_ground(args), log)
    for problem in judged(drill, log).problems:
        print(f"guide drill: {safe(problem)}", file=sys.stderr)
    print(f"{drill.scenario.title}: at {clock_words(drill.t_s)}, {len(log.entries)} lines so far.")
    return _play(drill, log, file, _clock(args.clock, drill.t_s))


def _play(drill: Drill, log: Log, file: LogFile, clock: Clock) -> int:
    from guide.commands.conducting import Table, clock_words, keyboard, score_lines
    from guide.drills.opening import judged
    table = Table(drill, log, file, clock, keyboard(sys.stdin, live=clock.live), prompt="> " if sys.stdin.isatty() else "")
    try:
        table.play()
    finally:
        file.close()
    if drill.over:
        print()
        for line in score_lines(judged(drill, log)):
            print(line)
        print(f"Kept in {file.path.absolute()}. Talk it through: guide debrief {file.path}")
        print(textwrap.fill(drill.model.said("after"), WIDTH))
    else:
        print(f"Kept in {file.path.absolute()} at {clock_words(drill.t_s)}. Go on with: guide drill resume {file.path}")
    return 0


def _opening(drill: Drill, log: Log, path: Path) -> Iterator[str]:
    scenario = drill.scenario
    advice = {"full": "The guide advises after every line.", "asked": "The guide advises when you ask; it counts.",
              "none": "The guide gives no advice."}[log.help]
    yield scenario.title
    for text in (scenario.about, scenario.setting.told):
        yield from ("", textwrap.fill(text, WIDTH))
    names = f" Begin a line with a name and a colon to say who speaks: {', '.join(log.crew)}." if log.crew else ""
    yield from ("", textwrap.fill(f"{advice} Say what you have done and what you see (the drogue is out); an order alone "
                                  "changes nothing. `wait 20 minutes` (or `wait`) lets time pass; `time`, "
                                  f"`pause`, `go`, `quit`.{names}", WIDTH), textwrap.fill(drill.model.said("before"), WIDTH), "",
                f"Each line is kept in {path.absolute()}", "")
    if log.help == "full":
        yield from (f"next: {shown.say}" for shown in drill.moments[0].next)


def _model(args: argparse.Namespace) -> int:
    on = _ground(args)
    for line in _model_lines(on.model, on.started.knowledge):
        print(line)
    return 0


def _model_lines(model: Model, knowledge: Knowledge) -> Iterator[str]:
    yield textwrap.fill(model.about, WIDTH)
    yield from ("", "Rates")
    for rate in model.rates.values():
        yield from _row(f"{rate.id} = {rate.value:g} {rate.unit}", f"{rate.about}. {_basis(rate.basis, knowledge)}")
    yield from ("", "Craft that come by")
    for craft in model.craft.values():
        yield from _row(f"{craft.id}: eye at {craft.eye_m:g} m, attention {craft.attention:g}", _basis(craft.basis, knowledge))
    yield from ("", "What can be noticed")
    for signal in model.signals:
        light = f"{signal.cd:g} cd at {signal.height_m:g} m" if signal.cd else f"{signal.reach_nm:g} nm"
        yield from _row(f"{signal.id}: {light}{', by ' + signal.by if signal.by else ''}", _basis(signal.basis, knowledge))
    yield from ("", "Limits")
    for limit in model.limits:
        yield textwrap.fill(limit, WIDTH, initial_indent="  ", subsequent_indent="    ")
    yield from ("", *(textwrap.fill(f"{notice.say} Source: {'; '.join(map(knowledge.cite, notice.sources))}.", WIDTH) for notice in model.notices))


def _row(head: str, text: str) -> Iterator[str]:
    yield "  " + head
    yield textwrap.fill(text, WIDTH, initial_indent="      ", subsequent_indent="      ")


def _basis(basis: Basis, knowledge: Knowledge) -> str:
    if basis.assumed:
        return f"Teaching assumption: {basis.assumed}."
    return "Source: " + "; ".join(knowledge.cite(source) for source in basis.sources) + "."


def _crew(text: str) -> tuple[str, ...]:
    names = [" ".join(name.split()) for name in text.split(",") if name.strip()]
    wrong = [name for name in names if len(name) > LONGEST_NAME or not name.isprintable() or ":" in name]
    if wrong or len(names) > MOST_CREW or len({name.casefold() for name in names}) < len(names):
        raise Misuse(f"--crew holds up to {MOST_CREW} different names with commas between, each of up to {LONGEST_NAME} letters without a colon")
    return tuple(names)


def _clock(words: list[str], at_s: float) -> Clock:
    from guide.drills.clocks import Live, Turns
    if words == ["turns"]:
        return Turns(at_s)
    if words == ["live"]:
        return Live(at_s)
    if len(words) == 2 and words[0] == "fast" and re.fullmatch(r"\d{1,4}(\.\d+)?", words[1]):
        factor = float(words[1])
        if math.isfinite(factor) and 1 <= factor <= FASTEST:
            return Live(at_s, factor)
    raise Misuse(f'--clock is turns, live, or fast N with N from 1 to {FASTEST}, not "{" ".join(words)}"')


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise Misuse(f'--date is a day as YYYY-MM-DD, not "{text}"') from None


_ACTIONS = {"list": _list, "new": _new, "check": _check, "run": _run, "resume": _resume, "model": _model}
