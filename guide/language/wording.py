"""Text as people type it, made regular: case, contractions, numbers, stems. Pure functions, no knowledge."""
from __future__ import annotations

import re
from functools import lru_cache

from guide.patterns import pattern

LONGEST = 600
"""Characters of an utterance that are read; nobody in a raft types more in one breath."""

_CONTRACTIONS = (
    (r"\b(ca)n'?t\b", "can not"),
    (r"\bwon'?t\b", "will not"),
    (r"\bshan'?t\b", "shall not"),
    (r"\bain'?t\b", "is not"),
    (r"\b(is|are|was|were|has|have|had|do|does|did|could|would|should|must|need)n'?t\b", r"\1 not"),
    (r"\bd'?you\b", "do you"),
    (r"\blet'?s\b", "let us"),
    (r"\b(i|we|you|they)'?ve\b", r"\1 have"),
    (r"\bwe're\b", "we are"),
    (r"\b(you|they)'?re\b", r"\1 are"),
    (r"\bi'?m\b", "i am"),
    (r"\b(i|we|you|they|he|she|it)'ll\b", r"\1 will"),
    (r"\b(i|we|you|they|he|she|it|who|what|how|where|when|why)'d\b", r"\1 would"),
    (r"\b(what|whats|wot|wots|wat)\b(?:'s)?", "what"),
    (r"\b(hows|how's)\b", "how is"),
    (r"\b(wheres|weres|whers|where's)\b", "where is"),
    (r"\b(whos|who's)\b", "who is"),
    (r"\b(whens|when's)\b", "when is"),
    (r"\b(theres|there's)\b", "there is"),
    (r"\b(thats|that's)\b", "that is"),
    (r"\bit'?s\b", "it is"),
    (r"\bhe'?s\b", "he is"),
    (r"\bshe'?s\b", "she is"),
    (r"\b(is|are|was|were|has|have|had|did|does|could|would|should|will|can)nae\b", r"\1 not"),
    (r"\bdinn?(?:ae|a)\b", "do not"),
    (r"\bwinn?a\b", "will not"),
    (r"\b(is|was|were|has|have|had|did|could|would|should|can)na\b", r"\1 not"),
    (r"\bd'ye\b", "do you"),
    (r"\bwi'", "with"),
)
_RESPELT = {word: put for put, words in {
    "according": "acc",
    "about": "bout aboot aboout",
    "anchor": "anker",
    "anchors": "ankers",
    "another": "anuther",
    "answered": "ansered anserd answerd",
    "anything": "owt",
    "are": "r",
    "away": "awa",
    "back": "bak",
    "because": "cos coz cuz",
    "are not": "arnt",
    "can not": "cannot carnt canot",
    "boat": "bote boate",
    "breathe": "breeth brethe",
    "breathes": "breeths breethes",
    "breathing": "breething brething breathin breethin",
    "boats": "botes boates",
    "burst": "berst birst",
    "bursts": "bersts birsts",
    "cold": "cauld",
    "could": "cud",
    "could not": "cudnt coudnt couldent cudent",
    "cut": "cutt",
    "dead": "deid",
    "do": "dae",
    "did not": "didnt dident didint diddnt",
    "do not": "dont",
    "does not": "doesnt dosnt dusnt duznt doznt dosent doesent dusent",
    "do not know": "dunno",
    "done": "dun",
    "down": "doon doun",
    "five": "foive fiv",
    "flipped": "flipt",
    "floor": "flor",
    "four": "fower",
    "from": "frae fae",
    "give": "gie",
    "going to": "gonna gunna",
    "gone": "gon",
    "got to": "gotta",
    "eight": "eicht",
    "every": "evry",
    "everybody": "evrybody",
    "everybody is": "everybodys evrybodys",
    "everyone": "evryone every1 evry1",
    "everyone is": "everyones evryones every1s evry1s",
    "everything": "evrything",
    "cousin": "cuzin cuzen cuzzin",
    "force": "forse forss",
    "half": "harf haf",
    "hand": "haun haund",
    "had not": "hadent",
    "has not": "hasnt asnt hasent",
    "have not": "havnt avent havent havint",
    "have": "hav hae huv",
    "have to": "haffi",
    "in the": "inna",
    "on": "pon",
    "helicopter": "helecopter helicoptor helicopta hellicopter helicoper",
    "head": "heid",
    "home": "hame",
    "hours": "oors ooers hors houres",
    "how": "hoo hou",
    "hundred": "hunder hunner hunnert hunderd",
    "imagine": "imagin immagine imajin",
    "into": "intae",
    "is not": "isent isint",
    "let me": "lemme",
    "make": "mak mek",
    "maybe": "mebbe",
    "myself": "masel",
    "night": "nite",
    "no": "nae nary nee",
    "not": "nar",
    "nobody": "naebody naewan naeb'dy naebdy nobdy nobudy nobodie nobady",
    "none": "nane nain",
    "nobody is": "nobodys naebodys naebdys nobdys nobudys nobadys",
    "nothing": "nowt nutten nuttin nuffin nuthin nuffink nuttn",
    "now": "noo",
    "off": "aff",
    "once": "wance wunce",
    "one": "yin",
    "our": "oor",
    "out": "oot comot",
    "out of": "outta",
    "over": "ower",
    "paddle": "padle",
    "pumped": "pumpd",
    "right": "rite",
    "round": "roon roond",
    "instead": "insted insteed instad",
    "said": "sed",
    "should": "shud shld",
    "should not": "shudnt shoudnt shouldent shudent",
    "some": "som",
    "something": "summat summit sumthing smth",
    "still": "stil",
    "stopped": "stopt",
    "suppose": "supose suppoze spose sposse suposse sppose",
    "supposing": "suposing suppozing sposing",
    "seven": "sivin sivven seiven",
    "sure": "shure",
    "take": "tak",
    "that": "dat",
    "the": "da di",
    "their": "thier",
    "them": "dem",
    "this": "dis",
    "those": "thae",
    "though": "tho",
    "through": "thru",
    "tied": "tyed",
    "tight": "tite",
    "to": "tae",
    "tonight": "tonite",
    "tube": "toob",
    "tubes": "toobs",
    "twelve": "twelv twelf",
    "want to": "wanna",
    "was": "woz wis",
    "was not": "wosnt woznt wasent wasint wisnae wisna wisnt",
    "waves": "wavs waevs",
    "water": "watter watr wattr warter",
    "were not": "wernt wurnt",
    "what": "whit",
    "when": "wen",
    "where": "whaur",
    "which": "wich",
    "will not": "woont willnt",
    "with": "wid wiv wif",
    "would": "wud",
    "would not": "wudnt woudnt wouldent wudent",
    "you": "u ye yer yous",
    "your": "ur",
}.items() for word in words.split()}
"""Words by another spelling, of a dialect or of somebody in a hurry, without what they are to the guide."""
_RUN_ON = frozenset(
 "cant wont shant aint isnt arent wasnt werent hadnt couldnt wouldnt shouldnt mustnt neednt "
 "dyou lets ive weve youve theyve re youre theyre im whats wot wots wat hows wheres weres whers whos whens theres thats its hes shes isnae arenae "
 "winna wina dinna dina dinae isna wasna werena hasna havena hadna didna couldna wouldna shouldna canna wasnae werenae hasnae havenae hadnae didnae doesnae couldnae wouldnae shouldnae willnae cannae dinnae".split())
