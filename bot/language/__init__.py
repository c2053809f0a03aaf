"""Words in, meaning out: reads one-line notes against a room's names; knows no database and no clock."""

from bot.language.lines import read_lines
from bot.language.reader import Reader
from bot.language.reading import Doubt, Query, Reading, Span
from bot.language.text.names import BatchName, LineName, Names, PlaceName

__all__ = ["BatchName", "Doubt", "LineName", "Names", "PlaceName", "Query", "Reader", "Reading", "Span", "read_lines"]
