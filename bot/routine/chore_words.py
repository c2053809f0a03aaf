"""What chores and the parts of the day are called in an order."""

from __future__ import annotations

import re
from collections.abc import Mapping

# The tasks meant by each name.
_CHORES = """
egg_water: egg water | egg waters | egg water change | egg water changes | egg changes | egg tub water
look_at_peat: peat look | peat looks | look at the peat | looks at the peat | looking at the peat
check_hatch: hatch check | hatch checks | looking for fry | looks for fry
egg_water check_hatch pick_eggs: egg tubs | egg tub
pick_eggs: picking | egg picking | pick over | picking over | pick eggs | picking eggs | bad eggs
pull_mop: mop | mops | mop pulls | mop pulling | pull mops | pulling mops | pull the mops | pulling the mops
collect_peat: peat boxes | peat box | peat | collecting peat | collecting the peat
fry_water: fry water | fry waters | fry water change | fry water changes | fry tub water
fry_water fry_feed: fry tubs
fry_feed: fry feed | fry feeds | fry feeding | fry feedings | feed fry | feed the fry | feeding fry | feeding the fry
feed: adult feed | adult feeds | adult feeding | feed adults | feed the adults | feeding the adults
fry_feed feed: feed | feeds | feeding | feedings | feeding everyone | feed everyone
water_change: water change | water changes | wc | wcs | changing water | change water
draw_water: water to draw | draw water | drawing water | aged water | aging water | water drawing
few_left: running low | lines running low
start_brine_shrimp harvest_brine_shrimp: brine shrimp | bbs
culture_restart: culture restart | culture restarts | restarting cultures | restart cultures
culture_feed: culture feed | culture feeds | feeding cultures | feed cultures | feeding the cultures
culture_feed culture_restart: cultures
test_water: water test | water tests | test water | testing water | ammonia test | ammonia tests | tests | testing
service: filter | filters | filter cleaning | cleaning filters | clean filters | clean the filters | sponge filters
treat: dose | doses | treatment | treatments | medicine
thin_out: thinning out | thin out
move_up: moving up | moves up
"""
CHORE_WORDS: Mapping[str, tuple[str, ...]] = {
    words.strip(): tuple(tasks.split())
    for tasks, _, said in (line.partition(":") for line in _CHORES.strip().splitlines())
    for words in said.split("|")
}
CHORE = "|".join(sorted(map(re.escape, CHORE_WORDS), key=len, reverse=True))
SLOT = "morning|noon|midday|lunch|afternoon|evening|night|late"
# From and to when a part of the day runs, for whose it is; common practice, no source.
PARTS = {
    "morning": ("00:00", "12:00"),
    "noon": ("11:00", "14:00"),
    "afternoon": ("12:00", "18:00"),
    "evening": ("17:00", "00:00"),
    "night": ("20:00", "00:00"),
}
SAME_SLOT = {"midday": "noon", "lunch": "noon", "late": "night"}
