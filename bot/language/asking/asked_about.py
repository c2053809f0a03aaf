"""What a question is about: stock, what is due, a hatch, a dose, a sum …"""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from typing import NamedTuple

from bot.language.scene import COUNTED
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.pattern import pattern

_RULES: list[tuple[str, str]] = [
    ("chart", r"\b(chart|charts|graph|graphs|plot|plotted|curve|picture of|draw)\b"),
    ("help", r"^(help|commands?)\b|\bwhat (can|do) (you|i) (do|say|understand|ask|log|know)\b|\bhow do (i|you) (log|tell|use|record|enter|say)\b|\bwhat (else )?can (i|you) (ask|say|tell|type|do)\b|\bhow does this work\b|\bwhat words\b|\bwhat are you\b"),
    ("calc", r"\bconvert\b|\bin (f|c|fahrenheit|celsius|litres|liters|gallons|ml|quarts|cups|mm|cm|inches|ppm|tsp|teaspoons)\b.*$(?<!tub)|\bhow many (litres|liters|gallons|ml|quarts|cups|teaspoons|drops) (is|are|in|does|do|to|make|make)\b|\bpercent(age)? (change|wc|water)\b|\bwhat percent(age)?\b|\bhow (much|many|big)( of a)?( a)?( water)?( \w+)? (do i|should i|to|would i|must i|will it)( need to)? (take|change|swap|remove|halve|drop|bring|get)\b|\b(to|would) halve\b|\bhow much (water|is \d)|\bwhat is \d.* (percent|%|gallons|litres)|\b(\d+|half|third) (percent|%) of\b|\bhow many (gallons|litres|liters) (is|are|for|do)\b|\b(fahrenheit|celsius) (in|to)\b|\bcalculate\b|\bwork out\b|\bto (fahrenheit|celsius|litres|gallons)\b|\bhow many (gallons|litres|liters|quarts|cups) .*\b(change|%|percent)\b"),
    ("dose", r"\bdose\b|\bdosage\b|\bdosing\b|\bhow (much|many)\b.*\b(peroxide|salt|methylene|meth|dechlor\w*|conditioner|tannin|drops|leaf|leaves|medicine|h2o2|blue|tsp|teaspoons?|ml)\b|\bhow strong\b"),
    ("ammonia", r"\b(ammonia|nitrites?|nitrates?|nh3|nh4|no2|no3|reading)\b.*\b(danger\w*|safe|ok|okay|toxic|hurt|kill|bad|harm\w*|high|worry|worried|worrying|deadly|lethal|fine|much|problem|poison\w*|trouble|alarming|serious|a lot|too)\b|\b(danger\w*|safe|toxic|hurt|harm\w*|too high|how (?:bad|high)|worry|worried|lethal|deadly)\b.*\b(ammonia|nitrites?|nitrates?|nh3|nh4|no2|no3)\b"),
    ("rate", r"\b(hatch|hatching|survival|fertility|fertile|fertilization|success|death|mortality|loss)[- ]?(rates?|%|percent|ratio|percentage)\b|\b(fertility|survival|percent|percentage|proportion|fraction|ratio|share)\b.*\b(hatch\w*|surviv\w*|eggs?|made it|fertile|fry|bad)\b|\bwhat (percent|percentage|proportion|fraction)\b|\bhow (fertile|well)\b.*\b(hatch|surviv|eggs|do)\w*|\b(better|best|worst|worse)\b.*\b(hatch\w*|fertil\w*|surviv\w*)\b|\bwho's the better\b|\bis that (a lot|normal|usual|bad|many|good|typical)\b.*\b(for|of)\b|\bhatch rate\b|\bhow many (of .*)?(make it|made it|survive|survived|hatch out of)\b|\brate\b"),
    ("ready", r"\b(big enough|large enough|sellable|saleable|sell size|selling size|old enough|ready (to|for) (sell|sale|move|go|moving|selling|the club|trade|rehome|leave|a bigger|bigger|grow|breed)|sexable|can i sell|could i sell|should i sell|can (they|these|the \w+) (go|be sold|be moved|move)|when (can|could|should|will|do|might|would) .*\b(sell|sold|sale|move|moved|go up|bigger|sex|sexed|colou?r|size|leave|breed|graduate))\b|\bgo up to\b|\bwhen .*\b(move up|moved up|grow out|sale size|be ready)\b|\bhow long (before|until|till) .*\b(sell|sale|move|sellable|size|big)\b"),
    ("hatch", r"\b(eta|hatch|hatches|hatched|hatching|pop)\b.*\b(when|date|day|days|soon|long|expect|due|window|yet|eta)\b|\b(when|how long|how soon|what day|what date|days|due|expect|eta|which day|how many days|how many more days|how close)\b.*\b(hatch|hatches|hatching|pop|popping|fry|eggs? (in|take|be)|eta|wet)\b|\beggs?\b.*\beta\b|\beta\b|\bhatch (date|window|day|estimate|due)\b|\bwill .* hatch\b|\bnext .* hatch\b|\bhatch\w* (next|first|tomorrow|today|this week|soon)\b"),
    ("last", r"\b(wc|water|mop|fed|feed|pull|pulled|cleaned|dosed?|change|changed|squeezed)\b.* when$|\bwhen (did|was|were|has|have|had)\b|\blast (time|fed|change|changed|water|wc|pull|pulled|dose|dosed|squeezed|cleaned|reading|measured|tested|number|sale|test|did)\b|\bhow long (since|ago|has it been|is it since)\b|\bhow (many days|long) since\b|\bdays since\b|\b(who|what) .*\b(the )?last\b|\bmost recent\b|\blatest\b|\blast \w+ (in|for|of|on) \b|\blast (temp|ph|nitrate|ammonia|nitrite|reading|count|time)\b|\bwhat was the\b.*\b(last|temp|ph|nitrate|ammonia|nitrite|reading)\b"),
    ("culture", r"\b(cultures?|live foods?)\b(?!.*\bfeed (the|them)\b.*\bhow\b)|\b(microworms?|micros|mw ?\d|vinegar eels?|grindals?)\b.*\b(how|ready|doing|old|when|split|harvest|crash|ok|status|alive|restart|feed|due|start|which|still)\b|\b(how|when|which|is|are|do|does|should|what|status|any)\b.*\b(microworms?|micros|vinegar eels?|daphnia|brine shrimp|hatchery|grindals?|baby brine|bbs|brine)\b.*\b(ready|doing|old|split|harvest\w*|crash\w*|ok|status|alive|restart\w*|due|start\w*|going|fed|holding|hatched|up|coming|left|feed|new)\b|\b(how|status)\b.*\b(microworms?|vinegar eels?|daphnia|hatchery|grindals?)\b|^(microworms?|vinegar eels?|daphnia|brine shrimp)\b"),
    ("history", r"\b(log|logs|logged|history|entries|entry|recorded|wrote down|write down|put down|noted|notes|sent|record of|been told|diary|journal)\b|\beverything (i|we|\w+|\w+) (sent|did|said|logged)\b|\bwhat (did|have|has) (i|we|you|he|she|\w+) (do|done|log|logged|said|say|tell|told|get|got|send|record|change|feed|move|pull|sell)\b|\bwhat (happened|went on|was done|got done|was logged)\b|\bhas \w+ (\w+ )?(been|paid|collected|come|picked)\b|\bhave (i|we) (fed|done|changed|pulled|logged|checked|already)\b|\bhas (anyone|anybody|somebody) (fed|done|changed|pulled|logged|already)\b|\bdid (i|we|anyone|he|she|anybody|someone|\w+) (already )?(feed|fed|do|change|pull|log|pick|move|pay|check|dose|clean|squeeze|get|give|put|write|remember|collect|tell|say|count|top)\b|\bwho (fed|did|changed|pulled|moved|bought|took|logged|got)\b|\bread (it|that|me) back\b|\bsince (yesterday|monday|tuesday|wednesday|thursday|friday|saturday|sunday)\b.*\b(happen|did|done)\b"),
    ("due", r"\b(due|overdue|to do|todo|to-do|need doing|needs doing|need to do|needs to be done|need to be done|on for|on the list|have to do|have on|got on|jobs?|chores?|tasks?|left to do|still to do|what's next|what's left|still need\w*|outstanding|agenda|the plan|schedule[d]?|on today|on tomorrow|next one when|when is the next|when's the next|am i (missing|forgetting|behind)|am i supposed|pending|what's up (today|tomorrow|next)|what needs|anything (need|else|for|to do|left|urgent)|what's first|supposed to|rounds?|to be done|remaining|reminders?)\b|\bwhen (do|should|must|am) i\b.*\b(pull|change|wet|feed|next|check|do|squeeze|pick|harvest|split)\b|\bwhat (do|should) i (need to )?(do|start|feed|change|pull) (today|tomorrow|tonight|this|next|now|first)\b|\bwhat .*\b(today|tonight|tomorrow|this week|this morning|this evening)\b(?<!happened)|\bwhich .*\b(need|needs)\b.*\b(water|change|feeding|pull\w*|done)\b|\bnext (mop|pull|water|change|feed\w*|wc)\b"),
    ("totals", r"\bhow (many|much)\b.*\b(this|last|past|since|so far|total|in total|in (january|february|march|april|may|june|july|august|september|october|november|december)|per|altogether|to date|ever|year|month|week|yesterday|today|lost|lose|loose|died|sold|laid|made|earned|take in|pulled|pull|collected|hatched|did we|did i|did|have we (had|sold|lost|got from|taken)|average|a day|overnight)\b|\bbring \w+ to\b|\blaying (the )?(best|most|worst)\b|\b(most|best|fewest|least|worst|more) (eggs?|layers?|laying|deaths|productive|tank|female|pair)\b|\btotals?\b|\b(sales|deaths|losses|takings|income|money|revenue|egg (count|counts|total|totals|numbers)|eggs) (this|last|since|in|for|so far|over|per|from)\b|\b(egg|eggs)\b.*\b(count|total|tally|numbers)\b|\bhow much (money|have we made|did we make|have i made)\b|\bany (deaths|losses)\b|\baverage\b|\bhow are .* (laying|egg numbers)\b|\bwhich tank (is|was|has|gave|lays|laid)\b.*\b(lay\w*|egg\w*|best|most|produc\w*)\b|\bcompare\b"),
    ("stock", r"\bhow many\b|\b(in stock|for sale|available|stock|stocklist|inventory|spare|to sell|promised|put aside|put by|set aside|reserved|on hold|holding|spoken for|headcount|population|do (we|i) have|have (we|i) got|got any|any .* (left|for sale|spare|going|free)|how much stock|= ?$|owe|owes|waiting for)\b|\bwhat (fish|lines|species|eggs|fry)\b.*\b(have|got|keep)\b"),
    ("advice", r"\b(should (i|we|they|it)|what (do|to|should|would|can|could) (i|we|you|one)? ?(do|feed|give|use|tell|say|try|treat|put|about)?|how (do|can|should) (i|we|you)|how much (to|should|do i|do|can) ?(i|we)? ?(feed|give|food)|is it (ok|okay|safe|fine|normal|too|worth|alright|bad|time|better)|why (is|are|do|does|did|would|won't|has|have|isn't|aren't|don't)|can (i|we|they|you|it)|ok to|okay to|safe to|any (idea|ideas|advice|suggestions|tips|thoughts)|what would you|best way|worth|recommend|too (many|much|cold|hot|warm|soon|late|crowded|small|young|little)|normal|what's wrong|what's the matter|is that|is this|are they|how often|what if|what temp\w*|how warm|how hot|how cold|what food|what size|how (many|much) (feeds|food|times))\b"),
    ("batch", r"\bhow (old|big|is|are|'s)\b|\bstatus\b|\bage of\b"),
]  # fmt: skip


