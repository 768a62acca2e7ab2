"""`guide audit` and `guide export`."""
from __future__ import annotations

import argparse
import json
from datetime import UTC, date, datetime

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.audit import coverage, examples, exporting, reporting, tables
from guide.audit.command import read_all
from guide.audit.describing import Describer
from guide.audit.findings import LEVELS
from guide.audit.running import audit, profile_of
from guide.knowledge.base import default_folder


def parser_audit() -> argparse.ArgumentParser:
    """The words of `guide audit`."""
    parser = command_parser("audit", "Check what the knowledge says, what it rests on and how it reads; or show what it covers.",
                            "guide audit --fail-on warning", "guide audit my_knowledge --format markdown", "guide audit --coverage --format csv")
    parser.add_argument("folder", nargs="?", type=file_path, metavar="DIR", help="a knowledge folder; the shipped one if left out")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="your vessel's own file; what came from it is marked")
    parser.add_argument("--profile", type=file_path, metavar="FILE", help="the checks and their severities; audit/profile.yaml if left out")
    parser.add_argument("--fail-on", choices=LEVELS, default="error", help="exit status 1 from this level up (error)")
    parser.add_argument("--least", choices=LEVELS, help="show from this level up (warning as text, else note)")
    parser.add_argument("--accepted", action="store_true", help="show accepted findings as well, with who accepted them and why")
    parser.add_argument("--format", choices=("text", "markdown", "json", "csv"), default="text", dest="form", help="csv goes with --coverage")
    parser.add_argument("--coverage", action="store_true", help="what is covered instead: situations by pack and conditions, works, standards")
    parser.add_argument("--checks", action="store_true", help="the checks with their examples instead, each proven on them")
    return parser


def run_audit(words: list[str]) -> int:
    """Carry out `guide audit`: 0 nothing open at the level of --fail-on, 1 something is, 2 misuse."""
    return carry_out(parser_audit(), words, _audit)


def _today() -> date:
    return datetime.now(UTC).date()


def _audit(args: argparse.Namespace) -> int:
    if args.checks:
        return _checks(args)
    if args.coverage:
        return _coverage(args)
    if args.form == "csv":
        raise Misuse("--format csv goes with --coverage")
    audited = audit(args.folder, overlay=args.overlay, profile=args.profile, today=_today())
    least = LEVELS.index(args.least or ("warning" if args.form == "text" else "note"))
    shown = [one for one in audited.findings if one.rank <= least and (args.accepted or not one.accepted)]
    shown.sort(key=lambda one: (one.rank, one.check, one.place))
    if args.form == "json":
        print(json.dumps(reporting.data(audited, shown)))
    else:
        print("\n".join(reporting.markdown_lines(audited, shown) if args.form == "markdown" else reporting.text_lines(audited, shown)))
        hidden = len(audited.open()) - len(audited.open(LEVELS[least]))
        print(*([f"{hidden} not shown: --least note"] if hidden else []), sep="\n", end="\n" if hidden else "")
    return 1 if audited.open(args.fail_on) else 0


def _checks(args: argparse.Namespace) -> int:
    profile = profile_of(args.folder or default_folder(), args.profile)
    unproven = examples.unproven(profile, _today())
    print("\n".join([*reporting.check_lines(profile), *unproven, f"{len(profile.rules)} checks, {len(unproven)} examples that do not hold"]))
    return 1 if unproven else 0


def _coverage(args: argparse.Namespace) -> int:
    if args.form == "markdown":
        raise Misuse("--coverage is text, csv or json")
    knowledge = read_all(args.folder, args.overlay)
    profile = profile_of(args.folder or default_folder(), args.profile)
    found = coverage.situations(knowledge, profile), coverage.works(knowledge), coverage.standards(knowledge, profile)
    if args.form == "json":
        print(json.dumps(tables.data(*found)))
    elif args.form == "csv":
        print(tables.csv_text(*found), end="")
    else:
        print("\n".join(tables.text_lines(*found)))
    return 0


def parser_export() -> argparse.ArgumentParser:
    """The words of `guide export`."""
    parser = command_parser("export", "The knowledge graph as GraphML, DOT or JSON node-link; the claims as CSV.",
                            "guide export graphml -o knowledge.graphml", "guide export csv -o claims.csv")
    parser.add_argument("form", choices=tuple(exporting.FORMATS), metavar="FORMAT", help=", ".join(exporting.FORMATS))
    parser.add_argument("-o", "--out", type=file_path, metavar="FILE", help="where to write it; standard output if left out")
    parser.add_argument("--knowledge", type=file_path, metavar="DIR", help="another knowledge folder")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="your vessel's own file laid over it")
    return parser


def run_export(words: list[str]) -> int:
    """Carry out `guide export`: 0 written, 2 misuse."""
    return carry_out(parser_export(), words, _export)


def _export(args: argparse.Namespace) -> int:
    describer = Describer(read_all(args.knowledge, args.overlay))
    text = exporting.FORMATS[args.form](describer)
    if args.out is None:
        print(text, end="")
        return 0
    try:
        args.out.write_text(text, encoding="utf-8", newline="")
    except OSError as error:
        raise Misuse(f"{args.out}: cannot be written: {error.strerror or error}") from error
    print(f"{args.out}: {len(describer.places)} nodes, {describer.graph.number_of_edges()} links" if args.form != "csv"
          else f"{args.out}: {len(text.splitlines()) - 1} rows")
    return 0
