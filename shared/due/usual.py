"""The usual routine of a fish room in numbers a keeper may change: how often each chore comes round, and when."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

Value: TypeAlias = float | int | str | bool | None

# All of these: common practice, no source.
USUAL: Mapping[str, Value] = {
    "egg_changes_per_day": 2,
    "hatch_looks_per_day": 1,
    "picks_per_day": 1,
    "fry_changes_per_day": 3,
    "fry_feeds_per_day": 4,
    "feeds_per_day": 2,
    "mop_every_days": 3,
    "peat_every_days": 7,
    "peat_look_days": 21,
    "peat_weeks": None,
    "water_change_days": 7,
    "grow_out_change_days": 3,
    "nursery_change_days": 1,
    "brine_shrimp_per_day": 1,
    "brine_shrimp_hours": 24,
    "brine_shrimp_from_days": 0,  # age at which fry take it
    "brine_shrimp_from_days_tiny": 7,  # where their mouths are too small at first
    "culture_restart_days": 21,
    "culture_feed_days": 7,
    "ammonia_test_days": 7,
    "filter_days": 30,
    "thin_out_days": 7,
    "move_up_days": 10,
    "grow_out_days": 35,
    "apart_days": 14,
    "quarantine_days": 28,
    "adult_change_percent": 30,
    "nursery_change_percent": 25,
    "grow_out_change_percent": 40,
    "fry_per_litre_tub": 50,
    "fry_per_litre": 5,
    "juveniles_per_litre": 1,
    "water_drawn_per_day": 1,
    "few_left_days": 28,
    "old_adults_days": 365,
    "old_annuals_days": 150,  # fish whose eggs wait in peat live a season
    "light_hours": 12,
    "heater_c": None,
    "morning_at": "06:30",
    "noon_at": "12:30",
    "afternoon_at": "17:30",
    "evening_at": "18:30",
    "night_at": "21:00",
    "brine_shrimp_at": "18:00",
    "reminder_at": "09:00",
    "nightly_at": "21:00",
    "quiet_from": "22:00",
    "quiet_to": "06:00",
    "time_zone": None,
    "units": None,
}

# Which number says how often a task comes; and whether by the day or by the number of days.
PER_DAY = {
    "egg_water": "egg_changes_per_day",
    "check_hatch": "hatch_looks_per_day",
    "pick_eggs": "picks_per_day",
    "fry_water": "fry_changes_per_day",
    "fry_feed": "fry_feeds_per_day",
    "feed": "feeds_per_day",
    "start_brine_shrimp": "brine_shrimp_per_day",
    "draw_water": "water_drawn_per_day",
}
EVERY_DAYS = {
    "pull_mop": "mop_every_days",
    "collect_peat": "peat_every_days",
    "look_at_peat": "peat_look_days",
    "water_change": "water_change_days",
    "culture_restart": "culture_restart_days",
    "culture_feed": "culture_feed_days",
    "test_water": "ammonia_test_days",
    "service": "filter_days",
    "thin_out": "thin_out_days",
    "few_left": "few_left_days",
}
# For one tank or batch the general word will do: "feed tub E 5 times a day" is about its fry.
NEAR = {
    "fry_feeds_per_day": "feeds_per_day",
    "peat_every_days": "mop_every_days",
    "grow_out_change_days": "water_change_days",
    "nursery_change_days": "water_change_days",
}
