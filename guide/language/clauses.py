"""What a clause does: ask, report, suppose, order."""
from __future__ import annotations

import re
from functools import lru_cache

from guide.language.numbers import NUMBER_WORDS
from guide.language.wording import clean, regular, tokens
from guide.patterns import pattern

_TAG = pattern(r",?\s*(?:is|are|has|have|was|were|did|do|does|can|will|would|should)(?:n't| not)? (?:it|we|he|she|they|you|i|there)\s*\?$"
                  r"|,?\s*(?:right|yeah|yes|ok|eh|innit|correct|true or false|yes or no)\s*\?$", re.IGNORECASE)
_OWN_QUESTION = pattern(r"[,;.] *(?:and |but |so )?(?:(?:how|where|who|what|when|which|why)\b[^,;.]*|(?:is|are|has|have|do|does|can|will|should) (?:the|our|my|his|her|a|an|any\w*)\b[^,;.]*)\?$", re.IGNORECASE)
"""Ends with a question that asks something itself: `there is a ship, how far is it?`"""
_APPROVES = pattern(r"\bis (?:it |that |this )?(?:all )?(?:ok|okay|good|fine)\s*\?$", re.IGNORECASE)
"""Asks whether what was done is well done, not whether it was: `we shut both doors, is that ok?`"""
ASKING = frozenset("what who whom whose where when why which how is are was were do does did can could should shall "
                   "will would may might must has have had am any anyone anybody".split())
_SUPPOSING = pattern(
    r"^(?:(?:and|but|ok|okay|so|right|now|well|hey|hang on|alright|just|only|purely|for (?:the|this|our) (?:exercise|drill|lesson|class|sake of it|sake of argument)|as an exercise|in theory|next one|another one),? )*"
    r"(?:what if|what (?:happens|is|becomes)\b.*? if\b|for the sake of (?:the |this |our |an )?(?:exercise|argument|drill|lesson)\b|.*\bsupposing? (?:we|it|there|the|i|he|she|they|our|one|all|no|only)\b|(?:work|reckon|calculate|compute|plan|figure|count|do|run|answer|advise) .*\bas (?:though|if) (?:we|it|there|the|i|he|she|they|our|only)\b|what about (?:when|if)\b|when\b.* would\b|what would \w+.*\b(?:if|should|were|had)\b|what (?:do|would|should|can) .* if\b|"
    r"(?:what (?:do|would|should|can|must) \w+ do )?in (?:the )?(?:case|event|eventuality)\b|(?:admitting|granting|granted|accepting|conceding)\b|put (?:it|the case) (?:to me )?that\b|let us (?:admit|grant|accept|take it)\b|"
    r"s'?pos\w*|reckon if\b|suppos\w*|say (?!again\b)(?!so\b)|imagine|pretend|assum\w+|let us (?:say|assume|suppose|pretend|imagine)|lets? say|"
    r"hypothe(?:tical|sis)\w*|let it be (?:assumed|supposed|granted|said|taken)\b|how (?:should|shall|might)\b.* (?:had|were) (?:the|we|it|there|our|no)\b|if\b|and if\b|had (?:we|i|the|no|there|it|all|they)\b|were (?:the|we|it|there|all|she)\b|should (?:the|a|an|one)\b.*\b(?:fail|go|be|become)|"
    r"how (?:would|do|will|does|could) .*\b(?:if|had|were|should)\b|picture this|in case|(?:what|how) about if|just say|worst case\b|take it that\b|given (?:that|no|only|(?!the |our |all |these |those )\S+ (?:people|persons?|of us|lit(?:re|er)s?|men|hours?|days?))\b|"
    r".*(?:[,;:-] |\b(?:but|and|like|so|kind as to|enough to|just|please) )(?:what )?(?:if|suppose|supposing|imagine|pretend|assume) (?:that )?(?:only|just|i|we|he|she|they|it|you|there|the|our|my|yon|that|this|his|her|an?|one|no|none|nobody|some\w*|any|all|both|two|three|four|every\w+|old)\b|"
    r"how (?:would|should|might|could|shall) \w+ (?:manage|do|fare|cope|get on|get by|survive|live|last|go on) with (?:the|our|my|no|an?) (?:\w+ ){1,2}(?:gone|soft|flat|torn|out|off|open|shut|closed|lost|wet|dead|down|\w+ed|\w+ing)\b|"
    r"(?:where|who|which|when|why|how|would|could|will|might)\b(?!.*\b(?:know|tell|see|check|ask|sure|say|out|matter|wonder|certain|mind|ok|okay|even|only) if\b).* if (?:i|we|he|she|they|it|you|there|the|our|my|this|an?|one|no|nobody|some\w+|any\w+|all|both|two|three|every\w+)\b|"
    r"(?:could you |can you |please )?(?:work|reckon|calculate|compute|plan|figure|count|do|run|answer|give|show|tell|draw|make|write) .*\bas (?:though|if) |"
    r"(?:.*\b(?:would|should|might|could|will)\b.*(?:, |\b(?:followed|happened|been|be|differ|easier|better|worse|harder|stand|fare|manage|matter|mean|here|now) )|"
    r"(?:what|how|which|who)\b.*\b(?:do|does|happens?|changes?|next|then|done|differently) )(?:should|were|had) (?:the|an?|one|some\w*|any\w*|no\w*|we|it|she|he|they|there|our|my)\b)")
