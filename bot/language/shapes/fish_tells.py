"""What clauses of fish tell whose shape is known: each looks whether what is said can be in the room."""

from __future__ import annotations

from collections.abc import Callable

from bot.language.shapes.fish_clause import Told
from bot.language.tags import Tag

# ---- fish


def lost(told: Told) -> bool:
    """ "14 lost one overnight", "B17 lost five", "tank 9 down one female"; of a batch of eggs, bad ones."""
    spot_tag, *rest = told.tags("PLACE", "BATCH", "NUM")
    if spot_tag.kind == "num" and any(t.word not in ("lost",) for t in told.tags("DIED")):
        return False  # "2 dead 3"
    spot = told.spot(spot_tag)
    if spot is None:
        return False
    count = told.number(rest[0], "death") if rest else 1 if told.one() else None
    if count is None:
        return False
    if told.role(spot) in ("eggs", "peat"):
        return not told.tags("SEX", "FRY", "YOUNG") and told.tell("bad_eggs", **spot, count=count)
    return told.tell("death", **spot, count=count, sex=told.sex(), **told.line())


def passed(told: Told) -> bool:
    """ "the runt of B17 finally gave up": said kindly of one fish."""
    spot = told.spot(told.tags("PLACE", "BATCH", "NUM")[-1])
    if spot is None or told.role(spot) in ("eggs", "peat") or not told.one():
        return False
    return told.tell("death", **spot, count=1, sex=told.sex(), **told.line())


def jumper(told: Told) -> bool:
    """ "a jumper from tank 5": one fish."""
    if told.tags("DIED")[0].word != "jumper":
        return False
    spot = told.spot(told.tags("PLACE", "BATCH", "NUM")[-1])
    return (
        spot is not None
        and told.role(spot) not in ("eggs", "peat")
        and told.tell("death", **spot, count=1, cause="jumper")
    )


def _of_fish(told: Told, spot: dict[str, str] | None, number: Tag) -> bool:
    """Whether "down to 12" can be what is left of fish: they are named, or a batch there had as many."""
    names = told.group.names
    place = (spot or {}).get("place", "")
    held = [*names.batches_in(place), *(names.batch_of[b] for b in (spot or {}).values() if b in names.batch_of)]
    named = told.group.noun("fry", "fish", "juveniles", "adults", "male", "female", "eggs") or told.group.kind("line")
    return bool(named) or any(b.count and b.count >= number.value for b in held)


def counted(told: Told) -> bool:
    tags = told.tags("PLACE", "BATCH", "NUM")
    inside = next((t for t in tags if (b := told.group.before(t)) is not None and b.word == "in"), None)
    first = tags[0] if tags[0].kind != "num" or len(told.tags("NUM")) > 1 else tags[1]
    spot_tag = inside or first
    spot = told.spot(spot_tag)
    numbers = [t for t in told.tags("NUM") if t is not spot_tag] or told.tags("NUM")
    count = told.number(numbers[0], "headcount")
    if "down to" in told.group.text() and not _of_fish(told, spot, numbers[0]):
        return False  # "tank 10 down to 66": degrees perhaps
    if len(numbers) == 2 and inside is not None:
        if numbers[1].low is not None or numbers[1].value < numbers[0].value:
            return False
        numbers[1].claimed = "total"  # "18 of the 22 in 14 survived"
    return (
        spot is not None
        and count is not None
        and told.role(spot) != "peat"
        and told.tell("headcount", **spot, count=count)
    )


def sexes(told: Told) -> bool:
    """ "tank 2 has a male and three females", "9 of B11 are male and 13 female", "14 has 10 males"."""
    spots = told.tags("PLACE", "BATCH")
    numbers = told.tags("NUM")
    if not spots:
        spots, numbers = numbers[:1], numbers[1:]
    spot = told.spot(spots[0]) if len(spots) == 1 else None
    if spot is None or told.role(spot) in ("eggs", "fry", "peat"):
        return False
    many: dict[str, int] = {}
    for tag in told.tags("SEX"):
        sex = "male" if tag.says("noun", "male") else "female"
        n = next(i for i, (_, t) in enumerate(told.named) if t is tag)
        before = next((t for _, t in reversed(told.named[:n]) if t in numbers), None)
        if before is None and tag.word.endswith("s"):
            return False
        count = told.number(before, "headcount") if before is not None else 1
        numbers = [t for t in numbers if t is not before]
        if count is None or sex in many:
            return False
        many[sex] = count
    if numbers or not many:
        return False
    total = {"count": sum(many.values())} if len(many) == 2 else {}
    return told.tell("headcount", **spot, **many, **total)


