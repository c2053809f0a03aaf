"""Fish promised at a price, and fish kept back of a sale: nothing said of them is dropped.

Like every order to the hand it is understood to the last word or left to the reader.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from bot.language.text.vocabulary import DOMAIN
from bot.orders.arrivals import NUMBER, line_first, many, place_said
from bot.orders.prices import SUM, price_said
from bot.routine.taken import Scene, Taken
from shared.events import FishPromised, FishSold, event_from

OURSELVES = "ourselves"
_ASIDE = r"(?: aside| by| back)?"
_PROMISE = re.compile(
    rf"^(?:(?:please )?(?:keep|hold|reserve|save|put|set)){_ASIDE} (?P<n>{NUMBER}) (?P<what>pairs?|trios?)?(?: ?of )? ?"
    rf"(?P<line>[\w -]+?){_ASIDE}(?: (?:from|in) (?P<place>(?:tank|tub) ?\w{{1,4}}))?"
    rf" for (?P<who>[a-z][\w' -]{{1,24}}?)(?:,| at| for)* {SUM}"
    r"(?: (?P<per>each|apiece|a pair|a trio|per pair|per trio|the lot|in all|all together))?"
    r"(?:,? (?:by|until|for|on) (?P<day>.+))?$"
)
_KEPT = re.compile(
    r"(?:\s*,\s*(?:and |but )?|\s+(?:and|but)\s+)(?:we |i )?(?:kept|keeping|keep|holding|held|hold)(?: back)? "
    rf"(?P<n>{NUMBER}|a pair|a trio)(?: (?:more|of them|others?))?(?P<back> back)?"
    r"(?: for (?P<who>[\w' -]{2,30}?))?[.!]*$",
    re.IGNORECASE,
)
_HEADS = {"pair": (1, 1), "trio": (1, 2)}
_OWN_USE = re.compile(r"^(?:breed\w*|me|myself|us|ourselves|breeders|later|stock|my own|our own)\b", re.IGNORECASE)


def promise_order(text: str, said: str, scene: Scene) -> Taken | None:
    """“hold 2 pairs of gardneri for Ivo at $12 a pair by Friday”: the price is that of all of them."""
    hit = _PROMISE.match(text)
    line = line_first(hit["line"].split(), scene) if hit else None
    if hit is None or line is None or line[1] != len(hit["line"].split()) or scene.words.where(hit["who"]):
        return None
    place = place_said(hit["place"], scene) if hit["place"] else None
    day = scene.words.day(hit["day"]) if hit["day"] else None
    if bool(place) != bool(hit["place"]) or bool(day) != bool(hit["day"]) or hit["who"].split()[0] in DOMAIN:
        return None
    sort = (hit["what"] or "").removesuffix("s")
    per = next((word for word in _HEADS if word in (hit["per"] or "")), hit["per"])
    n = many(hit["n"]) or 0
    males, females = _HEADS.get(sort, (0, 0))
    count = n * (males + females or 1)
    if per in _HEADS and per != sort:
        return None
    times = n if per in _HEADS else count if per in ("each", "apiece") else 1
    at = said.casefold().find(hit["who"])
    sexes = {"male": n * males, "female": n * females} if sort else {}
    told = {"line": line[0], "count": count, **sexes, **price_said(hit["sign"], hit["sum"], scene, times=times)}
    told |= {"place": place} if place else {}
    told |= {"date": day.isoformat()} if day else {}
    return Taken((event_from({"kind": "reserve", "buyer": said[at : at + len(hit["who"])], **told}),))


@dataclass(frozen=True)
class KeptBack:
    """A sale with what was kept back of the same fish."""

    sale: str
    count: int
    sort: str
    who: str

    def promise(self, sold: FishSold) -> FishPromised:
        males, females = _HEADS.get(self.sort, (0, 0))
        sexes = {"male": males, "female": females} if self.sort else {}
        return FishPromised(
            count=self.count, line=sold.line, batch=sold.batch, place=sold.place, buyer=self.who, **sexes
        )


def kept_back(text: str) -> KeptBack | None:
    """“sold 4 gardneri to Okafor, kept 2 back”: the sale, and the two kept for somebody or for the keeper's own use."""
    hit = _KEPT.search(text)
    if hit is None or not re.search(r"\bsold\b", text[: hit.start()], re.IGNORECASE):
        return None
    if not hit["back"] and not hit["who"]:
        return None
    who = hit["who"] or ""
    sort = next((word for word in _HEADS if word in hit["n"].casefold()), "")
    count = sum(_HEADS[sort]) if sort else many(hit["n"].casefold()) or 0
    return KeptBack(text[: hit.start()], count, sort, who if who and not _OWN_USE.match(who) else OURSELVES)
