"""A bare "0" is what people type where the meter shows nothing at all."""

import pytest

from diagnostics import services as bench
from diagnostics.queries import judged
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.samples import board_of


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "word"),
    [("0", "good"), ("0.00", "good"), ("0.0", "unclear"), ("1.00", "bad")],
)
def test_power_is_gone_by_a_bare_zero(
    ticket: Ticket, ines: Person, typed: str, word: str
) -> None:
    board = board_of(ticket, ines)
    bench.reading_take(
        board=board, ticket=ticket, by=ines, point_id="k03/main", typed=typed
    )
    [one] = judged(board)
    assert one.verdict.word == word
