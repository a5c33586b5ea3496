"""Bringing a checked file in, and taking it back: each is one act, all or nothing."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import services as billing
from shop.billing.services import StockDraft
from shop.intake import services as intake
from shop.intake.models import Customer, Device, DeviceKind, Ticket
from shop.money import Money
from shop.opening.imports.columns import CUSTOMERS, STOCK, TICKETS
from shop.opening.models import ImportRow, ImportRun
from shop.people.models import Person, Shop, Terms
from shop.people.queries import terms_at
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event

BATCH = 500
MOST_TICKETS = 2_000
State = ImportRow.State
Values = dict[str, Any]
Pair = TypeVar("Pair")


@transaction.atomic
def import_upload(
    *, shop: Shop, by: Person, body: bytes, digest: str, **columns: Any
) -> ImportRun:
    """Keep a file to look at; the same file again is the same run."""
    known = ImportRun.objects.filter(
        shop=shop, digest=digest, what=columns["what"], undone_at=None
    ).first()
    if known is not None:
        return known
    return ImportRun.objects.create(
        shop=shop, by=by, body=body, digest=digest, **columns
    )


@transaction.atomic
def import_read_anew(*, run: ImportRun, **columns: Any) -> ImportRun:
    """Another encoding, separator or matching: what was checked is checked again."""
    run = _locked(run)
    if run.done_at is not None:
        raise Refused(_("This file was brought in already."))
    run.lines.all().delete()
    run.checked_rows = 0
    for name, value in columns.items():
        setattr(run, name, value)
    run.save(update_fields=[*columns, "checked_rows"])
    return run


@transaction.atomic
def import_do(*, run: ImportRun, by: Person) -> ImportRun:
    """Make what the good rows say; a copy of the file is kept no longer."""
    run = _locked(run)
    if run.done_at is not None:
        return run
    if not run.is_checked:
        raise Refused(_("Check it to the end first."))
    if run.what == TICKETS and run.rows > MOST_TICKETS:
        raise Refused(
            _("At most %(n)d open tickets in one file.") % {"n": MOST_TICKETS}
        )
    make = {CUSTOMERS: _customers, STOCK: _stock, TICKETS: _tickets}[run.what]
    good = run.lines.filter(state=State.GOOD).values_list("pk", "values")
    made = list[tuple[int, int]]()
    for some in _chunks(list(good)):
        ids = make(run.shop, by, [values for _pk, values in some])
        made += zip((pk for pk, _values in some), ids, strict=True)
    run.lines.filter(state=State.GOOD).update(state=State.MADE)
    run.lines.update(values={}, key="", key_2="")
    run.body, run.done_at, run.made = b"", timezone.now(), made
    run.save(update_fields=["body", "done_at", "made"])
    _write_down(Kind.IMPORT_DONE, run, by, State.MADE)
    return run


def _customers(shop: Shop, by: Person, rows: Sequence[Values]) -> list[int]:
    language = shop.language_codes[0]
    made = Customer.objects.bulk_create(
        Customer(shop=shop, language=language, **row["customer"]) for row in rows
    )
    return [customer.pk for customer in made]


def _stock(shop: Shop, by: Person, rows: Sequence[Values]) -> list[int]:
    drafts = [
        StockDraft(
            row["code"],
            row["name"],
            row["quantity"],
            Money.from_minor(row["cost_minor"], shop.currency),
        )
        for row in rows
    ]
    return [item.pk for item in billing.stock_begin(shop=shop, by=by, drafts=drafts)]


def _tickets(shop: Shop, by: Person, rows: Sequence[Values]) -> list[int]:
    terms = terms_at(shop, timezone.now())
    return [_ticket(shop, by, row, terms).pk for row in rows]


def _ticket(shop: Shop, by: Person, row: Values, terms: Terms) -> Ticket:
    customer = _customer_of(shop, row["customer"])
    device = intake.device_keep(
        customer=customer,
        by=by,
        kind=DeviceKind.OTHER,
        model=row["model"],
        serial=row["serial"],
    )
    return intake.ticket_open(
        shop=shop,
        by=by,
        customer=customer,
        device=device,
        told=row["told"],
        old_number=row["old_number"],
        terms=terms,
        at=datetime.fromisoformat(row["opened_at"]),
    )


def _customer_of(shop: Shop, values: dict[str, str]) -> Customer:
    """The customer with this phone or e-mail, or a new one."""
    known = Q(pk__in=[])
    if values["phone_e164"]:
        known |= Q(phone_e164=values["phone_e164"])
    if values["email"]:
        known |= Q(email__iexact=values["email"])
    found = Customer.objects.filter(known, shop=shop).select_related("joined_to")
    if (row := found.order_by("id").first()) is not None:
        return row.joined_to or row
    return Customer.objects.create(shop=shop, language=shop.language_codes[0], **values)


@transaction.atomic
def import_undo(*, run: ImportRun, by: Person) -> ImportRun:
    """Take back what nothing was built on; the rest is kept, and listed."""
    run = _locked(run)
    if run.done_at is None or run.undone_at is not None:
        return run
    take = {CUSTOMERS: _uncustomers, STOCK: _unstock, TICKETS: _untickets}[run.what]
    for some in _chunks(run.made):
        gone = take(by, [made for _pk, made in some])
        undone = [pk for pk, made in some if made in gone]
        run.lines.filter(pk__in=undone).update(state=State.UNDONE)
    run.lines.filter(state=State.MADE).update(state=State.KEPT)
    run.undone_at = timezone.now()
    run.save(update_fields=["undone_at"])
    _write_down(Kind.IMPORT_UNDONE, run, by, State.UNDONE)
    return run


def _uncustomers(by: Person, made: Sequence[int]) -> set[int]:
    untouched = Customer.objects.filter(pk__in=made, version=1)
    alone = untouched.exclude(Exists(Ticket.objects.filter(customer=OuterRef("pk"))))
    alone = alone.exclude(Exists(Device.objects.filter(customer=OuterRef("pk"))))
    gone = set(alone.values_list("pk", flat=True))
    Customer.objects.filter(pk__in=gone).delete()
    return gone


def _unstock(by: Person, made: Sequence[int]) -> set[int]:
    return billing.stock_take_back(items=made, by=by)


def _untickets(by: Person, made: Sequence[int]) -> set[int]:
    """A ticket's events are never deleted: it is closed, and says why."""
    undone = set[int]()
    for ticket in Ticket.objects.filter(pk__in=made):
        happened = Event.objects.filter(ticket_id=ticket.pk)
        if happened.exclude(kind=Kind.TICKET_OPENED).exists():
            continue
        intake.ticket_withdraw(ticket=ticket, by=by)
        undone.add(ticket.pk)
    return undone


def _chunks(pairs: Sequence[Pair]) -> Iterator[Sequence[Pair]]:
    return (pairs[n : n + BATCH] for n in range(0, len(pairs), BATCH))


def _write_down(kind: Kind, run: ImportRun, by: Person, state: str) -> None:
    records.event_record(
        kind,
        shop_id=run.shop_id,
        by_id=by.pk,
        ids={"import": run.pk},
        codes={"what": run.what, "rows": run.lines.filter(state=state).count()},
    )


def _locked(run: ImportRun) -> ImportRun:
    rows = ImportRun.objects.select_for_update(of=("self",)).select_related("shop")
    return rows.get(pk=run.pk)