class _Told(NamedTuple):
    """Words that tell what is asked about, with what else must or must not be in the question."""

    about: str  # empty: about nothing
    words: str
    also: str = ""
    unless: str = ""
    needs: tuple[str, ...] = ()  # one of these must be named
    lacks: tuple[str, ...] = ()

    def by(self, text: str, named: set[str]) -> bool:
        return bool(
            re.search(self.words, text)
            and (not self.also or re.search(self.also, text))
            and not (self.unless and re.search(self.unless, text))
            and (not self.needs or named.intersection(self.needs))
            and not named.intersection(self.lacks)
        )


# The first that fits counts; before all the rules above.
_SURELY: tuple[_Told, ...] = (
    _Told("place", r"^(?:is |are )?(?:anybody|anyone|anything|somebody|any fish|who|who's)\b(?: \w+)? (?:in|inside|living in|home in)\b", needs=("place", "size")),
    _Told("place", r"\bwhat(?:'s| is) left\b", unless=r"\bto (?:do|feed|change|be)\b|\b(?:today|tonight|tomorrow)\b", needs=("place", "batch", "size")),
    _Told("ready", r"\bhow (?:big|long|large|old)\b.*\b(?:before|(?:have|need|got|has) to be|must)\b.*\b(?:sell|sold|sale|moved?|leave|rehomed?)\b"),
    _Told("advice", r"^(?:is|are|was|would|will) .*\btoo (?:low|high|hot|warm|cold|cool|hard|soft|acid\w*|alkaline|salty)\b.*\bfor\b", unless=r"\b(?:ammonia|nitrites?|nitrates?)\b"),
    _Told("last", r"^(?:has|have) .*\b(?:had|been)\b.*\b(?:water|changed?|fed|cleaned|squeezed|dosed|topped|pulled|wiped)\b", needs=("place",), lacks=("stranger",)),
    _Told("due", r"\bwhat (?:do|have|must|should) (?:i|we) (?:need to|have to|got to|gotta|must) (?:get done|do|finish|get finished)\b", unless=r"\b(?:about|with|if|when|to get (?!done))\b"),
    _Told("history", r"^(?:so |and )?what did (?:i|we|he|she|anyone) (?:dose|treat|feed|give|add|put)\b", unless=r"\bhow much\b"),
    _Told("chart", r"\b(chart|graph|plot|plotted)\b"),
    _Told("totals", r"^(?:and |so )?what(?:'s| was| got| has| have| were)?(?: been)? (?:hatched|pulled|laid|sold|collected|died|lost|caught)\b", unless=r"\b(?:next|soon|tomorrow|coming|weekend|due)\b"),
    _Told("due", r"\b(?:anything|what) (?:else )?(?:have |did |that )?(?:i|we) (?:forget|forgot|forgotten|miss|missed)\b"),
    _Told("culture", r"\b(?:restart|split|harvest|reculture)\b", needs=("culture", "eating")),
    _Told("stock", r"^(?:and |so )?who(?:'s| has| is)? (?:wants|wanted|wanting|ordered|asked for|reserved|waiting for)\b"),
    _Told("advice", r"\b(cruel|unkind|unfair|humane|inhumane)\b"),
    _Told("advice", r"(\banything (else )?|^)(i|we) (should|could|can) (do|try|give)\b", lacks=("day",)),
    _Told("calc", r"(\bis|\bare|=) what (percent|percentage|fraction|share|part|in)\b|= what$"),
    _Told("ready", r"\b(at|by) (what|which) (age|size|length)\b.*\b(sell|sold|go|leave|move|moved|sexed|rehomed)\b"),
    _Told("stock", r"\b(anyone|anybody|somebody|someone|who|who's) .*?\b(waiting|wanting|down for|asked for|after)\b"),
    _Told("totals", r"\b(have|has|did) (\w+) (ever )?(sold|sell|lost|lose|hatched|pulled|pull|bought|buy|had) any\b|\b(everything|anything|all|list of)\b.*\b(hatched|died|sold|pulled|laid|bought)\b.*\b(since|this|last|in|from)\b"),
    _Told("place", r"\b(gone|moved|been put|put anything) (in|into)\b|\bstill just water\b", needs=("place", "num", "size")),
    _Told("help", r"\bwhat (sort|kind|kinds|sorts|type) of (things|questions|stuff)\b|\bwhat things can (i|you)\b|\bwhat can i (ask|say)\b"),
    _Told("last", r"\bhow long (is it|has it been|it's been|ago|since)\b.*\b(since|ago)?\b", also=r"\bsince\b|\bago\b"),
    _Told("history", r"\bhow (warm|hot|cold|cool) (was|were|did|has)\b"),
    _Told("totals", r"\bhow (does|do|did) .*\bcompare\b|\b(more|less|fewer) than (last|the) (week|month)\b"),
    _Told("due", r"^give me (the|a|my|our) (list|plan|rundown) (for|of) (today|tomorrow|tonight|the week|the day)\b"),
    _Told("calc", r"\b(how many|what) (percent|per cent)\b|\bas a percentage\b", unless=r"\b(lost|lose|hatched|died|made it|survived|fertile|gone bad)\b"),
    _Told("history", r"\b(?:remember|know|recall|remind me) (?:if|whether) (?:i|we|\w+) \w+", also=r"\b(did|fed|changed|pulled|gave|put|moved|dosed|topped|sold|logged|wrote|told)\b"),
    _Told("hatch", r"\b(any|what) (chance|odds)\b.*\beggs?\b.*\b(go|pop|hatch)\b"),
    _Told("help", r"\bhow do i (tell|fix|log|correct|write|undo)\b.*\b(you|mistake|it|else)\b"),
    _Told("history", r"\bwhat did (i|we) (note|write|say|record|enter|put)\b"),
    _Told("advice", r"\bgive to eat\b|\bhow much (food|\w+) (do|should|does|must) (the |they|i |we )", needs=("eating",)),
    _Told("totals", r"\bdid (we|i) (sell|lose|hatch|pull|get|collect|buy)\b.*\b(more|less|fewer|as many|in (january|february|march|april|may|june|july|august|september|october|november|december))\b"),
    _Told("due", r"\bcoming up\b|\bwhat's ahead\b|\bon the cards\b|\boverdue\b", unless=r"\beyed\b"),
    _Told("stock", r"\bdown for\b|\bon order\b|\bwaiting (on|for)\b|\bpromised\b", needs=("person",)),
    _Told("place", r"\b(free|empty|in use|occupied|vacant|taken)\b", unless=r"\b(when|last)\b", needs=("place", "num", "size"), lacks=("sold",)),
    _Told("hatch", r"\bwhen\b.*\beggs?\b.*\bdue\b|\beggs?\b.*\bdue\b.*\bwhen\b"),
    _Told("history", r"\bwhat (did|have|has) (i|we|anyone|\w+|he|she) (do|done|did|log|logged|give|given)\b", needs=("day",)),
    _Told("due", r"\b(what|have) (have )?(we|i) (got )?on\b|\bgot on\b|\bon for\b"),
    _Told("advice", r"\b(what to do|what (do|should|can|would) (i|we|you|they) (do|tell|say|try)|how (do|should|can) (i|we) (treat|fix|stop|tell))\b", unless=r"\b(today|tonight|tomorrow|this (week|morning|evening)|next)\b"),
    _Told("advice", r"\bbest (temp|temperature|food|way|time|ph|size)\b"),
    _Told("last", r"\bwhen (was|were|did)\b.*\blast\b"),
    _Told("batch", r"\b(have|know|got) (on|about)\b", needs=("batch",)),
    _Told("rate", r"\bwhat (percent|percentage|fraction|share)\b.*\b(lost|lose|hatched|hatch|bad|made it|died|survived|fertile)\b"),
    _Told("due", r"\bwhich( one)? (is|comes) next\b|\bwhat('s| is) next\b"),
    _Told("last", r"\bhow long (is it|has it been|ago|since)\b.*\b(since|ago|was|were)\b"),
    _Told("stock", r"\b(down for|owed|promised to)\b", needs=("person",)),
    _Told("", r"\bcan you hear\b|\bhear me\b"),
    _Told("totals", r"\bhow many\b.*\bdid (we|i|you|it|they)\b|\b(lose|lost|died|deaths)\b.*\b(this|last) (week|month|year)\b|\b(sold|sells|selling) (the )?(best|most)\b"),
    _Told("hatch", r"\bhow long\b.*\beggs?\b.*\b(need|take|last)\b|\bhow long\b.*\bhatch"),
    _Told("rate", r"\bsurvival\b"),
    _Told("calc", r"^what('s| is) (\S+ )?\S+ (degrees )?(f|c)?\b.*\bin\b", needs=("deg",)),
    _Told("due", r"\bdid (i|we) (forget|miss)\b|\breminders?\b.*\b(set|got|have)\b"),
    _Told("calc", r"\bend up with\b|\bmix(ed|ing)?\b", needs=("measured",)),
    _Told("due", r"\b(haven't|havent|hasn't|hasnt|not) (had|been|got|done|yet)\b|\bstill (need|to|not)\b|\bhave to do\b", lacks=("stranger",)),
    _Told("place", r"\b(still )?(empty|vacant|occupied)\b|\bwhat's in\b|\bwhats in\b|\bwho's in\b|\bwhat is in\b|\bwhat lives\b", needs=("place", "num", "size")),
    _Told("history", r"\b(drift\w*|trend\w*|been|over the|rising|falling|creeping|climbing|going up|going down|history|since)\b", unless=r"\b(danger\w*|safe|toxic|hurt|kill)\b", needs=("quantity",)),
    _Told("batch", r"\bhow (many|long)( \w+)? ?(weeks|days|months)?\b.*\b(in peat|will that be|old|in the bag|been in)\b"),
    _Told("totals", r"^(deaths|losses|sales|takings)\b"),
    _Told("rate", r"\b(hatch|hatching) %"),
    _Told("stock", r"\b(in the room|right now|altogether|in all) ?(right now)? ?=?$", needs=("counted",)),
    _Told("calc", r"\bin (f|c|fahrenheit|celsius|litres|liters|gallons|l|ml|cm|mm|inches|quarts|metric)\b|\b(to|into) (f|c|fahrenheit|celsius|litres|liters|gallons)\b", needs=("deg", "vol", "len", "pct", "frac")),
)  # fmt: skip


