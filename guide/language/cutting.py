"""An utterance cut into sentences and clauses."""
from __future__ import annotations

import re
from itertools import takewhile

from guide.language.clauses import asks, has_verb
from guide.language.numbers import NUMBER_WORDS
from guide.language.wording import and_for_an, tokens
from guide.patterns import pattern

_SENTENCE = pattern(r"(?<=[.!?;])\s+|\s+(?:-|\|)\s+(?!(?:true or false|yes or no)\b)|\n")
_JOIN = pattern(r"\s*(?:,(?!\d)|;|:(?!\d\d\b))\s*|\s+(?:omg|lol|haha)\s+|(?<!\ball)(?<!everyone)(?<!everybody)(?<!nobody)(?<!anything)(?<!nothing)\s+but\s+|\s+(?:then|though|although|plus|cos|because|while|so(?= (?:that (?:leaves|makes|gives)|there|it|we|that's|that is|i|they|he|she|\d+|how|what|where|when|who|which|should|shall|can|could|may|must)\b))\s+|(?<!^and)(?<!^but)(?<!^so)(?<!^or)\s+with\s+(?=(?:the|our|both|all|a|an|its|his)\s+\S+(?:\s+\S+)?\s+(?:shut|closed|open|out|up|torn|flat|streamed|down)\s*(?:$|[,.;:?!]|and\b))|(?<!\bme)(?<!myself)(?!(?<=\baway)\s+and \w+ing\b)\s+(?:and|&)\s+(?=\S+\s+\S)", re.IGNORECASE)
_AMOUNT_AND = pattern(r"\b(and)(?= (?:a |one |three[ -])?(?:half|quarters?)\b(?! (?:full|empty|filled)))|(?<=hundred )and\b|(?<=thousand )and\b", re.IGNORECASE)
_NOUN_PHRASE = 4
"""Words of a thing that is named."""
_COUNTS = frozenset(NUMBER_WORDS) | frozenset("me us we i you he she they it".split())
_STARTS = pattern(r" (?=(?:it's|it is|its (?:not|an?|the|all|so|too|just|gone|got|been|really|still|now|dark|cold|\w+ing?)|they'?re|they (?:are|were)|s?he'?s|s?he (?:is|has|was)|"
                  r"(?:s?he|they|we|i) (?:can(?:no|'?)t|will not|wo?n'?t|do(?:es)? ?n[o']?t|did ?n[o']?t)|we (?:just|all|both) (?:in|inside|aboard)|"
                  r"i'?m|i am|we're|we are|we (?:have|need|got|'ve got|gotta) to (?:go|leave|get|abandon|jump|run)|nobody(?:'?s| is| has)|every(?:one|body)(?:'?s| is| has)|there'?s|there (?:is|are)|"
                  rf"(?:{'|'.join(sorted(NUMBER_WORDS))}|\d+|some) of us)\b)", re.IGNORECASE)
_ONE_MISSING = pattern(r" (?=(?!who|which|that|what|it|one|nobody|anyone|anybody|everyone|everybody|is|and|or)[a-z]{2,}(?:'s| is) missing\b)", re.IGNORECASE)
"""Where somebody is said to be missing: `four of us in the raft Dave is missing`."""
_BEGIN = frozenset("i its it theyre they hes he shes she we were im nobody nobodys everyone everyones everybody everybodys theres there".split())
"""Words, without their marks, of which one stands where a subject begins with its verb, but for `I am` and `two of us`."""
_OUT_THERE = pattern(r"\b(?:out|over|up|down|in|from|back) there$", re.IGNORECASE)
_OF_US = pattern(r"\S+ of us\b", re.IGNORECASE)
"""Some of the crew, on whom something may show: `the skin is red on three of us`."""
_ASKS_ON_ITS_OWN = pattern(r" (?=(?:(?:can|do|does|should|shall|could|must) (?:we|i|he|she|they|you)|(?:wh?[ao]t|how|where|when|who) (?:do|does|is|are|can|should|now|first|goes|gets)|how (?:long|far|many|much|often) (?:have|has|do|does|can|will|would|is|are|should)|is (?:it|that) an?)\b)",
                           re.IGNORECASE)
