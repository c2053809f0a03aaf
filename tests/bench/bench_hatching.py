"""How good and how quick the hatching estimates are: run `python -m tests.bench.bench_hatching`.

Prints every published figure beside what was said without it, windows held in make-believe rooms, and the time for a
full refresh; more of that in `bench_refresh`.
"""

from __future__ import annotations

from statistics import mean

from tests.bench.bench_refresh import estimates
from tests.husbandry import hatching_left_out as left_out
from tests.husbandry.hatching_room import FISH, START
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


if __name__ == "__main__":
    print(f"rooms begin {START:%d %b %Y}")
    estimates()
    figures()
    rooms()