_SETS_UP = ("if", "would", "case", "event", "admitting", "grant", "accepting", "conceding", "put ", "let us", "lets", "pos", "say", "imagin", "pretend", "assum",
            "hypothe", "let it be", "had", "were", "should", "picture", "take it", "given", "sake", "though", "what about")
"""One of these stands in whatever sets up a what-if; for other sentences no pattern need be compiled."""
_WH = frozenset("what who whom whose where when why which how whether".split())
_AUXILIARIES = frozenset("is are was were do does did can could should shall will would may might must has have had am".split())
_SUBJECTS = frozenset("we you they he she it i the a an there this that these those everyone everybody anyone anybody someone "
                      "somebody nobody any all my our your his her their its one both each us either".split())
"""After an auxiliary these make a question; without one of them the subject was left out: `is out now`, `can hear it`."""
_GREETING = pattern(r"^(?:ok(?:ay)?|ha(?:ha)+h?|lol|omg|ugh|och|ach|argh|aargh|phew|whew|wow|yay|jeez|crikey|crap|damn|dammit|thank god|thank goodness|right|well|so|hey|oi|er|um|(?:oh |aw |ah )no+(?:,|!)?(?= (?:another|the|we|he|she|it|they|my|our|there|now|not|somebody|someone|one)\b)|oh|ah|hello|hi|listen|look|please|now|yes|yeah|yep|no wait|no hang on|"
                       r"hold on(?= (?:the |our |my |that |this |her |his )?[a-z]+ (?:is|are|was|has)\b)|hang on|wait|sorry|correction|help(?: me| us)?(?= (?:my|our|the|he|she|they|we|i|someone|somebody)\b)|good (?:morning|afternoon|evening|day|heavens|god|lord|grief|gracious)|my mistake|bloody hell|blimey|jesus|god|skipper|skip|mate|guys|lads|sir|ma'?am)\b[ ,:!.]*")


@lru_cache(maxsize=1024)
def mask_amounts(text: str) -> str:
    """Numbers made alike, so that the bank's figures do not matter: `nine litres` and `4 litres` meet; so do `60 N` and `54 north`."""
    words = [("num" if w[0].isdigit() or w in NUMBER_WORDS and w not in ("one", "a", "no") else w) for w in tokens(text)]
    return " ".join(_SIDES[word] if word in _SIDES and before == "num" else word for before, word in zip(["", *words], words))


_SIDES = {"n": "north", "s": "south", "e": "east", "w": "west"}


