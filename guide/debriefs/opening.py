"""From log files to debriefs: knowledge, scenarios and the form of the record are read once for any number of logs."""
from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from guide.arguments import Misuse
from guide.debriefs.debrief import Debrief, debrief
from guide.debriefs.form import fill_in, read_form
from guide.debriefs.season import Season, season
from guide.drills.logs import read_log
from guide.drills.opening import ground, play
from guide.knowledge.compiling import default_folder

Debriefer = Callable[[Path], Debrief]


def debriefer(folder: Path | None = None, overlay: Path | None = None) -> Debriefer:
    """What turns a log into its debrief, on the knowledge of a folder. Misuse where that, or later a log, cannot be used."""
    on = ground(folder, overlay)
    knowledge = on.started.knowledge
    form = read_form(folder or default_folder(), knowledge)

    def of(path: Path) -> Debrief:
        played = play(on, read_log(path))
        return debrief(played, fill_in(form, played, knowledge.cite), knowledge.cite)
    return of


def read_season(paths: Iterable[Path], root: Path, of: Debriefer) -> Season:
    """The season of all logs; one that cannot be used is a problem of the season and not its end.

    Raises Misuse where not one log is there.
    """
    drills: list[tuple[str, Debrief]] = []
    problems: list[str] = []
    for path in paths:
        try:
            drill = of(path)
        except Misuse as error:
            problems.append(str(error))
            continue
        drills.append((path.relative_to(root).as_posix(), drill))
        problems += drill.problems
    if not drills:
        raise Misuse(problems[0] if problems else f"{root}: no logs of drills (*.jsonl) here")
    return season(drills, problems)
