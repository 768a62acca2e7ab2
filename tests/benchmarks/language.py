"""Language: writers left out of the bank, general matchers on the same bank, what the thresholds trade, a bank ten times the size.

A folder of labelled sentences (`--labelled DIR`) is measured as well. Each line of its `*.jsonl` files is an object: `kind` (`question`, `report`,
`what_if` or `outside`), `text`, and as the kind asks `topics` (any of them is right), `changes` or `supposed` (fact: value), `given` (facts known).
"""
from __future__ import annotations

import argparse
import json
import math
import random
import struct
import time
import zlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from guide.knowledge import compiling
from guide.knowledge.base import Knowledge
from guide.knowledge.language import Phrase
from guide.language import training, weights, writing
from guide.language.features import Lexicon
from guide.language.labels import OUTSIDE
from guide.language.reading import Reader
from guide.language.teaching import topic_examples
from guide.starting import Started, start
from guide.talk import deciding
from guide.talk.before import Talk
from guide.talk.clues import sentence
from tests.benchmarks.matchers import MATCHERS
from tests.benchmarks.tables import show

MOST = 250
"""Questions, and refusals, of a writer that every matcher is asked; more tell little more and rapidfuzz takes its time."""
FALSE_REFUSALS = 0.03
SURE = (-0.6, -0.4, -0.2, -0.1, 0.0, 0.2, 0.4, 0.6)
TIMES = 10


class Held(NamedTuple):
    """What a reader that never saw the writer makes of one of the writer's sentences."""

    label: str
    """The topic it is about, or outside."""
    scores: Mapping[str, float]
    sureness: float
    """How sure the guide is of the best topic; 0 for other matchers."""
    clear: bool
    ms: float


def run(args: argparse.Namespace) -> bool:
    """Print the tables; whether a turn with ten times the bank costs at most four times as much."""
    knowledge, _ = compiling.load()
    if args.labelled:
        labelled(args.labelled)
    voices = sorted({phrase.voice for phrase in knowledge.language.questions})
    left_out(knowledge, args.voices or voices, random.Random(args.seed))
    return larger_bank(args.seed)


# ---- writers left out

def left_out(knowledge: Knowledge, voices: Sequence[str], chance: random.Random) -> None:
    """Each writer read with weights learned from all others, beside general matchers that had the same sentences."""
    found: dict[str, list[Held]] = {}
    for voice in voices:
        questions = _some([p for p in knowledge.language.questions if p.voice == voice], chance)
        outside = _some([p for p in knowledge.language.outside if p.voice == voice], chance)
        held = [(p.text, p.means) for p in questions] + [(p.text, OUTSIDE) for p in outside]
        found.setdefault("this guide", []).extend(_by_guide(knowledge, voice, held))
        bank = [(text, label) for text, label, who, *_ in topic_examples(knowledge) if who != voice]
        for name, made in MATCHERS.items():
            found.setdefault(name, []).extend(_by_matcher(made(bank), held))
        print(f"  {voice}: {len(questions)} questions, {len(outside)} outside")
    show(f"Writers left out ({', '.join(voices)}), the same sentences to learn from", ("matcher", "top-1 of questions", "outside refused at 3% false refusals", "ms each"),
         [(name, _top1(held), _refused(held), sum(h.ms for h in held) / len(held)) for name, held in found.items()])
    _trade_off(found["this guide"])


def _some(phrases: Sequence[Phrase], chance: random.Random) -> list[Phrase]:
    return chance.sample(list(phrases), min(MOST, len(phrases)))


def _learned(knowledge: Knowledge, voice: str) -> weights.Learned:
    """What is learned without one writer."""
    lexicon = Lexicon.of(knowledge.language.concepts)
    return weights.unpack(writing.pack("", training.learned(knowledge, lexicon, frozenset((voice,))), lexicon))