_ANNOUNCES = pattern(r"^(?:i would (?:say|guess|call it|put it at)(?: that)?|(?:(?:i|we) (?:(?:am|are) (?:glad|pleased|sorry|happy|afraid|relieved) to|can|must|should|ought to|have to|regret to|wish to|beg to|am to)|this is to) (?:report|inform|say|state|announce|tell|advise|note)"
                     r"(?: you| to you)? that|(?:i|we) (?:am|are) (?:afraid|sorry to say|glad to say|happy to say|relieved to say)(?: that)?(?= (?:we|i|he|she|it|they|the|our|my|there|no|nobody|all|both)\b)|(?:\w+|(?:the|my|our) \w+) (?:says|said|asked me|asks me|wants me|wanted me|told me|tells me) to (?:tell|inform|let) (?:you|the guide)(?: know)?(?: that)?|it (?:grieves|pains|pleases|saddens|falls to|delights|behoves) me to (?:report|say|tell you|state|announce)(?: that)?|(?:kindly|please) (?:note|be (?:informed|advised))(?: that|,)?|be advised(?: that|,)?|note that|for your information,?) ")
"""With which a report begins that is written like a letter."""


def without_announcing(text: str) -> str:
    """Regular text without the words with which a report begins that is written like a letter."""
    return _ANNOUNCES.sub("", regular(text), count=1)


def lead_off(text: str) -> str:
    """Regular text without greeting and announcing words in front."""
    return _lead_off(regular(text))


@lru_cache(maxsize=1024)
def _lead_off(found: str) -> str:
    """Kept, as each clause is asked for again and again."""
    for _ in range(4):
        shorter = _ANNOUNCES.sub("", _GREETING.sub("", found, count=1), count=1)
        if shorter == found or not shorter:
            break
        found = shorter
    return found


_INVERTED = pattern(r"^(?:and |but |ok |so |right |now |well )*(?:should \w+|(?:were|had) (?:the|we|i|you|he|she|it|they|there|all|any|no|one|an?|nobody|someone|somebody|everyone|my|our|this|that)) ")
_GOES_ON = pattern(r",|\b(?:what|how|who|which|where|when|would|do we|do i|does|must we|can we|shall|then)\b")
_ASKS_ON = pattern(r"\b(?:what|how|which|who|where|when)\b|, (?:do|does|must|can|shall|is|are|may|would|will)\b")


_AND_SHOULD = pattern(r"^(?:and|but) should (?!we\b|i\b|you\b|they\b|he\b|she\b|it\b)|.+, should (?:the|an?|some\w+|any\w+) (?![^,]*\?$)")


_IN_A_WIND = pattern(r"^(?:in|at|with) (?:an? )?(?:\S+ ){0,4}(?:winds?|waves?|seas?|swell|water|air|temperatures?|gale|force|breeze)\b.*?,? (?:how|what|which|when|where)\b")
"""`in a wind of 20 knots, how far would we drift`"""
_SAY = pattern(r"\S \S+.*, (?:say|in theory|hypothetically|for argument's sake|for the sake of argument)\b\W*(?:$|, )")
"""`the canopy rips, say`"""
_WITH_SO_MANY = pattern(rf"^how (?:would|could) (?:we|i|you|they) .*\bwith (?:only |just )?(?:no\b|\d|(?:{'|'.join(sorted(NUMBER_WORDS))})\b)")
"""`how would we manage with fourteen people`"""


def supposes(text: str) -> bool:
    """Whether a sentence sets up a what-if. `Should the line part, what then?` supposes; `Should the line be wet?` asks."""
    said = lead_off(text)
    inverted = _INVERTED.match(said)
    if "," in said and _SAY.search(said) and said.split(" ", 1)[0] not in ASKING or said.startswith(("in ", "at ", "with ")) and _IN_A_WIND.match(said):
        return True
    if "should" in said and _AND_SHOULD.match(said) or " with " in said and _WITH_SO_MANY.match(said):
        return True
    if inverted:
        goes_on = _ASKS_ON if "should" in inverted[0] else _GOES_ON
        return bool(goes_on.search(said, inverted.end()))
    return any(word in said for word in _SETS_UP) and bool(_SUPPOSING.match(said))