def moved(told: Told) -> bool:
    """Fish with the place they left and the one they went to, said in any order; the words before each tell which."""
    tags = [t for t in told.group.tags if t.kind in ("place", "batch", "num")]
    start = target = count = None
    for tag in tags:
        n = told.group._index(tag)
        back = {w for t in told.group.tags[max(0, n - 2) : n] for w in t.word.split()}
        nxt = told.group.after(tag)
        role = (
            "from"
            if back & {"from", "out", "off", "out of"}
            else "to"
            if back & {"in", "to", "into", "to live in"}
            else ""
        )
        counted = tag.kind == "num" and not role
        if counted and count is None:
            count = told.number(tag, "move")
        elif (
            tag.kind == "batch"
            or role == "from"
            or (not role and start is None and nxt is not None and target is not None)
        ):
            start = start or told.spot(tag)
        elif target is None:
            target = told.spot(tag)
        else:
            return False
    if start is None or target is None or "batch" in target:
        return False
    home = told.home(start)
    if (
        home == target["place"]
        or told.role(start) == "peat"
        or (told.role(target) == "eggs" and told.role(start) != "eggs")
    ):
        return False
    if count is None and any(t.low is not None for t in told.tags("NUM")):
        return False
    keys: dict[str, object] = {}
    if sex := told.sex():
        count = count if count is not None else 1 if told.one() else None
        if count is not None:
            keys[sex] = count
    for tag in told.tags("PAIR", "TRIO"):
        count = (count or 1) * (2 if tag.says("noun", "pair") else 3)
    if "batch" in start:
        keys["batch"] = start["batch"]
    return told.tell("move", from_=home, to=target["place"], count=count, **keys, **told.line())


def fronted(told: Told) -> bool:
    """ "ten of the eggs in tub B I put in tub D": where they were comes first."""
    tags = [
        t for t in told.group.tags if t.kind in ("place", "batch") or (t.kind == "num" and not _counts_here(told, t))
    ]
    count = told.number(told.tags("NUM")[0], "move")
    start, to = (told.spot(tags[0]), told.spot(tags[-1])) if len(tags) == 2 else (None, None)
    if start is None or to is None or "batch" in to or told.home(start) == to["place"] or count is None:
        return False
    if (told.role(start) == "eggs") != (told.role(to) == "eggs") or told.role(start) == "peat":
        return False
    if bool(told.tags("EGGS")) != (told.role(start) == "eggs"):
        return False
    sex = told.sex()
    keys: dict[str, object] = {sex: count} if sex else {}
    stage = told.group.stage()
    return told.tell(
        "move",
        from_=told.home(start),
        to=to["place"],
        count=count,
        batch=start.get("batch"),
        stage=stage if stage != "eggs" else None,
        **keys,
        **told.line(),
    )


def moved_in(told: Told) -> bool:
    """ "tank 16 got 12 from 13": the first place is where they went."""
    first, *rest = told.tags("PLACE", "NUM", "BATCH")
    if len(rest) != 2:
        return False
    number, last = rest if rest[0].kind == "num" else (rest[1], rest[0])
    to, start, count = told.spot(first), told.spot(last), told.number(number, "move")
    if to is None or start is None or count is None or told.role(to) == "eggs" or "batch" in to:
        return False
    if told.role(start) in ("eggs", "peat") and not told.tags("FRY"):
        return False
    batch = start.get("batch")
    return told.tell("move", from_=told.home(start), to=to["place"], count=count, batch=batch, **told.line())


def lives_in(told: Told) -> bool:
    """ "B17 is in tank 12 now", "the fry in tub E now live in tank 12"."""
    if told.group.words() & {"was", "were", "had"}:
        return False  # where they were, and may be no more
    tags = told.tags("BATCH", "PLACE")
    start, to = told.spot(tags[0]), told.spot(tags[1])
    if start is None or to is None or "batch" in to or told.home(start) == to["place"] or told.role(start) == "peat":
        return False
    if told.role(to) == "eggs" and told.role(start) != "eggs":
        return False
    held = told.teller.names.batches_in(told.home(start))
    batch = start.get("batch") or (held[0].name if len(held) == 1 else None)
    return batch is not None and told.tell("move", from_=told.home(start), to=to["place"], batch=batch)


def joined(told: Told) -> bool:
    """ "the fry from tub F were added to those in tub E", "b23 in with b22": one lot goes to the other's place."""
    tags = told.tags("BATCH", "PLACE")
    start, other = told.spot(tags[0]), told.spot(tags[1])
    if start is None or other is None or told.home(start) == told.home(other):
        return False
    if (told.role(start) == "eggs") != (told.role(other) == "eggs") or "peat" in (told.role(start), told.role(other)):
        return False
    numbers = told.tags("NUM")
    count = told.number(numbers[0], "move") if numbers else None
    keys = {"batch": start["batch"]} if "batch" in start else {}
    if not keys and not told.teller.names.lines_in(str(told.home(start))):
        keys = {"line": told.group.line() or ""} if told.group.line() else {}
    return told.tell("move", from_=told.home(start), to=told.home(other), count=count, **keys)