_ONLY_HAVE = pattern(r" (?=we(?:'?ve)? only (?:got|have|had)?\b)", re.IGNORECASE)
_BINDS = frozenset("that if when where what how why who which whether because cos as than says said say think thinks thought reckon reckons hope hoping know knows "
                   "sure wish until till til once before after unless while so but and or nor like since though although feel feels see sees told tell guess mean "
                   "take taking lift lifting pick picking move moving send sending winch hoist rescue winching rescuing sent moved taken passed lost lifted took winched picked hoisted rescued carried hit hurt knocked threw caught struck swept saved bet afraid doubt doubts doubted worried dreamt dreamed scared frightened hoping pray whatever wherever whenever way time moment day place the a an is are was be to of in at for with by from then now no yes ok right "
                   "dreaming swears swear claims claim insists reckoned believe believes imagining pretending shouting saying shouts keeps thinking dreamt dreams certain bets betting "
                   "have has had got with between among per than about around just only all still every each single last any another "
                   "suppose supposing imagine pretend assume assuming case imagining think say does did do can will would should could might may must not".split())
"""Words after which a new subject still belongs to what came before."""
_BEHIND_VERBS = frozenset("up off out".split())
"""Words that such a word may have behind it."""
_TELLS = frozenset("tell told show ask asked tells".split())
_NEITHER = pattern(r"\bneither (?:the |our |my )?(\S+(?: \S+){0,2}?),? (?:nor|or) (?:the |our |my )?(\S+(?: \S+){0,2}?) (is|are|was|were|has been|have been|has|have) (.+)", re.IGNORECASE)
_HAVE_NEITHER = pattern(r"\b((?:there (?:is|are|was|were)|(?:i|we|you|they)(?: have|'ve)?(?: got)?|have|had|got|with)) neither (?:a |an |any )?(\S+(?: \S+)?),? n?or (?:a |an |any )?"
                        r"(\S+(?: \S+)?)((?: (?:in|on|aboard|left|to|at|with)\b.*)?)$", re.IGNORECASE)
_NONE = r"(?:(?:and|but|so|now) )?(?:(?:(?:i|we|they)(?: have|'ve)?(?: got)?|there (?:is|are|was|were)|have|got) )?no (?:more )?|(?:i|we|they|there) (?:have|has|do|are|ai)(?:n't| not)(?: have| got)? any "
_OUT_OF = r"(?:(?:i|we|they)(?: are|'re) )?(?:(?:now|all|completely|clean) )*out of "
_NONE_OF_TWO = tuple(pattern(rf"^({lead})(\S+(?: (?!or\b|and\b)\S+)?),? (?:{join}) (?:any )?(\S+(?: (?!left\b|now\b|here\b|in\b|on\b|at\b|to\b|any)\S+)?)((?: (?:left|now|here|in|on|at|to|any)\b[^,;]*)?)\W*$", re.IGNORECASE)
                     for lead, join in ((_NONE, "or"), (_OUT_OF, "or|and")))
"""`no rockets or smokes left`, `out of food and water`: what is denied of both."""
_SO_IS = pattern(r"^(.{2,40}?)(?:'s| (is|are)) (\S+(?: \S+){0,3}?),? (?:and )?so (is|are) ((?:the |our )?\S+(?: \S+)?)\W*$", re.IGNORECASE)
_OTHER_IS_NOT = pattern(r"^((?:the |our |my )?\w+(?: \w+){0,2}?)(?:'s| (is|are)) (on|off|out|up|in|shut|closed|open|rigged|set|streamed|working|firm|hard),? (?:and |but |while )?((?:the |our |my )?\w+(?: \w+)?) (?:is|are)(?:n['o]?t| not)(?! \w+ing\b)(?: yet)?(\W*$|[,;.].*$)", re.IGNORECASE)
"""`the beacon's on, the transponder isn't`"""
_BOTH_SO = pattern(r"^((?:the |our |my |both |both the )?\w+(?: \w+)?) (?:and|&) ((?:the |our |my )?\w+(?: \w+)?) (?!(?:is|are|was|were|has|have)\b)(on|off|out|up|shut|closed|open|rigged|set|streamed|working)(\W*$|[,;.].*$)", re.IGNORECASE)
"""`beacon and transponder on, floor pumped up`"""
_TWO_STATES = pattern(r"^((?:(?:and |but |now |so )*)(?:the |our |my )?(?:it(?=s )|\w+))(?:'?s| (is|are|was)) ((?:not )?\w+)(?: now| as well| too)? (?:and|or) (\w+)\W*$", re.IGNORECASE)
"""`it's dark and raining`: two states of one."""
_SWITCHED = pattern(r"^(.{0,20}\b(?:switched|turned) (?:on|off)) ((?:the |our )?\w+(?: \w+)?) and ((?:the |our )?\w+(?: \w+)?)\W*$", re.IGNORECASE)
"""`we switched on the beacon and the transponder`"""
_NEITHER_IS = pattern(r"^(.*?)(?:'s| is| are|s|) (not|never) (.+?),? (?:and )?(?:neither|nor) (?:is|are|has|have|was|were) ((?:the |our |my )?\S+(?: \S+)?)\W*$", re.IGNORECASE)
_BOTH = pattern(r"\bboth (?=\S+ (?:\S+ )?and )", re.IGNORECASE)
_SEVERAL_ARE = pattern(r"\b(?:are|were|have|both)\b.*", re.IGNORECASE)
_AND = pattern(r"\s+(?:and|&)\s+", re.IGNORECASE)