_SUPPOSED = pattern(r"\b(?:as though|as if|if|what about when|s?pos(?:e|ing|in)|suppos\w*|imagin\w+|pretend\w*|assum\w+|hypothe(?:tical|sis)\w*|let it be (?:granted|taken)|picture|consider|given(?: that)?|in case(?: of)?|"
                    r"in (?:the )?(?:event|case|eventuality) (?:of|that)|(?:admitting|granting|granted|accepting|conceding)(?: that)?|put (?:it|the case)(?: to me)? that|let us (?:admit|grant|accept|take it)(?: as done)?(?: that)?|for (?:the sake of )?argument(?: sake|s sake)?|say(?: that)?)\b[ ,:]*(?:that )?(.+)")
_TURNED_ROUND = pattern(r"(?:^|[,;:] ?|\b(?:and|but|ok|so|right|now|well|then|do|does|happens|happen|changes|change|next|different|differently|first|done|followed|happened|been|be|differ|easier|better|worse|harder|stand|fare|manage|matter|mean|here) )(?:should|were|had) (.+)")
_WHAT_THEN = pattern(r"(\S+ \S+.*?)(?<! in)(?<! at)(?<! of)[ ,]+(?:(?:and|so|then) )*(?:(?:what|how|which|who)\b|(?:would|should|shall|do|does|must|can|could|will) (?:we|i|you|they|he|she|it|one)\b).*")
_ASKED_WITH = pattern(r"(?:how|what) (?:would|will|could|should|might|shall) (?:it|that|this|things|we|i|you|they|happen|change)\b.*? (?:with|at) (\S+ \S+.*)")
"""What is supposed stands behind what is asked: `how would it feel at minus ten celsius`."""


def supposed_part(text: str) -> str:
    """What a what-if supposes, without the words that set it up and what it asks: `what if the drogue parts, what then` → `the drogue parts`."""
    said = lead_off(text)
    found = _SUPPOSED.search(said) or _TURNED_ROUND.search(said) or _ASKED_WITH.fullmatch(said)
    part = found[1] if found else text
    asked = _WHAT_THEN.fullmatch(part) if found else None
    return (asked[1] if asked else part).strip(" ,")


_DOUBLY_DENIED = (["nobody"], ["none"], ["nothing"], ["never"], ["no"])
_AINT = pattern(r"\W*ain'?t\b", re.IGNORECASE)


_JUDGED = frozenset("safe ok okay alright allowed better best enough good bad dangerous possible worth necessary useful normal clean deadly fatal harmful contagious risky "
                    "healthy poisonous many much few likely coming worse serious true missing conscious far wise sensible legal common usual".split())
"""Words with which a question asks for a judgement."""


def asks_judgement(text: str) -> bool:
    """Whether a question asks for a judgement: `is a hand flare safe in here`."""
    return not _JUDGED.isdisjoint(tokens(text))


_BEFORE_WHICH, _WHICH = frozenset("in at on by for from to of after under with".split()), (["which"], ["what"], ["how"], ["whom"])
"""`in which stage does he stop shivering`, as the second word."""
_ASKS_OF_NAME = pattern(r"^(?:[Aa]nd |[Bb]ut |[Ss]o |[Oo]k |[Hh]ey )?(?:[Ii]s|[Aa]re) (?:[A-Z][a-z]+|Somebody) \w+")
"""Asks of somebody by name, without a mark."""


def _asks_of_which(words: list[str]) -> bool:
    """Whether words ask with one before the asking one: `at what angle do I hold it`, but not `for what it's worth`."""
    return words[:1] != [] and words[0] in _BEFORE_WHICH and words[1:2] in _WHICH and words[2:] != [] and words[2] not in _SUBJECTS and words[2] != "is"