def split(told: Told) -> bool:
    """ "split 13, forty stayed and the other 44 went to 16": the last number went to the last place."""
    spots = [t for t in told.group.tags if t.kind in ("place", "batch", "num") and t.claimed != "aside"]
    places = [t for t in spots if t.kind in ("place", "batch")]
    numbers = [t for t in told.tags("NUM") if told.group.place_id(t) is None or _counts_here(told, t)]
    start, to = places[:1], places[1:]
    if not start or not to:
        named = [t for t in told.tags("NUM") if t not in numbers]
        ends = sorted([*places, *named], key=told.group._index)
        start, to = ends[:1], ends[1:]
    if len(start) != 1 or len(to) != 1 or not numbers:
        return False
    home, target, count = told.spot(start[0]), told.spot(to[0]), told.number(numbers[-1], "move")
    if home is None or target is None or count is None or "batch" in target or told.home(home) == target["place"]:
        return False
    if told.role(home) in ("eggs", "peat") or told.role(target) == "eggs":
        return False
    for tag in told.tags("NUM"):
        tag.claimed = tag.claimed or "pairs"
    batch = home.get("batch")
    return told.tell("move", from_=told.home(home), to=target["place"], count=count, batch=batch)


def _counts_here(told: Told, tag: Tag) -> bool:
    """Whether a number that could be a tank counts fish: it stands after no "in" or "to"."""
    before = told.group.before(tag)
    return before is None or before.word.rpartition(" ")[2] not in ("in", "into", "to", "from", "of", "out")


# ---- coming, going, peat, length


def went_for(told: Told) -> bool:
    """ "half price on the B14s, 4 went for 8": so many sold, for how much."""
    fish, money, numbers = told.tags("BATCH", "LINE"), told.tags("MONEY"), told.tags("NUM")
    cost = money[0] if money else numbers[-1] if len(numbers) == 2 else None
    if len(fish) != 1 or cost is None or cost.low is not None:
        return False
    count = told.number(numbers[0], "sale")
    which = {"batch": str(fish[0].value)} if fish[0].kind == "batch" else told.line()
    cost.claimed = "price"
    return count is not None and bool(which) and told.tell("sale", count=count, price=float(cost.value), **which)


def freed(told: Told) -> bool:
    person = told.tags("PERSON")[0]
    if person.value in told.teller.names.people:
        return False
    numbers = told.tags("NUM")
    count = told.number(numbers[0], "release") if numbers else None
    batches = [str(t.value) for t in told.tags("BATCH")]
    told.tell(
        "release",
        buyer=str(person.value).removesuffix("'s"),
        count=count,
        batch=batches[0] if batches else None,
        **told.line(),
    )
    told.teller.events[-1]["_day"] = told.teller.events[-1]["_clock"] = None
    return True


def peat(action: str) -> Callable[[Told], bool]:
    def tell(told: Told) -> bool:
        names = told.teller.names
        peaty = {x.name for x in names.lines if x.eggs == "peat"}
        batches = [names.batch_of[str(t.value)] for t in told.tags("BATCH") if t.value in names.batch_of]
        weeks = next((float(t.value) for t in told.tags("DUR") if t.unit == "week" and t.low is None), None)
        if told.tags("DUR") and weeks is None:
            return False
        if len(batches) == 1 and batches[0].line in peaty and batches[0].stage == "eggs":
            return told.tell("peat", batch=batches[0].name, action=action, weeks=weeks)
        line = told.line().get("line")
        return not told.tags("BATCH") and line in peaty and told.tell("peat", line=line, action=action, weeks=weeks)

    return tell


def poured(told: Told) -> bool:
    """ "poured cool water on the bag of furzeri eggs, got forty fry": the one bag of such eggs is wetted."""
    names = told.teller.names
    line = told.line().get("line")
    peaty = {x.name for x in names.lines if x.eggs == "peat" and line in (None, x.name)}
    bags = [b.name for b in names.batches if b.stage == "eggs" and b.line in peaty]
    numbers = told.tags("NUM")
    count = told.number(numbers[0], "hatch") if numbers else None
    if len(bags) != 1 or (numbers and not count):
        return False
    told.tell("peat", batch=bags[0], action="wet")
    return count is None or told.tell("hatch", batch=bags[0], count=count)


def promised(told: Told) -> bool:
    """ "I said Mina could have six cories"."""
    person, number = told.tags("PERSON")[0], told.tags("NUM")[0]
    count = told.number(number, "reserve")
    if person.value in told.teller.names.people or count is None:
        return False
    batches = [str(t.value) for t in told.tags("BATCH")]
    if told.tags("PAIR"):
        count *= 2
    if not batches and not told.line():
        return False
    told.tell("reserve", buyer=str(person.value), count=count, batch=batches[0] if batches else None, **told.line())
    told.teller.events[-1].update(_day=None, _clock=None, _ahead=True)
    return True


def long(told: Told) -> bool:
    spot, tag = told.spot(told.tags("PLACE", "BATCH")[0]), told.tags("LEN")[0]
    if spot is None or tag.low is not None or told.role(spot) in ("eggs", "peat"):
        return False
    return told.tell("measure", **spot, quantity="length", value=round(float(tag.value), 1))
