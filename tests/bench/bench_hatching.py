"""How good and how quick the hatching estimates are: run `python -m tests.bench.bench_hatching`.

Prints every published figure beside what was said without it, windows held in make-believe rooms (the usual one and
one in which rooms and batches differ more), and the time for a full refresh.
"""

from __future__ import annotations

import random
import time
from statistics import mean, median

from shared.hatching.estimate import Experience, PastBatch, batch_hatch, hatch_age
from tests.husbandry import hatching_left_out as left_out
from tests.husbandry.hatching_room import FISH, START, at
from tests.husbandry.hatching_trial import Said, trial


def figures() -> None:
    for title, misses in (
        ("one row left out", left_out.rows_left_out()),
        ("the whole species left out", left_out.species_left_out()),
    ):
        print(f"\n{title}")
        for miss in sorted(misses, key=lambda miss: miss.row.species):
            row = miss.row
            print(
                f"  {row.row_id}  {row.species:27}{row.temp_c:5} °C  published {row.half_days:6.2f} d  "
                f"said {miss.said_days:6.2f} d  {miss.relative:5.0%}{'' if miss.held else '  outside its window'}"
            )
        low, high = left_out.median_error_between(misses)
        held = sum(miss.held for miss in misses)
        least, most = left_out.wilson(held, len(misses))
        print(f"  median error {left_out.median_error(misses):.1%} (90 % interval {low:.0%} to {high:.0%})")
        print(f"  80 % windows held {held} of {len(misses)}: {held / len(misses):.0%} ({least:.0%} to {most:.0%})")


def rooms() -> None:
    said = list(trial(rooms=60, first_seed=100))
    print("\nmake-believe rooms: 80 % windows of first fry, by the number of earlier batches")
    for earlier in range(8):
        _held(f"{earlier} earlier", [one for one in said if one.at_pull.earlier_batches == earlier])
    _held("all", said)
    print("width after five batches over the width before the first")
    for species in FISH:
        own = [one for one in said if one.batch.species == species]
        width = {
            earlier: mean(one.width.total_seconds() / 86400 for one in own if one.at_pull.earlier_batches == earlier)
            for earlier in (0, 5)
        }
        print(f"  {species:27}{width[0]:5.1f} d → {width[5]:4.1f} d  {width[5] / width[0]:.2f}")


def _held(title: str, said: list[Said]) -> None:
    good = [one for one in said if one.batch.first and one.at_pull.first_fry]
    held = sum(
        one.at_pull.first_fry.p10 <= one.batch.first <= one.at_pull.first_fry.p90
        for one in good
        if one.at_pull.first_fry and one.batch.first
    )
    least, most = left_out.wilson(held, len(good))
    print(f"  {title:12}{held:5} of {len(good):5}  {held / len(good):.0%} ({least:.0%} to {most:.0%})")


def speed() -> None:
    begin = time.perf_counter()
    hatch_age("gardneri", 24.0)
    print(f"\nfirst question, reading and fitting the tables: {1e3 * (time.perf_counter() - begin):.0f} ms")
    dice = random.Random(3)
    names = list(FISH)
    past = []
    for _ in range(5000):
        day, name = dice.uniform(0, 1500), dice.choice(names)
        age = FISH[name][0] * dice.uniform(0.8, 1.2)
        line = f"{name} {dice.randint(1, 3)}"
        past.append(PastBatch(at(day), at(day + 2), at(day + age), at(day + age + 1), 24.0, name, line))
    begin = time.perf_counter()
    experience = Experience.of(past)
    print(f"summing up 5,000 past batches: {1e3 * (time.perf_counter() - begin):.0f} ms")
    readings = [(at(1500 + k), 23.5 + k % 3 / 2) for k in range(40)]
    now = at(1530)
    batches = [(dice.choice(names), at(1500 + dice.uniform(0, 25))) for _ in range(200)]
    took, worked = [], []  # by the clock, and by the processor's own time, which a busy machine does not lengthen
    for _ in range(15):
        begin, start = time.perf_counter(), time.process_time()
        for name, laid in batches:
            batch_hatch(name, laid, laid, now, readings, line=f"{name} 1", earlier=experience)
        took.append(1e3 * (time.perf_counter() - begin))
        worked.append(1e3 * (time.process_time() - start))
    print(f"refresh of 200 open batches: {median(took):.1f} ms (best {min(took):.1f}), worked {median(worked):.1f} ms")


if __name__ == "__main__":
    print(f"rooms begin {START:%d %b %Y}")
    speed()
    figures()
    rooms()
