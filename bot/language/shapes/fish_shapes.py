"""Clauses of eggs and fish that are understood to the last word: shapes of what their words are, and what each tells.

A clause is written as its words in order, with PLACE, NUM, BATCH, LINE, SEX, EGGS, FRY, FISH and so on for what the tags
name, and DIED, MOVED, HATCHED for the words of a family; articles, days and what says nothing are left out. A shape fits
the whole clause or not at all.
"""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from collections.abc import Callable

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.shapes import egg_tells as eggs
from bot.language.shapes import fish_tells as it
from bot.language.shapes.fish_clause import Told, shape_of
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.pattern import pattern

_LONGEST = 16
_SPOT = r"(?:PLACE|BATCH|NUM)"
_WHO = r"(?:LINE|FRY|YOUNG|FISH|SEX|PAIR|TRIO)"


def fish_told(part: Part, teller: Teller, listed: bool) -> bool:
    """Tell a clause of eggs or fish whose shape is known; False when it is not, or when it stands in a list."""
    denied = part.muted in ("not", "hearsay")  # "Tom can't take the gularis", "drop Tom's order"
    if listed or (part.muted and not denied) or part.asks or len(part.tags) > _LONGEST:
        return False
    if any(t.kind == "day" and t.value.future for t in part.tags):
        return False
    shape, named = shape_of(part, denied)
    fit = [tell for words, tell in _TABLE if pattern(words).fullmatch(shape)]
    return any(_fits([part], named, tell, teller) for tell in fit if not denied or tell in (it.freed, it.passed))


def two_told(part: Part, teller: Teller) -> bool:
    """Tell two clauses that are one thing said in two steps: "took ten out of 13 and put them in 16"."""
    after = part.after
    if after is None or part.muted or part.asks or after.muted or after.asks or after.joiner not in _STEPS:
        return False
    if len(part.tags) + len(after.tags) > _LONGEST or any(t.kind == "day" and t.value.future for t in part.tags):
        return False
    first, named = shape_of(part, False)
    second, more = shape_of(after, False)
    if not first or not second:
        return False
    fit = [tell for words, tell in _TWO_TABLE if pattern(words).fullmatch(f"{first} + {second}")]
    return any(_fits([part, after], [*named, *more], tell, teller) for tell in fit)


def _fits(parts: list[Part], named: list[tuple[str, Tag]], tell: Callable[[Told], bool], teller: Teller) -> bool:
    """Whether what a shape tells can be in the room; if so it is told, else nothing is claimed."""
    tags = [t for part in parts for t in part.tags]
    claims = [t.claimed for t in tags]
    if tell(Told(Group(parts, teller.names, teller.context), teller, named)):
        teller.read |= {id(p) for p in parts}
        return True
    for tag, claim in zip(tags, claims, strict=True):
        tag.claimed = claim
    return False


_STEPS = frozenset(["", ",", "and", "then", "so", "-", "but", "after"])


