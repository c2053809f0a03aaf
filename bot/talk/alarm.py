"""Whether a note says that an emergency is happening now, or over.

Only plain statements count. Past stories, questions, plans, conditions and other people's rooms do not.
"""

from __future__ import annotations

import re

from bot.language.text.pattern import pattern
from shared.due.emergency import Emergency, Kind

MOST_LETTERS = 120  # nobody whose tank leaks writes longer sentences
_NUMBERS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_PLACE = (
    r"(?:the )?(?:(?P<{0}k>tank|tub|jar|box|t)\s*#?\s*(?P<{0}>\d{{1,3}}|[a-z]|"
    + "|".join(_NUMBERS)
    + r")\b|#?(?P<{0}n>\d{{1,3}}(?:\.\d)?)\b"
    r"|(?P<{0}w>[a-z][a-z ]{{2,20}}?) (?:tank|tub)\b)"
)
_CLOCK = r"(?:at |since |from )?(?:about |around )?(?:\d{1,2}(?:[:.]?\d\d)?\s*(?:am|pm|h)?|noon|midnight)"
_TAIL = (
    r"(?: (?:again|now|here|right now|just now|already|today|everywhere|completely"
    r"|in (?:the |my |our )?(?:fish ?|whole )?(?:room|house|basement|street|building)|"
    + _CLOCK
    + r"|for (?:\w+ ){1,2}now|(?:for )?(?:about )?\d+(?:\.5)? ?(?:h|hrs?|hours?|min|mins|minutes?)"
    r"|(?:\d+|an?|half an|a few|ten|twenty|thirty) (?:min|mins|minutes?|hours?|hrs?) ago"
    r"|and (?:counting|still out)|help|please help))*"
)
_LEAD = (
    r"(?:(?:help|hey|hi|ugh|argh|omg|oh no|uh oh|oh|damn|crap|well|ok|urgent|emergency|sos|alarm|warning"
    r"|now|just now|so|and|but|also|again|looks like|i think|bad news|quick"
    r"|(?!neighbou?r|who|nobody|he|she|they)\w+ says)[,:]? )*"
)
_IS = r"(?:'s| is| are| has| have|'ve|s)?(?: just| still| all| totally| completely| now| suddenly| gone and)*"
_POWER = r"(?:the |our |my )?(?:power|pwr|electricity|elec|mains|electrics?)"
_HEATER = rf"(?:the |my |our )?(?:{_PLACE.format('h')}(?:'s)? )?heater(?: (?:(?:in|of|on|for) )?{_PLACE.format('i')})?"
_DEAD = (
    r"(?:dead|broken|broke|bust|busted|died|failed|failing|quit|gone|kaput|cracked|exploded|burnt out"
    r"|packed up|given up|gave up|not working|not heating|stopped(?: working| heating)?|out|isn't working|isn't heating"
    r"|won't (?:heat|work|turn on|come on)|doesn't (?:heat|work)|does not (?:heat|work))"
)
_IN_PLACE = rf"(?: (?:in|of|on|for) {_PLACE.format('j')})?"

