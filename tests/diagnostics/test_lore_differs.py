"""What a board model changes over its family: words, one more by form, refusals."""

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics import bridge, lore_differs, revisions
from diagnostics import services as bench
from diagnostics.models import BoardModel, BoardModelRevision
from shop.people.models import Person
from tests.diagnostics.test_bench_page import keyed


def page_of(heron: BoardModel) -> str:
    return reverse("diagnostics:differs", args=[heron.pk])


@pytest.mark.parametrize(
    ("key", "typed", "kept", "said"),
    [
        ("variants.memory", "DDR5", "ddr5", "Memory: <b>DDR5</b>"),
        ("variants.flash", "1.8 V", "v18", "Flash runs at: <b>1.8\xa0V</b>"),
        ("counts.cpu_phases", "3", 3, "CPU phases: <b>3</b>"),
        ("rails.main.ohms.ok_from", "5k", 5000.0, "good from: <b>5\xa0kΩ</b>"),
        ("rails.sb.33.volts.low", "3,2", 3.2, "lowest volts: <b>3.2\xa0V</b>"),
    ],
)
def test_a_change_is_typed_in_the_trades_words(
    at_bench: Client, heron: BoardModel, key: str, typed: str, kept: object, said: str
) -> None:
    form = keyed(key=key, new=typed, why="read on the board")
    assert at_bench.post(page_of(heron), form).status_code == 302
    assert revisions.patches_of(heron) == {key: kept}
    html = at_bench.get(page_of(heron)).content.decode()
    assert said in html
    assert "read on the board" in html
    assert said in at_bench.get(heron.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("key", "typed", "said"),
    [
        ("variants.memory", "DDR9", "One of these: DDR3, DDR3L"),
        ("counts.cpu_phases", "many", "A whole number"),
        ("counts.cpu_phases", "40", "40"),
        ("rails.main.volts.low", "a lot", "can’t read this as a value"),
        ("rails.main.volts.low", "99", "main"),
        ("parts.p.dual.name", "x", "Select a valid choice"),
        ("", "3", "This field is required"),
    ],
)
def test_what_the_family_cannot_take_is_refused_beside_the_field(
    at_bench: Client, heron: BoardModel, key: str, typed: str, said: str
) -> None:
    answer = at_bench.post(page_of(heron), keyed(key=key, new=typed))
    html = answer.content.decode()
    assert answer.status_code == 422
    wrong = html.partition('class="wrong"')[2].partition("</p>")[0]
    assert said in wrong
    assert not BoardModelRevision.objects.exists()


def test_empty_goes_back_to_the_family(
    at_bench: Client, heron: BoardModel, ines: Person
) -> None:
    key = "variants.memory"
    bench.board_model_patch(board_model=heron, by=ines, key=key, new="ddr5")
    at_bench.post(page_of(heron), keyed(key=key, new=""))
    board = bridge.engine_board(heron.family, revisions.patches_of(heron))
    back, first = lore_differs.differences(heron, board)
    assert (back.now, back.before, back.is_standing) == ("", "DDR5", False)
    assert (first.now, first.before, first.is_standing) == ("DDR5", "DDR4", False)


@pytest.mark.parametrize("family", bridge.family_ids())
def test_every_choice_of_a_family_has_its_words(family: str) -> None:
    for choice in lore_differs.choices(family):
        assert choice.key in lore_differs.NAMES
        assert set(choice.options) <= set(lore_differs.OPTIONS)


def test_a_key_without_words_stands_as_it_is_written(heron: BoardModel) -> None:
    board = bridge.engine_board(heron.family, {})
    key = "parts.p.cmain.modes.short.weight"
    assert lore_differs.key_name(board, key) == key
    assert lore_differs.value_name(key, 40.0) == "40.0"
