"""Help where it is asked: how to write a note, in two lines with the keeper's own tanks; and a short word back.

Strict on purpose: a question is help only when all of it asks how something is told to the hand.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from shared.ledger.standing import Standing

# ---- a short word back

_SMALL = r"""
(?:hi|hello|hey|howdy|good (?:morning|afternoon|evening|day)|morning|hiya|greetings)
  Hello{name}. “what's due” shows the work, “help” how to write.
(?:many thanks|thanks|thank you|thx|ty|cheers|ta|much appreciated)
  You're welcome{name}.
(?:good ?night|night|nighty night|sleep well|see you(?: tomorrow| later)?|bye|goodbye|good bye|till tomorrow)
  Good night{name}.
(?:how are you|how's it going|how is it going|are you there|you there)
  Here, and listening.
(?:good (?:bot|job|work)|well done|great job|you're great|you are great|nice work)
  Glad it helps.
(?:sorry|oops|my bad)
  No harm done. “undo” takes the last note back.
"""
_ADDRESSED = (
    r"(?:[ ,]+(?:there|all|everyone|folks|again|roomhand|you|so much|a lot|very much|mate|bot"
    r"|for (?:that|your help|now)))*"
)


def _table(text: str) -> list[tuple[str, str]]:
    """A pattern at the margin, what belongs to it indented below it."""
    rows: list[tuple[str, str]] = []
    for line in text.strip("\n").splitlines():
        if not line.startswith(" "):
            fresh = not rows or rows[-1][1] != ""
            rows.append((line.strip(), "")) if fresh else rows.append((f"{rows.pop()[0]}{line.strip()}", ""))
        else:
            rows[-1] = (rows[-1][0], f"{rows[-1][1]} {line.strip()}".strip())
    return rows


_SMALL_TALK = tuple((re.compile(pattern + _ADDRESSED), words) for pattern, words in _table(_SMALL))


def small_talk(text: str, name: str | None, hour: int) -> str | None:
    """A short human line to chatter that asks and tells nothing; None when it may be more. `hour` of the room's day."""
    plain = " ".join(text.casefold().replace("’", "'").split()).strip(" .!,?")
    for pattern, words in _SMALL_TALK:
        if pattern.fullmatch(plain):
            if words.startswith("Good night") and 4 <= hour < 17:
                words = "Until later{name}."
            return words.format(name=f", {name}" if name else "")
    return None


# ---- how something is written


@dataclass(frozen=True)
class Own:
    """Names out of the keeper's own room for the examples; of the trade's usual ones where there are none yet."""

    tank: str
    tub: str
    fry: str
    line: str
    grow: str
    batch: str
    other: str
    culture: str
    new: str  # a number no tank has yet

    @classmethod
    def of(cls, standing: Standing) -> Own:
        places = [p for p in standing.places.values() if not p.closed]
        held = list(standing.holdings.values())
        breeders = [p.name for p in places if p.role == "breeders"] or [p.name for p in places if p.kind == "tank"]
        eggs = [h for h in held if h.stage == "eggs" and h.place.startswith("tub")]
        tubs = [p.name for p in places if p.kind == "tub"]
        fry = [h.place for h in held if h.stage == "fry" and h.place] or [p.name for p in places if p.role == "fry"]
        young = [h for h in held if h.stage == "juveniles" and h.place]
        lines = [h.line for h in young] + list(standing.lines)
        free = [p.name for p in places if not standing.at_place(p.name) and p.kind == "tank"]
        tank = (breeders or ["tank 3"])[0]
        return cls(
            tank=tank,
            tub=eggs[0].place if eggs else (tubs or ["tub A"])[0],
            fry=(fry or tubs[-1:] or ["tub E"])[0],
            line=(lines or ["gardneri"])[0],
            grow=young[0].place if young else tank,
            batch=next((h.group for h in held if h.group in standing.batches), "B1"),
            other=(free or ["tank 12"])[0],
            new=f"tank {max((int(p.name[5:]) for p in places if p.name[5:].isdigit()), default=0) + 1}",
            culture=next(iter(standing.cultures), "microworm 1"),
        )


# What is asked after, then the two lines of the answer with // between them; the first that fits counts.
_TOPICS = r"""
sales?|sold|sell(?:ing)?(?: fish)?
  Say how many, of what, from where, to whom, for how much: “sold 6 {line} from {grow} to Tom for $30”. // “income
  this month” adds them up; “price list” writes one out.
prices?|price list
  “{line} are $6 each” or “{line} pairs $12” sets a price. // “price list” writes out what is ready with its
  prices, to send on.
promises?|reserv\w+|holds?|orders?|put aside|keep fish for
  “keep 4 {line} for Lena by Friday” puts them aside, and says so when they are due. // “Lena picked up her
  {line}, $24” ends it; “Lena cancelled” frees them.
deaths?|dead(?: fish)?|loss(?:es)?|died|lost fish
  Say how many and where: “2 dead in {grow}”, or “1 male jumped, {tank}”. // “culled 3 in {grow}” is kept apart
  from those found dead.
bad eggs?|fungus\w*(?: eggs?)?|white eggs?
  “3 bad eggs {tub}” takes them out of the count. // A number left out is fine: “picked bad eggs {tub}”.
hatch(?:es|ing|ed)?|fry
  “12 hatched in {tub}” books eggs over to fry; “12 hatched in {tub}, moved to {fry}” moves them too. // “when
  does {tub} hatch” says when to look.
pulls?|eggs?|mops?|pulling(?: a| the)? mops?
  “pulled mop {tank}, 40 eggs into {tub}” opens a batch with its laying days. // No count is fine: “pulled mop
  {tank}”; so is none: “{tank} mop, no eggs”.
moves?|moving(?: fish)?|move fish
  “moved 28 fry from {fry} to {other}”, or “moved all of {fry} to {other}”. // The batch goes with them; two lines in
  one tank are asked about.
(?:a )?water changes?|changing water|water
  “30% water change {tank}”, or “all tanks 40% except {grow}”, “{tub} changed, 4 drops”. // “topped off {tank}” is
  kept apart, for it is no change.
feeding|feeds?|fed|food
  “fed {fry} baby brine”, “fed everyone flake except {tank}”. // “when did I last feed {fry}” shows it.
(?:head ?)?counts?|counting(?: fish)?
  “counted {grow}, 22” compares with the record and asks about what is missing. // “about 22” is kept as an
  estimate.
temps?|temperatures?|ph|tests?|readings?|ammonia|nitr\w+|measure\w*
  “temp {tank} 76”, “{grow} nitrate 40, ph 7.2”. // Warmth makes hatch dates narrower; a dangerous reading is said
  at once.
doses?|peroxide|medicines?|salt
  “4 drops peroxide {tub}”, “2 tbsp salt {grow}”. // “how much peroxide in {tub} today” adds them up.
cultures?|microworms?|brine shrimp|live food
  “started brine shrimp”, “fed {culture}”, “{culture} crashed”. // “how are the cultures” shows them.
photos?|pictures?
  Send it with the tank or batch as its caption: “{tank}”. // “photos of {tank}” shows them again.
reminders?|remind\w*|tasks?
  “remind me every Sunday to clean the sponge in {tank}”, “remind me at 6 to start brine shrimp”. // “reminders”
  lists them; “drop the sponge reminder” ends one.
(?:a )?(?:new )?(?:tank|tub|place)s?|(?:add|sett)ing(?: up)? a (?:tank|tub)|up a (?:new )?(?:tank|tub)
  “{new} is 20 gal”, “tubs G to J are pint tubs for fry”, “{new} gardneri”. // “remove {new}” takes it out of use;
  “call {new} the window tank” names it.
stock|fish i have|what i have|my fish|fish|(?:a )?new fish|purchases?|bought fish
  What you have: “30 {line} fry in {fry} about 2 weeks old”, “{tank} is {line}, 4 pairs”. // What comes in:
  “bought 6 {line} for $42, {other}”.
"""
_TOPIC_ROWS = _table(_TOPICS)
# The same for what is done otherwise than by logging it: all of the question behind “how do I”.
_DOINGS = r"""
(?:log|record|note|write down|handle|track) (?:the |some )?peat(?: eggs| bags?)?|wet (?:the )?peat|bag (?:the )?peat
  “collected the peat from {tank}”, “bagged it for 12 weeks”, then “wetted {batch}”. // It is due again when its
  time in the bag is over; “when does {batch} hatch” says what to look for.
(?:log|record|note|give|make) (?:a |the )?(?:refund|money back|dead on arrival|doa)
  “2 of Okafor's fish arrived dead”, “refunded Okafor $10”. // What was sold stays sold; income is less the money
  given back.
(?:log|record|do|sell (?:fish )?at|go to|take fish to) (?:an |the )?auctions?
  “2 lots of {line} pairs to the auction on Saturday”, then “4 {line} at the auction, $20”. // “2 {line} came back”
  puts the unsold through quarantine.
(?:move|transfer|log a move of) (?:fish|fry|eggs|them|a batch)
  “moved 28 fry from {fry} to {other}”, or “moved all of {fry} to {other}”. // The batch goes with them.
(?:rename|renumber|relabel|change the (?:name|number) of) (?:a |the |my )?(?:tank|tub|line|culture|place)s?
  “{tank} is now called G1”: all that is on record goes on under the new name. // The old name still finds it, and
  “undo” takes it back.
(?:remove|delete|take (?:down|out)|close|retire) (?:a |the |my )?(?:tank|tub|place)s?
  “remove {new}”, once nothing is on record in it. // What was logged there stays.
(?:cancel|release|end|drop|take back) (?:a |the |my )?(?:promise|reservation|order|hold)s?
  “Lena cancelled” frees what was kept for Lena, and asks which where there are several. // “promises” shows those
  open, “promises kept and cancelled” the others.
(?:change|set|see|edit|show) (?:a |the |my )?(?:routine|schedule|chores?|plan)
  “pull mops every 4 days in {tank}”, “feed fry 4 times a day”. // “routine” shows it all, “routine for {tank}” what
  holds there.
(?:put off|postpone|skip|snooze|delay) (?:a |the |my )?(?:chore|task|job|water change|feeding|reminder)s?
  “skip the {tank} water change till Thursday”, or “remind me tomorrow” after the list. // What is off stays off until
  its day.
(?:print|make|get|order) (?:a |the |my |some )?(?:label|labels|sheet of labels|tank labels)
  “labels”, or “labels for {tank}”, makes a page to print. // At the machine `roomhand labels --out labels.pdf` takes
  other sizes.
(?:make|get|send|write|print) (?:a |the )?breeding records?
  “breeding record for {batch}”, or “breeding record for {line} as PDF”, for another breeder. // What nobody wrote
  down is said to be missing.
(?:see|get|show|draw|make|ask for) (?:a |the |some )?(?:chart|picture|graph)s?
  “chart of eggs by line”, “chart of {batch}”, “temperature chart of {tank}”. // “chart of losses” and “chart of hatch
  windows” as well.
(?:ship|pack|send|post) (?:live |some |the |my )?fish
  “ship 6 {line} to Okafor on Thursday” puts them aside, with a day without food before. // “packing note for Okafor”
  writes it out; carriers' and local rules for live fish go before it.
(?:make|take|do) (?:a |the )?(?:backup|back-up|copy)|back (?:it |things |everything )?up|save my data
  At the machine: `roomhand backup FOLDER/`, while it runs. // A copy is made each day beside the record as well.
(?:change|set) (?:the |my )?(?:units?|time ?zone|settings?)
  At the machine `roomhand serve --ask` goes through time zone, units and doors again. // A time zone may be told here
  too: “we moved to Denver time”.
"""
_DOING_ROWS = _table(_DOINGS)
_MISTAKE = (
    "“undo” takes your last note back; “no, 14 not 40” or “that was {tank}” mends it, and so does an edited message.\n"
    "Of an older note say what was wrong: “the 40 eggs from {tank} were 14”."
)
_INVITE = (
    "An owner writes “invite {who} as helper” (logs and asks) or “invite {who} as viewer” (only asks), for a code.\n"
    "{who} sends that to the bot as the first message; it is good once, for two days. “remove {who}” takes it back."
)
_ABLE = (
    "I keep the room's record: write what you did, “pulled mop {tank}, 40 eggs into {tub}”, and I add it up and say "
    "when they hatch.\nAsk “what's due”, “{tank}?”, “how many {line}”; “how do I log a sale” shows any other note."
)
_BEGIN = (
    "I keep a fish room's record. Tell me the room as you would a friend, in one line or many: “tanks 1-12 are 10 "
    "gallon, tubs A to F are for eggs”, “tank 1 blue gularis, tanks 2 and 3 gardneri”, “tub A has 40 gardneri eggs "
    "laid last Wednesday”.\nOr just write the first note, “pulled mop tank 3, 40 eggs”; “what can you do” says more."
)
_HOW = (
    r"(?:how (?:do|can|would|should|could) (?:i|we|you)|how to|show me how to|what do i (?:write|say|type) to|can i"
    r"|help me(?: to)?)"
)
_LOG = (
    r"(?:log|note|record|write(?: down)?|enter|report|put (?:down|in)|tell you(?: about| of| that)?|say(?: that)?|add"
    r"|set|make|do|book|track)"
)
_ASKED = re.compile(
    rf"^(?:{_HOW} {_LOG}|(?:help|help me)(?: with| on| about)?|what do i (?:write|say|type) for) "
    r"(?:that |when |some |something |my |the |a |an |i )*(?P<what>.+)$"
)
_DONE_HOW = re.compile(rf"^{_HOW} (?P<what>.+)$")
_FIXED = (
    (
        rf"(?:{_HOW} )(?:mend|fix|correct|undo|change|take back|delete|edit|remove)(?: an?| my| the)?"
        r"(?: last)? ?(?:mistakes?|errors?|notes?|entry|entries|typos?|something|it|that"
        r"|wrong (?:note|number|count|entry))",
        _MISTAKE,
    ),
    (
        r"(?:what (?:can|do) you do|what (?:are|can) you(?: for)?|who are you|what is this|how does this work"
        r"|what can i (?:say|ask|write)(?: you| here)?|how do you work|how do i (?:start|begin|use (?:you|this))"
        r"|(?:(?:hi|hello|hey)[ ,.!]+)?(?:i'm|i am|we're|we are) new(?: here| to this)?"
        r"(?:[ ,.!]+(?:what now|where do (?:i|we) start|how do (?:i|we) start|what do (?:i|we) do))?"
        r"|where do (?:i|we) (?:start|begin)|what now|now what|what next)",
        _ABLE,
    ),
)
_INVITED = re.compile(
    rf"^{_HOW} (?:invite|add|let in|let|bring in|give) (?P<who>[^\W\d_]+)"
    r"(?: in| to the (?:room|bot)| access| a code| too)*$"
)
_NO_PERSON = frozenset(("a", "an", "the", "my", "some", "fish", "eggs", "fry", "water", "salt", "food", "tank", "tub"))
_PEOPLE = frozenset(("somebody", "someone", "people", "anyone", "helper", "helpers", "others"))


def how_to(text: str, standing: Standing) -> str | None:
    """Two lines on how something is told to the hand, or None when nothing of the sort is asked."""
    plain = " ".join(text.casefold().replace("’", "'").split()).strip(" .!?")

    def said(words: str, **more: str) -> str:
        return words.format(**vars(Own.of(standing)), **more)

    for pattern, words in _FIXED:
        if re.fullmatch(pattern, plain):
            return said(_BEGIN if words is _ABLE and not standing.places else words)
    hit = _INVITED.match(re.sub(r"\b(?:a|my|the) (?=helper|friend|partner|wife|husband|son|daughter)", "", plain))
    if hit and hit["who"] not in _NO_PERSON and not any(hit["who"] in line.split() for line in standing.lines):
        return said(_INVITE, who="Tom" if hit["who"] in _PEOPLE else hit["who"].capitalize())
    if did := _DONE_HOW.match(plain):
        for pattern, words in _DOING_ROWS:
            if re.fullmatch(pattern, did["what"]):
                return said(words.replace(" // ", "\n"))
    asked = _ASKED.match(plain)
    if not asked:
        return None
    what = re.sub(r"^(?:that|when|some|my|the|a|an|i) ", "", asked["what"])
    for pattern, words in _TOPIC_ROWS:
        if re.fullmatch(pattern, what):
            return said(words.replace(" // ", "\n"))
    return None
