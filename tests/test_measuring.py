"""The measuring itself, tiny: what it counts, never how long it takes."""

from dataclasses import fields

import numpy as np
import pytest
from django.apps import apps

from diagnostics.models import Reading
from shop.intake import queries as intake
from shop.intake.models import Ticket
from shop.records.models import Event
from tests.factories import TicketFactory
from tests.measuring import searching
from tests.measuring.bulk import OPEN_TICKETS, BigShop, big_shop
from tests.measuring.judging import Many
from tests.measuring.patterns import OWNED, moved_ids
from tests.measuring.policies import policies
from tests.measuring.reasoning import Thinking
from tests.measuring.rows import by_turns, slow
from tests.measuring.run import HEAD, Measured, Size, measured, table

SIZE = Size(tickets=65, readings=650, rounds=3, virtual=2)
PAGES = ["ticket page, open", "ticket page, whole", "day list", "bench page"]
PAGES += ["reading to verdict"]
OF_THE_SHOP = set(
    "Shop Person Membership Terms MarkupTier StockItem BoardModel "
    "BoardModelRevision NumberSeries Meter ConfirmedDay TakenOff "
    "DonorPaper StockLot LotDraw FixedJob".split()
)
OTHERS = [
    "invoice PDF",
    "against untagged",
    "parse and verdict",
    "10000 judged",
    *searching.KINDS,
    "office lists",
    "office turnaround",
    "office money",
    "office quality",
    "till",
    "cash in or out",
    "money owed",
    "board lore",
    "stock",
    "accounts",
    "kept advice",
    "how long data stays",
    "circuits named",
]
REASONING = [
    "reading to checks",
    "and looking ahead",
    "the same in bins",
    "pairs included",
]


@pytest.mark.django_db
def test_every_row_is_measured_beside_its_reference() -> None:
    done: Measured = measured(SIZE)
    assert [row.name for row in done.rows] == PAGES + OTHERS + REASONING
    assert all(row.queries > 3 for row in done.rows[:5])
    figures = len(searching.KINDS) + 12 + 1
    rounds = [3, 3, 3, 3, 3, 1, 1, 60, 1, *[3] * figures] + [1] * 4
    assert [row.rounds for row in done.rows] == rounds
    shown = table(done.rows).splitlines()
    assert shown[0] == HEAD
    assert {len(line) for line in shown} == {len(HEAD)}


@pytest.fixture
def big(db: None) -> BigShop:
    return big_shop(SIZE.tickets, SIZE.readings, seed=1)


def test_a_shop_that_stands_is_found_by_its_keys(big: BigShop) -> None:
    keys = {one.name: getattr(big, one.name).pk for one in fields(big)}
    assert BigShop.of_keys(keys) == big


def test_the_big_shop_is_exactly_as_big_as_asked_for(big: BigShop) -> None:
    assert Ticket.objects.count() == SIZE.tickets
    assert Reading.objects.count() == SIZE.readings
    assert len(intake.tickets_open(big.shop)) == OPEN_TICKETS


@pytest.mark.one_database
def test_a_copied_ticket_has_all_that_its_pattern_has(big: BigShop) -> None:
    copy = Ticket.objects.exclude(handover=None).latest("id")
    assert copy != big.whole
    for rows, way in OWNED.items():
        if rows is not Reading:
            of_copy, of_pattern = (
                rows._default_manager.filter(**{way: ticket.pk}).count()
                for ticket in (copy, big.whole)
            )
            assert of_copy == of_pattern, rows
    opened = Event.objects.get(ticket_id=copy.pk, kind="ticket_opened")
    assert opened.ids == {"number": copy.number}


@pytest.mark.one_database
def test_whatever_the_demo_writes_of_a_ticket_is_copied(big: BigShop) -> None:
    filled = {
        model.__name__
        for model in apps.get_models()
        if model.__module__.startswith(("shop.", "diagnostics."))
        and model._default_manager.exists()
    }
    assert filled - OF_THE_SHOP == {rows.__name__ for rows in OWNED}


def test_the_next_ticket_has_a_number_of_its_own(big: BigShop) -> None:
    last = Ticket.objects.latest("serial")
    assert TicketFactory.create(by=big.person).serial > last.serial


def test_ten_thousand_are_judged_as_bare_numpy_reckons_them() -> None:
    """Where the limit decides, our chance of conformity is the array's."""
    many = Many(count=500, seed=3)
    judged, chances = many.ours(), many.in_numpy()
    decided = [
        (one.verdict.p_inside, chance)
        for one, chance in zip(judged, chances, strict=True)
        if one.verdict.p_inside is not None
    ]
    assert len(decided) > 400
    assert all(ours == pytest.approx(chance, abs=1e-9) for ours, chance in decided)
    assert len({one.verdict.word for one in judged}) == 4


def test_an_events_ids_move_with_the_rows_they_name() -> None:
    ids = {"quote": 7, "version": 2, "number": "23896"}
    moved = moved_ids(ids, 1000, "10005")
    assert moved == {"quote": 1007, "version": 2, "number": "10005"}


def test_ours_and_the_reference_take_turns() -> None:
    said: list[str] = []
    first, second = by_turns(lambda: said.append("a"), lambda: said.append("b"), 3)
    assert "".join(said) == "ab" * 4  # once to warm up
    assert len(first) == len(second) == 3


def test_the_slow_end_is_the_value_that_95_of_100_stay_below() -> None:
    assert slow([float(n) for n in range(100)]) == 95.0
    assert slow([1.0]) == 1.0


def test_the_library_says_the_same_of_the_board_as_we_do() -> None:
    thinking = Thinking(boards=2)
    ours, theirs = thinking.in_bins(), thinking.library()
    for one, other in zip([ours[0], *ours[1]], [theirs[0], *theirs[1]], strict=True):
        np.testing.assert_allclose(one, other, rtol=0, atol=1e-9)
    pairs = thinking.library_of_pairs()[0]
    single = pairs[: len(ours[0])]
    np.testing.assert_allclose(single / single.sum(), ours[0], rtol=0, atol=1e-9)


def test_policies_are_told_beside_the_optimum() -> None:
    six, small, *others = policies(2)
    assert "optimum   2.18 min" in six
    assert "ahead +0.0 % (+0.0 %)  greedy +31.2 %" in six
    assert "entropy bound 1.45 min" in six
    assert "entropy bound" in small
    assert len(others) == 2
