"""Common words are read from texts: what is found is what the index would find."""

from hypothesis import given
from hypothesis import strategies as st

from shop.searching import plain
from shop.searching.common import Meant, having_all, newest_of, words_in
from shop.searching.ranking import Text

WORDS = st.sampled_from(["ada", "adam", "dead", "peii", "r7", "王"])


@given(st.sets(WORDS), st.sets(WORDS), st.frozensets(WORDS, min_size=1))
def test_a_word_is_in_a_text_that_was_made_of_it(
    who: set[str], story: set[str], meant: frozenset[str]
) -> None:
    """Whole words: nobody is found by "ada" alone whose text has "adam"."""
    text = plain.text_of(who, story)
    parts = plain.parts_of(text)
    assert {word for word in words_in(text) if word} == {*parts[0], *parts[1]}
    is_there = bool(meant & (who | story))
    assert having_all([Meant((), meant)], [Text(1, text)]) == [Text(1, text)] * is_there


def common_of(texts: list[Text]) -> frozenset[str]:
    return newest_of(texts).common


def test_what_a_twentieth_of_the_texts_has_is_common() -> None:
    texts = [
        Text(n, plain.text_of(["n" * (n + 1)], ["dead"][: n < 2])) for n in range(40)
    ]
    assert "dead" in common_of(texts)
    assert "dead" not in common_of([*texts, *texts[2:]])
    assert not [word for word in common_of(texts) if word.startswith("n")]


def test_too_many_words_are_looked_for_by_their_pieces() -> None:
    wide = Meant(("0ad", "1ad"), None)
    assert wide.is_common(frozenset())
    assert wide.is_in("0adam0i1dead1")
    assert not wide.is_in("0peii0i1dead1")


def test_it_is_known_how_far_apart_tickets_are() -> None:
    """By their numbers, of which another shop has those between."""
    assert newest_of([Text(90, "1a1"), Text(81, "1a1"), Text(70, "1a1")]).apart == 10
    assert newest_of([Text(90, "1a1")]).apart == newest_of([]).apart == 1
