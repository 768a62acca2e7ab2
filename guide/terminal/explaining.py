"""How a sentence was read, and the words that decided, for `guide ask --explain`."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from guide.language.reading import Reader
from guide.language.utterances import Reading
from guide.language.weighing import Weighing
from guide.patterns import pattern
from guide.talk.clues import plain
from guide.talk.deciding import Weighed
from guide.terminal.wrapping import wrapped
from guide.turn import Turn


def explain_lines(turn: Turn, reader: Reader, *, width: int = 80) -> list[str]:
    """For each clause: how it was read, the words the best topic rests on, and where the second one fell behind."""
    lines: list[str] = []
    for reading in turn.readings:
        lines += wrapped(f'"{reading.clause}" - {reading.kind.replace("_", " ")}', width)
        for told in _explained(reading, reader):
            lines += wrapped(told, width, "  ", 4)
    for chosen in _chosen(turn, reader.matcher.clues):
        lines += wrapped(chosen, width)
    because = "" if lines else reader.addressing.because(turn.text)
    return lines or [f"Said to a program, no job of this guide: {because}." if because else "Nothing was read in it."]


def _chosen(turn: Turn, weighing: Weighing) -> Iterator[str]:
    """What the whole is about, by which clues, and by which the second topic fell behind."""
    if not turn.weighed:
        return
    best, *others = turn.weighed
    speaking = _parts(best, weighing)
    yield f"most likely about: {best.topic} ({100 * best.share:.0f} %), by these clues: {_clues(speaking)}"
    if others:
        second = _parts(others[0], weighing)
        against = {name: speaking.get(name, 0.0) - second.get(name, 0.0) for name in {**speaking, **second}}
        yield f"then {others[0].topic} ({100 * others[0].share:.0f} %), behind most of all in: {_clues(against)}"


def _parts(weighed: Weighed, weighing: Weighing) -> dict[str, float]:
    """What each clue to a topic comes to, and what they add taken together."""
    return {**{name: weighing.alone.get(name, 0.0) * value for name, value in weighed.clues.items()}, "clues together": weighed.together}


def _clues(parts: Mapping[str, float]) -> str:
    whole: dict[str, float] = {}
    for name, value in parts.items():
        whole[plain(name)] = whole.get(plain(name), 0.0) + value
    strongest = sorted(((value, name) for name, value in whole.items() if value > LEAST_SHOWN), reverse=True)[:_FEATURES]
    return "; ".join(f"{name} {value:+.2f}" for value, name in strongest) or "no clue in particular"


_BESTS, _FEATURES = 3, 5
LEAST_SHOWN = 0.05
"""What a clue must add to be worth a line."""
_NUMBER = pattern(r"\b[qo](?:litr|kcal|hour|knot|metr|degr|forc|bar)\w*")
"""The quantity itself, or another, among the words around it, as `guide.language.mentions` marks them (their stems)."""


def _explained(reading: Reading, reader: Reader) -> Iterator[str]:
    for told in reading.told:
        value = "an amount not said" if told.value is None else str(told.value).lower()
        yield f"tells: {told.fact} {'=' if told.how == 'set' else told.how} {value}"
        label = f"{told.fact}={value}"
        because = reader.lacking_because(reading.clause) if told.fact.startswith("has_") else ""
        if because:
            yield f"that rests on a rule: {because}"
        elif isinstance(told.value, bool):
            stands = reader.stands_for(reading.clause, told)
            if stands:
                yield f'as it stands for a thing named before: "{stands}"'
            yield f"that rests on: {_evidence(reader.matcher.rests_on('facts', reading.clause, label, _FEATURES))}"
        elif not isinstance(told.value, str):
            rests_on = reader.amounts.rests_on(reading.clause, told.fact, "used" if told.how == "issued" else told.how, _FEATURES)
            yield from (f"that rests on: {_evidence(rests_on)}",) if rests_on else ()
    if not reading.candidates:
        yield "a word to the guide itself: no topic was looked for"
        return
    best, *others = reading.candidates
    yield "topics: " + ", ".join(f"{c.label} {c.evidence:+.2f}" for c in reading.candidates[:_BESTS]) + " (above 0 speaks for it)"
    family = "reports" if reading.kind == "report" else "topics"
    speaking = reader.matcher.rests_on(family, reading.clause, best.label, 1000)
    yield f"{best.label} rests on: {_evidence(speaking[:_FEATURES])}"
    if others:
        second = {name: part for part, name in reader.matcher.rests_on(family, reading.clause, others[0].label, 1000)}
        behind = sorted(((part - second.get(name, 0.0), name) for part, name in speaking), reverse=True)
        yield (f"{others[0].label} is {best.evidence - others[0].evidence:.2f} behind, most of it for: "
               f"{_evidence(behind[:_FEATURES])}")


def _evidence(parts: Iterable[tuple[float, str]]) -> str:
    return "; ".join(f"{_feature(name)} {part:+.2f}" for part, name in parts if part > 0) or "no word in particular"


def _feature(name: str) -> str:
    """A feature of `guide.language.features` as a person reads it."""
    kind, text = name[:1], _NUMBER.sub("#", name[1:])
    one, _, two = text.partition(" ")
    if kind == "b" and "^" in (one, two) or kind == "b" and "$" in (one, two):
        return f'beginning "{two}"' if one == "^" else f'ending "{one}"'
    if kind in ("<", ">"):
        return f'"{two or one}" {"before" if kind == "<" else "behind"} it'
    if kind in ("q", "@"):
        return f"sort <{text}>" if kind == "q" else f"place or size <{text}>"
    shown = {"w": f'word "{text}"', "b": f'pair "{text}"', "s": f'"{one} ... {two}"', "c": f'letters "{text.strip("^$")}"',
             "k": f"meaning <{text}>", "j": f"meanings <{one}> <{two}>", "n": f'"{text}" denied'}
    return shown.get(kind, name)
