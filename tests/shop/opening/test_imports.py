"""Files brought in and taken back, through the pages."""

import re
from collections.abc import Callable
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from shop.billing import services as billing
from shop.billing.models import StockItem, StockMove
from shop.intake import queries
from shop.intake.models import Customer, Device, DeviceKind, Ticket
from shop.intake.services import customer_change, customer_told
from shop.money import Money
from shop.office.acting.lists import lists
from shop.opening.imports import checking
from shop.opening.models import ImportRun
from shop.people.models import Person, Shop
from shop.records.models import Event
from shop.searching import queries as searching

pytestmark = pytest.mark.django_db
ClientOf = Callable[[str], Client]
CUSTOMERS = (
    "Name,Phone,E-mail,City\n"
    "Iris Vane,020 7946 0001,iris@vane.example,Westmere\n"
    "Bo Strand,020 7946 0002,bo@strand.example\n"
    ",020 7946 0003,,\n"
    "Iris V.,020 7946 0001,,\n"
    "Mail Wrong,,not a mail,\n"
    "=HYPERLINK(1),020 7946 0009,,\n"
    "Nul\0Byte,,,\n"
)
STOCK = "sku;description;qty;cost\nC-100;capacitor 10 uF;40;0,12\nF-3;fuse 3 A;0;0.30\n"
TICKETS = (
    "Job,Customer,Phone,Device,Problem,Opened\n"
    "R-17,Ada Pell,020 7946 0100,Orrin 14,no power,2026-01-15\n"
    "R-18,Ada Pell,020 7946 0100,Orrin 15,no picture,16.01.2026\n"
    "R-18,Bo Strand,,Orrin 16,twice,\n"
)


@pytest.fixture
def owner(client_of: ClientOf, hollin_lane: Shop) -> Client:
    hollin_lane.country = "GB"
    hollin_lane.save()
    return client_of("marit")


def post(client: Client, url: str, **form: object) -> tuple[int, str]:
    answer = client.post(url, {"idempotency_key": uuid4().hex, **form})
    return answer.status_code, answer.content.decode()


def uploaded(owner: Client, what: str, body: str | bytes) -> ImportRun:
    raw = body.encode() if isinstance(body, str) else body
    file = SimpleUploadedFile("old.csv", raw)
    status, page = post(owner, "/opening/imports/", what=what, file=file)
    assert status == 302, re.findall(r'class="wrong".*', page)
    return ImportRun.objects.latest("id")


def checked(owner: Client, run: ImportRun) -> ImportRun:
    while not run.is_checked:
        assert post(owner, f"/opening/imports/{run.pk}/check/")[0] == 302
        run.refresh_from_db()
    return run


def brought_in(owner: Client, what: str, body: str) -> ImportRun:
    run = checked(owner, uploaded(owner, what, body))
    assert post(owner, f"/opening/imports/{run.pk}/do/")[0] == 302
    run.refresh_from_db()
    return run


def taken_back(owner: Client, run: ImportRun) -> dict[str, int]:
    assert post(owner, f"/opening/imports/{run.pk}/undo/")[0] == 302
    return states(run)


def states(run: ImportRun) -> dict[str, int]:
    found: dict[str, int] = {}
    for state in run.lines.values_list("state", flat=True):
        found[state] = found.get(state, 0) + 1
    return found


def test_a_dry_run_brings_in_nothing_and_names_every_bad_row(owner: Client) -> None:
    run = checked(owner, uploaded(owner, "customers", CUSTOMERS))
    assert states(run) == {"good": 3, "bad": 3, "twin": 1}
    assert Customer.objects.count() == 0
    bad = run.lines.filter(state="bad").values_list("line", "column")
    assert list(bad) == [(4, "name"), (6, "email"), (8, "name")]
    page = owner.get(f"/opening/imports/{run.pk}/").content.decode()
    assert "3 rows are good" in page
    assert "The same as line 2." in page


def test_customers_come_in_and_go_again(owner: Client, hollin_lane: Shop) -> None:
    run = brought_in(owner, "customers", CUSTOMERS)
    iris = Customer.objects.get(name="Iris Vane")
    assert (iris.phone_e164, iris.address) == ("+442079460001", "Westmere")
    assert bytes(run.body) == b""
    assert not run.lines.exclude(values={}).exists()
    assert queries.customers_like(hollin_lane, "Iris", "") == [iris]
    assert taken_back(owner, run) == {"undone": 3, "bad": 3, "twin": 1}
    assert Customer.objects.count() == 0


def test_what_something_was_built_on_is_kept_and_listed(
    owner: Client, hollin_lane: Shop, marit: Person
) -> None:
    run = brought_in(owner, "customers", CUSTOMERS)
    iris, bo, _formula = Customer.objects.order_by("id")
    customer_change(customer=iris, by=marit, version=1, address="Eastmere")
    Device.objects.create(
        shop=hollin_lane, customer=bo, kind=DeviceKind.LAPTOP, model="Orrin 14"
    )
    assert taken_back(owner, run)["kept"] == 2
    assert set(Customer.objects.all()) == {iris, bo}
    listed = owner.get(f"/opening/imports/{run.pk}/left-out.csv").content.decode()
    assert listed.count("Kept") == 2


def test_a_cell_with_a_formula_stays_text(owner: Client) -> None:
    run = brought_in(owner, "customers", CUSTOMERS)
    assert Customer.objects.filter(name="=HYPERLINK(1)").exists()
    again = checked(
        owner, uploaded(owner, "customers", CUSTOMERS.replace("3\n", "4\n"))
    )
    listed = owner.get(f"/opening/imports/{again.pk}/left-out.csv").content.decode()
    assert not re.search(r"(^|,)\"?[=+@-]", listed, re.MULTILINE)
    assert run.pk


