"""Folding and comparing words, beside Unicode and published distances."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import OSA, Levenshtein

from shop.searching import asking, plain, ranking
from shop.searching.ranking import Text

WORD = st.text("abcdefghkmnprstuvwxyz23456789", min_size=1, max_size=14)


@given(st.text())
def test_folding_twice_changes_nothing_more(text: str) -> None:
    assert plain.folded(plain.folded(text)) == plain.folded(text)
    assert all(plain.words(word) == [word] for word in plain.words(text))


@given(st.text())
def test_case_and_the_way_of_writing_accents_make_no_difference(text: str) -> None:
    """Canonical equivalents (Unicode, 3.7) and case pairs fold to the same."""
    for form in ("NFC", "NFD", "NFKC"):
        assert plain.words(unicodedata.normalize(form, text)) == plain.words(text)
    assert plain.words(text.casefold()) == plain.words(text)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("STRASSE", "Straße"),
        ("Lodz", "Łódź"),
        ("Ostvik", "Østvik"),
        ("francois", "François"),
        ("lstanbu1", "İstanbul"),
        ("S0N-I1O", "SON-l10"),
        ("٠١٢", "012"),
        ("ﬁne", "fine"),
    ],
)
def test_what_looks_alike_is_alike(typed: str, meant: str) -> None:
    assert plain.words(typed) == plain.words(meant)


@given(st.lists(WORD), st.lists(WORD))
def test_a_text_tells_who_from_the_story(who: list[str], story: list[str]) -> None:
    names, told = plain.parts_of(plain.text_of(who, story))
    assert names == list(dict.fromkeys(who))
    assert told == [word for word in dict.fromkeys(story) if word not in who]


def test_the_distances_are_the_published_ones() -> None:
    """kitten and sitting: 3 (the textbook pair for Levenshtein's distance, as in
    Navarro 2001, from memory); a swap of neighbours is one (Damerau 1964).
    """
    assert Levenshtein.distance("kitten", "sitting") == 3
    assert OSA.distance("kitten", "sitting") == 3
    assert Levenshtein.distance("form", "from") == 2
    assert OSA.distance("form", "from") == 1


@given(WORD, st.data())
def test_one_slip_leaves_a_piece_of_the_word(word: str, data: st.DataObject) -> None:
    """The promise that the candidates rest on, for every place and kind of slip."""
    typed = slipped(word, data)
    text = plain.text_of([word], [])
    if len(typed) > asking.SHORTEST and OSA.distance(typed, word) == 1:
        (sought,) = asking.with_a_slip([typed])
        assert any(piece in text for piece in sought.pieces), (typed, word)


def slipped(word: str, data: st.DataObject) -> str:
    at = data.draw(st.integers(0, len(word) - 1))
    other = data.draw(st.sampled_from("abcdefgh2345"))
    return data.draw(
        st.sampled_from(
            (
                word[:at] + other + word[at + 1 :],
                word[:at] + word[at + 1 :],
                word[:at] + other + word[at:],
                word[:at] + word[at + 1 : at + 2] + word[at] + word[at + 2 :],
            )
        )
    )


@given(WORD, WORD)
def test_a_word_answers_itself_best_and_no_better_than_its_likeness(
    typed: str, word: str
) -> None:
    assert ranking.alike(typed, typed) == 1.0
    if typed not in word:
        whole = OSA.normalized_similarity(typed, word)
        begun = OSA.normalized_similarity(typed, word[: len(typed)])
        assert ranking.alike(typed, word) <= ranking.ALIKE * max(whole, begun) + 1e-9


def test_better_answers_come_first_and_as_good_ones_newest_first() -> None:
    texts = [
        Text(1, plain.text_of(["ada", "peii"], ["dead"])),
        Text(2, plain.text_of(["ada", "beii"], ["peii"])),
        Text(3, plain.text_of(["ada", "peii"], ["siow"])),
        Text(4, plain.text_of(["oona", "quarr"], ["ada"])),
    ]
    found = ranking.ranked(("ada", "peii"), texts)
    assert [one.ticket_id for one in found] == [3, 1, 2]
    assert found[0].met == {"ada": "ada", "peii": "peii"}


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("Ada  Pell", ("ada", "peii")),
        ("R7-4410", ("r744io",)),
        ("020 7946 0958", ("2o7946o958",)),
        ("O'Neill", ("neiii",)),
        ("14", ("i4",)),
        ("\0 % ' --", ()),
        ("x" * 5000, ("x" * plain.LONGEST_WORD,)),
    ],
)
def test_what_is_typed_becomes_words(typed: str, words: tuple[str, ...]) -> None:
    assert asking.words_of(typed) == words
