"""One object for every URL: what the access test asks for by name."""

import uuid
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.urls import get_resolver, reverse
from django.utils import timezone
from PIL import Image

from diagnostics import finder_files
from diagnostics import services as bench
from diagnostics.engine.meters import HANDHELD
from diagnostics.models import Board, BoardMark, BoardPicture, Origin, TakenOff
from shop.billing import services as billing
from shop.billing.loans import services as loans
from shop.billing.shelf_models import StockLot
from shop.billing.totals import Line
from shop.books import services as books
from shop.books.models import PaymentReminder
from shop.desk import services as desk
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.services import ThingDraft
from shop.money import Money
from shop.office.weekly.models import WeeklySheet
from shop.opening.imports.bringing import import_upload
from shop.opening.models import ImportRun
from shop.people import stations
from shop.people.models import Person, Shop
from shop.photos.aside import Remade
from shop.photos.models import Photo, Side
from shop.photos.services import photo_store
from shop.printing.models import PrintJob
from shop.records.models import OutgoingMessage
from tests.factories import CustomerFactory, TicketFactory
from tests.proving import proved

OF_AN_INVOICE = {
    "billing:invoice_pdf",
    "billing:credit_note",
    "books:remind",
    "books:reminder_pdf",
    "billing:invoice_page",
    "billing:invoice_pay",
    "billing:invoice_receipt",
    "billing:invoice_receipt_print",
    "messaging:account_invoice",
}
Values = dict[str, object]


@pytest.fixture
def worked_ticket(tomas: Person, ines: Person, photos_folder: Path) -> Ticket:
    """A ticket with a board, readings, a photo, quote, work, order, invoice."""
    ticket = TicketFactory.create(by=tomas, things=[ThingDraft(kind="adapter")])
    board = board_of(ticket, ines)
    bench.reading_take(
        board=board, ticket=ticket, by=ines, point_id="k04/leads", typed="0.2"
    )
    bench.meter_keep(
        shop=ticket.shop, by=ines, name="Bench one", ranges=HANDHELD.ranges
    )
    bench.sighting_keep(
        board=board, ticket=ticket, by=ines, kind="burnt", part_id="p.cmain"
    )
    donor = bench.reference_board_keep(
        board_model=board.board_model, by=ines, origin=Origin.DONOR, serial="D-1"
    )
    bench.donor_paper_keep(board=donor, by=ines, kind="left", reference="DP-1")
    bench.part_take_off(board=donor, by=ines, part_id="p.dual", place="PU3")
    bench.part_test_start(board=board, ticket=ticket, by=ines, label="by the coil")
    bench.machine_run_start(ticket=ticket, by=ines, kind="soak")
    photo_of(ticket, ines)
    picture_of(board, ines)
    quote = billing.quote_send(ticket=ticket, by=tomas, lines=[line()])
    billing.quote_answer(
        quote=quote,
        is_yes=True,
        answered_by="Ada Pell",
        channel="phone",
        recorded_by=tomas,
    )
    billing.time_record(
        ticket=ticket,
        by=ines,
        person=ines,
        kind="repair",
        minutes=10,
        started_at=ticket.opened_at,
    )
    cost = Money.of(1, "EUR")
    lent = loans.loan_device_keep(shop=ticket.shop, name="Loan laptop 1")
    loan = loans.loan_give(ticket=ticket, by=tomas, device=lent)
    loans.loan_take_back(loan=loan, by=tomas)
    cap = billing.stock_item_keep(shop=ticket.shop, code="CAP-1", name="capacitor")
    billing.stock_receive(item=cap, by=ines, quantity=1, cost=cost)
    billing.part_use(
        ticket=ticket,
        by=ines,
        name=cap.name,
        cost=cost,
        item=cap,
        is_in_board=True,
    )
    line_of(ticket, ines, cost)
    on_the_shelf(ticket, ines, cost)
    stations.station_enrol(shop=ticket.shop, by=ines, name="Counter")
    bench.proof_run_start(ticket=ticket, by=ines, item="load_run")
    intake.outcome_record(ticket=proved(ticket, ines), by=ines, kind="fixed")
    desk.invoice_issue(ticket=ticket, by=tomas)
    import_of(ticket.shop, tomas)
    WeeklySheet.objects.create(
        shop=ticket.shop, monday=date(2026, 11, 16), language="en", pdf=b"%PDF-"
    )
    at_the_counter(ticket, tomas, cost)
    return ticket


