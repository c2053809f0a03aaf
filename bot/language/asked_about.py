"""What a question is about: stock, what is due, a hatch, a dose, a sum …"""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.scene import COUNTED
from bot.language.tags import Tag
from bot.language.telling import Teller

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


_COMPILED = [(about, re.compile(pattern)) for about, pattern in _RULES]


def about_of(text: str, tags: list[Tag], teller: Teller) -> str | None:
    """What a question is about; None when nothing tells."""
    named = any(t.kind in ("place", "batch", "size") and (t.value or t.note) for t in tags)
    lines = any(t.kind == "line" for t in tags)
    substance = any(t.says("substance") for t in tags)
    food = any(t.says("food") for t in tags)
    if re.search(r"\b(chart|graph|plot|plotted)\b", text):
        return "chart"
    if re.match(
        r"(?!.*\b(?:next|soon|tomorrow|coming|weekend|due)\b)(?:and |so )?what(?:'s| was| got| has| have| were)?(?: been)? (?:hatched|pulled|laid|sold|collected|died|lost|caught)\b",
        text,
    ):
        return "totals"
    if re.search(r"\b(cruel|unkind|unfair|humane|inhumane)\b", text) or (
        re.search(r"(\banything (else )?|^)(i|we) (should|could|can) (do|try|give)\b", text)
        and not any(t.kind == "day" for t in tags)
    ):
        return "advice"
    if re.search(r"(\bis|\bare|=) what (percent|percentage|fraction|share|part|in)\b|= what$", text):
        return "calc"
    if re.search(
        r"\b(at|by) (what|which) (age|size|length)\b.*\b(sell|sold|go|leave|move|moved|sexed|rehomed)\b", text
    ):
        return "ready"
    if re.search(
        r"\b(anyone|anybody|somebody|someone|who|who's) .*?\b(waiting|wanting|down for|asked for|after)\b", text
    ):
        return "stock"
    if re.search(
        r"\b(have|has|did) (\w+) (ever )?(sold|sell|lost|lose|hatched|pulled|pull|bought|buy|had) any\b"
        r"|\b(everything|anything|all|list of)\b.*\b(hatched|died|sold|pulled|laid|bought)\b.*\b(since|this|last|in|from)\b",
        text,
    ):
        return "totals"
    if re.search(r"\b(gone|moved|been put|put anything) (in|into)\b|\bstill just water\b", text) and any(
        t.kind in ("place", "num", "size") for t in tags
    ):
        return "place"
    if re.search(
        r"\bwhat (sort|kind|kinds|sorts|type) of (things|questions|stuff)\b|\bwhat things can (i|you)\b|\bwhat can i (ask|say)\b",
        text,
    ):
        return "help"
    if re.search(r"\bhow long (is it|has it been|it's been|ago|since)\b.*\b(since|ago)?\b", text) and re.search(
        r"\bsince\b|\bago\b", text
    ):
        return "last"
    if re.search(r"\bhow (warm|hot|cold|cool) (was|were|did|has)\b", text):
        return "history"
    if re.search(r"\bhow (does|do|did) .*\bcompare\b|\b(more|less|fewer) than (last|the) (week|month)\b", text):
        return "totals"
    if re.match(
        r"^give me (the|a|my|our) (list|plan|rundown) (for|of) (today|tomorrow|tonight|the week|the day)\b", text
    ):
        return "due"
    if re.search(r"\b(how many|what) (percent|per cent)\b|\bas a percentage\b", text) and not re.search(
        r"\b(lost|lose|hatched|died|made it|survived|fertile|gone bad)\b", text
    ):
        return "calc"
    if re.search(r"\b(?:remember|know|recall|remind me) (?:if|whether) (?:i|we|\w+) \w+", text) and re.search(
        r"\b(did|fed|changed|pulled|gave|put|moved|dosed|topped|sold|logged|wrote|told)\b", text
    ):
        return "history"
    if re.search(r"\b(any|what) (chance|odds)\b.*\beggs?\b.*\b(go|pop|hatch)\b", text):
        return "hatch"
    if re.search(r"\bhow do i (tell|fix|log|correct|write|undo)\b.*\b(you|mistake|it|else)\b", text):
        return "help"
    if re.search(r"\bwhat did (i|we) (note|write|say|record|enter|put)\b", text):
        return "history"
    if re.search(r"\bgive to eat\b|\bhow much (food|\w+) (do|should|does|must) (the |they|i |we )", text) and (
        food or "eat" in text
    ):
        return "advice"
    if re.search(
        r"\bdid (we|i) (sell|lose|hatch|pull|get|collect|buy)\b.*\b(more|less|fewer|as many|in (january|february|march|april|may|june|july|august|september|october|november|december))\b",
        text,
    ):
        return "totals"
    if re.search(r"\bcoming up\b|\bwhat's ahead\b|\bon the cards\b|\boverdue\b", text) and not re.search(
        r"\beyed\b", text
    ):
        return "due"
    if re.search(r"\bdown for\b|\bon order\b|\bwaiting (on|for)\b|\bpromised\b", text) and any(
        t.kind == "person" for t in tags
    ):
        return "stock"
    if (
        re.search(r"\b(free|empty|in use|occupied|vacant|taken)\b", text)
        and not re.search(r"\b(when|last)\b", text)
        and any(t.kind in ("place", "num", "size") for t in tags)
        and not any(t.says("cue", "sold") for t in tags)
    ):
        return "place"
    if re.search(r"\bwhen\b.*\beggs?\b.*\bdue\b|\beggs?\b.*\bdue\b.*\bwhen\b", text):
        return "hatch"
    if re.search(r"\bwhat (did|have|has) (i|we|anyone|\w+|he|she) (do|done|did|log|logged|give|given)\b", text) and any(
        t.kind == "day" for t in tags
    ):
        return "history"
    if re.search(r"\b(what|have) (have )?(we|i) (got )?on\b|\bgot on\b|\bon for\b", text):
        return "due"
    if re.search(
        r"\b(what to do|what (do|should|can|would) (i|we|you|they) (do|tell|say|try)|how (do|should|can) (i|we) (treat|fix|stop|tell))\b",
        text,
    ) and not re.search(r"\b(today|tonight|tomorrow|this (week|morning|evening)|next)\b", text):
        return "advice"
    if re.search(r"\bbest (temp|temperature|food|way|time|ph|size)\b", text):
        return "advice"
    if re.search(r"\bwhen (was|were|did)\b.*\blast\b", text):
        return "last"
    if any(t.kind == "batch" for t in tags) and re.search(r"\b(have|know|got) (on|about)\b", text):
        return "batch"
    if re.search(
        r"\bwhat (percent|percentage|fraction|share)\b.*\b(lost|lose|hatched|hatch|bad|made it|died|survived|fertile)\b",
        text,
    ):
        return "rate"
    if re.search(r"\bwhich( one)? (is|comes) next\b|\bwhat('s| is) next\b", text):
        return "due"
    if re.search(r"\bhow long (is it|has it been|ago|since)\b.*\b(since|ago|was|were)\b", text):
        return "last"
    if re.search(r"\bcoming up\b|\bon the cards\b", text):
        return "due"
    if re.search(r"\b(down for|owed|promised to)\b", text) and any(t.kind == "person" for t in tags):
        return "stock"
    if re.match(r"^is \S+( \d+)? (still )?(free|empty|taken|in use)\b", text) and any(
        t.kind in ("place", "num", "size") for t in tags
    ):
        return "place"
    if re.search(r"\bcan you hear\b|\bhear me\b", text):
        return None
    if re.search(
        r"\bhow many\b.*\bdid (we|i|you|it|they)\b|\b(lose|lost|died|deaths)\b.*\b(this|last) (week|month|year)\b|\b(sold|sells|selling) (the )?(best|most)\b",
        text,
    ):
        return "totals"
    if re.search(r"\bhow long\b.*\beggs?\b.*\b(need|take|last)\b|\bhow long\b.*\bhatch", text):
        return "hatch"
    if re.search(r"\bsurvival\b", text):
        return "rate"
    if re.search(r"^what('s| is) (\S+ )?\S+ (degrees )?(f|c)?\b.*\bin\b", text) and any(t.kind == "deg" for t in tags):
        return "calc"
    if re.search(r"\bdid (i|we) (forget|miss)\b|\breminders?\b.*\b(set|got|have)\b", text):
        return "due"
    if re.search(r"\bend up with\b|\bmix(ed|ing)?\b", text) and _amounts_named(tags):
        return "calc"
    if re.search(
        r"\b(haven't|havent|hasn't|hasnt|not) (had|been|got|done|yet)\b|\bstill (need|to|not)\b|\bhave to do\b", text
    ) and not any(t.kind == "person" and t.value not in teller.names.people for t in tags):
        return "due"
    if re.search(
        r"\b(still )?(empty|vacant|occupied)\b|\bwhat's in\b|\bwhats in\b|\bwho's in\b|\bwhat is in\b|\bwhat lives\b",
        text,
    ) and any(t.kind in ("place", "num", "size") for t in tags):
        return "place"
    if (
        any(t.says("quantity") for t in tags)
        and re.search(
            r"\b(drift\w*|trend\w*|been|over the|rising|falling|creeping|climbing|going up|going down|history|since)\b",
            text,
        )
        and not re.search(r"\b(danger\w*|safe|toxic|hurt|kill)\b", text)
    ):
        return "history"
    if re.search(
        r"\bhow (many|long)( \w+)? ?(weeks|days|months)?\b.*\b(in peat|will that be|old|in the bag|been in)\b", text
    ):
        return "batch"
    if re.match(r"^(deaths|losses|sales|takings)\b", text):
        return "totals"
    if re.search(r"\b(hatch|hatching) %", text):
        return "rate"
    if re.search(r"\b(in the room|right now|altogether|in all) ?(right now)? ?=?$", text) and any(
        t.says("noun", *COUNTED) for t in tags
    ):
        return "stock"
    degs = [t for t in tags if t.kind in ("deg", "vol", "len", "pct", "frac")]
    if re.search(r"\b(chart|graph|plot)\b", text):
        return "chart"
    if degs and re.search(
        r"\bin (f|c|fahrenheit|celsius|litres|liters|gallons|l|ml|cm|mm|inches|quarts|metric)\b|\b(to|into) (f|c|fahrenheit|celsius|litres|liters|gallons)\b",
        text,
    ):
        return "calc"
    for about, pattern in _COMPILED:
        if not pattern.search(text):
            continue
        if about == "dose" and not (substance or "dose" in text or "drops" in text or "dosage" in text):
            continue
        if about == "dose" and re.search(r"\b(when|last time|did (i|we) last)\b", text):
            continue
        if (
            about == "culture"
            and re.search(r"\b(how much|how many|how often) .*\bfeed\b|\b(should|what) .* feed\b", text)
            and not re.search(r"\bculture", text)
        ):
            continue
        if (
            about == "culture"
            and re.search(r"\bwhen (did|was)|did i|last (fed|time|harvest)", text)
            and not re.search(r"\b(doing|status)\b", text)
        ):
            continue
        if (
            about == "hatch"
            and re.search(r"\b(how many|hatched (this|last|so far|in|from))\b", text)
            and not re.search(r"\b(days|when)\b", text)
        ):
            continue
        if about == "hatch" and re.search(r"\b(brine|bbs)\b", text):
            continue
        if about == "hatch" and re.search(r"\bdid\b|\blast\b", text) and not re.search(r"\bwill\b", text):
            continue
        if about == "last" and re.search(r"\bhow many\b", text):
            continue
        if about == "stock" and "how many" in text and re.search(r"\b(days|weeks|litres|gallons|drops|times)\b", text):
            continue
        if (
            about == "totals"
            and re.search(
                r"\bhow many\b.*\b(do (we|i) have|are there|have we (actually )?got|left|in stock|for sale|right now|now)\b",
                text,
            )
            and not re.search(r"\b(this (week|month|year)|since|lost|died|sold|so far)\b", text)
        ):
            return "stock"
        if (
            about == "totals"
            and re.search(r"\bcompare\b", text)
            and not re.search(r"\b(eggs?|deaths|sales|laying)\b", text)
        ):
            continue
        if about == "batch":
            return "batch" if any(t.kind == "batch" for t in tags) else "place" if named or lines else None
        return about
    if any(t.says("cue", "hatch") for t in tags) and len(tags) <= 4 and named:
        return "hatch"
    if any(t.kind == "batch" for t in tags):
        return "batch"
    if named:
        return "place"
    if any(t.says("noun", "culture") for t in tags) or (food and not lines):
        return "culture"
    if lines and any(t.says("noun", *COUNTED) for t in tags):
        return "stock"
    if lines:
        return "place"
    return None


def _amounts_named(tags: list[Tag]) -> bool:
    """Whether volumes, percentages or readings are named."""
    return any(t.kind in ("vol", "pct", "deg", "frac", "len", "amount") or t.says("quantity") for t in tags)