_HAPPENING: tuple[tuple[Kind, str], ...] = (
    (
        "power_cut",
        rf"{_POWER}{_IS} (?:out|off|down|gone|dead|cut|cut out|went(?: out| off| down)?"
        r"|gone (?:out|off)|failed|died|tripped)",
    ),
    (
        "power_cut",
        r"(?:there's |there is |we have |we've |we've got |got |having )?(?:a |another )?(?:power|electricity) ?"
        r"(?:cut|outage|failure)",
    ),
    (
        "power_cut",
        r"(?:we |we've |i |i've )?(?:just )?(?:lost|have no|got no|no)(?: the| all)? (?:power|electricity)",
    ),
    (
        "power_cut",
        rf"(?:the )?(?:main )?(?:breaker|fuse|gfci|rcd){_IS} (?:tripped|blew|blown|gone|out|popped)",
    ),
    (
        "heat_wave",
        r"(?:there's |there is |we have |we've got |we are in |we're in |in |it's )?(?:a |the |another )?heat ?wave"
        r"(?: (?:is on|is here|has (?:started|begun|hit)|started|hit(?: us)?|here))?",
    ),
    (
        "heat_wave",
        rf"(?:the |my |our )?(?:fish ?)?room{_IS} (?:way |far |much )?(?:too hot|overheating|boiling|roasting|an oven)",
    ),
    (
        "heat_wave",  # more than 30 °C, or 86 °F, and no thermometer's reading of a tank
        r"(?:it's|it is|its) (?:already |over |nearly |about )?(?:3\d|4[0-5]|8[6-9]|9\d|1[01]\d)"
        r" ?(?:°|degrees?|deg)? ?[cf]? in (?:here|the (?:fish ?)?room)",
    ),
    (
        "heat_wave",
        r"(?:the |our |my )?(?:ac|a/c|air ?con(?:ditioner|ditioning)?)" + _IS + rf" {_DEAD}",
    ),
    ("heater_stuck", rf"{_HEATER}{_IS} (?:stuck(?: on)?|won't (?:turn|switch|shut) off|not switching off){_IN_PLACE}"),
    ("heater_failed", rf"{_HEATER}{_IS} {_DEAD}{_IN_PLACE}"),
    ("heater_failed", rf"(?:a |another )?(?:dead|broken|failed) heater{_IN_PLACE}"),
    (
        "leak",
        rf"{_PLACE.format('l')}{_IS} (?:leaking|leaks|sprung a leak|sprang a leak|has a leak|got a leak|a leak|burst"
        r"|cracked|split|been leaking|leaking (?:badly|fast|everywhere|all over(?: the floor)?|water))",
    ),
    (
        "leak",
        rf"(?:there's |there is |we have |we've got |got )?(?:a |big |another |bad )*leak(?: (?:in|at|from|under|on) "
        rf"{_PLACE.format('m')})?",
    ),
    ("leak", rf"leaking {_PLACE.format('q')}"),
    (
        "leak",
        rf"(?:there's |there is )?water (?:is )?(?:all over the floor|pouring out|running out|coming out)"
        rf"(?: (?:from|of|under) {_PLACE.format('o')})?",
    ),
)
_OVER: tuple[tuple[Kind, str], ...] = (
    (
        "power_cut",
        rf"(?:{_POWER}|everything|it all|all)(?:'s| is| are| has| came| come| has come| was)*"
        r"(?: now| just| finally| all)* (?:back(?: on| up| again| to normal)?|on again|restored|returned)",
    ),
    ("power_cut", r"(?:we |we've )?(?:got|have) (?:the )?(?:power|electricity)(?: back| again)+"),
    ("power_cut", r"(?:the )?power (?:cut|outage)(?:'s| is)? (?:over|ended|done)"),
    (
        "heat_wave",
        r"(?:the )?heat ?(?:wave)?(?:'s| is| has)* (?:over|ended|done|broken?|passed|finished|gone)",
    ),
    (
        "heat_wave",
        r"(?:the |our )?(?:ac|a/c|air ?con(?:ditioner|ditioning)?)(?:'s| is)* (?:back(?: on)?|fixed|on again)",
    ),
    (
        "heater_failed",
        rf"{_HEATER}(?:'s| is| was)*(?: now)? (?:works|working|fixed|replaced|back(?: on)?|ok|fine|good|unstuck)"
        rf"(?: again| now)*{_IN_PLACE}",
    ),
    ("heater_failed", rf"(?:new heater|replaced (?:the )?heater|swapped (?:the )?heater){_IN_PLACE}"),
    (
        "leak",
        rf"(?:the )?leak(?: (?:in|at|on) {_PLACE.format('l')})?(?:'s| is| has)*(?: now)? "
        r"(?:fixed|sealed|stopped|over|mended|repaired|gone)",
    ),
    (
        "leak",
        rf"{_PLACE.format('m')}(?:'s| is| has)*(?: now)? (?:fixed|sealed|stopped leaking|no longer leaking"
        r"|not leaking(?: any ?more| now)?)",
    ),
)
_BACK_AGAIN = re.compile(
    r"(?:and |now |all |ok |it's |is |we're |lights |lights are |everything )*"
    r"back(?: on| up)+(?: now| again| at .*)?[.! ]*"
)


def back_again(text: str) -> bool:
    """Whether a note says no more than that something is back on: the power, where it was out."""
    return _BACK_AGAIN.fullmatch(" ".join(text.casefold().split())) is not None