_BY_THE_WAY = pattern(r",? (?:say|for example|for instance|as yet|so far|as of now|of course|sadly|alas|indeed|however|unfortunately|in fact|for now|at present|to my knowledge|I fear|I think|(?:forgive|pardon|excuse) (?:me|the \w+|my \w+)),", re.IGNORECASE)
_DENIED_SO_FAR = pattern(r"\b((?:is|are|was|were|has|have|had|do|does|did|can|could|will|would)(?: not|n't| never)|cannot|never),\s+", re.IGNORECASE)
"""A denial that a comma parts from what it denies: `I have not, as yet, made a call`."""
_NO_WHOLE = pattern(r"(?<![\w.,])[.,](?=\d)")
"""The point of a number that is less than one, which no sentence ends with: `.5 litres`."""
_PARTED_PLACE = pattern(rf"((?:\bnorth|\bsouth|\d ?[ns])) ?(?:, ?|,? ?and )(?=(?:lon(?:g|gitude)? )?(?:\d|(?:{'|'.join(sorted(NUMBER_WORDS))})\b)[^,;:?!]*?(?:east|west|[ew])\b)", re.IGNORECASE)
"""A position that a comma or a word parts: `50 north, 5 west`."""


_NONE_OF = pattern(r"^\s*(?:no )?([a-z][a-z ]{2,25}): *(?:none|nobody|no one|nil|zero|no|nothing|0)\W*$", re.IGNORECASE)
"""`man overboard: none`"""
_SO_MANY = pattern(r"\b(used|caught|found|collected|drank|ate|lost|spent|gathered)(?: so far)?:(?= )", re.IGNORECASE)
"""`used: 2 litres`"""


def cut(text: str) -> list[str]:
    """The pieces of an utterance between stops, commas, joining words, and where the next statement runs on without any."""
    pieces: list[str] = []
    for sentence in _SENTENCE.split(_NO_WHOLE.sub("0.", text) if "." in text or "," in text else text):
        if "," in sentence:
            sentence = _DENIED_SO_FAR.sub(r"\1 ", _BY_THE_WAY.sub("", sentence))
        if "," in sentence or " and " in sentence:
            sentence = _PARTED_PLACE.sub(r"\1 ", sentence)
        kept = _shared(and_for_an(sentence))
        kept = _AMOUNT_AND.sub("\0", kept) if "and" in kept.lower() else kept
        parts = [p.replace("\0", "and").strip(" ,.!?;:-") for p in _JOIN.split(kept)]
        pieces += [p for part in parts for p in _run_on(part) if tokens(p)]
    return pieces


