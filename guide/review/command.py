"""`guide review` on the command line."""
from __future__ import annotations

import argparse
import json
from datetime import UTC, datetime
from pathlib import Path

from guide.arguments import Misuse, carry_out, command_parser
from guide.knowledge.claims import claims
from guide.knowledge.compiling import Knowledge, default_folder
from guide.review import ledger, walking
from guide.review.choosing import Standing, counted, narrowed, standings
from guide.review.folders import knowledge_in
from guide.review.ledger import NEW, STALE, Review


def parser_review() -> argparse.ArgumentParser:
    """The words of `guide review`."""
    parser = command_parser("review", "Sign what you have read: each claim that nobody reviewed yet, or that changed since.",
                            'guide review --by "A. Instructor" --only topic=drogue', "guide review --status")
    parser.add_argument("--by", metavar="NAME", help="who signs; needed to review")
    parser.add_argument("--only", action="append", default=[], metavar="NAME=VALUE",
                        help="topic, source, mark, kind, family, state or id; several narrow it down")
    parser.add_argument("--status", action="store_true", help="only count, and list what is stale, doubted or wrong (exit status 1 then)")
    parser.add_argument("--json", action="store_true", help="with --status: print JSON")
    parser.add_argument("--file", type=Path, metavar="FILE", help=f"the file of reviews; {ledger.FILE} beside the knowledge if left out")
    parser.add_argument("--knowledge", type=Path, metavar="DIR", help="another knowledge folder")
    parser.add_argument("--overlay", type=Path, metavar="FILE", help="your vessel's own file, reviewed with it")
    return parser


def run_review(words: list[str]) -> int:
    """Carry out `guide review`: 0 fine, 1 something is stale, doubted or wrong (`--status`), 2 misuse."""
    return carry_out(parser_review(), words, _review)


def _review(args: argparse.Namespace) -> int:
    folder = args.knowledge or default_folder()
    knowledge = knowledge_in(folder, args.overlay)
    path = args.file or folder / ledger.FILE
    every = standings(claims(knowledge), ledger.latest(ledger.read(path)))
    found = narrowed(every, args.only, knowledge)
    if args.status:
        return _status(found, as_json=args.json)
    if args.json:
        raise Misuse("--json goes with --status")
    if not (args.by or "").strip():
        raise Misuse('say who signs: --by "NAME"; or --status to look only')
    chosen = any(pair.startswith(("state=", "id=")) for pair in args.only)
    queue = sorted((s for s in found if chosen or s.state in (NEW, STALE)), key=lambda s: s.state == NEW)
    return _walk(queue, knowledge, path, " ".join(args.by.split()))


def _status(found: tuple[Standing, ...], *, as_json: bool) -> int:
    amiss = walking.amiss(found)
    if as_json:
        print(json.dumps({"counts": {family: dict(counts) for family, counts in counted(found).items()},
                          "amiss": [{"claim": s.claim.id, "state": s.state, "file": s.claim.place.file, "line": s.claim.place.line,
                                     "review": s.review.line() if s.review else None} for s in amiss]}))
    else:
        print("\n".join(walking.status_lines(found)))
    return 1 if amiss else 0


def _walk(queue: list[Standing], knowledge: Knowledge, path: Path, by: str) -> int:
    """Show each claim and keep each verdict at once, until the end of the claims or of the input."""
    signed = 0
    for number, standing in enumerate(queue, 1):
        print("\n".join(walking.claim_lines(standing, knowledge, number, len(queue))))
        answer = _asked()
        if answer.word == "quit":
            break
        if answer.word != "skip":
            at = datetime.now(UTC).replace(microsecond=0).isoformat()
            ledger.append(path, Review(standing.claim.id, standing.claim.digest, answer.word, answer.note, by, at))
            signed += 1
    print(f"{signed} signed in {path}." if signed else "Nothing was signed." if queue else "Nothing is left to review.")
    return 0


def _asked() -> walking.Typed:
    while True:
        try:
            answer = walking.typed(input(walking.PROMPT))
        except EOFError:
            print()
            return walking.Typed("quit")
        if not answer.problem:
            return answer
        print(answer.problem)