# Each of these ways has one of these words in it: a note without them need not be gone through.
_SIGN = re.compile(
    r"power|pwr|elec|mains|breaker|fuse|gfci|rcd|heat|room|here|\bac|a/c|\bair|leak|burst|crack|split|pour|running|coming"
    r"|floor|back|again|restored|returned|fixed|sealed"
)
_EXCLAIMED = re.compile(r"(?:help|hey|hi|ugh|argh|omg|oh no|uh oh|oh|damn|urgent|emergency|sos|please|now|quick| )+")
_BACK = re.compile(rf"(?:is |it's |it is )?(?:back|on again|restored)(?: on| now| again| up| to normal)*{_TAIL}")
_OF_HEATERS = ("heater_failed", "heater_stuck")
_SPARE = r"(?:the|a|my|another|one) ?(?:spare|new|other)?(?: one| heater)?"
_SWAPPED = re.compile(
    r"(?:already |just |have |i've |i |so )*"
    r"(?:(?:swapped|replaced)(?: it| that| the heater)?|changed (?:it|that|the heater))"
    rf"(?: out| over)?(?: (?:for|with|by|to) {_SPARE})?"
    rf"|(?:already |just |i )*(?:put|stuck|popped) (?:{_SPARE} in|in {_SPARE})"
    r"|(?:the )?(?:spare|new one)(?: is)?(?: now)? in(?: now)?"
)
# Words that make a story, plan, condition or joke of what comes after them in the sentence.
_NOT_NOW = re.compile(
    r"\b(?:if|when|whenever|in case|unless|until|till|might|may|could|would|should|will|gonna|going to|tomorrow|next"
    r"|forecast\w*|expect\w*|coming|planned|plans?|scheduled|drill|practi[cs]e|what|how|why|who|where|does|did|remind\w*|yesterday"
    r"|last|days ago|weeks? ago|was|were|had|used to|almost|nearly|neighbou?rs?|friend\w*|worried|afraid|hope|prepar\w*"
    r"|imagine|say)\b"
)
_JOKE = re.compile(r"\b(?:jk|j/k|kidding|joking|joke|false alarm|not really|hypothetical\w*)\b")
_CLAUSE = re.compile(r"(?<!\d),|,(?!\d)|\s(?:-|–|—)+\s|:(?!\d)|\s&\s|\band\b|\bbut\b")
_SENTENCE = re.compile(r"[!?;\n]+|\.(?!\d)")


def emergency_in(text: str) -> Emergency | None:
    """The emergency a note says is happening now, or over; None for anything else.

    What the note says besides stands in `rest`, for the reader.
    """
    plain = text.replace("’", "'").replace("‘", "'")
    if not _SIGN.search(plain.casefold()) or _JOKE.search(plain.casefold()):
        return None
    found: Emergency | None = None
    rest: list[str] = []
    at = 0
    for stop in [*_SENTENCE.finditer(plain), None]:
        sentence = plain[at : stop.start() if stop else len(plain)]
        ends = stop.group() if stop else ""
        at = stop.end() if stop else at
        clauses = [c.strip() for c in _CLAUSE.split(sentence) if c.strip()]
        for n, clause in enumerate(clauses):
            low = " ".join(clause.casefold().split()).rstrip(".")
            asked = "?" in ends
            before = " ".join(clauses[:n]).casefold()
            told = None if asked or _NOT_NOW.search(before) else _told(low)
            if told and (found is None or (told.over and told.kind == found.kind)):
                found = told
            elif found and found.kind in _OF_HEATERS and not asked and _SWAPPED.fullmatch(low):
                found = Emergency(found.kind, found.place, over=True)
                rest.append(f"replaced the heater in {found.place}" if found.place else clause)
            elif found and not found.over and not asked and _BACK.fullmatch(low):
                found = Emergency(found.kind, found.place, over=True)
            elif not (told and found and told.kind == found.kind) and not _EXCLAIMED.fullmatch(low):
                rest.append(clause + ("?" if asked else ""))
    return Emergency(found.kind, found.place, found.over, ", ".join(rest)) if found else None


def _told(clause: str) -> Emergency | None:
    """What one clause says, as a whole."""
    if len(clause) > MOST_LETTERS:
        return None
    for over, ways in ((True, _OVER), (False, _HAPPENING)):
        for kind, words in ways:
            if hit := pattern(f"{_LEAD}{words}{_TAIL}").fullmatch(clause):
                return Emergency(kind, _place_in(hit), over=over)
    return None


def _place_in(hit: re.Match[str]) -> str | None:
    """The place as it was said: `5`, `tank 7`, `tub e`, `medaka`."""
    said = hit.groupdict()
    for name, words in said.items():
        if words and not name.endswith("k"):
            kind = said.get(f"{name}k") or ""
            kind = "tank" if kind == "t" else kind
            number = str(_NUMBERS.index(words) + 1) if words in _NUMBERS else words
            return f"{kind} {number}".strip()
    return None
