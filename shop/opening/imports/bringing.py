"""Bringing a checked file in, and taking it back: each is one act, all or nothing."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import islice
from typing import Any

from django.db import transaction
from django.db.models import Count, Q
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import services as billing
from shop.billing.services import StockDraft
from shop.intake import services as intake
from shop.intake.models import Customer, DeviceKind, Ticket
from shop.money import Money
from shop.opening.imports.columns import CUSTOMERS, STOCK, TICKETS
from shop.opening.models import ImportRow, ImportRun
from shop.people.models import Person, Shop
from shop.people.queries import terms_at
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event

BATCH = 500
MOST_TICKETS = 2_000
State = ImportRow.State


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
    for rows in _batches(run, State.GOOD):
        make(run, by, rows)
        for row in rows:
            row.state = State.MADE
        ImportRow.objects.bulk_update(rows, ["state", "made"])
    run.lines.update(values={}, key="", key_2="")
    run.body, run.done_at = b"", timezone.now()
    run.save(update_fields=["body", "done_at"])
    _write_down(Kind.IMPORT_DONE, run, by, State.MADE)
    return run


def _customers(run: ImportRun, by: Person, rows: Sequence[ImportRow]) -> None:
    language = run.shop.language_codes[0]
    made = Customer.objects.bulk_create(
        Customer(shop=run.shop, language=language, **row.values["customer"])
        for row in rows
    )
    for row, customer in zip(rows, made, strict=True):
        row.made = {"customer": customer.pk}


def _stock(run: ImportRun, by: Person, rows: Sequence[ImportRow]) -> None:
    currency = run.shop.currency
    drafts = [
        StockDraft(
            row.values["code"],
            row.values["name"],
            row.values["quantity"],
            Money.from_minor(row.values["cost_minor"], currency),
        )
        for row in rows
    ]
    items = billing.stock_begin(shop=run.shop, by=by, drafts=drafts)
    for row, item in zip(rows, items, strict=True):
        row.made = {"item": item.pk}


def _tickets(run: ImportRun, by: Person, rows: Sequence[ImportRow]) -> None:
    terms = terms_at(run.shop, timezone.now())
    for row in rows:
        customer = _customer_of(run.shop, row.values["customer"])
        device = intake.device_keep(
            customer=customer,
            by=by,
            kind=DeviceKind.OTHER,
            model=row.values["model"],
            serial=row.values["serial"],
        )
        ticket = intake.ticket_open(
            shop=run.shop,
            by=by,
            customer=customer,
            device=device,
            told=row.values["told"],
            old_number=row.values["old_number"],
            terms=terms,
            at=datetime.fromisoformat(row.values["opened_at"]),
        )
        row.made = {"ticket": ticket.pk, "customer": customer.pk}


def _customer_of(shop: Shop, values: dict[str, str]) -> Customer:
    """The customer with this phone or e-mail, or a new one."""
    known = Q(pk__in=[])
    if values["phone_e164"]:
        known |= Q(phone_e164=values["phone_e164"])
    if values["email"]:
        known |= Q(email__iexact=values["email"])
    found = Customer.objects.filter(known, shop=shop).order_by("id").first()
    if found is not None:
        return found
    return Customer.objects.create(shop=shop, language=shop.language_codes[0], **values)


@transaction.atomic
def import_undo(*, run: ImportRun, by: Person) -> ImportRun:
    """Take back what nothing was built on; the rest is kept, and listed."""
    run = _locked(run)
    if run.done_at is None or run.undone_at is not None:
        return run
    take = {CUSTOMERS: _uncustomers, STOCK: _unstock, TICKETS: _untickets}[run.what]
    for rows in _batches(run, State.MADE):
        undone = take(by, rows)
        for row in rows:
            row.state = State.UNDONE if row.pk in undone else State.KEPT
        ImportRow.objects.bulk_update(rows, ["state"])
    run.undone_at = timezone.now()
    run.save(update_fields=["undone_at"])
    _write_down(Kind.IMPORT_UNDONE, run, by, State.UNDONE)
    return run


def _uncustomers(by: Person, rows: Sequence[ImportRow]) -> set[int]:
    row_of = {row.made["customer"]: row.pk for row in rows}
    untouched = Customer.objects.filter(pk__in=row_of, version=1).annotate(
        jobs=Count("tickets", distinct=True) + Count("devices", distinct=True)
    )
    gone = list(untouched.filter(jobs=0).values_list("pk", flat=True))
    Customer.objects.filter(pk__in=gone).delete()
    return {row_of[pk] for pk in gone}


def _unstock(by: Person, rows: Sequence[ImportRow]) -> set[int]:
    row_of = {row.made["item"]: row.pk for row in rows}
    return {row_of[pk] for pk in billing.stock_take_back(items=list(row_of), by=by)}


def _untickets(by: Person, rows: Sequence[ImportRow]) -> set[int]:
    """A ticket's events are never deleted: it is closed, and says why."""
    undone = set[int]()
    for row in rows:
        ticket = Ticket.objects.get(pk=row.made["ticket"])
        happened = Event.objects.filter(ticket_id=ticket.pk)
        if happened.exclude(kind=Kind.TICKET_OPENED).exists():
            continue
        intake.ticket_withdraw(ticket=ticket, by=by)
        undone.add(row.pk)
    return undone


def _batches(run: ImportRun, state: str) -> Iterator[list[ImportRow]]:
    """The rows of this state now, some at a time; each batch leaves the state."""
    ids = iter(list(run.lines.filter(state=state).values_list("pk", flat=True)))
    while some := list(islice(ids, BATCH)):
        yield list(ImportRow.objects.filter(pk__in=some).order_by("line"))


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
