"""Nodes of the lexicon's rules as records: what clauses only seem to tell, assert nothing, undo, and how quantities are reckoned."""
from __future__ import annotations

import re

from guide.knowledge.fields import patterns_in as _pattern
from guide.knowledge.fields import text_in as _text
from guide.knowledge.fields import texts_in as _texts
from guide.knowledge.fields import value_of
from guide.knowledge.fields import yes_in as _yes
from guide.knowledge.language import RECKONED, Addressed, Doubt, Lacked, Opening, Reckoned, Reworded, Turned, Unasserted
from guide.knowledge.nodes import Node
from guide.knowledge.signs import signs


def reworded(node: Node) -> Reworded:
    """Words that are read as others."""
    f = node.fields(("because", "words", "such_as", "reads"), ("as",))
    words, instead = _pattern(f, "words"), _text(f, "as")
    try:
        re.compile(words).sub(instead, "")
    except re.error as error:
        f["as"].problem("K025", f'as: "{instead}" is nothing to read in the place of these words: {error}')
    return Reworded(node.place, _text(f, "because"), _text(f, "such_as"), _text(f, "reads"), _signs(f, words, whole=False), words, instead)


def doubt(node: Node) -> Doubt:
    """A doubt; a problem of its node where it is none."""
    f = node.fields(("because", "such_as"), ("facts", "value", "how", "unknown", "clause", "sentence", "unless"))
    how = f["how"].choice(("set", "used", "found"), "") if "how" in f else ""
    value = value_of(_text(f, "value")) if "value" in f else None
    return Doubt(_texts(f, "facts"), node.place, _text(f, "because"), _text(f, "such_as"), value, how, _yes(f, "unknown"),
                 *(_pattern(f, name) for name in ("clause", "sentence", "unless")))


def unasserted(node: Node) -> Unasserted:
    """Words that assert nothing."""
    f = node.fields(("because", "words", "such_as"))
    return Unasserted(node.place, _text(f, "because"), _text(f, "such_as"), _pattern(f, "words"))


def addressed(node: Node) -> Addressed:
    """Words said to a program."""
    f = node.fields(("because", "words", "such_as"))
    words = _pattern(f, "words")
    return Addressed(node.place, _text(f, "because"), _text(f, "such_as"), _signs(f, words), words)


def opening(node: Node) -> Opening:
    """Words that set up a what-if."""
    f = node.fields(("because", "words", "such_as"), ("as", "anywhere"))
    words = _pattern(f, "words")
    return Opening(node.place, _text(f, "because"), _text(f, "such_as"), _signs(f, words), words, _text(f, "as") if "as" in f else "what if", _yes(f, "anywhere"))


def lacked(node: Node) -> Lacked:
    """What says that a thing is not there."""
    f = node.fields(("because", "is", "where", "such_as"), ("unless",))
    so = f["is"].choice(("missing", "there"), "missing") if "is" in f else "missing"
    where = _pattern(f, "where")
    return Lacked(node.place, _text(f, "because"), _text(f, "such_as"), so == "there", _signs(f, where, whole=False, name="where"), where, _pattern(f, "unless"))


def turned(node: Node) -> Turned:
    """What undoes a fact."""
    f = node.fields(("fact", "value", "then", "such_as"))
    value = f["value"].choice(("true", "false"), "true") if "value" in f else "true"
    return Turned(_text(f, "fact"), value == "true", node.place, _pattern(f, "then"), _text(f, "such_as"))


def reckoned(node: Node) -> Reckoned:
    """How a quantity is reckoned by the words around it."""
    f = node.fields(("facts", "as", "where", "such_as"), ("unless",))
    how = f["as"].choice(RECKONED, RECKONED[0]) if "as" in f else RECKONED[0]
    return Reckoned(_texts(f, "facts"), how, node.place, _pattern(f, "where"), _text(f, "such_as"), _pattern(f, "unless"))


def _signs(fields: dict[str, Node], words: str, whole: bool = True, name: str = "words") -> tuple[str, ...]:
    """The signs of good expressions, `whole` where they match whole words; one that has none would be searched for in every text, and is noted."""
    found: set[str] = set()
    for each in _texts(fields, name) if words else ():
        own = signs(rf"\b(?:{each})\b" if whole else each)
        if not own:
            fields[name].problem("K026", f"{name}: no whole word is sure to stand in what {each!r} matches")
        found.update(own)
    return tuple(sorted(found))