def _by_guide(knowledge: Knowledge, voice: str, held: Iterable[tuple[str, str]]) -> list[Held]:
    shipped = weights.read(compiling.default_folder() / weights.FILE)
    reader, talk, found = Reader(knowledge, _learned(knowledge, voice)._replace(clues=shipped.clues)), Talk(knowledge), []
    choosing = deciding.Deciding(reader.matcher)
    for text, label in held:
        begun = time.perf_counter()
        ranked = choosing.weighed(talk, sentence(talk, reader.read(text)))
        ms = (time.perf_counter() - begun) * 1e3
        inside = [each for each in ranked if each.topic != OUTSIDE]
        found.append(Held(label, {each.topic: math.log(each.share + 1e-12) for each in ranked}, deciding.sureness(*inside[:2]),
                          inside[0].share >= deciding.CLEAR, ms))
    return found


def _by_matcher(score: Callable[[str], dict[str, float]], held: Iterable[tuple[str, str]]) -> list[Held]:
    found = []
    for text, label in held:
        begun = time.perf_counter()
        scores = score(text)
        found.append(Held(label, scores, 0.0, False, (time.perf_counter() - begun) * 1e3))
    return found


def _inside(held: Held) -> list[tuple[float, str]]:
    return sorted(((value, label) for label, value in held.scores.items() if label != OUTSIDE), reverse=True)


def _top1(held: Sequence[Held]) -> float:
    asked = [h for h in held if h.label != OUTSIDE]
    return sum(bool(ranked := _inside(h)) and ranked[0][1] == h.label for h in asked) / len(asked)


def _distance(held: Held) -> float:
    """How far being outside leads the best topic."""
    inside = _inside(held)
    best = inside[0][0] if inside else min(held.scores.values(), default=0.0) - 1
    return held.scores.get(OUTSIDE, min(held.scores.values(), default=0.0)) - best


def _refused(held: Sequence[Held]) -> float:
    """The share of what is outside that is refused where 3% of the questions are refused as well."""
    asked = sorted((_distance(h) for h in held if h.label != OUTSIDE), reverse=True)
    limit = asked[int(len(asked) * FALSE_REFUSALS)]
    outside = [h for h in held if h.label == OUTSIDE]
    return sum(_distance(h) > limit for h in outside) / len(outside)


def _trade_off(held: Sequence[Held]) -> None:
    """What answering sooner or later trades: wrong answers against questions back, and refusals right against wrong."""
    asked, outside = [h for h in held if h.label != OUTSIDE], [h for h in held if h.label == OUTSIDE]
    rows = []
    for sure in sorted({*SURE, deciding.SURE}):
        counts = dict.fromkeys(("right", "wrong", "back", "missed"), 0)
        for h in asked:
            if _distance(h) > 0.0:
                counts["missed"] += 1
            elif h.sureness < sure and not h.clear:
                counts["back"] += 1
            else:
                counts["right" if _inside(h)[0][1] == h.label else "wrong"] += 1
        rows.append((sure, *(f"{100 * n / len(asked):.1f} %" for n in counts.values()), "<- in use" if sure == deciding.SURE else ""))
    show("What the threshold for an answer trades (questions of writers left out)",
         ("evidence and lead", "right answers", "wrong answers", "asked back", "refused", ""), rows)
    rows = [(limit, f"{100 * sum(_distance(h) > limit for h in asked) / len(asked):.1f} %", f"{100 * sum(_distance(h) > limit for h in outside) / len(outside):.1f} %",
             "<- in use" if limit == 0.0 else "") for limit in (-4.0, -3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0)]
    show("What the threshold for a refusal trades", ("lead of outside, in nepers of its share", "questions refused", "outside refused", ""), rows)


# ---- a labelled folder