def at_the_counter(ticket: Ticket, by: Person, paid: Money) -> None:
    """A payment, a day end, a place and a paper that waits for a printer."""
    shop = ticket.shop
    billing.payment_take(shop=shop, by=by, ticket=ticket, amount=paid, method="cash")
    books.cash_day_end(shop=shop, by=by, counted=paid, after=0)
    PaymentReminder.objects.create(
        invoice=ticket.invoices.get(),
        level=1,
        currency=paid.currency,
        owed_minor=paid.minor,
        language="en",
        by=by,
    )
    intake.places_make(shop=shop, by=by, names="C4", kind="shelf")
    intake.pack_print(shop=shop, by=by)
    PrintJob.objects.create(
        shop=shop,
        what="slip",
        subject_id=ticket.pk,
        ticket_id=ticket.pk,
        printer="desk",
        asked_by=by,
    )


def line_of(ticket: Ticket, by: Person, price: Money) -> None:
    billing.part_order(
        ticket=ticket,
        by=by,
        supplier="Marsh",
        name="controller",
        quantity=1,
        price=price,
        due_on=None,
    )


def on_the_shelf(ticket: Ticket, by: Person, cost: Money) -> None:
    """A part with a lot, kept for the ticket; one of it was dead."""
    shelf = billing.stock_item_keep(shop=ticket.shop, code="FUSE-8A", name="Fuse, 8 A")
    billing.stock_receive(item=shelf, by=by, quantity=4, cost=cost)
    billing.stock_reserve(item=shelf, ticket=ticket, by=by)
    billing.claim_from_shelf(
        lot=shelf.lots.get(), by=by, kind="dead", quantity=1, supplier="Marsh"
    )


def import_of(shop: Shop, by: Person) -> ImportRun:
    """A file of one customer, not checked yet."""
    return import_upload(
        shop=shop,
        by=by,
        body=b"name,phone\nIris Vane,+00 555 0199\n",
        digest="0" * 64,
        what="customers",
        file_name="old.csv",
        encoding="utf-8",
        separator=",",
        rows=1,
        columns={"name": 0, "phone": 1},
    )


@pytest.fixture
def photos_folder(settings: Any, tmp_path: Path) -> Path:
    """Where photos lie in this test, alone."""
    settings.MEDIA_ROOT = tmp_path / "files"
    return tmp_path / "files"


def photo_of(ticket: Ticket, by: Person, side: str = Side.DAMAGE) -> Photo:
    """One as if it had been sent and made anew, which takes a process of its own."""
    file = BytesIO()
    Image.new("RGB", (640, 480), (0, 80, 75)).save(file, "JPEG")
    remade = Remade(file.getvalue(), file.getvalue(), width=640, height=480)
    sent_id = uuid.uuid4().hex
    photo = Photo(shop=ticket.shop, ticket=ticket, by=by, side=side, sent_id=sent_id)
    return photo_store(photo, remade)


def picture_of(board: Board, by: Person) -> BoardMark:
    """A photo of the board's model with one mark, its file as kept."""
    file = BytesIO()
    Image.new("RGB", (640, 480), (0, 80, 75)).save(file, "JPEG")
    picture = BoardPicture(
        board_model=board.board_model,
        side="top",
        name=uuid.uuid4().hex,
        width=640,
        height=480,
        by=by,
    )
    finder_files.write(picture, file.getvalue())
    picture.save()
    return bench.mark_set(picture=picture, by=by, kind="cpu", x=0.5, y=0.5)


def board_of(ticket: Ticket, by: Person) -> Board:
    model = bench.board_model_keep(
        shop=ticket.shop, by=by, number="HN14-MB", family="laptop_barrel"
    )
    return bench.board_join(ticket=ticket, by=by, board_model=model)