"""Every word without an apostrophe that a contraction stands for: most sentences have none, and need none of the patterns."""
_APOSTROPHE = pattern(r"'(?!s\b)|\b(?:what|whats|wot|wots|wat|how|where|who|when|there|that|it|he|she|let|wi)'")
"""An apostrophe that may be a contraction's: all but that of `the pump's hose`."""
_ENDS_IN = frozenset("thin skin chin shin spin twin coin join vein ruin within begin grin groin enjoin rejoin loin login plugin admin resin rosin toxin "
                     "pepsin basin raisin cousin moccasin assassin cabin robin dustbin dobbin cumin vitamin jasmin urchin dolphin elfin boffin puffin "
                     "muffin coffin griffin paraffin hairpin tholepin clothespin catharpin kingpin linchpin terrapin pippin oilskin sealskin sheepskin "
                     "moleskin drumskin calfskin buckskin pigskin snakeskin pumpkin napkin firkin bodkin manikin gherkin noggin oggin hoggin origin "
                     "margin virgin pidgin javelin goblin gremlin zeppelin dunlin muslin marlin merlin mandolin violin pangolin lanolin poplin carlin "
                     "penicillin insulin formalin tarpaulin melanin heparin aspirin warfarin mandarin nectarin glycerin saccharin chagrin florin heroin "
                     "bulletin satin matin gelatin cretin latin martin protein skein rein wherein herein therein penguin sequin mannequin harlequin "
                     "quoin bitcoin khamsin bluefin".split())
