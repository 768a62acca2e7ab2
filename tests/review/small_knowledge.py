"""A small knowledge of our own: two steps, a caution, an item, two packs, a dispute and a work with two clauses."""
from __future__ import annotations

from pathlib import Path

FILES = {
    "base.yaml": """\
kind: priorities
priorities:
  - {id: protection, title: protection}
  - {id: location, title: being found}
""",
    "facts.yaml": """\
kind: facts
facts:
  - {id: aboard, type: bool, about: the crew is in the raft, says: {true: you are in the raft, false: you are not in the raft}}
  - {id: dry, type: bool, about: the raft is dry, says: {true: the raft is dry, false: the raft is wet}}
  - {id: pack, type: enum, about: the kind of pack, values: [small, large]}
""",
    "works.yaml": """\
kind: sources
sources:
  - {id: code, title: A code of our own, short: Code}
clauses:
  - {id: code-1, source: code, clause: "1.1", mark: read, says: Rafts carry a bailer.}
  - {id: code-2, source: code, clause: "1.2", mark: memory, says: Bail at once.}
""",
    "items.yaml": """\
kind: equipment
equipment:
  - {id: bailer, name: bailer, what: A scoop., where: In the bag., use: Scoop water out., sources: [code-1]}
""",
    "packs.yaml": """\
kind: packs
packs:
  - {id: small, name: small pack, items: []}
  - {id: large, name: large pack, items: [{item: bailer, count: 1, sources: [code-1]}]}
""",
    "cautions.yaml": """\
kind: cautions
cautions:
  - {id: hands, say: Mind your hands., sources: [common_practice]}
""",
    "steps.yaml": """\
kind: steps
steps:
  - id: bail
    topic: water_in
    priority: protection
    say: "Bail the water out."
    why: "Wet people cool fast."
    when: ["aboard is true", "dry is not true"]
    done_when: ["dry is true"]
    needs: [bailer]
    cautions: [hands]
    sources: [code-2]
  - id: look_out
    topic: water_in
    priority: location
    say: "Keep a lookout."
    why: "Somebody may pass."
    when: ["aboard is true"]
    dispute: bailing.bail_first
    sources: [common_practice]
""",
    "topics.yaml": """\
kind: topics
topics:
  - {id: water_in, title: water in the raft, priority: protection, steps: [bail, look_out], asks: [dry]}
""",
    "disputes.yaml": """\
kind: disputes
disputes:
  - id: bailing
    question: Bail or look out first?
    positions:
      - {id: bail_first, says: Bail first., sources: [code-2]}
      - {id: look_first, says: Look out first., sources: [common_practice]}
    default: bail_first
    because: The wet do not look out well.
""",
}


def write(folder: Path, **changed: tuple[str, str]) -> Path:
    """The folder written anew; `steps=(old, new)` replaces a text in steps.yaml."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in FILES.items():
        old, new = changed.get(name.removesuffix(".yaml"), ("", ""))
        assert old in text, f"{name} does not hold {old!r}"
        (folder / name).write_text(text.replace(old, new) if old else text, encoding="utf-8")
    return folder
