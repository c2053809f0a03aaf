"""Fish, eggs and food bought or brought in."""

from __future__ import annotations

from itertools import takewhile

from bot.language.clauses.group import Group
from bot.language.scene import Part
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


def sees_stock(part: Part, teller: Teller) -> Sight | None:
    if part.noun("mop") and part.words() & {"gave me", "gave us"}:
        return None  # "the mop gave me 11"
    cue = [
        t
        for t in part.cues("bought")
        if not (
            t.word in ("got in", "delivery", "auction", "picked up", "came in", "arrived", "caught")
            and not (fishy(part) and part.kind("num", "line"))
        )
    ]
    if cue and cue[0].word == "caught" and not part.kind("num") and not part.noun("male", "female"):
        cue = []
    if cue and cue[0].word == "traded" and not _for_fish(part):
        cue = []
    if cue and cue[0].word == "auction" and part.words() & {"for", "to", "keep", "hold", "take", "took"}:
        cue = []  # they are to go there
    if (
        cue
        and cue[0].word in ("caught", "picked up", "came in", "got in")
        and part.tags[0].kind == "person"
        and part.tags[0].value not in teller.names.people
    ):
        cue = []  # a buyer picked up hers
    if cue and fetches_own(part, teller):
        cue = []
    if (
        cue
        and cue[0].word == "caught"
        and any(
            set(teller.names.lines_in(p)) & {x for t in part.kind("line") for x in t.value}
            for t in part.kind("place")
            for p in t.value
        )
    ):
        cue = []  # caught in their own tank
    if (
        cue
        and part.noun("eggs")
        and not part.kind("person", "money")
        and cue[0].word in ("gave us", "gave me", "got in", "caught")
    ):
        return None
    if any(t.word in ("bought off me", "bought off us") for t in part.cues("sold")):
        return None
    if (
        cue
        and (fishy(part) or part.noun("peat"))
        and not (
            part.kind("person")
            and part.tags
            and part.tags[0].kind == "person"
            and part.tags[0].value not in teller.names.people
            and cue[0].word == "bought"
        )
    ):
        return Sight(6, (*cue, *part.cues("gave", "pull", "start")))
    words = part.words()
    person = part.kind("person")
    giver = part.after
    if (
        part.kind("num")
        and part.kind("line")
        and not part.senses_cue()
        and giver is not None
        and giver.tags[0].word in ("off", "from")
        and giver.kind("person")
        and not giver.senses_cue()
    ):
        return Sight(5)  # "five young lampeyes, off a man called Walter"
    if (
        fishy(part)
        and (part.kind("num", "money") or part.noun("pair", "trio"))
        and person
        and (words & {"off", "from"})
        and not part.cues("sold", "hold", "pull", "release", "move")
    ):
        n = next(i for i, t in enumerate(part.tags) if t is person[0])
        if n and part.tags[n - 1].word in ("off", "from"):
            return Sight(5, tuple(part.cues("gave")))
    return None


def tell_stock(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "stock_in"})
        return
    places = places_told(group)
    count, keys, odd = fish_count(group)
    line = group.line()
    stage = "eggs" if group.noun("eggs", "peat") else group.stage()
    tags = group.tags
    source: str | None = None
    for tag in group.kind("person"):
        n = group._index(tag)
        if n and tags[n - 1].word in ("from", "off", "of"):
            source = str(tag.value)
    others = [t for t in group.kind("person") if t.value not in teller.names.people]
    if source is None and len(others) == 1 and group.words() & {"from", "off"}:
        source = str(others[0].value)  # "off a nice man called Walter"
    if source is None:
        for n, tag in enumerate(tags):
            if (
                tag.word in ("from", "off", "at")
                and n + 1 < len(tags)
                and tags[n + 1].kind in ("word", "lex")
                and tags[n + 1].word not in ("tank", "tub")
            ):
                named = takewhile(lambda t: t.kind != "sep" and not t.says("cue"), tags[n + 1 : n + 5])
                rest = [t.word for t in named if t.kind in ("word", "lex") and t.word not in ("the", "a")]
                if rest and not rest[0].isdigit() and tags[n + 1].word not in ("them",):
                    source = " ".join(
                        rest[
                            : next(
                                (
                                    i
                                    for i, w in enumerate(rest[:3])
                                    if i and w in ("at", "for", "in", "with", "and", "of", "they're", "on")
                                ),
                                3,
                            )
                        ]
                    )
                break
    cost = price(group, count)
    if odd:
        teller.ask(group, "How many came in?", "count", {"kind": "stock_in", "line": line})
        return
    if len(places) > 1:
        teller.ask(group, "Into which tank?", "place", {"kind": "stock_in", "line": line, "count": count})
        return
    if line is None and not (places and stage == "eggs"):
        teller.ask(group, "Which fish, and into which tank?", "line", {"kind": "stock_in", "count": count})
        return
    teller.tell(
        "stock_in",
        group,
        place=places[0] if places else None,
        line=line,
        count=count,
        stage=stage,
        price=cost,
        source=source,
        **keys,
    )
