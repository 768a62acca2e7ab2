"""`guide review`, `guide changes` and `guide report` on the command line."""
from __future__ import annotations

import argparse
import io
import json
import sys
from datetime import UTC, datetime
from pathlib import Path

from guide import signoff
from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.audit.running import audit
from guide.knowledge.base import Knowledge, default_folder
from guide.knowledge.claims import claims
from guide.pages import check_name, write_page
from guide.review import telling, walking
from guide.review.changes import changes
from guide.review.choosing import Standing, counted, narrowed, standings
from guide.review.folders import is_folder, knowledge_in, opened
from guide.review.report import report
from guide.review.situations import situations
from guide.signoff import NEW, STALE, Review


def parser_review() -> argparse.ArgumentParser:
    """The words of `guide review`."""
    parser = command_parser("review", "Sign what you have read: each claim that nobody reviewed yet, or that changed since.",
                            'guide review --by "A. Instructor" --only topic=drogue', "guide review --status")
    parser.add_argument("--by", metavar="NAME", help="who signs; needed to review")
    parser.add_argument("--only", action="append", default=[], metavar="NAME=VALUE",
                        help="topic, source, mark, kind, family, state or id; several narrow it down")
    parser.add_argument("--status", action="store_true", help="only count, and list what is stale, doubted or wrong (exit status 1 then)")
    parser.add_argument("--json", action="store_true", help="with --status: print JSON")
    parser.add_argument("--file", type=file_path, metavar="FILE", help=f"the file of reviews; {signoff.FILE} beside the knowledge if left out")
    parser.add_argument("--knowledge", type=file_path, metavar="DIR", help="another knowledge folder")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="your vessel's own file, reviewed with it")
    return parser


def run_review(words: list[str]) -> int:
    """Carry out `guide review`: 0 fine, 1 something is stale, doubted or wrong (`--status`), 2 misuse."""
    return carry_out(parser_review(), words, _review)


def _review(args: argparse.Namespace) -> int:
    folder = args.knowledge or default_folder()
    knowledge = knowledge_in(folder, args.overlay)
    path = args.file or folder / signoff.FILE
    every = standings(claims(knowledge), signoff.latest(signoff.read(path)))
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
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    signed = 0
    for number, standing in enumerate(queue, 1):
        print("\n".join(["", *walking.claim_lines(standing, knowledge, number, len(queue))]))
        answer = _asked()
        if answer.word == "quit":
            break
        if answer.word != "skip":
            at = datetime.now(UTC).replace(microsecond=0).isoformat()
            signoff.append(path, Review(standing.claim.id, standing.claim.digest, answer.word, answer.note, by, at))
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


def parser_changes() -> argparse.ArgumentParser:
    """The words of `guide changes`."""
    parser = command_parser("changes", "How two states of the knowledge differ: what is added, dropped, reworded, re-sourced, and what comes "
                            "next in standard situations. A state is a folder or, where there is none of that name, a git revision.",
                            "guide changes HEAD~3", "guide changes old_knowledge knowledge --markdown")
    parser.add_argument("old", metavar="OLD", help="a folder, or a git revision of the knowledge folder")
    parser.add_argument("new", metavar="NEW", nargs="?", help="the same; the knowledge as it is now if left out")
    parser.add_argument("--folder", type=file_path, metavar="DIR", help="the folder whose revisions are meant; the shipped one if left out")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", dest="form", action="store_const", const="json", help="print JSON")
    form.add_argument("--markdown", dest="form", action="store_const", const="markdown", help="print Markdown")
    return parser


def run_changes(words: list[str]) -> int:
    """Carry out `guide changes`: 0 the same, 1 it differs, 2 unreadable."""
    return carry_out(parser_changes(), words, _changes)


def _changes(args: argparse.Namespace) -> int:
    folder = args.folder or default_folder()
    old, new = opened(args.old, folder), opened(args.new or str(folder), folder)
    found = changes(old, new, situations(Path(args.new) if args.new and is_folder(Path(args.new)) else folder))
    if args.form == "json":
        print(json.dumps(telling.as_json(found)))
    else:
        print("\n".join(telling.markdown(found) if args.form == "markdown" else telling.text(found)))
    return 1 if found else 0


def parser_report() -> argparse.ArgumentParser:
    """The words of `guide report`."""
    parser = command_parser("report", "The audit report as one HTML file that needs no network: every node with its words, sources, links and "
                            "drawing, the findings, the disputes, the reading list, who signed what.",
                            "guide report audit.html", "guide report audit.html --overlay my_vessel.yaml")
    parser.add_argument("out", type=file_path, metavar="FILE.html", help="where to write it")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="your vessel's own file laid over the knowledge")
    parser.add_argument("--reviews", type=file_path, metavar="FILE", help=f"the file of reviews; {signoff.FILE} beside the knowledge if left out")
    parser.add_argument("--knowledge", type=file_path, metavar="DIR", help="another knowledge folder")
    return parser


def run_report(words: list[str]) -> int:
    """Carry out `guide report`: 0 written, 2 misuse."""
    return carry_out(parser_report(), words, _report)


def _report(args: argparse.Namespace) -> int:
    check_name(args.out)
    folder = args.knowledge or default_folder()
    knowledge_in(folder, args.overlay)
    reviews = signoff.latest(signoff.read(args.reviews or folder / signoff.FILE))
    today = datetime.now(UTC).date()
    try:
        text = report(audit(folder, overlay=args.overlay, today=today), reviews, today)
        write_page(args.out, text)
    except ModuleNotFoundError as error:
        raise Misuse(f"the report needs {error.name}; install it with: pip install 'liferaft-guide[report]'") from error
    except OSError as error:
        raise Misuse(f"{args.out}: cannot be written: {error.strerror or error}") from error
    print(f"{args.out}: {len(text.encode()) / 1e6:.1f} MB, open it in a browser.")
    return 0
