"""Whether the words of a clause ask; sentences.py tells it of whole sentences."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.scene import Part

_LEAD = r"^(?:(?:ok|okay|so|hey|hi|and|also|well|um|hm|hmm|oh|just|wait|right|quick|question|for|you|please|bot|now|then|but|sorry|btw|out of interest|morning|evening|curious|remind me|again|roomhand|anyway|one more|another|for you|a(?= (?:quick|dumb|silly|stupid|serious|real|question))|quick question|is there|honest|actually|what about|go on|pls|hello|dumb|silly|stupid|serious|real|settle an argument|help me out|do you know|can you tell me|could you tell me|i wonder|wondering|i'm wondering|i'd like to know|i want to know|tell me|any idea|do we know|not sure|i forget|i forgot|can't remember|cannot remember|remember) ?[,:;-]? ?)*"
ASKING = re.compile(
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
    if ASKING.match(text) and re.match(
        r"^(?:and |so |but |also )*(how (many|much|long|old|is|are|do|does|did)|who's the |last number|what(?:'s| is| does| do| should| did| day| date| age| size| percent| percentage| fraction| share) |when (?:is|are|was|were|did|do|does|should|will|can)\b|what will |has |should (?:i|we|be)|anything (?:else )?(?:i|we) (?:should|could|can|need)|is (?:that|it|this)|are (?:they|we)|do i|can i|which |does that|will that|would)\b",
        text,
    ):
        return not re.match(r"^(which (was|is|were) |what's left|what a|when (is|are) )", text) or part.asks
    return (
        bool(_TAIL.search(text))
        and bool(re.search(r"\b(next one when|due when|how many left|when)\s*$", text))
        and len(part.tags) <= 8
    )
