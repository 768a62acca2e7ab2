"""The kind of equipment pack that a sentence names: SOLAS A, SOLAS B, coastal."""
from __future__ import annotations

from guide.patterns import pattern

_COASTAL = pattern(r"\bcoa?stal\b(?! (?:(?:\w+ )?(?:boat|ferry|tug|vessel|ship|tanker|trawler|barge|lighter|freighter|workboat)|waters|trip|trade|afternoon|path|town|village|fishing|fisherman|fishermen)\b)")
_PACK = pattern(r"\b(?:solas|an|the|this|our|type|class|full) (a)[ -](?:pack|kit|version)\b|\b(?:solas )?(b)[ -](?:pack|kit|version)\b"
                   r"|\bsolas ([ab])\b|\bpack ([ab])\b|\b(?:pack|kit) is (?:(?:an?|the) )?(?:solas )?(?:(b)\b|(a)(?=\s*(?:$|[.,;!]|pack\b|kit\b)))|^(a)[ -]pack\b")
_OURS = pattern(r"\b(?:ours|mine|our one|this one|our (?:raft|pack|kit|bag)) (?:is|was|has|carries) (?:an? |the )?(?:type |class |solas )?(?:(b)\b|(a)(?=\s*(?:type\b|class\b)?\s*(?:$|[,;.!])))|\bpack, (?:the |an? )(?:solas )?(?:(b)\b|(a)(?=\s*(?:$|[,;.!])))")
"""Said of one's own without the word pack, or behind it: `ours is a B`, `it carries the ocean pack, the A`."""
_DENIED = pattern(r"\b(?:not|no|instead of|rather than|unlike)(?: (?:this|that|the|an?|our|your))?(?: solas)? (?:[ab]|coastal)\b(?:[ -](?:pack|kit|bag|one|version))?")
_NAMES = ("pack", "kit", "coastal", "costal", "solas", "version", "our", "mine", "this one")
"""One of these stands in whatever names a pack."""


def kind_of_pack(words: str) -> str | None:
    """The kind of pack that regular text names with the word pack or its like, and does not deny; None where it names none."""
    if not any(name in words for name in _NAMES):
        return None  # as most texts
    said = _DENIED.sub(" ", words)
    if _COASTAL.search(said):
        return "coastal"
    match = _PACK.search(said) or _OURS.search(said)
    return "solas_" + next(group for group in match.groups() if group) if match else None
