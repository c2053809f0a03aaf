"""Fish, eggs and food bought or brought in."""

from __future__ import annotations

from itertools import pairwise, takewhile

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.trade.terms import fish_count, fishy, places_told, price


def fetches_own(part: Part, teller: Teller) -> bool:
    """Whether a buyer fetched what was theirs: "Tom came by and picked up his pair"."""
    named = [*part.kind("person"), *(part.before.kind("person") if part.before is not None else [])]
    stranger = any(t.value not in teller.names.people for t in named)
    fetched = any(t.word in ("picked up", "collected") for t in part.tags)
    return stranger and fetched and bool(part.words() & {"his", "her", "hers", "their", "theirs"})


def _for_fish(part: Part) -> bool:
    """Whether fish are what something was traded for: "traded a mop for two cories"."""
    n = next((n for n, t in enumerate(part.tags) if t.word == "for"), len(part.tags))
    return fishy(Part(part.tags[n:])) and not fishy(Part(part.tags[:n]))


_BOUGHT_OF_FISH = frozenset(["got in", "delivery", "auction", "picked up", "came in", "arrived", "caught"])


def sees_stock(part: Part, teller: Teller) -> Sight | None:
    if part.noun("mop") and part.words() & {"gave me", "gave us"}:
        return None  # "the mop gave me 11"
    if any(t.word in ("bought off me", "bought off us") for t in part.cues("sold")):
        return None
    of_fish = fishy(part) and part.kind("num", "line")
    cue = [t for t in part.cues("bought") if of_fish or t.word not in _BOUGHT_OF_FISH]
    if cue and _came_to_others(part, cue[0], teller):
        cue = []
    laid = part.noun("eggs") and not part.kind("person", "money")
    if cue and laid and cue[0].word in ("gave us", "gave me", "got in", "caught"):
        return None
    hers = cue and cue[0].word == "bought" and _opens_with_a_stranger(part, teller)
    if cue and (fishy(part) or part.noun("peat")) and not hers:
        return Sight(6, (*cue, *part.cues("gave", "pull", "start")))
    if _then_from_whom(part):
        return Sight(5)
    if _off_somebody(part):
        return Sight(5, tuple(part.cues("gave")))
    return None


def _opens_with_a_stranger(part: Part, teller: Teller) -> bool:
    return part.tags[0].kind == "person" and part.tags[0].value not in teller.names.people


def _came_to_others(part: Part, cue: Tag, teller: Teller) -> bool:
    """Whether what was caught, traded, picked up or is for the auction did not come in here."""
    if fetches_own(part, teller):
        return True
    if cue.word in ("caught", "picked up", "came in", "got in") and _opens_with_a_stranger(part, teller):
        return True  # a buyer picked up hers
    if cue.word == "traded":
        return not _for_fish(part)
    if cue.word == "auction":
        return bool(part.words() & {"for", "to", "keep", "hold", "take", "took"})  # they are to go there
    if cue.word != "caught":
        return False
    lines = {x for t in part.kind("line") for x in t.value}
    own = any(set(teller.names.lines_in(p)) & lines for t in part.kind("place") for p in t.value)
    return own or not (part.kind("num") or part.noun("male", "female"))  # in their own tank, or a disease


def _then_from_whom(part: Part) -> bool:
    """ "Five young lampeyes, off a man called Walter"."""
    giver = part.after
    if giver is None or part.senses_cue() or giver.senses_cue() or giver.tags[0].word not in ("off", "from"):
        return False
    return bool(part.kind("num") and part.kind("line") and giver.kind("person"))


def _off_somebody(part: Part) -> bool:
    """ "Four rainbows off Tom"."""
    person = part.kind("person")
    many = part.kind("num", "money") or part.noun("pair", "trio")
    if not person or not many or not fishy(part) or part.cues("sold", "hold", "pull", "release", "move"):
        return False
    return any(two is person[0] and one.word in ("off", "from") for one, two in pairwise(part.tags))


def tell_stock(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "stock_in"})
        return
    places = places_told(group)
    count, keys, odd = fish_count(group)
    line = group.line()
    stage = "eggs" if group.noun("eggs", "peat") else group.stage()
    source = _giver(group, teller) or _bought_at(group.tags)
    cost = price(group, count)
    if odd:
        teller.ask(group, "How many came in?", "count", {"kind": "stock_in", "line": line})
    elif len(places) > 1:
        teller.ask(group, "Into which tank?", "place", {"kind": "stock_in", "line": line, "count": count})
    elif line is None and not (places and stage == "eggs"):
        teller.ask(group, "Which fish, and into which tank?", "line", {"kind": "stock_in", "count": count})
    else:
        where = {"place": places[0]} if places else {}
        what = {"line": line, "count": count, "stage": stage, "price": cost, "source": source}
        teller.tell("stock_in", group, **where, **what, **keys)


def _giver(group: Group, teller: Teller) -> str | None:
    """The person they came from."""
    persons = group.kind("person")
    named = [t for t in persons if (before := group.before(t)) is not None and before.word in ("from", "off", "of")]
    if named:
        return str(named[-1].value)
    others = [t for t in persons if t.value not in teller.names.people]
    if len(others) == 1 and group.words() & {"from", "off"}:
        return str(others[0].value)  # "off a nice man called Walter"
    return None


_NAME_ENDS = ("at", "for", "in", "with", "and", "of", "they're", "on")


def _bought_at(tags: list[Tag]) -> str | None:
    """The words that say where they came from: "from the spring auction"."""
    for n, (tag, after) in enumerate(pairwise(tags)):
        if tag.word not in ("from", "off", "at") or after.kind not in ("word", "lex") or after.word in ("tank", "tub"):
            continue
        named = takewhile(lambda t: t.kind != "sep" and not t.says("cue"), tags[n + 1 : n + 5])
        rest = [t.word for t in named if t.kind in ("word", "lex") and t.word not in ("the", "a")]
        if not rest or rest[0].isdigit() or after.word == "them":
            return None
        end = next((i for i, w in enumerate(rest[:3]) if i and w in _NAME_ENDS), 3)
        return " ".join(rest[:end])
    return None