def _shared(sentence: str) -> str:
    """`beacon and transponder are on` as `beacon are on and transponder are on`: what several share is said of each."""
    said = sentence.lower()
    denies_both = "neither" in said or "nor " in said
    neither = _NEITHER.search(sentence) if denies_both else None
    if neither:
        one, two, verb, rest = neither.groups()
        return f"{sentence[:neither.start()]}{one} {verb} not {rest} and {two} {verb} not {rest}"
    so = _SO_IS.search(sentence) if "so " in said else None
    if so:
        return f"{so[1]} {so[2] or so[4]} {so[3]} and {so[5]} {so[4]} {so[3]}"
    nor = _NEITHER_IS.search(sentence) if denies_both else None
    if nor:
        return f"{nor[1]} is {nor[2]} {nor[3]} and {nor[4]} is {nor[2]} {nor[3]}"
    but = _OTHER_IS_NOT.search(sentence) if "n't" in said or "nt" in said or " not" in said else None
    if but:
        return f"{but[1]} {but[2] or 'is'} {but[3]} and {but[4]} is not {but[3]}{but[5]}"
    both = _BOTH_SO.match(sentence) if " and " in said else None
    if both and _COUNTS.isdisjoint(tokens(f"{both[1]} {both[2]}")) and not has_verb(both[1]):
        return f"{both[1]} {both[3]} and {both[2]} {both[3]}{both[4]}"
    two = _TWO_STATES.match(sentence) if " and " in said or " or " in said else None
    if two and _COUNTS.isdisjoint(tokens(f"{two[3]} {two[4]}")) and not asks(sentence):
        return f"{two[1]} {two[2] or 'is'} {two[3]} and {two[1]} {two[2] or 'is'} {two[4]}"
    switched = _SWITCHED.match(sentence) if " and " in said else None
    if switched:
        return f"{switched[1]} {switched[2]} and {switched[1]} {switched[3]}"
    have = _HAVE_NEITHER.search(sentence) if denies_both else None
    if have:
        verb, one, two, rest = have.groups()
        return f"{sentence[:have.start()]}{verb} no {one}{rest} and {verb} no {two}{rest}"
    none = next((found for each in _NONE_OF_TWO if (found := each.match(sentence))), None) if " or " in said or "out of " in said else None
    if none:
        lead, one, two, rest = none.groups()
        return f"{lead}{one}{rest} and {lead}{two}{rest}"
    joined = _AND.split(_BOTH.sub("", sentence), maxsplit=1)
    if len(joined) == 1 or "," in joined[0] or has_verb(joined[0]) or len(tokens(joined[0])) > _NOUN_PHRASE:
        return sentence
    share = _SEVERAL_ARE.search(joined[1])
    subject = joined[1][:share.start()] if share else ""
    if not share or "," in subject or not tokens(subject) or len(tokens(subject)) > _NOUN_PHRASE or not _COUNTS.isdisjoint(tokens(f"{joined[0]} {subject}")):
        return sentence
    return f"{joined[0]} {_AND.split(share[0])[0]} and {joined[1]}"


def _run_on(piece: str) -> list[str]:
    """A piece without stops cut where a new subject with its verb begins, or a question: `beacon's dead it's not flashing what do we do`."""
    words = piece.lower().replace("'", "").split()
    for start in _STARTS.finditer(piece) if not _BEGIN.isdisjoint(words) or "us" in words or "am" in words else ():
        before = tokens(piece[:start.start()])
        if _OUT_THERE.search(piece, 0, start.start() + len(" there")) or before[-1:] == ["on"] and _OF_US.match(piece, start.end()):
            continue
        if len(before) > 1 and not _binds(before) and before[-2] not in _TELLS and not asks(piece):
            return [piece[:start.start()], *_run_on(piece[start.end():])]
    missing = _ONE_MISSING.search(piece) if "missing" in words else None
    if missing and len(tokens(piece[:missing.start()])) > 1 and not _binds(tokens(piece[:missing.start()])) and not asks(piece):
        return [piece[:missing.start()], piece[missing.end():]]
    only = _ONLY_HAVE.search(piece)  # behind a question as well: `how long till they come we only got three litres`
    if only and len(tokens(piece[:only.start()])) > 2 and tokens(piece[:only.start()])[-1] not in _BINDS:
        return [piece[:only.start()], piece[only.end():]]
    for start in _ASKS_ON_ITS_OWN.finditer(piece):
        before = tokens(piece[:start.start()])
        if len(before) > 2 and before[-1] not in _BINDS and before[-2] not in _TELLS and not asks(piece):
            return [piece[:start.start()], piece[start.end():]]
    return [piece]


def _binds(before: list[str]) -> bool:
    """Whether what follows on these words belongs to them: `the ship has picked up two of us`."""
    return before[-1] in _BINDS or before[-1] in _BEHIND_VERBS and before[-2] in _BINDS


def stated(text: str) -> str:
    """A text up to where each of its sentences asks: `it is on. how long does it last`; all of it where nothing is left."""
    kept = (", ".join(takewhile(lambda piece: not asks(piece), pieces[:len(pieces) - sentence.endswith("?")])) if _asks(sentence, pieces) else sentence
            for sentence in sentences(text) for pieces in (cut(sentence),))
    return " ".join(filter(None, kept)) or text


def _asks(sentence: str, pieces: list[str]) -> bool:
    return sentence.endswith("?") or any(map(asks, pieces))


def sentences(text: str) -> list[str]:
    """The sentences of an utterance; what stands in two columns of it as one says it: `used: 2 litres`, `man overboard: none`."""
    return [(_NONE_OF.sub(r"no \1", _SO_MANY.sub(r"\1 ", s)) if ":" in s else s).strip() for s in _SENTENCE.split(text) if tokens(s)]
