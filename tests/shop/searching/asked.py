"""The invented tickets as rows, and what the search answers the questions."""

import csv
from collections.abc import Iterator

from django.utils import timezone

from shop.intake.models import Customer, Device, DeviceKind, Ticket
from shop.people.models import Shop
from shop.records.kinds import Kind
from shop.records.models import Event, Note
from shop.searching import queries, services
from tests.shop.searching.invented import FOLDER, Invented, Question

TOP = 3


def questions() -> Iterator[Question]:
    with (FOLDER / "questions.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            yield Question(**row)


def tickets() -> Iterator[Invented]:
    with (FOLDER / "tickets.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            serial = int(row.pop("serial_number"))
            yield Invented(serial, **row)


def take_in(shop: Shop) -> None:
    """The invented tickets in few statements; the texts are made as after an import."""
    told = list(tickets())
    customers = Customer.objects.bulk_create(
        Customer(shop=shop, name=one.name, phone_typed=one.phone) for one in told
    )
    devices = Device.objects.bulk_create(
        Device(
            shop=shop,
            customer=customer,
            kind=DeviceKind.LAPTOP,
            model=one.device,
            serial=one.serial,
            board_number_seen=one.board,
        )
        for one, customer in zip(told, customers, strict=True)
    )
    rows = Ticket.objects.bulk_create(
        Ticket(
            shop=shop,
            customer=device.customer,
            device=device,
            serial=one.serial_number,
            number=one.number,
            old_number=one.old_number,
            currency=shop.currency,
            diagnosis_fee_minor=3500,
            diagnosis_minutes=30,
            fee_rule="kept",
            opened_at=timezone.now(),
        )
        for one, device in zip(told, devices, strict=True)
    )
    Note.objects.bulk_create(
        Note(shop_id=shop.pk, ticket_id=row.pk, kind=f"story_{part}", text=text)
        for one, row in zip(told, rows, strict=True)
        for part, text in (("told", one.told), ("found", one.found))
        if text
    )
    Event.objects.bulk_create(
        Event(
            shop_id=shop.pk, ticket_id=row.pk, kind=Kind.TICKET_OPENED, at=row.opened_at
        )
        for row in rows
    )
    services.texts_anew(lambda: True)


def top_of(shop: Shop, typed: str) -> list[str]:
    """The numbers of the first three tickets that are offered."""
    answer = queries.find(shop, typed, TOP)
    return [hit.ticket.number for hit in answer.hits[:TOP]]
