"""Small words that several taggers look out for."""

from __future__ import annotations

COUNTED = frozenset({"eggs", "fry", "juveniles", "adults", "male", "female", "pair", "trio", "fish"})
JOIN = frozenset({"and", ",", "&", "plus", "/", "n", "or"})
ARTICLES = frozenset({"the", "a", "an", "my", "our", "his", "her", "their", "this", "that", "some"})
INTO = frozenset(
    [">", "in", "into", "from", "to", "of", "on", "for", "with", "at", "between", "and", "off", "tank", "tub", "by",
     "under", "than"]
)  # fmt: skip
LETTERS_AS_WORDS = frozenset(
    ["a", "i", "n", "u", "r", "x", "c", "m", "f", "y", "k", "g", "l", "s", "t", "o", "v", "d", "w", "p", "h"]
)
STOPWORDS = frozenset(
    ["the", "a", "an", "in", "on", "of", "to", "from", "and", "or", "but", "for", "with", "at", "by", "is", "was",
     "are", "were", "be", "it", "its", "my", "our", "their", "his", "her", "they", "them", "we", "i", "you", "he",
     "she", "this", "that", "these", "those", "so", "then", "as", "if", "when", "into", "out", "off", "up", "down",
     "not", "no", "some", "any", "all", "one", "two", "three", "there", "here", "now", "just", "has", "have", "had",
     "do", "did", "done", "got", "get", "went", "go", "gave", "give", "put", "fry", "eggs", "egg", "tank", "tub",
     "water", "fed", "feed", "moved", "pulled", "dead", "last", "next", "new", "big", "old", "few", "more", "most",
     "less", "what", "which", "who", "how", "why", "where", "can", "could", "should", "would", "will", "may",
     "might", "must"]
)  # fmt: skip
CURRENCY_WORDS = {
    "bucks": "",
    "dollars": "USD",
    "dollar": "USD",
    "quid": "GBP",
    "pounds": "GBP",
    "euros": "EUR",
    "euro": "EUR",
    "usd": "USD",
    "eur": "EUR",
    "gbp": "GBP",
}
