"""Selling by chat: prices, promises kept, the auction, a day to ship, dead on arrival and money given back.

Strict on purpose: every word must be understood, else it is read as a note.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from bot import sentences as say
from bot.answers.price_list import UNITS, income_text, packing_note, price_list, promised_text, ready_text
from bot.answers.promises import became_of
from bot.language.text.vocabulary import DOMAIN
from bot.orders.prices import currency_said, line_priced, price_told, set_price, several_priced
from bot.readback.told import money
from bot.routine.taken import Scene, Taken
from bot.talk.questions import Asked
from shared.events import (
    Event,
    FishPromised,
    FishRefunded,
    FishSold,
    PromiseReleased,
    ReminderAsked,
)
from storage.journal import RoomBook

AUCTION = "the auction"
QUARANTINE_DAYS = 28  # common practice, no source
BACK = "Fish back from an auction have shared others' water: four weeks apart first (common practice, no source)."
FAST = "no food today for {line}{where}: {count} to ship tomorrow, {buyer}"
_MONEY = r"(?:[$€£] ?)?(?P<price>\d{1,5}(?:[.,]\d\d?)?)(?: ?(?:dollars|bucks|euros?|pounds?|usd|eur|gbp))?"
_NUMBER = r"(?P<n>\d{1,4}|a|an|one|two|three|four|five|six|seven|eight|nine|ten)"
_NUMBERS = ["a", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]
_WHO = r"(?P<who>(?:mr |mrs |ms |dr )?[^\W\d_]+)"
MONTHS = r"(?:january|february|march|april|may|june|july|august|september|october|november|december)"
_PRICE = re.compile(
    rf"^(?:(?:the )?price (?:of|for) )?(?P<line>.+?)(?: (?P<unit>fry|young|juveniles?|adults?|eggs?|pairs?|trios?"
    rf"|each))?(?P<verb> (?:are|is|cost|costs|go for|sell for|at)|:|,)? {_MONEY}(?: (?:each|apiece|a piece))?"
    r"(?: (?:a|per|for a|the) (?P<per>pair|trio|fish|egg|dozen eggs|dozen))?$"
)
_SIGN = re.compile(r"[$€£]|dollars|bucks|euro|pound|\beach\b|\b(?:a|per) (?:pair|trio|fish|egg|dozen)|price")
_WENT = re.compile(
    rf"^{_WHO}(?:'s|s') (?:fish|order|box|pair|.{{3,20}}?) (?:went out|(?:was |were )?shipped|is out|are out"
    rf"|are gone|was picked up|were picked up|went)(?: today| this morning)?"
    rf"(?:,? (?:for )?{_MONEY.replace('?P<price>', '?P<for>')})?$"
)
_SENT = re.compile(
    rf"^(?:i )?(?:shipped|sent|posted|handed over|delivered) {_WHO}(?:'s|s') (?:fish|order|box|pairs?|trios?)"
    rf"(?: out| off)?(?: today| this morning)?(?:,? (?:for )?{_MONEY.replace('?P<price>', '?P<for>')})?$"
)
_SHIP = re.compile(
    rf"^(?:ship|send|post|shipping|sending) {_NUMBER} (?P<line>.+?) to {_WHO},? (?:on |this |next )?(?P<day>.+)$"
)
_SHIP_DAY = re.compile(rf"^(?:ship|send|post|shipping|sending) {_NUMBER} (?P<line>.+?) (?:on )?(?P<day>\S+) to {_WHO}$")
_TO_AUCTION = re.compile(
    rf"^(?:took |take |taking |brought |bringing |keep |hold |save |saving |put aside )?{_NUMBER} "
    r"(?P<lots>lots? of )?(?P<line>.+?)(?: (?P<unit>pairs?|trios?))? "
    r"(?:to|for|at|are at|went to|are going to|go to) (?:the|an) (?:club |spring |autumn |fall )?auction"
    rf"(?:,? (?:in {MONTHS}|(?:on )?(?P<day>.+)))?$"
)
_AT_AUCTION = re.compile(
    rf"^(?:sold )?{_NUMBER} (?P<lots>lots? of )?(?P<line>.+?)(?: (?P<unit>pairs?|trios?))?"
    rf" (?:sold |went )?at the auction,? (?:got |made |for |brought )?{_MONEY}$"
)
_UNSOLD = re.compile(
    rf"^{_NUMBER} (?:of the )?(?P<line>.+?) (?:did not sell|didn't sell|unsold|came back|are back|back)"
    r"(?: from the auction)?(?:,? (?:back )?(?:to|in|into) (?P<place>.+))?$"
)
_DEAD = re.compile(
    rf"^{_NUMBER} (?:of )?{_WHO}(?:'s|s') (?:fish |.{{3,20}}? )?(?:arrived dead|(?:were |was )?dead on"
    r" arrival|doa|came dead|died on the way|died in the post)$"
)
_REFUND = re.compile(
    rf"^(?:refunded|refund|paid back|gave back) {_WHO} {_MONEY}(?: back)?(?: for (?P<n>\d+)(?: dead| doa)?.*)?$"
    rf"|^(?:refunded|gave back|paid back|refund) {_MONEY.replace('?P<price>', '?P<price2>')}"
    rf" to {_WHO.replace('?P<who>', '?P<who2>')}$"
)
_LIST = re.compile(
    r"^(?:(?:send|show|give|write|make)(?: me)? )?(?:a |the |my )?"
    r"(?:price ?list|prices|stock ?list|list of fish for sale)"
    r"(?: (?:for|to) .+)?$"
)
_READY = re.compile(
    r"^(?:what(?:'s| is| are)|which fish are|anything|which are) "
    r"(?:ready|for sale|ready (?:to (?:sell|go|ship)|for sale))"
    r"(?: now| today)?$"
)
_PROMISED = re.compile(
    r"^(?:(?:show |list )?(?:the |my |all )?(?:promises|promised fish|reservations|holds|orders)(?: open| i made)?"
    r"|what(?:'s| is| have i) (?:promised|put aside|reserved)|what do i still owe|what did i promise(?: for .{3,12})?"
    r"|who is waiting(?: for fish)?|who's waiting)$"
)
_BECAME = re.compile(
    r"^(?:show |list )?(?:(?:the |my |all )?(?:past|old|kept|cancelled|canceled|kept and cancell?ed) "
    r"(?:promises|orders|reservations)|(?:promises|orders|reservations),? (?:that (?:were )?)?(?:kept|cancell?ed|past)"
    r"(?:(?:,| and| or) (?:kept|cancell?ed|open))*|who cancell?ed|what became of (?:the |my )?(?:promises|orders))$"
)
_GETS = re.compile(
    rf"^what(?:'s| is| does| did)(?: i promise)? {_WHO} (?:getting|waiting for|to get|get|want|wants|owed)$"
    rf"|^what did i promise(?: to)? {_WHO.replace('?P<who>', '?P<to>')}$"
)
_INCOME = re.compile(
    r"^(?:income|takings|earnings|sales|money in|how much (?:did|have) (?:i|we) "
    r"(?:make|made|earn|earned|take|taken)(?: in)?)"
    r"(?: (?:by|each|per|a) month| month by month| so far)?(?: (?P<span>this year|last year|this month|last month))?"
    r"(?: (?:by|each|per) month)?$"
)
_PACK = re.compile(
    rf"^(?:the |a )?packing (?:note|list|slip)(?: for {_WHO})?$"
    rf"|^how do i (?:pack|ship)(?: fish)? for {_WHO.replace('?P<who>', '?P<who2>')}$"
)


def selling(text: str, scene: Scene, book: RoomBook, *, asking: bool) -> Taken | None:
    """What an order about selling comes to; None when it is none. A question changes nothing."""
    text = text.replace("’", "'")
    if _LIST.match(text):
        return Taken(answer=price_list(scene.standing, book, scene.now))
    if _READY.match(text):
        return Taken(answer=ready_text(scene.standing, scene.now))
    if _PROMISED.match(text):
        return Taken(answer=promised_text(scene.standing, book.info, scene.now))
    if _BECAME.match(text):
        return Taken(answer=became_of(book, scene.now))
    if told := several_priced(text, scene, book.info):
        return Taken(answer=told)
    if hit := _GETS.match(text):
        return Taken(answer=promised_text(scene.standing, book.info, scene.now, hit["who"] or hit["to"]))
    if line := line_priced(text, scene):
        return Taken(answer=price_told(line, scene, book.info))
    if hit := _INCOME.match(text):
        return Taken(answer=income_text(book, scene.now, hit["span"]))
    if hit := _PACK.match(text):
        return Taken(answer=packing_note(scene.standing, book, scene.now, hit["who"] or hit["who2"]))
    if asking:
        return None
    parts = [_price(part, scene, book) for part in re.split(r"\s*[,;]\s*(?:and )?|\s+and (?=\w)", text)]
    if len(parts) > 1 and all(parts):
        return Taken(tuple(event for part in parts if part for event in part.events))
    for known in (_price, _went, _ship, _at_auction, _unsold, _dead, _refund):
        if found := known(text, scene, book):
            return found
    return None


def _number(word: str) -> int:
    return int(word) if word.isdigit() else max(1, _NUMBERS.index(word) if word in _NUMBERS else 1)


def _amount(text: str) -> float:
    return float(text.replace(",", "."))


def _line(text: str, scene: Scene) -> str | None:
    where = scene.words.where(text.strip())
    if where is None and text.endswith("s"):
        where = scene.words.where(text[:-1])
    return where.line if where and not where.places and not where.batch else None


def _name(said: str) -> str:
    return " ".join(word.capitalize() for word in said.split())


# ---- prices


def _price(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """“gardneri pairs $12”, “medaka are $3 each”, “gardneri eggs: $10 a dozen eggs”."""
    hit = _PRICE.match(text) if _SIGN.search(text) else None
    line = _line(hit["line"], scene) if hit else None
    if not hit or line is None:
        return None
    dozen = hit["per"] == "dozen" and (hit["unit"] or "").startswith("egg")
    unit = UNITS.get("dozen egg" if dozen else (hit["per"] or hit["unit"] or "each").removesuffix("s"))
    sure = hit["verb"] or hit["per"] or text.startswith(("price", "the price")) or (hit["unit"] or "").endswith("s")
    sure = sure or text.endswith((" each", " apiece", " a piece"))
    if unit is None or not sure:
        return None
    price = _amount(hit["price"])
    if other := currency_said(hit[0], scene.words.names.currency):
        own = scene.words.names.currency or "no currency"
        return Taken(answer=f"Prices here are in {own}, not {other}; say it in {own}. Nothing was changed.")
    return Taken(
        (set_price(line, unit, price),), (f"Price: {line}, {unit.replace('_', ' ')} {money(price, book.info)}.",)
    )


# ---- promises and shipping


def _promise(scene: Scene, buyer: str) -> FishPromised | None:
    """The one open promise to somebody."""
    found = [
        k.event for k in scene.standing.promises
        if isinstance(k.event, FishPromised) and (k.event.buyer or "").casefold() == buyer.casefold()
    ]  # fmt: skip
    return found[0] if len(found) == 1 else None


def _went(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    hit = _WENT.match(text) or _SENT.match(text)
    promise = _promise(scene, hit["who"]) if hit else None
    if not hit or not promise:
        return None
    keys: dict[str, Any] = promise.model_dump(exclude_none=True, exclude={"kind", "date", "time", "made", "price"})
    price = _amount(hit["for"]) if hit["for"] else promise.price
    if hit["for"]:
        keys["currency"] = currency_said(hit[0], scene.words.names.currency)
    return Taken((FishSold(**keys, **({"price": price} if price is not None else {})),))


def _ship(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    """“ship 6 gardneri to Okafor on Thursday”: promised for that day, and no food the day before."""
    hit = _SHIP_DAY.match(text) or _SHIP.match(text)
    line = _line(hit["line"], scene) if hit else None
    day = scene.words.day(hit["day"]) if hit else None
    if not hit or line is None or day is None or scene.words.where(hit["who"]) or hit["who"] in DOMAIN:
        return None
    count, buyer = _number(hit["n"]), _name(hit["who"])
    young = sorted({h.place for h in scene.standing.holdings.values() if h.line == line and h.stage == "juveniles"})
    where = say.places(young)
    events: list[Event] = [FishPromised(count=count, line=line, buyer=buyer, date=day)]
    lines = [f"Kept for {buyer}: {count} {line}, to ship {say.day(day, scene.now.date())}."]
    if day > scene.now.date() + dt.timedelta(days=1):
        fast, there = day - dt.timedelta(days=1), f" in {where}" if where else ""
        events.append(
            ReminderAsked(
                text=FAST.format(line=line, where=f" ({where})" if where else "", count=count, buyer=buyer), date=fast
            )
        )
        lines.append(f"{say.day(fast, scene.now.date())}: no food for {line}{there} (common practice, no source).")
    lines.append(say.SHIPPING)
    return Taken(tuple(events), tuple(lines))


# ---- the auction


def _heads(hit: re.Match[str]) -> dict[str, int]:
    n, unit = _number(hit["n"]), (hit["unit"] or "").removesuffix("s")
    if unit == "pair":
        return {"count": 2 * n, "male": n, "female": n}
    return {"count": 3 * n, "male": n, "female": 2 * n} if unit == "trio" else {"count": n}


def _at_auction(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    if hit := _AT_AUCTION.match(text):
        line = _line(hit["line"], scene)
        if line is None or (hit["lots"] and not hit["unit"]):
            return None
        other = currency_said(hit[0], scene.words.names.currency)
        return Taken((FishSold(**_heads(hit), line=line, price=_amount(hit["price"]), currency=other, buyer=AUCTION),))
    hit = _TO_AUCTION.match(text)
    line = _line(hit["line"], scene) if hit else None
    day = scene.words.day(hit["day"]) if hit and hit["day"] else None
    if not hit or line is None or (hit["day"] and day is None) or (hit["lots"] and not hit["unit"]):
        return None
    heads = _heads(hit)
    event = FishPromised(**heads, line=line, buyer=AUCTION, date=day)
    when = f" {say.day(day, scene.now.date())}" if day else ""
    lots = f" in {say.count(_number(hit['n']), 'lot')}" if hit["lots"] else ""
    return Taken(
        (event,),
        (
            f"For the auction{when}: {heads['count']} {line}{lots}; on record here until they are sold.",
            f"After it: “{heads['count']} {line} at the auction, $20” for what sold, “2 {line} came back” for others.",
        ),
    )


def _unsold(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    hit = _UNSOLD.match(text)
    line = _line(hit["line"], scene) if hit else None
    held = [getattr(k.event, "buyer", None) for k in scene.standing.promises]
    if not hit or line is None or AUCTION not in held:
        return None
    count, standing = _number(hit["n"]), scene.standing
    apart = [p.name for p in standing.places.values() if p.role == "quarantine" and not p.closed]
    where = scene.words.where(hit["place"]) if hit["place"] else None
    if hit["place"] and (where is None or len(where.places) != 1):
        return None
    until = scene.now.date() + dt.timedelta(days=QUARANTINE_DAYS)
    free = PromiseReleased(buyer=AUCTION, line=line, count=count)

    def back(place: str, quarantined: bool) -> list[dict[str, Any]]:
        raw: list[dict[str, Any]] = [free.outside()]
        stood = [h.place for h in standing.holdings.values() if h.line == line and h.stage in ("juveniles", "adults")]
        if quarantined:
            if place not in stood:
                raw.append({"kind": "move", "to": place, "count": count, "line": line, "stage": "juveniles"})
            text = f"the {count} {line} back from the auction: quarantine over, if all look well"
            raw.append({"kind": "remind", "text": text, "place": place, "date": until.isoformat()})
        return raw

    options: list[tuple[str, tuple[dict[str, Any], ...]]] = [(p, tuple(back(p, True))) for p in apart[:3]]
    options.append(("where they were", tuple(back("", False))))
    named = where.places[0] if where else None
    asked = (
        f"{BACK} {f'{named} after that. ' if named and named not in apart else ''}Where do the {count} {line} go now?"
    )
    return Taken(asked=Asked(asked, scene.now, tuple(options)))


# ---- what went wrong on the way


def _sold_to(book: RoomBook, who: str) -> tuple[str | None, str | None]:
    """How a buyer is written in the record, and what was sold to them last."""
    sales = book.entries(kinds=("sale",), limit=400, newest_first=True)
    mine = [e for e in sales if (getattr(e.event, "buyer", None) or "").casefold() == who.casefold()]
    return (getattr(mine[0].event, "buyer", None), mine[0].line) if mine else (None, None)


def _dead(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    hit = _DEAD.match(text)
    buyer, line = _sold_to(book, hit["who"]) if hit else (None, None)
    if not hit or buyer is None:
        return None
    count = _number(hit["n"])
    lines = (
        f"{say.count(count, line or 'fish', line or 'fish')} dead on arrival ({buyer}); they stay sold.",
        f"Money back: “refunded {buyer} $10”.",
    )
    return Taken((FishRefunded(buyer=buyer, line=line, count=count, reason="dead on arrival"),), lines)


def _refund(text: str, scene: Scene, book: RoomBook) -> Taken | None:
    hit = _REFUND.match(text)
    who = (hit["who"] or hit["who2"]) if hit else None
    buyer, line = _sold_to(book, who) if who else (None, None)
    if not hit or buyer is None:
        return None
    amount = _amount(hit["price"] or hit["price2"])
    count = int(hit["n"]) if hit["n"] else None
    other = currency_said(hit[0], scene.words.names.currency) if hit else None
    event = FishRefunded(buyer=buyer, line=line, price=amount, currency=other, count=count)
    return Taken((event,), (f"Back to {buyer}: {money(amount, book.info, other)}.",))