def about_of(text: str, tags: list[Tag], teller: Teller) -> str | None:
    """What a question is about; None when nothing tells."""
    kinds = _named(text, tags, teller)
    found = next((rule.about for rule in _SURELY if rule.by(text, kinds)), None)
    if found is not None:
        return found or None
    about = next((about for about, words in _RULES if pattern(words).search(text) and _fits(about, text, tags)), None)
    placed = any(t.kind in ("place", "batch", "size") and (t.value or t.note) for t in tags)
    if about == "batch":
        return "batch" if "batch" in kinds else "place" if placed or "line" in kinds else None
    if about == "totals" and _IN_STOCK.search(text) and not _OVER_TIME.search(text):
        return "stock"
    return about or _by_what_is_named(kinds, placed, tags)


# What words take for one kind of question and is another: the kind, how it is said, and what makes it one all the same.
_MISTAKEN = tuple(
    (about, re.compile(said), re.compile(unless) if unless else None)
    for about, said, unless in (
        ("dose", r"\b(when|last time|did (i|we) last)\b", ""),
        ("culture", r"\b(how much|how many|how often) .*\bfeed\b|\b(should|what) .* feed\b", r"\bculture"),
        ("culture", r"\bwhen (did|was)|did i|last (fed|time|harvest)", r"\b(doing|status)\b"),
        ("hatch", r"\b(how many|hatched (this|last|so far|in|from))\b", r"\b(days|when)\b"),
        ("hatch", r"\b(brine|bbs)\b", ""),
        ("hatch", r"\bdid\b|\blast\b", r"\bwill\b"),
        ("last", r"\bhow many\b", ""),
        ("stock", r"^(?=.*how many).*\b(days|weeks|litres|gallons|drops|times)\b", ""),
        ("totals", r"\bcompare\b", r"\b(eggs?|deaths|sales|laying)\b"),
    )
)  # fmt: skip
_IN_STOCK = re.compile(
    r"\bhow many\b.*\b(do (we|i) have|are there|have we (actually )?got|left|in stock|for sale|right now|now)\b"
)
_OVER_TIME = re.compile(r"\b(this (week|month|year)|since|lost|died|sold|so far)\b")