"""Things and deeds that end so by themselves, besides all in -ain; any other word lost the last letter: `leakin`."""
_NAMES_IN = frozenset("kevin colin gavin edwin eoin elin karin tamsin yasmin benjamin justin dustin austin quentin corentin valentin augustin konstantin "
                      "corbin tobin tarquin joaquin crispin calvin kelvin melvin marvin alvin irvin darwin baldwin godwin irwin erwin cahin erin corin "
                      "catrin roisin gethin hefin odin aladdin devlin chaplin franklin dublin berlin turin elgin dunedin medellin "
                      "lublin stettin szczecin wisconsin rathlin malin cochin pekin algonquin holstein kremlin".split())
"""Names of people and places that end so."""
_I_WOULD = pattern(r"\bid(?= (?:say|guess|reckon|put|call|like)\b)")
_ENDING_IN = pattern(r"\b[a-z]{2,}(?<!a)in\b'?")
_WE_ARE = pattern(r"(?:^|(?<=[.!?;,] ))were(?= (?:in|inside|on|aboard|all|both|sat|sitting|stuck|still|not|now|out|at|tied|clear|down|just|here|[a-z]+ing|\d+|two|three|four|five|six|seven|eight|nine|ten)\b)")
"""`were` in front, where nobody asks, has lost its apostrophe."""
_BEEN = pattern(r"(?<=s )bin(?= (?:sick|hurt|hit|cut|out|there|told|trying|going|on|in the)\b)|(?<=\bhas )bin\b|(?<=\bhave )bin\b")
_SEE = pattern(r"(?<=\bnot )c(?= (?:it|him|her|them|nothing|anything|a |the ))|(?<=\bcan )c(?= )")
_TO = pattern(r"(?<=[a-z]) 2 (?=(?:us|me|him|her|them|you|do|get|be|see|go|keep|make|use|put|take|stop|fix|help|sleep|eat|find|the (?:raft|boat|ship|sea|water))\b)")
_TOO = pattern(r"\b(an? [a-z]+|me|us|him|her|it|them) 2(?=$|[,.;!?])")
_NOT_SO_MANY = pattern(r"(?<=[a-z], )no (?=(?:\d+|two|three|four|five|six|seven|eight|nine|ten)\W*$)")
_EQUALS = pattern(r"(?<=[a-z]) ?= ?(?=-?\d)")
_FOR = pattern(r"(?<=[a-z]) 4 (?=(?:us|me|him|her|them|you|help|ages|ever|now)\b)")
"""`to`, `too` and `for` in a hurry: `talking 2 us`, `got a torch 2`, `looking 4 him`."""
_SPOKEN_OF = ("dad mum mom mam brother sister son daughter husband wife cousin uncle aunt auntie grandad grandma nan gran skipper captain mate cook boat raft floor water "
              "wind sea canopy drogue beacon rope anchor").split()