_DONE = r"(?: more| today| now| already)?"
_NEW = r"(?:first |NUM |more |bouncing |new |FISH ){1,3}(?:SWIM )?(?:LINE |FRY |FISH )*(?:FRY|LINE|FISH)"
_ABOUT = r"(?:(?:in|around|round|about|from|at|inside|under|near|surface|top|over|through|out) ?)*"
_TABLE: list[tuple[str, Callable[[Told], bool]]] = [
    # eggs
    (r"(?:PLACE|NUM) (?:gave|gave me|gave us|yielded|produced|made|dropped) NUM", eggs.gave),
    (r"(?:got |had |took |PULLED )?NUM (?:from|off) (?:PLACE|NUM)", eggs.gave),
    (r"PLACE MOP (?:gave|gave up|gave me|gave us|yielded|held|had) NUM(?: EGGS)?", eggs.gave),
    (r"MOP (?:in|from) PLACE (?:gave|gave up|gave me|gave us|yielded|held|had) NUM(?: EGGS)?", eggs.gave),
    (r"PLACE gave NUM(?: more)?(?: (?:EGGS|little EGGS))?", eggs.gave),
    (r"(?:nothing|none|zero|nil|nowt|not one|NONE|no EGGS) (?:off|from|in|on)(?: MOP)?(?: in)? (?:PLACE|NUM)", eggs.none_off),
    (r"PLACE (?:gave|had|laid|got)(?: me)? (?:nothing|none|zero|nil|nowt|NONE|no EGGS)", eggs.none_off),
    (r"(?:got )?nothing (?:off|from)(?: MOP)?(?: in| of)? (?:PLACE|NUM)", eggs.none_off),
    (r"MOVED NUM(?: more)?(?: EGGS)? (?:in|into|to) PLACE (?:from|off|out) PLACE", eggs.into_from),
    (r"(?:MOVED )?NUM(?: more)?(?: LINE)?(?: EGGS)? (?:from|off|out) PLACE (?:in|into|to|MOVED|went in|went into|in with)(?: FISH| others| rest| EGGS)*(?: in)? PLACE", eggs.into_from),
    (r"(?:EGGS |FRY )?(?:in |from )?PLACE(?: and)? PLACE(?: EGGS| FRY)?(?: MOVED| together| joined| merged| both| all| left)*(?: in| into) PLACE(?: left| together)*", eggs.merged),
    (rf"NUM{_DONE} EGGS (?:DIED|BAD|gone|went off) in (?:PLACE|BATCH)", eggs.bad),
    (rf"NUM EGGS (?:in|from) (?:PLACE|BATCH) (?:DIED|BAD|gone BAD){_DONE}", eggs.bad),
    (r"(?:PLACE|BATCH) (?:PULLED |took |picked )?NUM BAD(?: EGGS| FISH)?(?: out)?", eggs.bad),
    (r"NUM NUM EGGS (?:from|off) PLACE BAD(?: FISH)?", eggs.bad_of),
    (r"NUM EGGS from PLACE NUM (?:FISH |them )?BAD", eggs.flipped),
    (r"FRY (?:swimming )?(?:in|around in|about in) (?:PLACE|BATCH)", eggs.hatched),
    (r"(?:PLACE|BATCH) first NUM(?: FRY| FISH)? (?:out|swimming|HATCHED)", eggs.hatched),
    (r"NUM (?:LINE|FRY|LINE FRY) swimming(?: about| around)? in (?:PLACE|BATCH)", eggs.hatched),
    (rf"{_NEW} (?:HATCHED |out |up |SWIM |free ){{1,2}}{_ABOUT} ?(?:PLACE|BATCH)", eggs.hatched),
    (rf"(?:woke|woke up|came home|came down|came in|got up|found|spotted|saw|got)(?: up)?(?: to| to find)? {_NEW} (?:SWIM )?{_ABOUT} ?(?:PLACE|BATCH)", eggs.hatched),
    (r"(?:PLACE|BATCH) (?:got |full |full of )?(?:first |new )?FRY", eggs.hatched),
    (r"NUM(?: more)? (?:free )?SWIM (?:(?:about|around|round) )?in (?:PLACE|BATCH)", eggs.hatched),
    (r"first (?:LINE|FRY|LINE FRY|FISH) (?:out|SWIM|HATCHED|free|up)(?: NUM)?", eggs.first_out),
    (r"NUM (?:FRY|LINE) (?:HATCHED )?(?:from|out|out in|up in) (?:PLACE|BATCH) HATCHED", eggs.hatched),
    (r"(?:PLACE|BATCH) NUM EGGS(?: left)?", eggs.eggs_there),
    (r"NUM EGGS(?: left)? in (?:PLACE|BATCH)(?: left)?", eggs.eggs_there),
    # fish
    (rf"{_SPOT} DIED NUM(?: {_WHO})*(?: to \w+)?{_DONE}", it.lost),
    (rf"{_SPOT} down NUM(?: {_WHO})*", it.lost),
    (r"(?:PLACE|BATCH) (?:DIED|down) (?:SEX|LINE|LINE SEX|YOUNG)", it.lost),
    (rf"(?:{_WHO} )+(?:in |from )?{_SPOT} (?:gave up|checked out|faded|gave up ghost)", it.passed),
    (rf"DIED (?:from|out|out of|in) {_SPOT}", it.jumper),
    (rf"(?:PLACE|NUM|BATCH) NUM(?: {_WHO})? left(?: in)?", it.counted),
    (rf"{_SPOT} (?:stands at|down to|numbers|totals|comes to|came to) NUM(?: {_WHO})*(?: left)?", it.counted),
    (rf"BATCH at NUM(?: {_WHO})*", it.counted),
    (rf"(?:COUNTED |make |reckon |get |got )NUM(?: {_WHO})* in {_SPOT}", it.counted),
    (r"(?:PLACE|BATCH|NUM) (?:NUM )?SEX(?: ,)? (?:NUM )?SEX", it.sexes),
    (r"NUM (?:of )?(?:BATCH|PLACE) SEX NUM(?: others| rest)? SEX", it.sexes),
    (r"(?:PLACE|BATCH|NUM) NUM SEX", it.sexes),
    (r"(?:PLACE|BATCH) (?:turned out|turned out to be|COUNTED|COUNTED as|COUNTED out|COUNTED out as|split|split into|came out|came out as|worked out as|works out|comes to) (?:as |at )?NUM SEX NUM SEX", it.sexes),
    (rf"NUM(?: {_WHO})?(?: \d+| NUM)?(?: {_WHO})? in {_SPOT} (?:survived|made|pulled|came|alive|still alive|still going|left)(?: through)?(?: \w+)?", it.counted),
    (rf"(?:COUNTED )?NUM SEX NUM SEX in {_SPOT}", it.sexes),
    (r"(?:sent|shifted|took|MOVED|moved) (?:all )?BATCH (?:up |over |across )?(?:to|into|in) PLACE", it.lives_in),
    (rf"(?:NUM )?{_WHO}(?: {_WHO})? from {_SPOT}(?: {_WHO})?(?: left)? (?:in|into|to|MOVED|MOVED to|MOVED in|went to|lives in|living in|having holiday in) {_SPOT}", it.moved),
    (rf"(?:MOVED|isolated|took|caught|fished|brought|sent|shifted|transfer|SOLD) (?:NUM )?{_WHO}(?: {_WHO})? (?:from|out|out of) {_SPOT} (?:in|into|to|over to|across to|up to) {_SPOT}", it.moved),
    (rf"(?:MOVED|isolated|sent|shifted|transfer) (?:NUM )?{_WHO}(?: {_WHO})? (?:in|into|to|over to|across to|up to) {_SPOT} from {_SPOT}", it.moved),
    (rf"NUM(?: more)?(?: {_WHO})? (?:in|into|to) {_SPOT} from {_SPOT}", it.moved),
    (rf"(?:NUM )?{_WHO}(?: {_WHO})? (?:went|MOVED|gone|over) from {_SPOT} (?:in|into|to) {_SPOT}", it.moved),
    (rf"(?:PLACE|NUM) (?:got|took in|received) NUM(?: more)?(?: {_WHO})? (?:from|of|out of) (?:{_SPOT}|BATCH)", it.moved_in),
    (r"BATCH (?:FRY |LINE |YOUNG )?(?:in|lives in|live in|living in|moved to|gone to|resides in) PLACE(?: left)?", it.lives_in),
    (r"(?:FRY|YOUNG|LINE|LINE FRY|LINE YOUNG) in PLACE (?:left )?(?:live|living|lives) in PLACE", it.lives_in),
    (r"(?:FRY|YOUNG|FISH|EGGS|LINE FRY|LINE EGGS) (?:from|in|out of) PLACE (?:MOVED|joined|added to|in with|went in with)(?: to)?(?: with)?(?: FISH| others| rest| FRY)?(?: in)? PLACE", it.joined),
    (r"BATCH (?:MOVED |went )?(?:in|joined)(?: with)?(?: FISH)? BATCH", it.joined),
    (r"MOVED (?:EGGS|FRY) (?:in |from )?PLACE (?:with|into|and|in with|to) PLACE", it.joined),
    (rf"(?:NUM )?(?:{_WHO} )+(?:from|in) PLACE joined(?: FISH| gang| others| rest| FRY)* in PLACE", it.joined),
    (r"NUM(?: more)?(?: FRY| FISH)? (?:came out|hatched out|out) (?:in|of|from) (?:PLACE|BATCH)", eggs.hatched),
    (r"(?:NUM )?(?:from|in) PLACE joined(?: FISH| gang| others| rest| FRY)* in PLACE", it.joined),
    # promises, peat, length
    (r"(?:said|told|promised|agreed)(?: that)? PERSON (?:could|can|may|gets|would get)(?: take| get| FISH)? NUM (?:LINE|BATCH|YOUNG|FISH|PAIR)(?: LINE| YOUNG| FISH)*", it.promised),
    (r"PERSON (?:cannot|can't|couldn't|can no longer|won't|no longer) (?:take|have|want|wants|needs|need) (?:NUM )?(?:LINE|BATCH|FISH)(?: after| anymore| any more)?", it.freed),
    (r"(?:scratch|forget|drop|scrap|undo|kill|FREED) PERSON(?: 's)? (?:order|FISH|booking|reservation|LINE|BATCH)", it.freed),
    (r"PERSON (?:changed mind|FREED)(?: (?:about|on|of|for))?(?: NUM)? (?:LINE|BATCH)", it.freed),
    (r"BATCH (?:MOVED )?(?:back )?in(?:to)? BAG(?: for DUR)?", it.peat("bag")),
    (r"(?:MOVED|put up|put) LINE PEAT(?: away)?(?: for DUR)?", it.peat("bag")),
    (r"(?:re-wet|rewet|rewetted|re-wetted|wetted again) BATCH", it.peat("wet")),
    (r"BATCH in (?:tray|tub|bowl|dish|jar|box|wetting tray) with(?: \w+){0,2} (?:water|rainwater|peat water)", it.peat("wet")),
    (r"(?:added|poured|put|tipped|got|gave)(?: \w+)? (?:water|rainwater) (?:to|on|over|onto|into|in) (?:LINE )?(?:BAG|PEAT)(?: (?:LINE|PEAT|EGGS|BAG))*(?: (?:got|gave|had|and got|HATCHED) NUM FRY(?: HATCHED)?)?", it.poured),
    (r"BATCH (?:soaking|WET|in soak|in water)(?: since)?", it.peat("wet")),
    (r"(?:added|poured|put) water (?:to|on|over|onto) BATCH", it.peat("wet")),
    (r"average (?:size |length )?(?:for |in )?(?:BATCH|PLACE)(?: (?:=|at))? LEN", it.long),
    (r"(?:BATCH|PLACE)(?: FRY| YOUNG| FISH| LINE)* (?:average |averages |averaging |roughly |around |nearly |up to |at )?LEN(?: long| already| left| average)?", it.long),
]  # fmt: skip
_CAUGHT = r"(?:took|take|caught|fished|scooped|netted|removed|MOVED|PULLED|lifted|dug)"
_TWO_TABLE: list[tuple[str, Callable[[Told], bool]]] = [
    (rf"{_CAUGHT} NUM(?: {_WHO})*(?: out)? (?:from|out|off|out of) {_SPOT} \+ MOVED(?: FISH)?(?: over| straight)?(?: in| into| to)? {_SPOT}", it.moved),
    (rf"{_CAUGHT} NUM(?: {_WHO})* in {_SPOT} \+ MOVED(?: FISH)?(?: over| straight)?(?: in| into| to)? {_SPOT}", it.fronted),
    (rf"NUM(?: {_WHO}| EGGS)+ (?:in|from) {_SPOT} \+ MOVED (?:FISH )?(?:in|into|to) {_SPOT}", it.fronted),
    (rf"{_NEW} (?:out|up|free|HATCHED) \+ (?:SWIM )+{_ABOUT} ?(?:PLACE|BATCH)", eggs.hatched),
    (r"(?:added|poured|put|tipped)(?: \w+)? (?:water|rainwater) (?:to|on|over|onto|into|in) (?:LINE )?(?:BAG|PEAT)(?: (?:LINE|PEAT|EGGS|BAG))* \+ (?:got |found |have |had )?NUM FRY(?: HATCHED| out| SWIM)?", it.poured),
    (r"(?:found|spotted|saw|got|had|noticed) NUM (?:LINE )?FRY (?:in|with|among|on|under)(?: \w+)* \+ PLACE", eggs.hatched),
    (r"(?:PLACE|BATCH) (?!.*(?:NUM|DIED|MOVED|BAD|PULLED))[^+]* \+ NUM FRY(?: since \w+| so far| already| out| HATCHED| and counting)*", eggs.hatched),
    (rf"NUM(?: {_WHO})* in {_SPOT} \+ COUNTED(?: FISH)?(?: twice| again| all| just| now| today| it| two times)*", it.counted),
    (rf"COUNTED(?: FISH)?(?: twice| again| all)* \+ (?:get |make |got )?NUM(?: {_WHO})* in {_SPOT}", it.counted),
    (r"(?:.* )?price on (?:BATCH|LINE) \+ NUM (?:FISH )?went for (?:NUM|MONEY)", it.went_for),
    (rf"(?:split|MOVED)(?: {_WHO})* in {_SPOT} NUM (?:stayed|left) \+ other NUM (?:went|MOVED) (?:to|in|into) {_SPOT}", it.split),
    (rf"(?:split|MOVED)(?: {_WHO})* (?:in )?{_SPOT}(?: (?:in|into) (?:NUM|half))? \+ NUM (?:FISH )?(?:in|to|into|MOVED|went to|MOVED to) {_SPOT}(?: left)?", it.split),
]  # fmt: skip
