"""A big shop in little time: the demo's tickets, many times over.

The services tell the demo shop once. The whole ticket is then copied until the
shop has as many closed tickets as wanted, the tickets that wait for somebody
until some sixty are open: rows as the services write them. The seed spreads the
readings' values; texts inside a paper's own copies keep the pattern's words.
"""

import random
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from itertools import cycle, islice

from django.conf import settings
from django.core.management.color import no_style
from django.db import connection, transaction
from django.utils import timezone

from diagnostics.models import Advice, Board, MachineRun, Reading, Sighting
from shop.billing.models import Invoice
from shop.desk.scenario import tell
from shop.intake import queries as intake
from shop.intake.models import Customer, Device, Ticket
from shop.intake.numbers import number_of
from shop.intake.slip_models import SlipLink
from shop.people.models import WORK_ROLES, Person, Shop
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event, OutgoingMessage
from shop.searching import plain
from shop.searching.models import TicketText
from tests.measuring.patterns import (
    OWNED,
    Pattern,
    Row,
    Table,
    moved_ids,
    pattern_of,
)
from tests.measuring.writer import Writer
from tests.shop.searching import invented

SCENARIO = settings.BASE_DIR / "fixtures" / "hollin_lane.toml"
OPEN_TICKETS = 60
YEARS = timedelta(days=4 * 365)
FIRST_SERIAL = 1000  # beyond the demo's own
AT_ONCE = 200


@dataclass(frozen=True)
class BigShop:
    """The shop, who looks at it, and what is looked at."""

    shop: Shop
    person: Person
    on_the_bench: Ticket
    board: Board
    whole: Ticket
    invoice: Invoice

    @classmethod
    def of_keys(cls, keys: Mapping[str, int]) -> "BigShop":
        """One that was built before, in the connected database."""
        return cls(
            shop=Shop.objects.get(pk=keys["shop"]),
            person=Person.objects.get(pk=keys["person"]),
            on_the_bench=Ticket.objects.get(pk=keys["on_the_bench"]),
            board=Board.objects.get(pk=keys["board"]),
            whole=Ticket.objects.get(pk=keys["whole"]),
            invoice=Invoice.objects.get(pk=keys["invoice"]),
        )


@dataclass(frozen=True)
class Copy:
    """One more ticket of a pattern: which one, how long ago, how many readings."""

    pattern: Pattern
    place: int
    earlier: timedelta
    readings: int

    @property
    def serial(self) -> int:
        return FIRST_SERIAL + self.place

    @property
    def number(self) -> str:
        return number_of(self.serial)

    @property
    def invoice_number(self) -> str:
        return f"{timezone.now().year}-{self.serial:04d}"


@transaction.atomic
def big_shop(tickets: int, readings: int, seed: int) -> BigShop:
    """Tell the demo shop and copy its tickets; exactly as many rows as asked for."""
    shop = tell(SCENARIO, now=timezone.now())
    told = list(Ticket.objects.filter(shop=shop).order_by("id"))
    patterns = [pattern_of(ticket) for ticket in told]
    missing = readings - Reading.objects.count()
    if tickets <= OPEN_TICKETS or missing < 0:
        raise ValueError("Too small to be a shop of some years.")
    plan = list(planned(patterns, tickets - len(told), missing))
    copy_all(plan, seed)
    for kind in ("ticket", "invoice"):
        first = FIRST_SERIAL + len(plan) + 1
        records.series_start(shop_id=shop.pk, kind=kind, first=first)
    whole = next(one for one in told if one.invoices.exists())
    return looked_at(shop, whole)


def planned(patterns: list[Pattern], count: int, readings: int) -> Iterator[Copy]:
    """Closed ones over the years, then the open ones, an hour apart."""
    closed = [one for one in patterns if one.is_closed]
    waiting = [one for one in patterns if not one.is_closed]
    first_open = count - (OPEN_TICKETS - len(waiting))
    kinds = [
        *islice(cycle(closed), first_open),
        *islice(cycle(waiting), count - first_open),
    ]
    shares = iter(shared(readings, sum(bool(one.readings) for one in kinds)))
    for place, pattern in enumerate(kinds):
        left = count - place
        earlier = YEARS * (left / count) if pattern.is_closed else hours(left)
        yield Copy(pattern, place, earlier, next(shares) if pattern.readings else 0)


def hours(count: int) -> timedelta:
    return timedelta(hours=count)


def shared(whole: int, parts: int) -> Iterator[int]:
    """``whole`` in equal parts; the last ones take what is left over."""
    share, rest = divmod(whole, parts)
    for part in range(parts):
        yield share + (part >= parts - rest)


