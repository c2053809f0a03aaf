"""What clauses of eggs tell whose shape is known: each looks whether what is said can be in the room."""

from __future__ import annotations

from bot.language.shapes.fish_clause import Told


def gave(told: Told) -> bool:
    """ "tank seven gave thirty one", "we had 22 from 3": eggs, where nothing else is said of a tank that lays."""
    spots, numbers = told.tags("PLACE"), told.tags("NUM")
    if len(numbers) == 2 and not spots:
        first = not {"from", "off"} & told.group.words()
        spots, numbers = (numbers[:1], numbers[1:]) if first else (numbers[1:], numbers[:1])
    if len(spots) != 1 or len(numbers) != 1:
        return False
    spot, count = told.spot(spots[0]), told.number(numbers[0], "pull")
    if spot is None or count is None or told.role(spot) != "breeders":
        return False
    return told.tell("pull", **spot, count=count)


def none_off(told: Told) -> bool:
    spot = told.spot(told.tags("PLACE", "NUM")[0])
    return spot is not None and told.role(spot) == "breeders" and told.tell("pull", **spot, count=0)


def into_from(told: Told) -> bool:
    """ "put fourteen more in tub B from tank 3": eggs pulled, from a tank that lays into an egg tub."""
    places = told.tags("PLACE")
    count = told.number(told.tags("NUM")[0], "pull")
    here, there = (told.spot(t) for t in places)
    if here is None or there is None or count is None:
        return False
    if told.role(here) != "eggs":
        here, there = there, here
    if told.role(here) != "eggs" or told.role(there) != "breeders":
        return False
    return told.tell("pull", **there, count=count, to=told.home(here), **told.line())


def merged(told: Told) -> bool:
    """ "tub C and tub D eggs together now in D": what was in the one went to the other."""
    spots = [told.spot(t) for t in told.tags("PLACE")]
    names = [s["place"] for s in spots if s is not None]
    if len(names) != 3 or names[2] not in names[:2] or names[0] == names[1]:
        return False
    start = next(n for n in names if n != names[2])
    if told.role({"place": start}) != told.role({"place": names[2]}):
        return False
    return told.tell("move", from_=start, to=names[2])


def bad(told: Told) -> bool:
    spots = told.tags("PLACE", "BATCH")
    spot, count = told.spot(spots[0]), told.number(told.tags("NUM")[0], "bad_eggs")
    if spot is None or count is None or told.role(spot) not in ("eggs", "peat"):
        return False
    return told.tell("bad_eggs", **spot, count=count)


def bad_of(told: Told) -> bool:
    """ "three of the eight eggs from tank 8 were duds": eight pulled, three of them bad."""
    spot = told.spot(told.tags("PLACE")[0])
    some, every = (told.number(t, "pull") for t in told.tags("NUM")[:2])
    if spot is None or some is None or every is None or some > every or told.role(spot) != "breeders":
        return False
    told.tell("pull", **spot, count=every)
    return told.tell("bad_eggs", **spot, count=some)


def hatched(told: Told) -> bool:
    spot = told.spot(told.tags("PLACE", "BATCH")[0])
    numbers = told.tags("NUM")
    count = told.number(numbers[0], "hatch") if numbers else None
    fry_seen = bool(told.tags("FRY")) and told.role(spot or {}) == "breeders"  # among their parents
    if spot is None or (told.role(spot) != "eggs" and not fry_seen) or (numbers and count is None):
        return False
    if count is None and "first" in told.group.words() and told.group.words() & {"is", "was", "'s", "fry's"}:
        count = 1  # "the first gardneri is out"
    return told.tell("hatch", **spot, count=count)


def first_out(told: Told) -> bool:
    """ "first lampeye fry is out, just the one": where that line's eggs are."""
    line = told.line().get("line")
    found = told.teller.spots_by_line("hatch", [line]) if line else ()
    places = [told.home({"batch": f} if f in told.teller.names.batch_of else {"place": f}) for f in found]
    if len(places) != 1 or told.role({"place": places[0]}) != "eggs":
        return False
    numbers = told.tags("NUM")
    count = told.number(numbers[0], "hatch") if numbers else None
    if count is None and told.group.words() & {"is", "was", "'s"}:
        count = 1
    return told.tell("hatch", place=places[0], count=count, **told.line())


def eggs_there(told: Told) -> bool:
    spot, count = told.spot(told.tags("PLACE", "BATCH")[0]), told.number(told.tags("NUM")[0], "headcount")
    if spot is None or count is None or told.role(spot) != "eggs":
        return False
    return told.tell("headcount", **spot, count=count)


def flipped(told: Told) -> bool:
    """ "of 20 eggs from 3, 2 were white"."""
    numbers = told.tags("NUM")
    told.named = [(n, t) for n, t in told.named if n != "NUM"] + [("NUM", numbers[1]), ("NUM", numbers[0])]
    return bad_of(told)