def asks(text: str) -> bool:
    """Whether a piece is put as a question: a mark at its end or an asking word in front."""
    if not _TITLES.isdisjoint(tokens(text)) and _OF_ONE_WITH_A_TITLE.match(regular(text)):
        return text.rstrip().endswith("?")  # `mate is bleeding bad`, but `mate, is it bad`
    words = tokens(lead_off(text))
    words = words[words[:1] in (["and"], ["but"], ["so"]):]
    if text.rstrip().endswith("?") or words[-1:] == ["what"] and not _BEFORE_WHAT.isdisjoint(words[-2:-1]) or _asks_of_which(words):
        return True
    if not words or words[0] not in ASKING or says_what_is_left(text):
        return False
    if words[0] == "is" and words[1:2] in (["a"], ["an"], ["one"], ["no"]) and words[2:]:
        return not _JUDGED.isdisjoint(words[2:]) or not _IN_SOME.search(text)  # `is a hole in the tube`, of who leaves out `there`
    if words[:2] == ["had", "us"] or words[0] == "when" and _WHEN_PAST.match(" ".join(words)):
        return False  # `had us a vote`, `when I looked round it was three litres`
    if words[:2] in (["did", "it"], ["did", "that"], ["did", "this"]) and (len(words) == 2 or words[2] in _SUBJECTS):
        return False  # `did it, it is the right way up`
    if words[0] == "can" and words[2:3] == ["of"]:
        return True  # `can one of the bags take two`
    subject = words[2:3] if words[1:2] == ["not"] else words[1:2]
    if words[1:2] == ["not"] and (words[2:3] in _DOUBLY_DENIED or _AINT.match(text)):
        return False  # `ain't a soul in charge`
    if words[0] in ("is", "are") and words[2:] and (not _JUDGED.isdisjoint(words[2:]) or _ASKS_OF_NAME.search(text)):
        return True  # `is bleeding normal`, `is Tom bleeding`
    return words[0] not in _AUXILIARIES or bool(subject) and subject[0] in _SUBJECTS


_BEFORE_WHAT = frozenset("of from with for on by in to at out".split())
_TITLES = frozenset("mate skipper skip boss captain cap".split())
_OF_ONE_WITH_A_TITLE = pattern(r"^(?:and |but |so |my |our |the )*(?:mate|skipper|skip|boss|captain|cap) (?:is|was|has) (?!the\b|it\b|this\b|that\b|he\b|she\b|there\b|an?\b|any|every|our\b|my\b|your\b|we\b|all\b)")
_WHEN_PAST = pattern(r"^when (?:i|we|he|she|they|it) (?:\w+ed|got|came|went|saw|woke|was|were|heard|found|fell|put|took|sat|ran) .*\b(?:was|were|had|is|are)\b")
"""Tells when something came to light, and asks nothing."""
_IN_SOME = pattern(r"\b(?:in|on|at|through|by|near|under) (?:the|our|my|his|her|this|that|a|one|us)\b", re.IGNORECASE)
_WHAT_IS_LEFT = pattern(r"^(?:(?:and|but|so) )*(?:what|all) (?:is left|we have(?: left| got)?|we (?:carry|found|were given|hold)|remains|there is|i have|we got)(?: \w+){0,4} (?:is|are|comes to)\b")
"""Says how much there is, and asks nothing: `what's left to eat is about 3600 kcal`."""


def says_what_is_left(text: str) -> bool:
    """Whether a text that begins like a question says how much there is: `what's left to eat is about 3600 kcal`."""
    return bool(_WHAT_IS_LEFT.match(regular(text)))


_AFFIRMED = {"not": "", "never": "", "no": "the", "nobody": "somebody", "none": "all", "nothing": "something", "without": "with",
             "nowt": "something", "neither": "", "nor": "and", "yet": "", "longer": "", "anymore": "", "hardly": ""}