def copy_all(plan: list[Copy], seed: int) -> None:
    chance = random.Random(seed)
    stride = 1000 + max(copy.readings for copy in plan)
    writer = Writer(stride)
    for start in range(0, len(plan), AT_ONCE):
        batch = plan[start : start + AT_ONCE]
        for table in OWNED:
            writer.write(table, rows_of(batch, table, writer, chance))
    with connection.cursor() as cursor:
        for line in connection.ops.sequence_reset_sql(no_style(), list(OWNED)):
            cursor.execute(line)


def rows_of(
    batch: list[Copy], table: Table, writer: Writer, chance: random.Random
) -> Iterator[tuple[Row, Row]]:
    """Each pattern's row with what its copy changes in it."""
    for copy in batch:
        if table is Reading:
            yield from readings_of(copy, writer, chance)
            continue
        for row in copy.pattern.rows[table]:
            changes = writer.moved(table, row, copy.place, copy.earlier)
            yield row, changes | own_words(table, row, copy, writer)


def readings_of(
    copy: Copy, writer: Writer, chance: random.Random
) -> Iterator[tuple[Row, Row]]:
    """The pattern's readings, taken again and again until there are enough."""
    own = copy.pattern.readings
    for n in range(copy.readings):
        row = own[n % len(own)]
        changes = writer.moved(Reading, row, copy.place, copy.earlier)
        key = own[0]["id"] + n + writer.strides(copy.place)
        yield row, changes | another_value(row, chance) | {"id": key}


def another_value(row: Row, chance: random.Random) -> Row:
    """The same point read on another board: within one per cent."""
    own = {"uuid": uuid.UUID(int=chance.getrandbits(128), version=4)}
    if row["value"] is None:
        return own
    return own | {"value": row["value"] * chance.uniform(0.99, 1.01)}


def own_words(table: Table, row: Row, copy: Copy, writer: Writer) -> Row:
    """What must differ from copy to copy besides keys and times."""
    if table is Event:
        is_invoice = row["kind"] == Kind.INVOICE_ISSUED
        number = copy.invoice_number if is_invoice else copy.number
        return {"ids": moved_ids(row["ids"], writer.strides(copy.place), number)}
    if table is Advice:
        moved = writer.strides(copy.place)
        return {"reading_ids": [key + moved for key in row["reading_ids"]]}
    if table in {Sighting, MachineRun}:
        key = f"{table.__name__} {row['id'] + writer.strides(copy.place)}"
        return {"uuid": uuid.uuid5(uuid.NAMESPACE_OID, key)}
    if table in {Ticket, Invoice}:
        number = copy.number if table is Ticket else copy.invoice_number
        return {"serial": copy.serial, "number": number}
    return whose(table, row, copy)


def whose(table: Table, row: Row, copy: Copy) -> Row:
    """What tells one copy from another for who looks for it."""
    if table is Customer:
        return {"name": name_of(copy.place)}
    if table is TicketText:
        return {"text": own_text(row["text"], copy)}
    if table is SlipLink:
        key = f"{row['id_hash']} {copy.place}"
        return {"id_hash": uuid.uuid5(uuid.NAMESPACE_OID, key).hex}
    if table is OutgoingMessage:
        return {"message_id": f"{row['message_id']}-{copy.place}"}
    return {"serial": f"{row['serial']}-{copy.serial}"} if table is Device else {}


def name_of(place: int) -> str:
    """An invented name for each copy: the search has to tell them apart."""
    draw = random.Random(place)
    return f"{invented.first(draw)} {invented.last(draw)}"


def own_text(text: str, copy: Copy) -> str:
    """The pattern's text with the names and numbers of the copy."""
    who, story = plain.parts_of(text)
    (customer,) = copy.pattern.rows[Customer]
    (ticket,) = copy.pattern.rows[Ticket]
    others = set(plain.words(f"{customer['name']} {ticket['number']}"))
    own = plain.words(f"{copy.number} {name_of(copy.place)}")
    return plain.text_of([*own, *(w for w in who if w not in others)], story)


def looked_at(shop: Shop, whole: Ticket) -> BigShop:
    """The newest open ticket of the kind with most readings, and the whole one."""
    person = Person.objects.get(username="sami")
    for role in WORK_ROLES:
        shop.memberships.get_or_create(person=person, role=role)
    waiting = intake.tickets_open(shop)
    ticket = max(waiting, key=lambda one: (one.readings.count(), one.pk))
    return BigShop(
        shop=shop,
        person=person,
        on_the_bench=ticket,
        board=Board.objects.get(ticket_boards__ticket=ticket),
        whole=whole,
        invoice=Invoice.objects.get(ticket=whole),
    )
