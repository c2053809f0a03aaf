"""Which sum the words of a question ask for."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from collections.abc import Mapping

from bot.language.asking.given import NITROGEN, NUM, SIDES, TURNED, VOLUME, plain
from bot.language.text.pattern import pattern

_WATER = r"(?:nitrates?|nitrites?|ammonia|it|no3|level|reading|waste|tds)"
_DAY = r"(?:today|tonight|tomorrow|monday|tuesday|wednesday|thursday|friday|saturday|sunday)"
# "nitrate 100, five 10% changes": a reading and what is done to it, with nothing that says it was done
_SEVERAL = (
    rf"^(?:{_WATER} ?(?:is |at |of |reads |now )*{NUM}|{NUM} ?(?:ppm|mg/l)? ?(?:of )?{_WATER})(?: ?(?:ppm|mg/l))?[,;:.]? (?:and |with |after |then |if i do |i do )*"
    rf"{NUM} (?:(?:water )?changes (?:of |at )?{NUM} ?(?:%|percent)|(?:x |times )?{NUM} ?(?:%|percent) (?:water )?changes)\W*$"
)
_FOODS = r"(?:brine|bbs|artemia|micro ?worms?|infusoria|vinegar eels?|live foods?|cultures?|moina|rotifers?)"
_RULES: tuple[tuple[str, str], ...] = (
    ("degree days", r"\b(?:degree|day)[- ]?(?:days?|degrees|hours)\b|\btemperature units?\b"),
    (
        "dilution",
        rf"\bdilut\w*\b.*{NUM}|{NUM} ?(?:%|percent\b).*\b(?:from|out of|with) (?:an? |my |the )?{NUM} ?(?:%|percent)",
    ),
    (
        "inbreeding",
        r"\binbre(?:d|ed|eding)\b|\b(?:full|half)[- ]?sib\w*|\bconsanguin|\bhow (?:close|closely) (?:bred|related)\b|\bhow related\b",
    ),
    (
        "effective",
        r"\beffective (?:number|population|size|breed|parents?)|\bhow many (?:effective )?(?:founders|breeders) do i need|\bhow many parents\b",
    ),
    (
        "live food",
        rf"\b(?:when|how soon|what day|which day)\b(?!.*\b(?:did|was|were|last)\b).*\b(?:re)?(?:start|set up|hatch out|begin|set)\b.*\b{_FOODS}"
        r"|\b(?:what|which) live foods?\b.*\b(?:need|start|set up|begin)\b"
        rf"|\b(?:is it|are we) (?:time|late|too (?:soon|early|late)) to (?:start|set up|hatch|set)\b.*\b{_FOODS}|\bshould (?:i|we) (?:start|set up|hatch|set)\b.*\b{_FOODS}",
    ),
    ("cysts", r"\bhow (?:much|many)\b.*\b(?:cysts?|brine shrimp(?: eggs?)?|artemia)\b.*\bfry\b"),
    (
        "first food",
        r"\bfirst (?:foods?|feed\w*)\b|\b(?:feed|food|eat|give)\b.*\bfirst\b|\bwhat\b(?!.*\b(?:did|was|fed|have|has)\b).*\b(?:feed|eat|take|swallow)\b.*\b(?:fry|hatchlings?|larvae)\b"
        r"|\bwhat\b(?!.*\b(?:did|was|fed|have|has)\b).*\b(?:fry|hatchlings?|larvae)\b.*\b(?:eat|take|swallow)\b|\b(?:can|will|do)\b.*\bfry (?:eat|take|swallow)\b|\bwhat\b(?!.*\b(?:did|was|fed|have|has)\b).*\bfeed\b.*\b(?:when|once|after) they(?:'ve| have)? hatch\w*|\bwhat size (?:of )?(?:foods?|prey)\b|\b(?:mouths?|gapes?|prey)\b",
    ),
    (
        "crowding",
        r"\bcrowd\w*|\bovercrowd\w*|\boverstock\w*|\bstocking\b|\btoo (?:many|full)\b.*\b(?:fish|fry|juveniles|young)\b|\bcan (?:tank|tub|the|my|a) .*\bhold\b"
        rf"|\b(?:can|could) (?:i|we) (?:put|keep|fit|raise|grow)\b.*{NUM} ?-?(?:mm|cm|inch(?:es)?|in)\b.*\bin (?:an? )?(?:{NUM} ?-?{VOLUME}\b|tank|tub)|\bhow many\b.*\b(?:mm|cm|inch(?:es)?)\b.*\b(?:fit|go|keep) in\b"
        rf"|\b(?:how many|can i|could i|room for|is there room)\b.*\b(?:fish|fry|juveniles|young)\b.*\b(?:fit|go in|in|keep|into)\b.*(?:{NUM} ?-?{VOLUME}\b)"
        rf"|\bhow many\b.*\b(?:can|could) (?:i|we) (?:keep|put|fit|raise|grow)\b.*\bin (?:an? |the |my )?{NUM} ?-?{VOLUME}\b",
    ),
    ("box", SIDES.pattern),
    (
        "changes",
        rf"\bhow many\b.*\bchanges?\b.*\b(?:halve|half|from|get|bring|lower|down|reach|under|below|to)\b|\bhow many times\b.*\bchange\b.*\b(?:halve|half|{NUM})|\bfrom {NUM}.*\bto {NUM}.*\bhow many\b.*\bchanges?\b"
        rf"|\b(?:chang\w*|do) {NUM} ?(?:%|percent)(?=.*\b(?:when|how (?:long|many|soon))\b)(?=.*\b(?:under|below|to) {NUM}\b)(?=.*\bfrom {NUM}\b)",
    ),
    (
        "percent",
        rf"\b(?:what|how (?:much|big|large)(?: of)?|which)\b.*(?:percent\w*|%|\bchange\b|\bwater\b).*\b(?:halve|half of|from {NUM}|(?:get|bring|lower|cut|drop|reduce)\b.*\b(?:to|under|below) {NUM})",
    ),
    (
        "after",
        rf"{NUM} ?(?:%|percent).*\bchanges?\b.*\b(?:leaves?|left|after|bring|end up|be|get)\b|\bafter {NUM}\b.*\bchanges\b"
        rf"|\b(?:left|remains?|leaves?|end up|get|be|become|come)\b.*\bafter\b.*{NUM} ?(?:%|percent)|{_SEVERAL}",
    ),
    (
        "steady",
        rf"\b(?:stay|be|sit|hover|hold|stop) at$|\b(?:settles?|steady|levels? off|levels? out|plateaus?|equilibrium|end up|stabili[sz]es?)\b.*|\bwhere (?:does|will|would) {_WATER}\b.*\b(?:go|end|stop|stay)\b",
    ),
    ("flow", r"\b(?:drip\w*|flow(?:s|ing)?[- ]through|continuous\w*|run(?:ning)?\b.*\bthrough|tank volumes?)\b"),
    (
        "poured",
        rf"\bhot\b.*{NUM}.*\bhow much (?:of )?(?:each|hot|cold|warm|boiling)\b|\bhow much (?:of )?(?:each|hot|cold|warm|boiling)\b.*\bhot\b.*{NUM}"
        rf"|{NUM} ?-?{VOLUME}\b[\w ]*? at {NUM} ?(?:°|degrees? )?[fc]\b.*{NUM} ?-?{VOLUME}\b[\w ]*? at {NUM} ?(?:°|degrees? )?[fc]\b",
    ),
    (
        "mix",
        r"\b(?:ro|r/o|osmosis|rain ?water|distilled|di)\b.*\b(?:tap|mix\w*|hardness|d?[gk]h|tds|ppm|degrees|soft)\b|\bmix\w*\b.*\b(?:ro|tap|rain\w*|distilled)\b|\btap\b.*\b(?:ro|rain ?water)\b"
        rf"|\btap\b.*\b(?:d?[gk]h|tds|hardness)\b.*\b(?:i|we) (?:want|need)(?: it at| to get)? {NUM}$",
    ),
    (
        "aged",
        r"\baged (?:water|tap)|\bwater\b.*\b(?:age|stand|aged|standing|set out|ready|prepare|need)\b.*\b(?:tomorrow|today|changes?)\b|\bwater\b.*\bfor (?:tomorrow|today)(?:'s)?\b.*\bchanges?\b"
        rf"|\bwater (?:to|should i|do i|must i) (?:set out|have ready|prepare|stand|age)\b|\bhow much (?:aged |clean |fresh |dechlorinated )?water\b.*\b{_DAY}\b.*\b(?:changes?|take|need)\b|\bhow much (?:aged |clean |fresh |dechlorinated )?water\b.*\b(?:changes?|take|need)\b.*\b{_DAY}\b"
        rf"|\bhow (?:many|much)\b.*\b(?:gallons|litres|liters|quarts|water)\b.*\b{_DAY}(?:'s)? (?:water )?changes\b",
    ),
    ("share", rf"{NUM} ?(?:%|percent) of (?!stock)(?:the |my )?(?:#|tank|tub|{NUM} ?-?{VOLUME})"),
    ("oxygen", rf"\b(?:dissolved )?oxygen\b|\bo2\b|(?<!\bi )(?<!\bwe )\bd\.?o\.? (?:reading |is |of )*{NUM}"),
    (
        "ammonia",
        rf"^(?:total )?(?:ammonia|nh[34]|nitrites?) ?(?:is |at |of )?{NUM}.*\bph ?(?:is |at |of )?{NUM}.*\?$",
    ),
    (
        "warmth",
        rf"^(?!.*\b(?:hatch|ammonia|oxygen|how (?:long|many))\b).*{NUM} ?(?:°|degrees?|deg)? ?[fc]\b.*\b(?:ok|okay|fine|safe|bad|good|right|too (?:warm|hot|cold|cool|low|high)|warm enough)\b",
    ),
    ("ph", rf"^(?!.*\b(?:ammonia|nh[34]|nitrites?)\b).*(?:\bph (?:of |is |at )*{NUM}|{NUM} ph\b)"),
    ("conversion", NITROGEN + "|" + "|".join(re.sub(r"\(\?P<\w+>", "(?:", p.pattern) for p in TURNED)),
    (
        "losses",
        r"\b(?:loss(?:es)?|lost|losing|lose|deaths?|died|dying|dead|mortalit\w+)\b.*\b(?:per|a|each|by|every) ?week\b|\bweekly (?:loss\w*|deaths?|mortality)|\bweek by week\b",
    ),
    (
        "comparison",
        r"\b(?:worse|better|lower|higher|different|differ|worst|best|poorer|poorest|compare)\b(?=.*\b(?:hatch\w*|fertil\w*|rates?)\b)|\b(?:hatch\w*|fertil\w*|rates?)\b.*\b(?:worse|better|lower|higher|different|differ|worst|best|poorer|poorest|compare)\b"
        r"|\b(?:tank|tub|group) ?\w+ (?:really |truly |actually |any )?(?:worse|better) than\b",
    ),
    ("survival", rf"^(?!.*\b{NUM} (?:of|out of) {NUM}\b).*(?:\bsurviv\w*|\b(?:make|made|makes) it\b|\bmortality\b)"),
    (
        "reach",
        rf"^(?!.*\bhatch).*\b(?:when|how long|how soon|at (?:what|which) age|how old)\b.*\b(?:be|reach|get|hit|are|until|to)\b.*\b{NUM} ?-?(?:mm|cm|inch(?:es)?|in)\b"
        rf"|\b(?:when|how long|how soon|at (?:what|which) age|how old)\b.*\b(?:an|half an|one) inch\b",
    ),
    (
        "weeks",
        r"\bhow many\b.*\b(?:can|could|will) (?:i|we) (?:be able to )?sell\b.*\b(?:in|by|this|next) (?:january|february|march|april|may|june|july|august|september|october|november|december|jan|feb|mar|apr|jun|jul|aug|sep|sept|oct|nov|dec|week|month)\b|\bhow many\b.*\b(?:ready|big enough|sellable|sale size|sell size|saleable)\b.*\b(?:weeks?|when|by|in|which|month)\b|\b(?:which|what) week\b.*\b(?:ready|sale|sell|size)\b|\b(?:ready|sale|sell)\b.*\b(?:which|what|each|every|per) week\b",
    ),
    (
        "length",
        r"\bhow (?:big|large|long) (?:are|is|will|should)\b.*\b(?:now|today|by now|already)\b|\bwhat (?:size|length) (?:are|is|should|will)\b(?!.*\b(?:food|prey|pellets?|flakes?)\b)|\bhow (?:big|large|long)\b.*\b(?:at|after|by|in)\b.*\b(?:days?|weeks?|months?)\b|\bis \d.*\b(?:mm|inch|cm)\b.*\b(?:at|after)\b.*\b(?:days|weeks|months)\b",
    ),
    (
        "dose",
        r"\b(?:how (?:much|many|strong)|dose|dosage|dosing|what strength)\b.*\b(?:peroxide|h2o2|salt|methylene|meth[- ]?blue|acriflavine?|formalin|formaldehyde|malachite|copper|drops)\b"
        r"|\b(?:peroxide|h2o2|salt|methylene|meth[- ]?blue|acriflavine?)\b.*\b(?:how strong|what strength)\b"
        r"|\b(?:peroxide|salt|methylene blue|formalin|malachite green|copper|acriflavine?) (?:dose|dosage)\b"
        rf"|^{NUM} ?(?:%|percent) (?:hydrogen )?(?:peroxide|h2o2) (?:for|in) (?:a |my )?{NUM} ?{VOLUME}\W*$",
    ),
)
_ASKS = re.compile(
    r"^(?:(?:ok|okay|so|hey|hi|and|please|pls|quick question|question|roomhand)[ ,:]+)*"
    r"(?:how|what|what's|whats|when|where|which|is|are|can|could|should|do|does|will|would|if|convert|volume|work out|calculate"
    r"|mix|ro|inbreeding|effective|oxygen|survival|losses|hatch|first|compare|tank volume|dilute|degree[- ]days?|biggest|largest|smallest|water to|at (?:what|which))(?![\w'])"
)
# A question after the numbers it is about: "tap is 300 tds, how much ro for 100", "… , where do i end up".
_ASKS_ON = re.compile(
    r"(?:^|[,;:.!] ?|\b(?:and|so|then) )(?:how (?:much|many|big|wide|long|strong|far)|what(?:'s| is| will| do| does| can| size| percent\w*)|where (?:do|does|will|would)|will|does|can|is (?:it|that|this))\b"
    rf"|\bhow many {NUM} ?(?:%|percent) (?:water )?changes$"
    r"|\b(?:how (?:much|many)|steady state|percent saturation|saturation|how strong|what strength)$|\bhow much of each\b"
)
_DONE = re.compile(
    r"\b(?:did|changed|pulled|fed|moved|added|gave|dosed|found|sold|lost|died|swapped|took|topped|logged|tested|measured|hatched|counted|put)\b"
)
_JUDGED = re.compile(
    r"\b(?:ok|okay|fine|safe|bad|good|right|too (?:low|high|acid\w*|alkaline|much)|low|high|danger\w*|harm\w*|hurt|kill|acceptable|suit\w*|tolera\w*|problem|worry|normal|like|stand|live|breed|lay|spawn|alright)\b"
)
# The name of a sum alone, with its numbers: "half sibs inbreeding", "prey width for a 200 micron gape".
_FLAT = re.compile(
    rf"^{NUM} ?(?:%|percent) (?:hydrogen )?(?:peroxide|h2o2) (?:for|in)\b"
    r"|^(?:peroxide|salt|methylene blue|formalin|malachite green|copper|acriflavine?) (?:dose|dosage)\b"
    rf"|^(?:my |the |our )?tap\b.*\b(?:want|need)\b.* {NUM}$"
    r"|^(?:degree[- ]days?|inbreeding|effective (?:number|size|population)|prey|oxygen saturation)\b"
    r"|\b(?:degree[- ]days?|inbreeding|gape|percent saturation|steady state|effective (?:number|size|population))\W*$"
)
# What the kinds of questions the reader knows each of these sums belongs to.
ABOUT: Mapping[str, str] = {
    "live food": "culture",
    "first food": "advice",
    "crowding": "advice",
    "losses": "rate",
    "comparison": "rate",
    "survival": "rate",
    "weeks": "ready",
    "length": "ready",
    "reach": "ready",
    "dose": "dose",
    "dilution": "dose",
    "ph": "ammonia",
    "ammonia": "ammonia",
    "warmth": "advice",
}


def topic_of(text: str) -> str | None:
    """Which sum the words of a question ask for; None for another question. Only for what is known to ask."""
    said = plain(text)
    topic = next((topic for topic, words in _RULES if pattern(words).search(said)), None)
    if topic == "steady" and not re.search(rf"{NUM} ?(?:%|percent)", said):
        return None
    if topic == "aged" and re.search(rf"{NUM} ?(?:%|percent)", said):
        return None
    if topic == "ph" and not _JUDGED.search(said):
        return None
    return topic


_OPENS_WITH_SEVERAL, _OPENS_WITH_ONE = re.compile(_SEVERAL), re.compile(NUM)


def sum_asked(text: str) -> str | None:
    """The kind of question (`calc`, `dose`, `rate`, …) when these words ask for a sum by themselves, else None.

    For words that no other reading has claimed: they must begin as a question does, or end with its mark, or ask
    after numbers alone; words of something done ("changed 30%, how much is left") are left to who reads notes.
    """
    said = plain(text)
    several = _OPENS_WITH_SEVERAL.match(said)
    brief = _OPENS_WITH_ONE.match(said) and len(said.split()) <= 6  # "23 c to f", and not a list of figures
    asks = bool(_ASKS.search(said) or said.endswith("?"))
    asks = asks or (not _DONE.search(said) and bool(_ASKS_ON.search(said) or _FLAT.search(said)))
    if not (asks or several or brief):
        return None  # before its many patterns are tried
    topic = topic_of(text)
    if topic is None:
        return None
    figure = brief and topic in ("conversion", "share")
    return ABOUT.get(topic, "calc") if asks or figure or (several and topic == "after") else None