def labelled(folder: Path) -> None:
    """The guide as shipped on labelled sentences, each in a talk of its own."""
    started = start()
    marks: dict[str, list[bool]] = {}
    times: list[float] = []
    for path in sorted(folder.glob("*.jsonl")):
        for line in filter(str.strip, path.read_text(encoding="utf-8").splitlines()):
            case = json.loads(line)
            if case.get("kind") in ("question", "report", "what_if", "outside") and "text" in case:
                begun = time.perf_counter()
                good = _judged(started, case)
                times.append((time.perf_counter() - begun) * 1e3)
                for name, value in good.items():
                    marks.setdefault(name, []).append(value)
    times.sort()
    show(f"Labelled sentences of {folder.name}", ("measure", "share", "of"), [(name, sum(found) / len(found), len(found)) for name, found in marks.items()])
    if times:
        show("A turn on them", ("p50 ms", "p99 ms"), [(times[len(times) // 2], times[len(times) * 99 // 100])])


def _judged(started: Started, case: Mapping[str, Any]) -> dict[str, bool]:
    session = started.session()
    session.given(case.get("given") or {})
    turn = session.answer(case["text"])
    if case["kind"] == "question":
        right = turn.outcome == "answered" and turn.topic in case["topics"]
        return {"question: right": right, "question: wrong": turn.outcome == "answered" and not right,
                "question: asked back": turn.outcome == "unsure", "question: refused": turn.outcome == "outside"}
    if case["kind"] == "outside":
        return {"outside: refused": turn.outcome == "outside"}
    found = {change.fact: change.now for change in (turn.changes if case["kind"] == "report" else turn.supposed or ())}
    wanted = case["changes" if case["kind"] == "report" else "supposed"]
    same = found.keys() == wanted.keys() and all(_same(value, found[name]) for name, value in wanted.items())
    return {f"{case['kind']}: exact": same, f"{case['kind']}: a fact that was not said": not found.keys() <= wanted.keys()}


def _same(one: object, two: object) -> bool:
    if isinstance(one, (int, float)) and isinstance(two, (int, float)) and not isinstance(one, bool) and not isinstance(two, bool):
        return abs(one - two) <= max(0.02 * abs(one), 0.051)
    return one is two if isinstance(one, bool) or isinstance(two, bool) else one == two


# ---- a larger bank

def larger_bank(seed: int) -> bool:
    """A turn with the shipped weights, and with ten times the features and words in them."""
    shipped = start()
    data = (compiling.default_folder() / weights.FILE).read_bytes()
    larger = Started(shipped.knowledge, weights.unpack(_enlarged(data, TIMES)))
    language = compiling.load()[0].language
    texts = random.Random(seed).sample([p.text for p in (*language.questions, *language.facts)], 400)
    rows = [(name, *_turn_times(started, texts)) for name, started in (("the bank", shipped), (f"{TIMES} times the bank", larger))]
    show("A turn by the size of the bank", ("bank", "mean ms", "p99 ms"), rows)
    return rows[1][1] <= 4 * rows[0][1]


def _turn_times(started: Started, texts: Sequence[str]) -> tuple[float, float]:
    times = []
    for text in texts:
        session = started.session()
        begun = time.process_time()
        session.answer(text)
        times.append((time.process_time() - begun) * 1e3)
    times.sort()
    return sum(times) / len(times), times[len(times) * 99 // 100]


def _enlarged(data: bytes, times: int) -> bytes:
    """A weights file in which each feature stands `times` times, the copies under names that no sentence shows, and each word too."""
    size = struct.unpack_from("<I", data, 14)[0]
    head = json.loads(data[18:18 + size])
    at = 18 + size
    words = []
    for family in head["families"]:
        found = data[at:at + family["words"]].decode().split("\n")
        at += family["words"]
        words.append("\n".join(sorted({*found, *(f"{word[:2]}{chr(97 + n)}{word[2:]}" for word in found for n in range(times - 1))})).encode())
        family["words"] = len(words[-1])
    at = len(data) - head["table"] + 4 * (head["buckets"] + 1)
    records: list[list[bytes]] = [[] for _ in range(head["buckets"] * times)]
    while at < len(data):
        name = data[at + 1:at + 1 + data[at]]
        rest = at + 1 + data[at]
        stop = rest + len(head["families"]) + 2 * sum(data[rest:rest + len(head["families"])])
        for n in range(times):
            other = name + (b"~%d" % n if n else b"")
            records[zlib.crc32(other) % len(records)].append(bytes((len(other),)) + other + data[rest:stop])
        at = stop
    starts = [0]
    for bucket in records:
        starts.append(starts[-1] + sum(map(len, bucket)))
    head["buckets"] = len(records)
    table = b"".join([struct.pack(f"<{len(starts)}I", *starts), *(b for bucket in records for b in bucket)])
    return writing.assembled(head, words, table)