_THEIRS = frozenset(f"{name}s" for name in _SPOKEN_OF)
_KIN_IS = pattern(r"((?:(?:^|(?<=[.!?;,:] ))(?:(?:help|please|pls|omg|ok|now|and|but|so|sir) )*|\b(?:my|our|the|his|her|your|this|that) )(?:(?:wee|poor|old|big|little|young|sea|see) )?)"
                  rf"({'|'.join(_SPOKEN_OF)})s"
                  r"(?= (?:in|on|out|off|up|down|gone|going|not|still|just|all|so|very|really|too|getting|been|being|over|overboard|here|back|dead|hurt|cold|wet|soft|flat|torn|broken|open|shut|away|lost|stuck|sunk|under|upside|soaked|full|empty|half|nearly|almost|loose|[a-z]{3,}ing)\b)")
"""A thing or a person with its `is` run on, where the apostrophe was left out: `my dads in the water`."""
_OWN_S = pattern(r"(?<=[a-z])'s\b")
_AN_FOR_AND = pattern(r"\ban (?=(?!(?:sos|sart?|mob|mri|led)\b)(?:[b-df-gj-np-tv-z]|(?!8|1[18]\b)\d|(?:a (?:half|quarter|bit|few|couple|lot|load|man|lad)|i|i'?[mv]e?|it'?s?|is|in|if|are|all|at|as|on|our|of|out|up|us|one|every(?:one|body)\w*|a'?m)\b))", re.IGNORECASE)
_SHORT_ANDS = frozenset(("n", "'n", "n'", "'n'", "nd", "an'"))
_N_FOR_AND = pattern(r"(?<=[a-z]) (?:an'(?= [a-z\d])|(?<!\bfrom )(?<!\bdue )(?<!\bto )(?<!\bwind )(?<!\bthe )(?:n'?|'n'?|nd)(?= [a-z])) |(?<=\d) (?:n|an') (?=a (?:half|quarter)\b)|(?<!degrees)(?<!minutes)(?<!deg)(?<!min)(?<=[a-z]) n (?=\d)|^(?:n|an') (?=[a-z])", re.IGNORECASE)
"""`floor's up n drogue's out`; behind a number or `from` it is north."""
_COMPILED = tuple((pattern(found), put) for found, put in _CONTRACTIONS)
_ZERO = pattern(r"(?<![\d.,])\b(?:zero|0) (?=(?:people|persons?|men|bleeding|seasick|sick|injured|hurt|missing|ships?|planes?|aircraft|leaks?|casualties|unconscious|hypothermic|helicopters?)\b)")
_RUN = pattern(r"\w+")
_TOKEN = pattern(r"\d+(?:\.\d+)?|[^\W\d_]+(?:-[^\W\d_]+)*")
_SUFFIXES = (("ies", "y"), ("sses", "ss"), ("ing", ""), ("edly", ""), ("ed", ""), ("ly", ""), ("es", ""), ("s", ""))
_KEEP = frozenset("this is was has his us as yes less gas bus always across process compress dress press mess ness "
                  "loss boss miss pass glass mass class grass guess bless thing things nothing anything everything "
                  "something king ring sling wing spring string evening morning ceiling bring during red need feed seed "
                  "bleed bed shed led fed speed only early really".split())


def respelt(word: str) -> bool:
    """Whether a word, in small letters, is one by another spelling: `naebody`."""
    return word in _RESPELT


def clean(text: str) -> str:
    """The text without control, formatting and surrogate characters; plain quotes; blanks folded. For echoing safely."""
    text = text[:LONGEST * 4]
    if text.isascii() and text.isprintable():
        return " ".join(text.replace("`", "'").split())[:LONGEST]
    import unicodedata
    text = unicodedata.normalize("NFKC", text)
    text = "".join(c if unicodedata.category(c)[0] != "C" else " " for c in text)
    for curly, plain in (("’", "'"), ("‘", "'"), ("`", "'"), ("“", '"'), ("”", '"'), ("–", "-"), ("—", " - ")):
        text = text.replace(curly, plain)
    return " ".join(text.split())[:LONGEST]