def _fits(about: str, text: str, tags: list[Tag]) -> bool:
    """Whether a question can be of a kind that some of its words ask for."""
    named = "dose" in text or "drops" in text or "dosage" in text
    if about == "dose" and not named and not any(t.says("substance") for t in tags):
        return False
    return not any(
        about == its and said.search(text) and not (unless is not None and unless.search(text))
        for its, said, unless in _MISTAKEN
    )


def _by_what_is_named(kinds: set[str], placed: bool, tags: list[Tag]) -> str | None:
    """What a question without a word that tells is about, by what it names."""
    if placed and len(tags) <= 4 and any(t.says("cue", "hatch") for t in tags):
        return "hatch"
    if "batch" in kinds:
        return "batch"
    if placed:
        return "place"
    lines = "line" in kinds
    if any(t.says("noun", "culture") for t in tags) or (not lines and any(t.says("food") for t in tags)):
        return "culture"
    if lines and "counted" in kinds:
        return "stock"
    return "place" if lines else None


def _named(text: str, tags: list[Tag], teller: Teller) -> set[str]:
    """What sorts of things a question names."""
    named = {t.kind for t in tags}
    named |= {"quantity"} if any(t.says("quantity") for t in tags) else set()
    named |= {"counted"} if any(t.says("noun", *COUNTED) for t in tags) else set()
    named |= {"sold"} if any(t.says("cue", "sold") for t in tags) else set()
    named |= {"eating"} if "eat" in text or any(t.says("food") for t in tags) else set()
    if any(t.kind == "person" and t.value not in teller.names.people for t in tags):
        named.add("stranger")
    return named | ({"measured"} if _amounts_named(tags) else set())


def _amounts_named(tags: list[Tag]) -> bool:
    """Whether volumes, percentages or readings are named."""
    return any(t.kind in ("vol", "pct", "deg", "frac", "len", "amount") or t.says("quantity") for t in tags)
