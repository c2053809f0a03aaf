"""Whether a sentence or a clause asks."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.asking.unmarked import asked_flatly, topic_of
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag

_LEAD = r"^(?:(?:ok|okay|so|hey|hi|and|also|well|um|hm|hmm|oh|just|wait|right|quick|question|for|you|please|bot|now|then|but|sorry|btw|out of interest|morning|evening|curious|remind me|again|roomhand|anyway|one more|another|for you|a(?= (?:quick|dumb|silly|stupid|serious|real|question))|quick question|is there|honest|actually|what about|go on|pls|hello|dumb|silly|stupid|serious|real|settle an argument|help me out|do you know|can you tell me|could you tell me|i wonder|wondering|i'm wondering|i'd like to know|i want to know|tell me|any idea|do we know|not sure|i forget|i forgot|can't remember|cannot remember|remember) ?[,:;-]? ?)*"
_WH = r"(?:how|what|what's|when|when's|which|who|who's|where|where's|why|how's|whose|how're|what're|whens|whats)\b"
_ASKING = re.compile(
    _LEAD
    + r"(?:how (?:many|much|long|old|often|soon|big|about|far|is|are|was|were|do|did|does|can|should|come|bad|high|late|warm|hot|cold|safe|close|well|we|fast|likely|r|'s|to|would|could|will)\b|how's\b|how're\b"
    r"|what \w+ (?:is|are|was|were|do|does|did|have|has|should|can|will|would|am) |what(?:'s| is| are| do| did| does| was| were| should| would| can| will| have| has| time| day| temp| percent| percentage| date| kind| sort| size| still| needs| else| about| if| all| to| r| batch| batches| tank| tub| eggs| came| got| happened| i| we| went| fraction| ratio| of| next| on| comes| chance| ph| ammonia| nitrite| nitrate| goes| fish| line| lines| dose| animals| am)\b(?! a\b)(?!'s left)"
    r"|when(?:'s| is| are| do| did| does| was| were| should| will| can| would| could| to| have| has| might| am| next| shall| exactly)\b"
    r"|which(?: \w+)* (?:is|are|was|were|has|have|had|do|did|does|need|needs|should|got|can|will|gave|lays|hatched|fish|tank|tanks|batch|tub|tubs|one|ones|still|died|of)\b|which (?:tank|tub|batch|line|culture|pair|one|ones|tanks|tubs|cultures|batches|lines|fish)\b"
    r"|who(?:'s| is| has| did| bought| got| was| wants| fed| wanted| have| took| do| am| owes| ordered| moved| pulled| changed| logged| said)\b"
    r"|where(?:'s| is| are| did| do| were| was| should)\b|why\b"
    r"|is\b|are\b|am i\b|should\b|would\b|could (?:you|i|we)\b|can (?:you|i|we|the|they|it|fry|eggs|my)\b|do (?:i|we|you|they|the|any|my)\b|does\b|did (?:i|we|you|anyone|anybody|they|it|he|she|somebody|someone|mr|mrs)\b|did \w+ (?:feed|change|pull|do|log|pick|move|pay)\b"
    r"|has\b|have (?:i|we|you|they|the|any|you)\b|will\b|was (?:it|the|there|that|tank|tub|i|anything)\b|were (?:the|there|any|we)\b|any (?:\w+ )*(?:due|left|for sale|spare|ready|hatched|news|word|eggs|deaths|free|promised|idea|overdue|jobs|chores|losses|fry|young|sign)\b"
    r"|show\b|list\b|graph\b|chart\b|plot\b|draw\b|give me\b|tell me\b|(?:the )?(?:chances?|odds)\b|compare\b|convert\b|help\b|look up\b|status\b|history\b|dose (?:for|of)\b|(?:peroxide|salt|methylene blue|dechlorinator) (?:dose|for)\b|everything (?:\w+ )?(?:sent|logged|said|wrote|did)\b|hatch (?:%|rate|rates|percent)|fertility\b|survival\b|avg\b|average\b|summary\b|summari[sz]e\b|calculate\b|work out\b|percent change\b|eta\b|days (?:until|since|to)\b|days till\b|stock\b|stocklist\b|inventory\b|todo\b|to do\b|due\b|overdue\b|next (?:due|job)\b|totals?\b(?! of \d)|report\b|let me see\b|let's see\b|i need (?:a|the) (?:chart|graph|list)\b|pull up\b|find\b(?! \d))"
)
_TAIL = re.compile(
    r"\b(eta|when|how many|how much|is that ok|is that bad|ok or not|or not|right|any good|dangerous|safe|due when|what now|next one when|how long|what do i do|what now|thoughts|advice)\s*$"
)


# Questions that stand as such without a mark, whatever verbs or numbers they hold.
_ASKED_FLATLY = re.compile(
    r"^(?:so |and |ok |but )?(?:at|by|from|since|in|on) (?:what|which) (?:age|size|date|day|time|temp|temperature|length|month|week|point|tank|tub|ph)\b"
    r"|^(?:has|have|did|does|do|is|are|was|were|will) (?:anything|anyone|anybody|nobody|none of|any of|somebody|someone)\b"
    r"|^(?:so |and |ok |but )?did (?:\w+ ){1,4}(?:get|have|eat|lay|hatch|die|survive|make|go|come|need|take|want|pay)\b"
    r"|(?:\bis|\bare|=) what (?:percent|percentage|fraction|share|part|in)\b|= what$"
)


# "If I change 20 % a day when is nitrate under 10": what might be done, and a question of it.
_SUPPOSED = re.compile(
    r"^(?:and |so |but |ok |okay |say |well )*(?:what )?if (?:i|we) (?:only |just |were to |could )?"
    r"(?:change|keep|do|run|put|feed|raise|lower|turn|heat|cool|add|mix|dose|lose|cross|breed|use|hold|swap|start|stop|skip)\b"
    r".*\b(?:when|how (?:long|many|much|soon|often)|what|where|which|will|would|does)\b"
)


def asks(sentence: Sentence) -> bool:
    """Whether a sentence as a whole asks or requests to be shown something."""
    text = sentence.text()
    if _NO_QUESTION.search(text):
        return False
    if _ASKED_FLATLY.search(text) or _SUPPOSED.search(text):
        return True
    if re.match(r"^(could|can|would|will) you (please )?(keep|hold|reserve|save|put|set|promise)\b.* for \w+$", text):
        return False  # a promise asked for
    if re.match(
        r"^(could|can|would|will) (you|i) (please )?(note|log|record|write|put|mark)( down)?( that)? (i|we|he|she|the|that)\b",
        text,
    ):
        return False  # a polite way of telling
    if sentence.stop == "?" and topic_of(text) and not any(_done_cue(t) for t in sentence.tags):
        return True
    if sentence.stop == "\n" and re.match(r"^(?:ok |okay |so )?(?:the )?list (?:for|of) \w+( \w+)?$", text):
        return False  # it heads a list
    if _named_and_asked(sentence):
        return True
    if sentence.stop != "." and asked_flatly(text, sentence.tags, sentence.stop == "\n"):
        return True
    if (
        sentence.tags[-1].word in ("please", "pls")
        and 1 < len(sentence.tags) <= 4
        and all(t.kind in ("place", "batch", "sep", "punct") or t.word in (",", "please", "pls") for t in sentence.tags)
    ):
        return True  # "Tank 14, please."
    if sentence.stop != "?" and re.match(r"^(should|were|had) .*, (i|we) (shall|will|would|'ll)\b", text):
        return False
    if re.match(r"^(what's left|whats left) (looks?|is|are|seems?|in)\b", text) and sentence.stop != "?":
        return False
    if _ASKING.match(text):
        first = sentence.tags[0]
        if (
            text.startswith("is ")
            and sentence.stop != "?"
            and re.match(r"^is (at|now|reading|still|back|down|up)\b", text)
        ):
            return False
        if (
            re.match(r"^(what (a|an)\b|how (lovely|nice|cute|annoying|funny|well|they|i|we)\b)", text)
            and sentence.stop != "?"
        ):
            return False
        if (
            re.match(r"^(to do|due|report|stock|status|history|totals?|list|summary|find|will|has)\b", text)
            and sentence.stop != "?"
            and any(t.senses.get("cue") for t in sentence.tags)
            and any(t.kind in ("num", "pct", "vol") for t in sentence.tags)
            and first.kind != "lex"
        ):
            return False
        return not re.match(
            r"^(which|who|where|when) (is|was|are|were) (fine|nice|good|fair|great|lovely|why|annoying)\b", text
        )
    if re.match(r"^(what's left|whats left) (looks?|is|are|seems?|in)\b", text) and sentence.stop != "?":
        return False
    if re.match(
        r"^last (wc|water|change|changed|fed|feed|pull|pulled|mop|dose|sale|test|reading|count|time|cleaned|hatch|nitrate|ph|temp|ammonia)\b",
        text,
    ) and not any(
        t.kind in ("pct", "num") and (t.kind == "pct" or str(int(t.value)) not in "1234567890") for t in sentence.tags
    ):
        return True
    if (
        sentence.stop == "?"
        and len(sentence.tags) <= 5
        and sentence.tags[0].word == "last"
        and not any(t.kind in ("pct", "vol") for t in sentence.tags)
    ):
        return True
    if re.search(r"\bdid (i|we) (forget|miss|leave out)\b|\bhow (is|are|'s) (it|they|things)\b", text):
        return True
    if (
        re.search(
            r"\b(or (is it|is that|should i|not yet|too soon|do i|shall i)|too (soon|early|late|small|young|big|cold|warm|hot|risky) (to|for))\b",
            text,
        )
        and not any(t.kind in ("pct", "amount", "deg", "money") for t in sentence.tags)
        and re.match(r"^(is |are |ok |okay |or )|.*\b(or (is it|is that|should i|do i|shall i))\b", text)
    ):
        return True
    if (
        len(sentence.tags) <= 7
        and re.search(
            r"\b(status|numbers please|figures please|please show|update please|how many)$|\b(numbers|status|figures|count|tally|details|stats|overview|summary|list) (please|pls)\b",
            text,
        )
        and not any(t.kind in ("num", "pct", "amount", "deg", "money") for t in sentence.tags)
    ):
        return True
    if re.search(r"\bwhat (do|would|will|should) (i|we|it|that) (end up|get|come to|be|need)\b", text) or (
        re.match(
            r"^(deaths|losses|sales|takings|hatches|pulls|eggs?)( \w+)? (since|this|last|per|so far|by|between|from|in (january|february|march|april|may|june))\b",
            text,
        )
        and not any(
            t.kind in ("num", "pct") or (t.senses.get("cue") and not t.says("cue", "sold", "dead", "hatch", "pull"))
            for t in sentence.tags
        )
    ):
        return True
    if (
        text.endswith(" when")
        and len(sentence.tags) <= 8
        and any(t.kind in ("place", "batch", "line", "culture") or t.says("food") for t in sentence.tags)
        and not any(t.kind in ("pct", "amount", "money") for t in sentence.tags)
    ):
        return True
    if (
        sentence.stop == "?"
        and re.match(r"^(\w+ )?(deaths|losses|sales|takings|hatches)\b", text)
        and not any(t.kind in ("num", "pct", "money") for t in sentence.tags)
    ):
        return True
    if re.match(r"^give me (the|a|my|our) (list|rundown|summary|plan|overview|status|numbers|totals)\b", text):
        return True
    if re.match(r"^next (mop|pull|wc|water|feed|change|count|hatch|due)\b", text):
        return True
    if (
        sentence.tags[0].word == "when"
        and len(sentence.tags) > 1
        and sentence.tags[1].kind in ("batch", "place", "line")
        and len(sentence.parts) == 1
    ):
        return True
    if text.endswith("=") or re.fullmatch(r"\d\S*( degrees?)? ?[fc]? in [fc]", text):
        return True
    if (
        re.search(r"\bhow many\b", text)
        and not re.search(r"\b(about|know|told|saw|see|matter|over) how many\b", text)
        and not any(
            t.senses.get("cue") and t.note != "muted" and not t.says("cue", "left", "gave", "count")
            for t in sentence.tags
        )
    ):
        return True
    if (
        re.search(
            r"\b(wants? to know|wondering|not sure|asking|asks|wonder)\b.*\b(what|how|when|which|whether|if|why)\b",
            text,
        )
        and sentence.stop != "."
        and len(sentence.tags) < 40
    ):
        return True
    if (
        sentence.stop == "?"
        and len(sentence.parts) > 1
        and not _ASKING.match(sentence.parts[0].text())
        and any(part_asks(p) for p in sentence.parts[1:])
        and (any(t.kind in ("num", "pct", "vol") for t in sentence.parts[0].tags) or _tells(sentence.parts[0]))
    ):
        return False
    if sentence.stop == "?":
        return bool(
            re.search(rf"\b{_WH}", text)
            or re.search(
                r"\b(should i|is that|is it|do i|can i|could you|can you|would it|are they|does that|eta|due|do you|did i|have we|have i|is this|any|or not|is there|are there|did you)\b",
                text,
            )
        ) or (
            len(sentence.tags) <= 6
            and all(
                t.kind in ("place", "batch", "line", "num", "size", "culture", "lex", "punct", "sep", "day")
                or t.word
                in (
                    "in",
                    "and",
                    "how's",
                    "the",
                    "a",
                    "of",
                    "ok",
                    "okay",
                    "status",
                    "on",
                    "for",
                    "or",
                    "yet",
                    "today",
                    "now",
                )
                for t in sentence.tags
            )
        )
    return False


def _named_and_asked(sentence: Sentence) -> bool:
    """ "Tank 6, is the peat due out": a name, and then a question about it."""
    first, rest = sentence.parts[:1], sentence.parts[1:]
    if not rest or not all(t.kind in ("place", "batch", "line", "person", "size") for t in first[0].tags):
        return False
    tags = [t for p in rest for t in p.tags]
    return asked_flatly(" ".join(t.word for t in tags), tags)


def _done_cue(tag: Tag) -> bool:
    return bool(tag.senses.get("cue")) and (
        tag.word.endswith("ed") or tag.word in ("fed", "did", "lost", "sold", "put")
    )


def _tells(part: Part) -> bool:
    """Whether a clause says of a place or fish that something was done."""
    done = any(
        t.senses.get("cue") and (t.word.endswith("ed") or t.word in ("fed", "did", "lost", "sold", "put"))
        for t in part.tags
    )
    return done and bool(part.kind("place", "batch", "line") or part.sense("group"))


# Clauses that ask whatever was told before them: "…, what else is there", "…, do i need to change it".
_ASKS_ON = re.compile(
    r"^(?:and |so |but )?(?:what else\b|(?:do|should|can|must|could) (?:i|we) (?:need|have|want|be|do|change|feed|pull|move|add|use|wait|leave|still|worry)\b|(?:does|will|did) (?:they|it|that|this|he|she)\b|what(?:'s| is|s) (?:left|next|still)(?: to do| open)?$|is (?:once|twice|\w+ times?|it|that) (?:a|per|enough|too)\b|how many (?:days|hours|weeks|times|more) |do they\b|is (?:that|this|it) |are (?:they|those|these) |how (?:much|many|long|soon|often) (?:do|should|does|did|is|are|will|more|longer|left|times)\b|(?:draw|show|tell|give) (?:me|us)\b|when (?:do|does|is|are|will|should|can) )"
)


_NO_QUESTION = re.compile(
    r"^(?:and |but |so |oh |well )*(?:(?:can|would|could) you believe|did you know|do you ever|don't you (?:just|love|find)"
    r"|isn't it (?:funny|lovely|odd|strange|amazing)|aren't they|isn't (?:he|she|that) (?:a|just)|wouldn't you know"
    r"|guess (?:what|who)|who knew|who'd have thought|how (?:lovely|nice|sweet|funny|cute) (?:is|are))\b"
    r"|\bwhy do (?:i|we) (?:even )?(?:bother|try)\b|\bhow hard can it be\b|^who (?:even|ever) |\bwhat's the point\b|^who needs (?:sleep|friends|a)\b"
    r"|^did(?:n't|nt| not)\b|^(?:i |we |really |probably )?should(?:'ve| have) (?!i\b|we\b)"
    r"|\bwhat (?:do|did|should) i (?:find|see|spot) but\b|\bwhat was i (?:meant|supposed) to do\b"
)


def no_question(text: str) -> bool:
    """Whether words only have the form of a question: "can you believe it"."""
    return _NO_QUESTION.search(text) is not None


def part_asks(part: Part) -> bool:
    """Whether one clause of a telling sentence asks: "…, what does that bring march to"."""
    text = part.text()
    if _NO_QUESTION.search(text):
        return False
    if part.before is not None and _ASKS_ON.match(text):
        return True
    if (
        part.before is not None
        and re.fullmatch(r"(is there )?anything( else)?", part.before.text())
        and re.match(r"^(i|we) (should|could|can|need)\b", text)
    ):
        return True
    if (
        not part.asks
        and part.before is not None
        and part.tags[0].word == "which"
        and len(part.tags) > 1
        and part.tags[1].kind == "num"
    ):
        return False  # "27 eggs, of which 2 were bad"
    if (
        re.match(r"^(of )?which\b", text)
        and not part.asks
        and not re.match(r"^which (tank|tub|batch|one|line|culture|pair)\b", text)
    ):
        return False
    if re.search(
        r"^(should be )?how many\b|^(and |so |but )?(have (we|i|you) got|do (we|i) have|can (we|i) spare)\b", text
    ):
        return True
    if _ASKING.match(text) and re.match(
        r"^(?:and |so |but |also )*(how (many|much|long|old|is|are|do|does|did)|who's the |last number|what(?:'s| is| does| do| should| did| day| date| age| size| percent| percentage| fraction| share) |when (?:is|are|was|were|did|do|does|should|will|can)\b|what will |has |should (?:i|we|be)|anything (?:else )?(?:i|we) (?:should|could|can|need)|is (?:that|it|this)|are (?:they|we)|do i|can i|which |does that|will that|would)\b",
        text,
    ):
        return not re.match(r"^(which (was|is|were) |what's left|what a|when (is|are) )", text) or part.asks
    return (
        bool(_TAIL.search(text))
        and bool(re.search(r"\b(next one when|due when|how many left|when)\s*$", text))
        and len(part.tags) <= 8
    )
