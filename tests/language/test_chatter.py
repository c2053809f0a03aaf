"""Talk is known by how it sounds: sentences nobody learnt from, with the subjects of other people's days."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.language import Names, Reader
from bot.language.kept_out import chatter
from tests.language.joined import talk
from tests.language.judging import card_of
from tests.language.learn import private_words
from tests.language.learn_chatter import Said, sentences_in, weights

SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001
CARD = card_of("millrace.json")
READER = Reader(Names.of(CARD))

# None of these is in talk.tsv; each stands after a fact whose place it must not take.
UNHEARD = (
    "the butcher sold us 6 sausages and the dog got 5",
    "my cousin's wedding cost her 4000 and it rained",
    "we drove 80 miles for a sofa and it didn't fit",
    "the choir sang 12 hymns and I croaked through 10",
    "a parcel came with 3 scarves in it, none of them mine",
    "the postman dropped 2 letters in the puddle",
    "her garden has 40 tulips out already",
    "the tractor died halfway up the hill",
    "they fined the baker 200 for the awning",
    "my uncle's pigeons won 2 cups",
    "the bath overflowed and took the ceiling with it",
    "somebody left 3 umbrellas at the library",
    "I knitted 2 sleeves and ran out of wool",
    "the recipe wants 5 eggs and I had 4",
    "our team lost 3 in a row",
    "the bakery had 9 people queueing before it opened",
    "I dropped a plate and 2 saucers",
    "the lad next door cut 4 hedges for pocket money",
    "the train was 25 minutes late and packed",
    "my piano teacher is 91 and still plays",
)
FACTS = ("tank 3: 40 eggs. ", "2 dead in tank 13. ", "25% water change tank 7. ", "fed tank 9 flake. ")
MORE = (
    "there are 14 of them",
    "29 of them",
    "took out 3 more bad ones",
    "the rest look fine",
    "two drops of peroxide as well",
    "I put them all in tub D",
    "the boys are showing off",
    "it's at 76 now",
)


@pytest.mark.parametrize("fact", FACTS)
def test_talk_it_never_heard_adds_nothing_to_a_fact(fact: str) -> None:
    alone = READER.read(fact, SENT).outside()["events"]
    stray = [words for words in UNHEARD if READER.read(fact + words, SENT).outside()["events"] not in (alone, [])]
    assert stray == []


def test_most_talk_it_never_heard_is_not_even_asked_about() -> None:
    asked = [words for words in UNHEARD if READER.read(FACTS[0] + words, SENT).doubts]
    assert not {words for _, words in talk()} & set(UNHEARD)
    assert len(asked) <= len(UNHEARD) // 4, asked


@pytest.mark.parametrize("words", MORE)
def test_what_goes_on_with_a_fact_is_no_talk(words: str) -> None:
    tags, _ = next(sentences_in(READER.names, words, SENT))
    assert not chatter.chats(tags)


def test_no_weight_hangs_on_a_name() -> None:
    own = private_words(CARD.model_dump_json(), []) | private_words(card_of("second_room.json").model_dump_json(), [])
    signs = [row.rsplit("\t", 1)[0] for row in chatter.WEIGHTS.read_text(encoding="utf-8").splitlines()]
    assert len(signs) > 1000
    assert [sign for sign in signs if own & set(sign.removeprefix(chatter.KNOWN).split())] == []


def test_words_of_the_room_are_learnt_as_known() -> None:
    ours, _ = next(sentences_in(READER.names, "wiped the glass in tank 3", SENT))
    other, _ = next(sentences_in(READER.names, "the sofa is too long for the van", SENT))
    rows = weights([Said(tuple(ours), False), Said(tuple(other), True)] * 8).splitlines()
    assert f"{chatter.KNOWN}the\t0" in rows
    assert f"{chatter.KNOWN}sofa\t0" not in rows
