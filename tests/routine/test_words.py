"""Which task a keeper's words mean, when he says it is done or puts it off."""

from __future__ import annotations

import pytest

from shared.due.tasks import TASKS, same_thing, task_meant, tasks_said

MEANT = {
    "egg tubs": "egg_water",
    "the egg tubs": "egg_water",
    "egg water": "egg_water",
    "peroxide": "egg_water",
    "tub C water": "egg_water",
    "tubs": "egg_water",
    "look for fry": "check_hatch",
    "checked the eggs": "check_hatch",
    "picking the bad eggs": "pick_eggs",
    "fungus": "pick_eggs",
    "keep them apart": "keep_apart",
    "separate the batches": "keep_apart",
    "mops": "pull_mop",
    "pulling the mop in 3": "pull_mop",
    "peat": "collect_peat",
    "the peat boxes": "collect_peat",
    "look at the peat of B20": "look_at_peat",
    "fry water": "fry_water",
    "fry tubs": "fry_water",
    "feeding the fry": "fry_feed",
    "feed babies": "fry_feed",
    "feeding": "feed",
    "fed": "feed",
    "water change": "water_change",
    "wc": "water_change",
    "WCs": "water_change",
    "water": "water_change",
    "start brine shrimp": "start_brine_shrimp",
    "set up the bbs": "start_brine_shrimp",
    "brine shrimp": "start_brine_shrimp",
    "harvest the brine shrimp": "harvest_brine_shrimp",
    "restart microworms": "culture_restart",
    "split the vinegar eels": "culture_restart",
    "feed cultures": "culture_feed",
    "feed the microworms": "culture_feed",
    "the dose": "treat",
    "treatment": "treat",
    "dose of 4 drops peroxide": "treat",
    "draw the water": "draw_water",
    "draw water for tomorrow": "draw_water",
    "aged water": "draw_water",
    "gardneri down to one pair": "few_left",
    "move up": "move_up",
    "moving the fry": "move_up",
    "thin out": "thin_out",
    "wet B20": "wet_peat",
    "wetting the peat": "wet_peat",
    "Okafor pick up": "promised",
    "ammonia": "test_water",
    "test kit": "test_water",
    "the filters": "service",
    "filter": "service",
    "clean tank 14 filter": "service",
    "squeeze sponges": "service",
    "reminder": "reminder",
}


@pytest.mark.parametrize(("words", "task"), MEANT.items())
def test_words_mean_their_task(words: str, task: str) -> None:
    assert task_meant(words) == task


@pytest.mark.parametrize("task", TASKS)
def test_a_tasks_own_name_means_it(task: str) -> None:
    assert task_meant(task) == task_meant(task.replace("_", " ")) == task
    assert task in MEANT.values()


@pytest.mark.parametrize("words", ["", "rearrange the shelf", "call the landlord", "distilled", "thanks"])
def test_other_words_mean_none(words: str) -> None:
    assert task_meant(words) is None


@pytest.mark.parametrize(
    ("words", "placed", "tasks"),
    [
        ("water", False, {"water_change"}),
        ("water", True, {"water_change", "fry_water", "egg_water"}),
        ("tubs", False, {"egg_water", "fry_water"}),
        ("egg tubs", False, {"egg_water", "check_hatch", "pick_eggs"}),
        ("feeding", False, {"feed", "fry_feed"}),
    ],
)
def test_water_without_a_place_is_not_every_tubs(words: str, placed: bool, tasks: set[str]) -> None:
    assert set(tasks_said(words, placed)) == tasks


@pytest.mark.parametrize(
    ("said", "text", "same"),
    [
        ("distilled water", "pick up distilled water", True),
        ("water", "pick up distilled water", False),
        ("wiped the lids", "wipe lids", True),
        ("Okafor", "Okafor comes for his gularis pair, after 5", True),
        ("tank 7 sponge", "sponge tank 7", True),
        ("sponge tank 9", "order new lamps", False),
        ("", "order new lamps", False),
    ],
)
def test_words_about_a_reminder(said: str, text: str, same: bool) -> None:
    assert same_thing(said, text) is same
