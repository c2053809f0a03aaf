"""Fish that come and go: bought, sold, promised, freed again."""

from bot.language.telling import Frame
from bot.language.trade.holds import freed, sees_hold, sees_release, tell_hold, tell_release
from bot.language.trade.sales import pays, sees_sale, settles, tell_sale
from bot.language.trade.stock import sees_stock, tell_stock
from bot.language.trade.terms import places_told
from bot.language.trade.wished import granted

__all__ = ["FRAMES", "freed", "granted", "pays", "places_told", "settles"]

FRAMES = [
    Frame("release", sees_release, tell_release),
    Frame("reserve", sees_hold, tell_hold),
    Frame("sale", sees_sale, tell_sale),
    Frame("stock_in", sees_stock, tell_stock),
]