@lru_cache(maxsize=1024)
def regular(text: str) -> str:
    """Lower case with contractions written out: `drogue isn't out` → `drogue is not out`. Kept, as each clause is asked for again and again."""
    written = " ".join(_written_out(word) for word in and_for_an(clean(text).lower()).split(" "))
    if "zero " in written or "0 " in written:
        written = _ZERO.sub("no ", written)
    if "side down" in written or "over board" in written:
        written = written.replace("up side down", "upside down").replace("over board", "overboard")
    if " bin " in written or " c " in written:
        written = _SEE.sub("see", _BEEN.sub("been", written))
    if " 2" in written or " 4 " in written:
        written = _FOR.sub(" for ", _TO.sub(" to ", _TOO.sub(r"\1 too", written)))
    if ", no " in written:
        written = _NOT_SO_MANY.sub("not ", written)
    if "=" in written:
        written = _EQUALS.sub(" is ", written)
    if "id " in written:
        written = _I_WOULD.sub("i would", written)
    written = _WE_ARE.sub("we are", written) if "were" in written else written
    return written if _THEIRS.isdisjoint(written.split(" ")) else _KIN_IS.sub(r"\1\2 is", written)


@lru_cache(maxsize=20_000)
def _written_out(word: str) -> str:
    """One word with its contraction written out; kept, as people use the same words again and again."""
    if "'" in word and _APOSTROPHE.search(word) or not _RUN_ON.isdisjoint(_RUN.findall(word)):
        for found, put in _COMPILED:
            word = found.sub(put, word)
        word = word.replace("n't", "nt")  # a denial misspelt: `dosn't`
    word = _RUN.sub(_respelt, word)
    word = _ENDING_IN.sub(_with_g, word)
    return _OWN_S.sub(" is", word).replace("'", "")


def _respelt(found: re.Match[str]) -> str:
    return _RESPELT.get(found[0], found[0])


def and_for_an(text: str) -> str:
    """`an` before a consonant is a mistyped `and`, `n` between words a short one."""
    words = set(text.lower().split())
    if not words.isdisjoint(_SHORT_ANDS):
        text = _N_FOR_AND.sub(" and ", text).lstrip()
    return _AN_FOR_AND.sub("and ", text) if "an" in words else text


def _with_g(found: re.Match[str]) -> str:
    word = found[0].rstrip("'")
    return found[0] if word in _ENDS_IN or word in _NAMES_IN else word + "g"


def tokens(text: str) -> list[str]:
    """The words and numbers of a text, regular."""
    return list(_tokens(regular(text)))


def plain_tokens(text: str) -> list[str]:
    """The words and numbers of a text that is well written, as a name of the knowledge is."""
    return _TOKEN.findall(text.lower())


@lru_cache(maxsize=1024)
def _tokens(text: str) -> list[str]:
    """Kept, as each clause is asked for again and again."""
    return _TOKEN.findall(text)


@lru_cache(maxsize=20_000)
def stem(word: str) -> str:
    """A light stem, so that `flares` and `flare`, `pumping` and `pumped` meet."""
    if len(word) < 4 or word in _KEEP or not word.isalpha():
        return word
    for suffix, put in _SUFFIXES:
        if word.endswith(suffix) and len(word) - len(suffix) + len(put) >= 3:
            root = word[:-len(suffix)] + put
            if suffix in ("ing", "ed") and len(root) > 3 and root[-1] == root[-2] and root[-1] not in "lsz":
                root = root[:-1]
            return root.rstrip("e") if len(root) > 3 else root
    return word.rstrip("e") if len(word) > 3 else word


@lru_cache(maxsize=2048)
def stems(text: str) -> frozenset[str]:
    """The stems of the words of a text. Kept, as those of the knowledge are asked for again and again."""
    return frozenset(stem(word) for word in tokens(text))
