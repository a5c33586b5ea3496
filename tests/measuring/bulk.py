"""A big shop in little time: rows as the services write them, in bulk.

Seeded, so that two runs measure the same shop. Most tickets are handed over;
the last few are open, on the bench, with their readings.
"""

import random
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from diagnostics import bridge
from diagnostics.models import Board, BoardModel, Reading, TicketBoard
from shop.intake.models import Customer, Device, Handover, Outcome, Ticket
from shop.intake.numbers import number_of
from shop.people.models import Person, Role, Shop
from shop.records.kinds import Kind
from shop.records.models import Event, Note
from tests.factories import PersonFactory, ShopFactory

FAMILY = "laptop_barrel"
OPEN_TICKETS = 60
BATCH = 2000
NAMES = ("Quell", "Pell", "Aldaba", "Lind", "Ostrand", "Fisk", "Varga", "Abiola")
START = datetime(2022, 1, 3, 9, 0, tzinfo=UTC)


@dataclass(frozen=True)
class BigShop:
    shop: Shop
    person: Person
    open_ticket: Ticket
    board: Board
    tickets: int
    readings: int


def big_shop(tickets: int, readings: int, seed: int) -> BigShop:
    """Build it. ``readings`` are spread evenly over the tickets' boards."""
    chance = random.Random(seed)
    shop = ShopFactory.create()
    person = PersonFactory.create(shop=shop, roles=list(Role), username="measure")
    model = BoardModel.objects.create(shop=shop, number="ME10-MB", family=FAMILY)
    rows = _tickets(shop, tickets, chance)
    boards = _boards(shop, model, rows)
    _events(shop, person, rows)
    _closings(rows)
    _readings(person, rows, boards, readings, chance)
    return BigShop(shop, person, rows[-1], boards[-1], tickets, readings)


def _tickets(shop: Shop, count: int, chance: random.Random) -> list[Ticket]:
    customers = Customer.objects.bulk_create(
        [
            Customer(shop=shop, name=f"{chance.choice(NAMES)} {n}", phone_typed=f"{n}")
            for n in range(count // 3 + 1)
        ],
        BATCH,
    )
    devices = Device.objects.bulk_create(
        [
            Device(
                shop=shop,
                customer=chance.choice(customers),
                kind="laptop",
                model=f"Heron-{chance.randint(11, 17)}",
                serial=f"H-{n}",
            )
            for n in range(count)
        ],
        BATCH,
    )
    tickets = [
        Ticket(
            shop=shop,
            serial=n + 1,
            number=number_of(n + 1),
            customer=device.customer,
            device=device,
            opened_at=opened(n, count),
            currency=shop.currency,
            diagnosis_fee_minor=3500,
            diagnosis_minutes=45,
            fee_rule="kept",
        )
        for n, device in enumerate(devices)
    ]
    return Ticket.objects.bulk_create(tickets, BATCH)


def opened(n: int, count: int) -> datetime:
    """Evenly over the past; the open ones in the last three weeks."""
    is_open = n >= count - OPEN_TICKETS
    now = datetime.now(UTC)
    if is_open:
        return now - timedelta(hours=8 * (count - n))
    return START + (now - timedelta(days=30) - START) * (n / count)


def _boards(shop: Shop, model: BoardModel, tickets: list[Ticket]) -> list[Board]:
    boards = Board.objects.bulk_create(
        [
            Board(
                shop=shop,
                board_model=model,
                serial=f"B-{t.serial}",
                seen_at=t.opened_at,
            )
            for t in tickets
        ],
        BATCH,
    )
    TicketBoard.objects.bulk_create(
        [
            TicketBoard(ticket=t, board=b, joined_at=t.opened_at)
            for t, b in zip(tickets, boards, strict=True)
        ],
        BATCH,
    )
    return boards


def _events(shop: Shop, person: Person, tickets: list[Ticket]) -> None:
    Note.objects.bulk_create(
        [
            Note(
                shop_id=shop.pk,
                ticket_id=t.pk,
                kind="story_told",
                text="It was charging overnight and was dead in the morning.",
                by=person,
                at=t.opened_at,
            )
            for t in tickets
        ],
        BATCH,
    )
    Event.objects.bulk_create(_happened(shop, person, tickets), BATCH)


def _happened(shop: Shop, person: Person, tickets: list[Ticket]) -> Iterator[Event]:
    closed = len(tickets) - OPEN_TICKETS
    for place, ticket in enumerate(tickets):
        steps = [Kind.TICKET_OPENED, Kind.BOARD_JOINED]
        if place < closed:
            steps += [Kind.OUTCOME_RECORDED, Kind.TICKET_CLOSED]
        for days, kind in enumerate(steps):
            yield Event(
                shop_id=shop.pk,
                kind=kind.value,
                ticket_id=ticket.pk,
                by=person,
                at=ticket.opened_at + timedelta(days=days),
            )


def _closings(tickets: list[Ticket]) -> None:
    closed = tickets[: max(0, len(tickets) - OPEN_TICKETS)]
    Outcome.objects.bulk_create(
        [
            Outcome(ticket=t, kind="fixed", at=t.opened_at + timedelta(days=2))
            for t in closed
        ],
        BATCH,
    )
    Handover.objects.bulk_create(
        [
            Handover(ticket=t, at=t.opened_at + timedelta(days=3), given_to="owner")
            for t in closed
        ],
        BATCH,
    )


def _readings(
    person: Person,
    tickets: list[Ticket],
    boards: list[Board],
    count: int,
    chance: random.Random,
) -> None:
    Reading.objects.bulk_create(_taken(person, tickets, boards, count, chance), BATCH)


def _taken(
    person: Person,
    tickets: list[Ticket],
    boards: list[Board],
    count: int,
    chance: random.Random,
) -> Iterator[Reading]:
    """Readings near the middle of each point's own yardstick."""
    board = bridge.engine_board(FAMILY, {})
    points = [
        (check, point, board.yardstick(point.id))
        for stage in board.family.stages
        for check in board.walk(stage.id)
        for point in check.points
        if check.unit in {"V", "ohm"}
    ]
    for n in range(count):
        place = n % len(tickets)
        check, point, yardstick = points[(n // len(tickets)) % len(points)]
        low = (yardstick.usual_low or yardstick.limit_low or 1.0) if yardstick else 1.0
        value = low * chance.uniform(1.01, 1.05)
        yield Reading(
            uuid=uuid.UUID(int=chance.getrandbits(128), version=4),
            board=boards[place],
            ticket=tickets[place],
            check_id=check.id,
            point_id=point.id,
            mode=check.mode,
            condition=check.condition,
            typed=f"{value:.3f}",
            outcome="value",
            value=value,
            unit=check.unit,
            decimals=3,
            digit=0.001,
            lead_ohms=0.2,
            by=person,
            taken_at=tickets[place].opened_at + timedelta(minutes=n // len(tickets)),
        )
