"""Questions as phones and thumbs leave them: without a mark, without a verb; and what the plainest of them are about."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from bot.language.text.pattern import pattern

if TYPE_CHECKING:
    from bot.language.tags import Tag

_LEAD = r"(?:(?:so|and|but|ok|okay|hey|hi|um|uh|er|well|oh|hmm|also|now|morning|evening|please|pls|sorry|right|just|quick question|question) ?,? ?)*"
_OF_WHOM = r"(?:i|we|you|they|he|she|it|that|this|there|these|those|the|my|our|any|anything|anyone|anybody|all|both|each|a|an|one|two|three|some|someone|somebody|most|everyone|everything)"
_OPENS = re.compile(
    rf"^{_LEAD}(?:"
    rf"(?:is|are|was|were|has|have|had|can|could|will|would|should|shall|does|do|am)(?:n't| not)? {_OF_WHOM}\b(?! (?:first|last) (?:thing|one)\b)"
    r"|did (?:i|we|you|they|he|she|it|that|anything|anyone|anybody|someone|somebody|any|all)\b"
    r"|(?:any|anything|anyone|anybody|anywhere)\b"
    r"|(?:who|whom|whose|which|what|when|where|why|how|whens|hows|whos|wheres)\b"
    r"|(?:who|what|when|where|how)'(?:s|re|ll|d)\b"
    r")"
)
_TELLS = re.compile(  # such words open no question after all
    r"^(?:what (?:a|an)\b|how (?:lovely|nice|cute|annoying|funny|sweet)\b|which (?:is|was|were|are) (?:fine|good|nice|odd|why|lovely|great|annoying)\b|who knew\b|when (?:i|we|he|she|they|the|it) \w+(?:ed|t|d)\b|any(?:way|how)\b|what's left (?:is|looks?|in)\b|where (?:i|we) (?:put|left|moved)\b|when (?:i|we) (?:got|came|went|did|was|were)\b|when .* (?:i'll|we'll|i will|we will) )"
)
_TAILS = re.compile(
    r"\b(?:or not|or no|or what|as a (?:graph|chart|plot)|explain(?: it)?(?: to)?(?: me)?(?: please| pls)?|(?:graph|chart|plot|list|numbers|figures|totals|history) ?(?:please|pls)|how (?:many|much|long|often|old|big|soon|much longer)|which (?:has|have|is|are|was|one) .*|who's .*|eta|by when|what day|which day|what date)$"
)
_SHORT = re.compile(  # bare headings that ask to be shown something
    r"^(?:(?:full )?(?:log|history|notes) (?:of|for|on|about) .+|(?:log|history) (?:t|tk|tank|tub) ?\w*)$|^(?:read|show) (?:me |us )?(?:back )?(?:everything|all (?:the )?notes|the notes|the log)\b|^(?:ammonia|nitrite|nitrate|ph|temperature|temp|gh|kh|tds) (?:readings|levels|values|results)\b|^(?:what|who|anything) ready$|^still open$|"
    r"^\d\S*(?: degrees?)? ?[fc]? (?:in|to|as|into) (?:f|c|fahrenheit|celsius|centigrade)$|^(?:the )?(?:egg|fry|hatch|death|sales?)s? ?(?:total|totals|tally|takings) (?:for|of|in|this|so far|since|last|january|february|march|april|may|june|july|august|september|october|november|december)\b|"
    r"^(?:[\w']+ ){1,3}(?:hatch rate|survival rate|survival|fertility|chart|graph|stock|history)$|^(?:\w+ ){1,3}(?:chart|graph|plot|history) (?:for|of|in|on) (?:the )?\w+(?: \w+)?$|^(?:notes|log|entries|feeds|sales|deaths) (?:today|yesterday|tonight|this \w+|so far)$|^(?:number|count) of .* (?:left|now|in stock|we have|for sale)$|^(?:commands?|menu|examples)$|"
    r"^(?:the )?(?:(?:water|feeding|feed|egg|mop|job|jobs|chore|chores|to do|todo|pull|change|task|due) list|list)\b(?: (?:for|of) .*)?$"
    r"|\b(?:hottest|coldest|highest|lowest|warmest)\b"
    r"|\bhatch(?:ing)? (?:days|time|times|date|dates)\b"
    r"|^(?:size|age|count|status|weight|length) of \w+"
    r"|^\w+ (?:size|age|status)$"
    r"|\blast time (?:we|i) (?:looked|counted|checked|tested|measured)\b"
)


def asked_flatly(text: str, tags: list[Tag], heads: bool = False) -> bool:
    """Whether words without a question mark all the same ask something; a line that heads others asks for no list."""
    if _TELLS.match(text):
        return False
    said = any(t.kind in ("pct", "amount", "money", "vol") for t in tags)
    if _OPENS.match(text):
        return True
    if _opens_on_name(tags):
        return True
    if _TAILS.search(text) and not said:
        return not any(_done(t) for t in tags) or text.endswith("or not")
    return not heads and bool(_SHORT.search(text)) and not said and not any(_done(t) for t in tags)


def _done(tag: Tag) -> bool:
    """Whether a word says that something was done: "fed", "pulled"."""
    return bool(tag.senses.get("cue")) and (
        tag.word.endswith("ed") or tag.word in ("fed", "did", "sold", "lost", "put")
    )


def _opens_on_name(tags: list[Tag]) -> bool:
    """ "Did gardneri lay", "has she fed yet", "can gularis and gardneri share a tank": a verb before the one it is about."""
    its = [t for t in tags if t.kind not in ("punct", "sep")][:8]
    while its and its[0].word in ("so", "and", "but", "ok", "okay", "hey", "um", "uh", "well"):
        its.pop(0)
    if len(its) < 3:
        return False
    first, second = its[0], its[1]
    named = second.kind in ("line", "place", "batch", "person", "culture") or (
        second.kind == "num" and second.low is None
    )
    if first.word in ("is", "are", "was", "were", "can", "could", "will", "would", "should", "does", "has", "have"):
        return named
    if first.word != "did":
        return False
    if second.word in ("the", "my", "our", "those", "these"):
        if any(t.word in _BREAKS for t in its[3:]):
            return True  # "did the heater fail", of whatever it is
        second = its[2]
    lays = any(t.word in _BASE for t in its[2:])
    return lays and (
        second.kind in ("line", "batch", "person", "place", "num")
        or second.says("noun", "eggs", "fry", "fish", "male", "female", "juveniles")
    )


_BREAKS = frozenset(["fail", "break", "leak", "burst", "trip", "freeze", "stop", "overflow", "crash", "die"])
_BASE = frozenset(
    ["lay", "hatch", "eat", "die", "fail", "make", "get", "come", "survive", "spawn", "take", "do", "go", "jump",
     "feed", "change", "pull", "clean", "move", "sell", "buy", "give", "have", "live", "grow", "show", "eye",
     "start", "stop", "work", "collect", "pay", "pick", "log", "send", "say"]
)  # fmt: skip

# What the plainest questions are about, the surest first. Read against the words of the note, numbers in figures.
_TOPICS: list[tuple[str, str]] = [
    ("help", r"\bis there (?:an|a|any) (?:undo|way to (?:undo|fix|correct|take back|change))\b|^what can you do$"),
    ("advice", r"\bhow (?:long|many (?:days|weeks|hours|times)) (?:do|should|must|can) (?:i|we) (?:leave|keep|treat|wait|soak|rest|fast|dose|quarantine)\b|\b(?:once|twice|(?:\d+|one|two|three|four) times?) (?:a|per) day\b.*\benough\b|\benough for (?:them|it|him|her)\b|\b(?:power|leak\w*|heater|ammonia|crash\w*|died|dead|sick|gasping)\b.*\bwhat (?:do|should) (?:i|we) do\b|\bhow (?:often|many times) (?:do|should) (?:i|we)\b"),
    ("due", r"^(?:so |and |hey )?how(?:'s| is| are) (?:everything|it all|things|the room|the fish room|the fishroom|all)(?: \w+)?(?: today| now)?$"),
    ("advice", r"^(?:so |and |but |ok )?why (?:is|are|do|does|did|would|won't|has|have|isn't|aren't|don't|the|my)\b"),
    ("last", r"^(?:is|are|was|were) (?:the |my |our )?(?:\w+ ){0,3}(?:feed|feeds|feeding|round|rounds|water|change|changes|mops?|pulls?|drops|fry|tubs?|chores?) (?:all )?(?:done|finished|sorted)(?: yet| already| today)?$"),
    ("due", r"\bwho (?:needs|still needs|wants)(?: \w+)? (?:feeding|food|changing|water|pulling|doing|cleaning|a \w+)\b|^who(?:'s| is| are)? (?:next|up|hungry)\b|\bwhich (?:\w+ )?(?:mops?|tanks?|tubs?|ones?|jobs?|cultures?)(?: are| is)? (?:up|next|left|open|late|waiting)\b|\b(?:homework|agenda|docket|to-?dos?|on my plate|lined up|in store)\b|\b(?:needs?|want) (?:feeding|changing|pulling|doing|cleaning|squeezing)$"),
    ("calc", r"^\d\S*(?: degrees?)? ?[fc]? (?:in|to|as|into) (?:f|c|fahrenheit|celsius|centigrade)$|^\d\S* (?:gal|gals|gallons?|l|litres?|liters?|cups?|quarts?|pints?|ml) (?:in|to|as|into) (?:gal|gals|gallons?|l|litres?|liters?|cups?|quarts?|pints?|ml)$"),
    ("place", r"^(?:is |are )?(?:anybody|anyone|anything|any fish|any fry|any eggs|who's|whos|what's|whats) in (?:tank |tub )?\w{1,3}$"),
    ("hatch", r"^how (?:long|many days) (?:till|until|til|to|before) (?:for )?b ?\d+(?: now)?$"),
    ("last", r"^(?:what|whats|what's) (?:the )?(?:temp|temperature|ph|nitrate|ammonia|nitrite|gh|kh|tds) (?:is|in|of|for|at) (?:tank |tub )?\w{1,3}(?: at| now)?$"),
    ("totals", r"\b(?:what|how much)(?: \w+)? (?:did|have|has) (?:we|i) (?:\w+ )?(?:earn|earned|take in|taken in|make|made|bring in|brought in|sell|sold)\b|^(?:the )?(?:egg|fry|hatch|death|sales?|feed|pull)?s? ?(?:total|totals|tally|takings|income) (?:for|of|in|this|so far|since|last|per|january|february|march|april|may|june|july|august|september|october|november|december)\b"),
    ("ready", r"\bready (?:to|for) (?:go|sell|move|leave|be sold|be moved|new homes|the club|the auction|sale)\b"),
    ("due", r"\b(?:still|what's|whats|anything|something|what is|left) (?:still )?open\b|^still open$|\boverdue\b|\bwhat (?:did|have) (?:i|we) (?:not|miss|missed|skip|skipped|forget|forgotten)\b|\bwhat do i do first\b|\bwhat (?:comes|goes) first\b|\bwhat should (?:i|we) do first\b"),
    ("history", r"\bwhat (?:has |have |else )?happened\b|^(?:read|show|tell|give) (?:me |us )?(?:back )?(?:everything|all|all the notes|all notes|the notes|notes|the log)\b|^(?:full )?(?:log|history|notes) (?:of|for|on|about)\b|^(?:log|history|notes) (?:t|tk|tank|tub)?\b ?\w*$|^(?:\w+ )?(?:ammonia|nitrite|nitrate|ph|temperature|temp|gh|kh|tds) (?:readings|levels|values|results)\b"),
    ("due", r"\bis it time (?:to|for)\b"),
    ("last", r"^how (?:warm|hot|cold|cool) (?:is|are) (?!too\b)"),
    ("last", r"^(?:have|has|were|was|are) (?:the |my |our |all )*\w+(?: \w+)?(?: been| all)* (?:done|fed|changed|cleaned|pulled|squeezed|topped|tested)\b"),
    ("stock", r"^who(?:'s| is|s) (?:getting|taking|having|collecting|coming for|down for|buying)\b"),
    ("totals", r"^how many .*\bdid .*\b(?:give|lay|drop|produce|yield)\b"),
    ("help", r"^(?:commands?|menu|examples)$"),
    ("stock", r"^(?:number|count) of .* (?:left|now|in stock|we have|for sale)$|^(?:\w+ ){1,2}stock$"),
    ("history", r"^(?:notes|log|entries) (?:today|yesterday|tonight|this \w+|so far)$"),
    ("rate", r"\b(?:percent|percentage|share|how many) of .*\b(?:make it|survive|hatch)\b"),
    ("hatch", r"\bhow many (?:of the |my )?(?:fry|eggs|young|batches|tubs)\b(?!.*\b(?:did|have|has|hatched|so far|last)\b).*\bhatch\b.*\b(?:today|tomorrow|tonight|weekend|week|month|by|soon)\b|\bhow many fry (?:will|do|can|should) (?:i|we) (?:get|expect)\b.*\b(?:tomorrow|weekend|week|month|by|soon)\b|\b(?:chances?|odds|likely)\b.*\bhatch\w*\b|^(?:has|have|did|is|are) .*\bfail(?:ed|ing)?$"),
    ("hatch", r"\b(?:close to|about to|near|nearly|ready to|going to) hatch(?:ing)?\b|\bexpecting\b.*\b(?:hatch|fry)|\b(?:hatch|fry)\b.*\bexpected\b|\bnearly there with\b.*\beggs\b|\b(?:any|expect\w*) hatch\w*\b.*\b(?:today|tomorrow|tonight|weekend|week)\b"),
    ("rate", r"^(?:is|are) .* or .* hatching (?:better|best|worse)\b"),
    ("ready", r"^(?:what|what's|whats|who|who's|anything|which are|which ones are) ready$|^(?:what|who)(?:'s| is| are) ready(?: to (?:go|sell|move))?$"),
    ("stock", r"^(?:the )?[\w ]+ (?:ct|cnt|headcount|head count)$|\b(?:what's|whats|what is|how much is|anything) left of (?:the |my |our )?"),
    ("calc", r"\bhalves?\b.*\b(?:nitrate|ammonia|nitrite|tds|reading)\b"),
    ("chart", r"\b(?:graph|chart|plot|draw me|draw a|draw us)\b"),
    ("help", r"\bhow (?:do|can|could|would) (?:i|we|you) (?:take back|fix|change|undo|correct|delete|remove) (?:what|a note|that|the last|something)\b|\bexplain (?:it |that )?(?:to )?(?:me|us)\b|\bhow (?:do|can|should) (?:i|we|you) (?:log|record|enter|tell you|write|undo|delete|correct|say)\b|\bhow do you (?:work|reckon|know|estimate|figure)\b|\bwhat (?:can|could) (?:i|we) (?:ask|say|tell|write)\b"),
    ("advice", r"^(?:is (?:that|it) )?(?:bad|ok|okay|safe|dangerous|deadly|too high|high|normal)$"),
    ("calc", r"\bis how many\b|\bhow many (?:gallons|litres|liters|litters|l|gal|quarts|buckets|cups)\b(?!.*\b(?:did|have|used)\b)|\bhow much (?:tap|rain|rainwater|ro|water|is \d+ (?:gallons|litres|liters))\b|\b(?:convert|conversion)\b|\bhow much (?:should|do|must|to) (?:i |we )?(?:change|take out|swap)\b|\d+ percent,? (?:is |in |= ?)?(?:how many |how much )?(?:litres|liters|gallons)\b|\bin (?:litres|liters|litters|gallons|celsius|fahrenheit)$|\bto (?:celsius|fahrenheit)\b"),
    ("dose", r"^(?:so |and )?(?:peroxide|salt|methylene blue|dechlorinator|tannin) for \d|\b(?:drops?|tsp|teaspoons?|tablespoons?|ml|salt|peroxide|methylene|dechlorinator)\b.*\b(?:enough|too (?:much|strong|many|little)|correct)\b|\bhow (?:much|many)\b.*\b(?:salt|peroxide|methylene|meth|dechlor\w*|drops?|tannin)\b(?!.*\b(?:did|have)\b)"),
    ("ammonia", r"\b(?:ammonia|nitrite)\b.*\b(?:panic|deadly|do i (?:need|have) to|what (?:do|should) i do|is (?:that|it) (?:bad|ok|okay|safe|dangerous|much)|a problem|trouble)\b"),
    ("batch", r"\b(?:ready to wet|peat\b.*\bhow (?:long|much longer|many weeks)|weeks? in (?:the )?peat|long in (?:the )?(?:peat|bag)|how long .*\b(?:peat|the bag))\b"),
    ("rate", r"\b(?:fertility|hatch ?rate|survival|success rate)\b|\b(?:percent|percentage|share|fraction)\b.*\b(?:hatched|made it|survived|fertile|went bad|lost)\b"),
    ("ready", r"\bhow (?:long|many (?:more )?(?:days|weeks|months)) (?:till|until|til|before)\b.*\b(?:sex|sell|sold|move|moved|sale)\b|\bwhen (?:can|could|will|should|do)\b.*\b(?:sex|sell|sold|move|moved|sale)\b|\b(?:big|old|large) enough (?:to|for)\b"),
    ("hatch", r"\b(?:closest|nearest|next|first|soonest|due) to (?:hatch|hatching|go|pop)\b|\bhatch(?:ing)? (?:days|time|times|date|dates)\b|\b(?:which|what) (?:batch|eggs|tub)\b.*\b(?:hatch|pop|go) (?:next|first|soonest)\b|\banything hatching\b|\beggs?\b.*\bhow (?:many days|long)\b|\bhow (?:many days|long)\b.*\b(?:eggs?|hatch)\b(?!.*\b(?:since|ago)\b)|\bwill\b.*\beggs\b.*\b(?:out|hatch|pop|go)\b"),
    ("advice", r"^(?:can|could|should|would|is it (?:ok|okay|safe|fine|too)|may)\b.*\b(?:share|together|with the|mix|still move|too late|all at once|slowly)\b|\btoo late\b|\bhow often (?:should|do|must)\b|\bwhat (?:temp|temperature|ph|food)\b.*\b(?:should|best|supposed|kept|need|like)\b|\b(?:temp|temperature|ph) (?:is |are )?(?:supposed|meant) to\b"),
    ("due", r"\bwhat(?:'s| is) (?:first|next)\b|\bwhat else(?: is there)?(?: to do)?$|\bwhat else (?:is|needs|do)\b|\blist for (?:today|tonight|tomorrow|this)\b|\b(?:water|feeding|job|jobs|chore|chores|to do|todo|mop|egg) list\b|\bwaiting to be (?:picked|pulled|changed|fed|done|cleaned)\b|\bleft (?:to do|for (?:today|tonight|the evening|this evening|the day|the night))\b|\bneed to do\b|\bwhen (?:should|do|does|must|is) (?:i|we|he|she|\w+) (?:clean|change|pull|feed|squeeze|wet|check)\b"),
    ("last", r"\blast time (?:we|i|you|it)\b|\bwhat(?:'s)? (?:the )?(?:temp|temperature|ph|nitrate|gh|kh|tds) (?:is|are) (?:it|they|the \w+|\w+) at\b|\bmore than (?:the )?last\b|\bwhen (?:was|were|did|has|have)\b.*\b(?:last|changed|cleaned|done|fed|pulled|dosed|squeezed|topped|treated|wiped|tested|measured|water)\b|\bhow (?:many days|long)\b.*\b(?:since|ago)\b|\blast time (?:we|i|anyone)\b"),
    ("history", r"\b(?:show|give|tell) (?:me|us)\b.*\b(?:over|for|in) the (?:last|past)\b|\bgive me the last (?:\d+|few|couple)\b|\bthe last (?:\d+|few|couple(?: of)?) (?:pulls|changes|feeds|entries|notes|readings|counts)\b|\bhow many times\b|\b(?:was|were) (?:the )?\w+(?: \w+)? (?:done|changed|fed|cleaned|pulled|squeezed)\b|\bhas \w+ (?:fed|done|changed|pulled|cleaned|been)\b|\bwhat did \w+ (?:do|feed|change|pull|log|send|say|note|clean|get|give)\b|\bowes?\b|\b(?:did|have) (?!to\b)\w+ (?:already )?(?:do|done|feed|fed|change|changed|pull|pulled|clean|cleaned)\b|\bwhat have (?:i|we) (?:fed|done|changed|pulled|given)\b|\b(?:hottest|coldest|highest|lowest|warmest)\b"),
    ("totals", r"\b(?:a|the) record\b|\bwhat (?:did )?we(?: have|'ve)? (?:sold|sell|lost|lose|hatched?|pulled?|made)\b|\b(?:worst|best) (?:tank|line|batch)\b|\b(?:best|most|record|highest) (?:\w+ )?(?:this|ever|yet|so far|all)\b|\bever (?:gave|laid|had|given)\b|\bmore than (?:usual|normal|before|we)\b|\bdid (?:the )?\w+(?: \w+)? lay\b|\baverage\b|\bhow many\b.*\b(?:died|dead|lost|since|so far|this (?:week|month|year)|sold|pulled|laid|hatched)\b"),
    ("stock", r"\bwhich (?:has|have|holds|one has) (?:more|most|fewer|less|the most)\b|\b(?:of each|promised|on hold|reserved|spoken for|coming from us|waiting for fish|down for|wants? fish|put aside|set aside)\b|\b(?:biggest|largest|smallest) batch\b|\bwhich (?:tanks|tubs|ones) (?:have|hold|are|has)\b|\bare (?:any|there any) (?:of the )?(?:tubs|tanks|\w+) (?:free|empty|left|spare)\b|\bwhere do (?:i|we) stand\b|\bhow many (?:males|females|pairs|adults|fry|eggs|fish|juveniles) (?:do|are|have)\b|\b(?:any|have) \w+ (?:to sell|for sale|to spare)\b|\bhow many left\b"),
    ("place", r"\b(?:got|have) a (?:heater|filter|lid|light|thermometer)\b"),
]  # fmt: skip


def topic_of(text: str) -> str | None:
    """What a question is about, when its own words leave no doubt; None when they do."""
    for about, words in _TOPICS:
        if pattern(words).search(text):
            return about
    return None