_FILLER = frozenset("right ok okay well so sorry sorted good fine great yes no yeah aye now then done correction wait please mate "
                    "skipper and but oh ah er um hey look listen thanks ta cheers all".split())


def affirmed(text: str) -> str | None:
    """The same said without its negations, so that a `not` can be weighed by itself; None where nothing is negated."""
    words = regular(text).replace("any more", "").replace("no one", "nobody").split()
    bare = [w.strip(".,!?;:") for w in words]
    if not any(w in _AFFIRMED and w not in ("yet", "longer", "anymore") for w in bare):
        return None
    return " ".join(_AFFIRMED.get(w, w) for w in bare).strip() or None


_QUOTED = pattern(r"\"[^\"]*\"|(?<!\w)'[^']*'(?!\w)")
_LONG_QUOTE = 3
"""Words from which what stands in quotes is said by another, and is no name of a thing."""


def unquoted(text: str) -> str:
    """A text without what it quotes: `section two is titled "Lookout is posted"` posts none. All of it where nothing else is said."""
    if '"' not in text and "'" not in text:
        return text
    left = _QUOTED.sub(lambda found: found[0] if len(tokens(found[0])) < _LONG_QUOTE else " ", text)
    return left if tokens(left) else text


def asks_by_tag(sentence: str) -> bool:
    """Whether a statement is turned into a question at its end: `the drogue's out, isn't it?`"""
    said = clean(sentence)
    return sentence.rstrip().endswith("?") and bool(_TAG.search(said)) and not _OWN_QUESTION.search(said) and not asks_approval(sentence)


def asks_approval(sentence: str) -> bool:
    """Whether a sentence asks whether what was done is well done: `we shut both doors, is that ok?`"""
    return sentence.rstrip().endswith("?") and bool(_APPROVES.search(clean(sentence)))


def only_greets(text: str) -> bool:
    """Whether a piece is no more than a greeting: `good day`."""
    return bool(_GREETING.fullmatch(regular(text)))


_VERB = pattern(r"\b(?:is|are|was|were|has|have|had|got|gone|can|cannot|keeps?|will|did|does|do|\w\w+ed|went|came|lost|cut|broke|found|saw|stopped|started|needs?)\b")


_SCENE = pattern(r"^(?:(?:right|ok|okay|now|so|well|and|let us|lets|let's|please)\b[ ,]*)*(?:(?:now )?(?:in |into )?(?:pretend|imaginary|exercise|drill) (?:mode|time)|(?:for )?pretend|(?:(?:in|into|back to|here is|here's) )?(?:the|our|a|my) (?:scenario|exercise|drill)|scenario|exercise|drill|"
                 r"(?:the )?next (?:card|scenario|exercise|drill))(?: (?:\d|one|two|three|four|five|six))?\s*[:.!]\s+", re.IGNORECASE)


_CARD = pattern(r"(?:^|(?<=[.!?;:] ))(?:(?:and|so|ok|now|then|right),? )*(?:"
                r"(?:(?:the|our|my|this|your|first|second|third|next|last|another) )*(?:drill|exercise|scenario|training|situation) (?:card|sheet|script|paper)|"
                r"(?:(?:first|second|third|next|last) )?card|(?:in|for) (?:our|the|this|my) (?:drill|exercise|scenario),? we (?:say|pretend|assume))"
                r"(?: (?:no\.? ?)?(?:\d{1,2}|[a-h]|one|two|three|four|five|six|seven|eight|nine|ten))?(?: (?:says?|said|reads|gives?|tells?|states?|has|puts?)(?: (?:us|you|me))?(?: that)?\b[:,]?|:)\s+", re.IGNORECASE)