def line(price: str = "100.00") -> Line:
    return Line.priced(
        code="labour.repair",
        text="Repair",
        quantity=Decimal(60),
        unit="MIN",
        unit_price=Decimal(price),
        tax_percent=Decimal(20),
        currency="EUR",
    )


@pytest.fixture
def sample_url(worked_ticket: Ticket) -> Callable[[str], str]:
    """The URL of a route's name, of the worked ticket's own objects."""
    values = values_of(worked_ticket)
    invoice = worked_ticket.invoices.get()

    def url_of(name: str) -> str:
        own = values | ({"number": invoice.number} if name in OF_AN_INVOICE else {})
        missing = wanted(name) - set(own)
        assert not missing, f"{name}: tests/samples.py has no value for {missing}"
        return reverse(name, kwargs={key: own[key] for key in wanted(name)})

    return url_of


def values_of(ticket: Ticket) -> Values:
    board = ticket.ticket_boards.get().board
    return {
        "number": ticket.number,
        "version": 1,
        "serial": 1,
        "level": 1,
        "entry_id": ticket.time_entries.get().pk,
        "use_id": ticket.part_uses.get().pk,
        "line_id": ticket.order_lines.get().pk,
        "loan_id": ticket.loans.get().pk,
        "device_id": ticket.loans.get().device_id,
        "terms_id": ticket.shop.terms.get().pk,
        "item_id": ticket.shop.stock_items.get(code="FUSE-8A").pk,
        "move_id": ticket.stock_moves.get(why="reserved").pk,
        "lot_id": StockLot.objects.get(item__code="FUSE-8A").pk,
        "claim_id": ticket.shop.claims.get().pk,
        "taken_id": TakenOff.objects.get().pk,
        "board_id": board.pk,
        "reading_id": board.readings.get().pk,
        "sighting_id": board.sightings.get().pk,
        "board_model_id": board.board_model_id,
        "donor_id": ticket.shop.boards.get(origin=Origin.DONOR).pk,
        "picture_id": board.board_model.pictures.get().pk,
        "mark_id": board.board_model.pictures.get().marks.get().pk,
        "meter_id": ticket.shop.meters.get().pk,
        "machine_id": ticket.machine_runs.get(kind="soak").pk,
        "day": timezone.now().date().isoformat(),
        "test_id": board.part_tests.get().pk,
        "calculator_id": "divider",
        "run_id": ticket.shop.imports.get().pk,
        "machine_run_id": ticket.machine_runs.get(kind="load_run").pk,
        "tag": 1,
        "place_id": ticket.shop.places.get().pk,
        "pack_id": ticket.shop.outage_packs.get().pk,
        "paper_number": ticket.shop.outage_packs.get().slips.earliest("id").number,
        "payment_id": ticket.payments.get().pk,
        "ticket_id": ticket.pk,
        "job_id": ticket.shop.print_jobs.get().pk,
        "message_id": OutgoingMessage.objects.earliest("id").pk,
        "pk": ticket.customer_id,
        "other": CustomerFactory.create(shop=ticket.shop, name="Ada Pel").pk,
        "person_id": Person.objects.get(username="ines").pk,
        "station_id": ticket.shop.stations.get().pk,
        "photo_id": ticket.photos.get().pk,
        "sheet_id": ticket.shop.weekly_sheets.get().pk,
        "room": "money",
        "code": "owing",
        # No link's: what is asked with it is the same 404 to everybody.
        "token": "no-token-of-any-link",
        "link_id": "no-id-of-any-link",
    }


def wanted(name: str) -> set[str]:
    """The keyword arguments of a route."""
    space, _, view = name.rpartition(":")
    resolver = get_resolver()
    for part in filter(None, space.split(":")):
        resolver = resolver.namespace_dict[part][1]
    possibilities = resolver.reverse_dict.getlist(view)
    assert possibilities, f"no route called {name}"
    return set(possibilities[0][0][0][1])