def test_the_same_file_is_the_same_run(owner: Client) -> None:
    first = uploaded(owner, "customers", CUSTOMERS)
    assert uploaded(owner, "customers", CUSTOMERS) == first
    assert ImportRun.objects.count() == 1


def test_bringing_in_twice_brings_in_once(owner: Client) -> None:
    run = brought_in(owner, "customers", CUSTOMERS)
    post(owner, f"/opening/imports/{run.pk}/do/")
    assert Customer.objects.count() == 3


def test_stock_is_proved_by_moves_and_taken_back_by_moves(owner: Client) -> None:
    run = brought_in(owner, "stock", STOCK)
    cap = StockItem.objects.get(code="C-100")
    assert (cap.on_hand, cap.cost_minor) == (40, 12)
    assert sum(move.quantity for move in cap.moves.all()) == 40
    assert taken_back(owner, run) == {"undone": 2}
    cap.refresh_from_db()
    assert cap.on_hand == 0
    assert [m.quantity for m in StockMove.objects.filter(item=cap)] == [40, -40]
    brought_in(owner, "stock", STOCK.replace("40", "25"))
    cap.refresh_from_db()
    assert cap.on_hand == 25 == sum(move.quantity for move in cap.moves.all())


def test_stock_that_was_moved_since_is_kept(owner: Client, marit: Person) -> None:
    run = brought_in(owner, "stock", STOCK)
    cap = StockItem.objects.get(code="C-100")
    cost = Money.of("0.12", "EUR")
    billing.stock_receive(item=cap, by=marit, quantity=5, cost=cost)
    assert taken_back(owner, run) == {"kept": 1, "undone": 1}
    cap.refresh_from_db()
    assert cap.on_hand == 45


def test_open_tickets_keep_their_old_number_and_day(
    owner: Client, hollin_lane: Shop
) -> None:
    run = brought_in(owner, "tickets", TICKETS)
    assert states(run) == {"made": 2, "twin": 1}
    first, second = Ticket.objects.order_by("id")
    assert (first.old_number, first.opened_at.date().isoformat()) == (
        "R-17",
        "2026-01-15",
    )
    assert first.customer == second.customer
    found = searching.find(hollin_lane, "r-17").hits
    assert [hit.ticket for hit in found] == [first]
    assert "old number R-17" in owner.get(f"/tickets/{first.number}/").content.decode()


def test_a_ticket_taken_back_is_closed_and_says_why(
    owner: Client, hollin_lane: Shop, marit: Person
) -> None:
    run = brought_in(owner, "tickets", TICKETS)
    first, second = Ticket.objects.order_by("id")
    customer_told(ticket=second, by=marit, channel="phone", next_contact=None)
    assert taken_back(owner, run) == {"undone": 1, "kept": 1, "twin": 1}
    assert queries.tickets_open(hollin_lane) == [second]
    assert Event.objects.filter(ticket_id=first.pk).count() == 2
    page = owner.get(f"/tickets/{first.number}/").content.decode()
    assert "its import was undone" in page
    listed = lists(hollin_lane, timezone.now()).of.values()
    assert first.pk not in {one.pk for entries in listed for one in entries}
    again = brought_in(owner, "tickets", TICKETS.replace("twice", "thrice"))
    assert states(again) == {"made": 1, "twin": 2}


def test_another_matching_is_checked_anew(owner: Client) -> None:
    run = uploaded(owner, "customers", "a,b\nIris,Vane\n")
    status, page = post(owner, f"/opening/imports/{run.pk}/check/")
    assert (status, "Say which column is: name." in page) == (422, True)
    form = {"encoding": "utf-8", "separator": ",", "column_name": "1"}
    assert post(owner, f"/opening/imports/{run.pk}/read/", **form)[0] == 302
    run.refresh_from_db()
    assert run.lines.get().values["customer"]["name"] == "Vane"


def test_another_encoding_reads_the_names_anew(owner: Client) -> None:
    run = uploaded(owner, "customers", "name\nZoë\n".encode("cp1252"))
    assert run.encoding == "cp1252"
    wrong = {"encoding": "utf-8", "separator": ","}
    assert post(owner, f"/opening/imports/{run.pk}/read/", **wrong)[0] == 422
    other = {"encoding": "latin-1", "separator": ","}
    assert post(owner, f"/opening/imports/{run.pk}/read/", **other)[0] == 302
    run.refresh_from_db()
    assert run.encoding == "latin-1"


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"", "empty"),
        (b"PK\x03\x04rest of a workbook", "save it as CSV"),
        (b"name,phone\n", "no row"),
        (b"x" * 20_000_001, "larger than 20 MB"),
    ],
    ids=["empty", "workbook", "header", "large"],
)
def test_what_is_no_table_is_said_on_the_page(
    owner: Client, body: bytes, said: str
) -> None:
    file = SimpleUploadedFile("old.csv", body)
    status, page = post(owner, "/opening/imports/", what="customers", file=file)
    assert status == 422
    assert said in page
    assert not ImportRun.objects.exists()


def test_a_long_file_is_checked_slice_by_slice(
    owner: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(checking, "SLICE", 3)
    rows = "".join(f"Name {n},+44 20 7946 {n:04}\n" for n in range(8))
    run = uploaded(owner, "customers", f"name,phone\n{rows}Name 0b,+44 20 7946 0000\n")
    post(owner, f"/opening/imports/{run.pk}/check/")
    run.refresh_from_db()
    assert run.checked_rows == 3
    page = owner.get(f"/opening/imports/{run.pk}/").content.decode()
    assert "3 of 9 rows" in page
    assert post(owner, f"/opening/imports/{run.pk}/do/")[0] == 422
    assert states(checked(owner, run)) == {"good": 8, "twin": 1}
