"""What a note may say, of every kind there is, for tests that write down at random."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from shared.room import BatchCard, LineCard, RoomCard

_MILLRACE = RoomCard.model_validate_json((Path(__file__).parents[1] / "room.json").read_text(encoding="utf-8"))
# With a second hatch in the grow-out tank, breeders of two generations, and a second line of a species.
CARD = _MILLRACE.model_copy(
    update={
        "lines": (
            *(line.model_copy(update={"generation": "wild"}) for line in _MILLRACE.lines),
            LineCard(name="gardneri Akure", species="Fundulopanchax gardneri", generation="F2"),
        ),
        "batches": (
            *_MILLRACE.batches,
            BatchCard(name="B15", line="gardneri", stage="juveniles", place="tank 13", count=9),
            BatchCard(name="B16", line="gardneri", stage="adults", place="tank 3", count=4, generation="F1"),
        ),
    }
)
PLACES = ["tank 1", "tank 3", "tank 7", "tank 11", "tank 12", "tank 13", "tank 16", "tub A", "tub B", "tub C", "tub E"]
LINES = ["gardneri", "gardneri Akure", "blue gularis", "boesemani", "furzeri", "unknown"]
BATCHES = ["B14", "B15", "B16", "B17", "B19", "B21", "B22", "B24", "B25", "B26"]

places, lines, batches = st.sampled_from(PLACES), st.sampled_from(LINES), st.sampled_from(BATCHES)
counts = st.none() | st.integers(0, 60)
few = st.none() | st.integers(0, 4)
guess = st.sampled_from([None, None, True])


def _said(kind: str, **keys: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """What a note of that kind may say; None is left out."""
    made = st.fixed_dictionaries({"kind": st.just(kind), **keys})
    return made.map(lambda raw: {key: value for key, value in raw.items() if value is not None})


maybe_batch, maybe_line = st.none() | batches, st.none() | lines
stages = st.sampled_from([None, None, "eggs", "fry", "juveniles", "adults"])
of_fish = st.one_of(
    _said("setting", batch=batches, what=st.just("generation"), value=st.sampled_from(["wild", "F1", "unknown"])),
    _said("setting", line=lines, what=st.just("generation"), value=st.sampled_from(["wild", "F1", "F2"])),
    _said(
        "setting", batch=batches, what=st.just("laid"), value=st.sampled_from(["2026-03-01", "2026-02-01/2026-02-08"])
    ),
    _said("setting", batch=batches, what=st.just("medium"), value=st.sampled_from(["damp moss", "water"])),
    _said("setting", place=places, what=st.just("line"), value=st.just("gardneri")),
)
notes = st.one_of(
    _said("pull", place=places, count=counts, to=st.none() | places, estimated=guess),
    _said("bad_eggs", place=places, count=counts, batch=maybe_batch),
    _said("hatch", place=places, count=counts, batch=maybe_batch, estimated=guess),
    _said("death", place=places, count=counts, batch=maybe_batch, sex=st.sampled_from([None, "male", "female"])),
    _said(
        "death", line=lines, count=few, cause=st.sampled_from(["culled", "jumped", "eaten", "missing", "found dead"])
    ),
    _said("headcount", place=places, count=counts, estimated=guess, batch=maybe_batch, stage=stages),
    _said("headcount", place=places, male=few, female=few),
    _said("headcount", place=places, count=counts, male=few),
    _said("move", **{"from": places}, to=places, count=counts, batch=maybe_batch, estimated=guess),
    _said("move", **{"from": places}, to=places, male=few, female=few),
    _said("move", batch=batches, to=places, joins=batches, count=few),
    _said("move", batch=batches, to=places, joins=st.just("new"), count=few),
    _said("sale", place=places, count=counts, batch=maybe_batch),
    _said("sale", line=lines, count=few, male=few, female=few, price=st.just(5.0)),
    _said("sale", place=places, count=few, stage=st.just("eggs")),
    _said("stock_in", place=places, line=lines, count=counts, male=few, female=few, stage=stages),
    _said("stock_in", line=st.just("furzeri"), stage=st.just("eggs"), count=counts),
    _said("peat", place=st.just("tank 6"), action=st.sampled_from(["collect", "bag"]), count=counts),
    _said("peat", batch=st.just("B20"), action=st.just("wet"), place=places),
    _said("mop", place=places),
    _said("eyed", place=places, count=counts),
    _said("water_change", places=st.tuples(places)),
    _said("new_place", place=places, role=st.sampled_from(["breeders", "grow-out"]), line=lines),
    of_fish,
)
words = st.sampled_from(["", "fed less", "the male colours up"])
foods = st.sampled_from(["flake", "micro worms", None])
days = st.sampled_from(["2026-03-12", "2026-04-01"])
tending = st.one_of(  # what moves no fish
    _said("feed", places=st.tuples(places), food=foods),
    _said("water_change", places=st.tuples(places)),
    _said("top_off", places=st.tuples(places)),
    _said("dose", place=places, substance=st.sampled_from(["salt", None]), amount=st.floats(1, 9), unit=st.just("g")),
    _said("measure", place=places, quantity=st.sampled_from(["temperature", "ph"]), value=st.sampled_from([22.5, 25])),
    _said("service", places=st.tuples(places), item=st.just("sponge filter")),
    _said("remark", place=places, text=words),
    _said("culture", culture=st.just("micro worms"), action=st.sampled_from(["start", "feed", "harvest", "crash"])),
    _said("remind", text=st.sampled_from(["lids", "descale"]), date=days, every_days=st.sampled_from([None, 30])),
    _said("done", task=st.sampled_from(["lids", "thin out", "water change"]), place=st.none() | places),
    _said("done", task=st.sampled_from(["lids", "descale"]), ends=st.just(True)),
    _said("snooze", task=st.sampled_from(["water change", "lids"]), place=st.none() | places, date=days),
    _said("reserve", buyer=st.sampled_from(["Wim", "Ada"]), line=maybe_line, count=st.integers(1, 9)),
    _said("release", buyer=st.sampled_from(["Wim", "Ada"]), line=maybe_line, count=few),
    _said("refund", buyer=st.sampled_from(["Wim", "Ada"]), price=st.just(5.0)),
    _said("setting", what=st.just("water_every_days"), value=st.integers(2, 9), place=st.none() | places),
    _said("new_culture", culture=st.sampled_from(["micro worms", "brine shrimp"])),
    _said("word", word=st.sampled_from(["the bath", "long tank"]), means=places),
    _said("close_place", place=st.sampled_from(["tank 16", "tub E"])),
)
of_a_room = st.one_of(
    _said("new_line", line=st.sampled_from(["gardneri", "gularis Niger"]), species=st.none(), generation=st.just("F2")),
    _said(
        "new_batch",
        batch=st.sampled_from(["B30", "B31"]),
        line=lines,
        place=places,
        stage=st.sampled_from(["fry", "adults"]),
        count=counts,
    ),
)
every_kind = st.one_of(notes, tending, of_a_room)