"""Says that what follows stands on the card of a drill, and so is so in it; `the card says` is the raft's own."""
_FOR_PRETEND = pattern(r"^for pretend,? |(?<=\b)pretend-(?=\w)", re.IGNORECASE)
_OF_US = {"you": "we", "your": "our", "yours": "ours", "of you": "of us"}
_YOU = pattern(r"\b(?:of you|yours?|you)\b", re.IGNORECASE)
_SCENES = ("pretend", "imaginary", "exercise", "drill", "scenario", "card", "training", "situation")
"""Words one of which says that it is a drill; most texts have none, and need no pattern."""


def without_scene(text: str) -> str:
    """A text without words that only say that it is a drill, whose reports are told like any: `right, pretend. we are in the raft`, `card 2: ten of us`."""
    if not any(word in text.lower() for word in _SCENES):
        return text
    said = _FOR_PRETEND.sub("", text)
    card = _CARD.search(said)
    if card:  # to whom it says `you` is the crew
        said = said[:card.start()] + _YOU.sub(lambda found: _OF_US[found[0].lower()], said[card.end():])
    return _SCENE.sub("", _CARD.sub("", said), count=1) or text


def joined(one: str, two: str, sentence: str) -> bool:
    """Whether two pieces of a sentence stand there with no more than `and` between them."""
    said = regular(sentence)
    return f"{regular(one)} and {regular(two)}" in said


def has_verb(text: str) -> bool:
    """Whether a piece has a verb of its own, so that it may state something by itself."""
    return bool(_VERB.search(regular(text)))


_DEPENDS = pattern(r"\b(?:when|if|while|where|because|unless|until|who|whose|that)\b")


def main_part(text: str) -> str:
    """A piece up to a clause that depends on it: `heels when the bottom is awash` → `heels`."""
    said = lead_off(text)
    depends = _DEPENDS.search(said)
    return said[:depends.start()] if depends and depends.start() else said


def only_filler(text: str) -> bool:
    """Whether nothing is said but `right`, `ok`, `sorry` and the like."""
    return all(word in _FILLER for word in tokens(text))


_WHAT_TO_DO = pattern(r"\bwhat (?:do|shall|should|must|can) we(?: do)?(?: now| please| then)?\W*$")


def asks_what_to_do(text: str) -> bool:
    """Whether a text ends with asking what the crew is to do: `bow stove in, what do we do`."""
    said = regular(text)
    return "what" in said and " we" in said and bool(_WHAT_TO_DO.search(said))


def asking_word(text: str) -> bool:
    """Whether a who, what, how or the like stands anywhere in it."""
    return bool(_WH.intersection(tokens(text)))


_DAY, _LESSON = "(?:mon|tues|wednes|thurs|fri|satur|sun)day", "(?:drill|exercise|training|course|class|session)"
_ELSEWHERE = pattern(r"\b(?:my|our|his|her) (?:last|old|previous|former|other) (?:ship|boat|crew|job|trip|tub|vessel|rig|berth)\b|\b(?:my|our|his|her) (?:last|old|previous|former) raft\b|\blast (?:ship|boat|job|rig|trip) i\b|"
                     r"\blast (?:month|week|year|season|spring|summer|autumn|fall|winter)\b|\bmake believe\b|"
                     r"\bin (?:the|a|that) (?:\w+ )?(?:film|movie|video|story|novel)\b|"
                     rf"\b{_DAY}(?: is)? {_LESSON}\b|\b{_LESSON} (?:(?:on|last|back in|of last) )?(?:{_DAY}|yesterday|last \w+|the other (?:day|week))\b|\bin (?:19|20)\d\d\b|\byears? ago\b|\bback in the day\b|\bin (?:my|our|his|her) \w+(?: is)? (?:day|days|time)\b")


def elsewhere(text: str) -> bool:
    """Whether a sentence tells of another time or another vessel."""
    return bool(_ELSEWHERE.search(regular(text)))


_WAVERS = pattern(r"\bor (?:was|is|were|are) (?:it|that|there|they)\b")


def wavers(sentence: str) -> bool:
    """Whether a speaker is not sure of a number: `there were six litres, or was it eight`."""
    return " or " in sentence and bool(_WAVERS.search(regular(sentence)))
