"""Printers of stations, papers that wait, and a print system that may be off."""

import uuid
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone

from shop.intake import printed
from shop.intake.models import Ticket
from shop.intake.services import ThingDraft
from shop.people.models import Person, Station
from shop.printing import services, spooler
from shop.printing.models import Paper, PrintJob
from shop.printing.waiting import print_waiting
from shop.records.errors import Refused
from tests.factories import TicketFactory
from tests.shop.intake.papers_seen import sizes_mm
from tests.shop.printing.conftest import PrintSystem

ClientOf = Callable[[str], Client]


@pytest.fixture
def at_counter(client_of: ClientOf, counter_and_token: tuple[Station, str]) -> Client:
    """Tomas at the computer of the counter."""
    client = client_of("tomas")
    client.cookies[settings.STATION_COOKIE] = counter_and_token[1]
    return client


def post(client: Client, path: str, **fields: str) -> object:
    return client.post(path, {"idempotency_key": str(uuid.uuid4()), **fields})


def both_printers(station: Station, by: Person) -> None:
    chosen = {Paper.SLIP.value: "desk", Paper.TAG.value: "roll"}
    services.printers_set(
        station=station, by=by, chosen=chosen, known=spooler.printers()
    )


def intake_fields(**more: str) -> dict[str, str]:
    return {"name": "Ada Pell", "model": "Orrin 14", "told": "Dead.", **more}


def take_in(client: Client) -> tuple[str, Ticket]:
    answer = post(client, "/counter/new/", **intake_fields(then="print"))
    assert answer.status_code == 302  # type: ignore[attr-defined]
    return answer["Location"], Ticket.objects.latest("id")  # type: ignore[index]


def test_take_in_and_print_queues_slip_and_tags(
    at_counter: Client, counter: Station, marit: Person, print_system: PrintSystem
) -> None:
    both_printers(counter, marit)
    went_to, ticket = take_in(at_counter)
    assert went_to == ticket.get_absolute_url()
    page = at_counter.get(went_to).content.decode()
    assert "Waits for the printer" in page
    assert "Print here instead" in page
    assert print_waiting() == 2
    tag, slip = print_system.papers()
    assert sizes_mm(tag)[0][0] == pytest.approx(62, abs=0.05)
    assert sizes_mm(slip)[0] == pytest.approx((210, 297), abs=0.05)
    length = sizes_mm(tag)[0][1]
    assert f"media=Custom.62x{length:.1f}mm" in print_system.asked(1)
    assert "media=A4" in print_system.asked(2)
    assert "Waits for" not in at_counter.get(went_to).content.decode()


def test_with_the_roll_alone_the_slip_opens_without_tags(
    at_counter: Client, counter: Station, marit: Person, print_system: PrintSystem
) -> None:
    services.printers_set(
        station=counter, by=marit, chosen={"tag": "roll"}, known=["roll"]
    )
    went_to, ticket = take_in(at_counter)
    assert went_to == f"/tickets/{ticket.number}/job-slip.pdf?tags=no"
    assert [job.what for job in PrintJob.objects.all()] == ["tag"]


def test_without_printers_one_pdf_opens_as_ever(at_counter: Client) -> None:
    went_to, ticket = take_in(at_counter)
    assert went_to == f"/tickets/{ticket.number}/job-slip.pdf"
    assert not PrintJob.objects.exists()


@pytest.mark.parametrize("trouble", ["off", "dead"])
def test_a_printer_that_is_off_blocks_no_intake(
    at_counter: Client,
    counter: Station,
    marit: Person,
    print_system: PrintSystem,
    trouble: str,
) -> None:
    both_printers(counter, marit)
    print_system.switch(trouble)
    went_to, _ticket = take_in(at_counter)
    assert print_waiting() == 0
    job = PrintJob.objects.earliest("id")
    assert (job.tries, job.handed_at) == (1, None)
    assert job.last_error in at_counter.get(went_to).content.decode()
    assert print_waiting() == 0, "it waits before it tries again"
    assert PrintJob.objects.earliest("id").tries == 1
    print_system.switch(trouble, on=False)
    assert print_waiting(timezone.now() + timedelta(seconds=6)) == 2
    assert len(print_system.papers()) == 2


def ask_tag(ticket: Ticket, station: Station, by: Person) -> PrintJob:
    orders = printed.tag_orders(ticket)
    assert services.print_ask(station=station, by=by, orders=orders)
    return PrintJob.objects.latest("id")


def test_handed_over_is_not_printed_while_the_print_system_holds_it(
    ticket: Ticket, counter: Station, marit: Person, print_system: PrintSystem
) -> None:
    both_printers(counter, marit)
    print_system.switch("slow")
    job = ask_tag(ticket, counter, marit)
    assert print_waiting() == 1
    handed = PrintJob.objects.exclude(handed_at=None)
    assert handed.get().printed_at is None
    print_system.forget_waiting()
    print_waiting()
    assert handed.exclude(printed_at=None).get() == job
    assert print_waiting() == 0


def test_printed_here_instead_it_is_asked_no_more(
    at_counter: Client,
    ticket: Ticket,
    counter: Station,
    marit: Person,
    print_system: PrintSystem,
) -> None:
    both_printers(counter, marit)
    job = ask_tag(ticket, counter, marit)
    answer = post(at_counter, f"/printing/papers/{job.pk}/here/")
    at = answer["Location"]  # type: ignore[index]
    assert at_counter.get(at).content.startswith(b"%PDF")
    assert print_waiting() == 0
    assert not print_system.papers()


def test_try_again_tries_now(
    at_counter: Client,
    ticket: Ticket,
    counter: Station,
    marit: Person,
    print_system: PrintSystem,
) -> None:
    both_printers(counter, marit)
    job = ask_tag(ticket, counter, marit)
    print_system.switch("off")
    print_waiting()
    print_system.switch("off", on=False)
    again = f"/printing/papers/{job.pk}/again/"
    answer = post(at_counter, again, ticket=ticket.number)
    assert answer["Location"] == ticket.get_absolute_url()  # type: ignore[index]
    assert print_waiting() == 1


def test_two_processes_hand_a_paper_over_once(
    ticket: Ticket, counter: Station, marit: Person, print_system: PrintSystem
) -> None:
    """Both saw it due; the second finds that it was claimed."""
    from shop.printing import waiting

    both_printers(counter, marit)
    job = ask_tag(ticket, counter, marit)
    now = timezone.now()
    assert waiting._try(job, now)
    assert not waiting._try(job, now)
    assert len(print_system.papers()) == 1


EVIL = ["desk; touch owned", "$(touch owned)", "`id`", "-o/etc/passwd", "a/b", "a b"]


@pytest.mark.parametrize("name", EVIL)
def test_a_name_of_no_printer_is_inert(
    ticket: Ticket,
    counter: Station,
    marit: Person,
    print_system: PrintSystem,
    name: str,
) -> None:
    """ASVS 1.2.5: no shell, and only names that lpstat lists."""
    (print_system.folder / "printers").write_text(f"{name}\ndesk\n")
    assert spooler.printers() == ("desk",)
    with pytest.raises(Refused):
        services.printers_set(
            station=counter, by=marit, chosen={"tag": name}, known=spooler.printers()
        )
    with pytest.raises(spooler.CantPrint):
        spooler.hand_over(b"%PDF", printer=name, title="t", media="A4")
    assert not print_system.papers()
    assert not (print_system.folder / "owned").exists()


def test_no_print_system_is_said_plainly(
    at_counter: Client, monkeypatch: pytest.MonkeyPatch, tmp_path: object
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    page = at_counter.get("/printing/").content.decode()
    assert "This server has no print system (CUPS)." in page


def test_a_station_remembers_its_printers(
    at_counter: Client, counter: Station, print_system: PrintSystem
) -> None:
    answer = post(at_counter, "/printing/", slip="desk", tag="roll", receipt="")
    assert answer.status_code == 302  # type: ignore[attr-defined]
    assert services.printers_of(counter) == {"slip": "desk", "tag": "roll"}
    answer = post(at_counter, "/printing/", slip="", tag="nowhere")
    assert answer.status_code == 422  # type: ignore[attr-defined]
    assert services.printers_of(counter) == {"slip": "desk", "tag": "roll"}
    post(at_counter, "/printing/", slip="", tag="roll")
    assert services.printers_of(counter) == {"tag": "roll"}


def test_a_test_sheet_comes_out_or_opens(
    at_counter: Client, counter: Station, marit: Person, print_system: PrintSystem
) -> None:
    both_printers(counter, marit)
    post(at_counter, "/printing/test/", paper="tag")
    assert print_waiting() == 1
    assert sizes_mm(print_system.papers()[0])[0][0] == pytest.approx(62, abs=0.05)
    answer = post(at_counter, "/printing/test/", paper="receipt")
    opened = at_counter.get(answer["Location"])  # type: ignore[index]
    assert sizes_mm(opened.content)[0][0] == pytest.approx(80, abs=0.05)


def test_a_browser_that_is_no_station_is_told_so(client_of: ClientOf) -> None:
    page = client_of("tomas").get("/printing/").content.decode()
    assert "This browser is no station of the shop yet" in page


def test_each_tag_is_a_paper_of_its_own_length(
    tomas: Person, counter: Station, marit: Person, print_system: PrintSystem
) -> None:
    both_printers(counter, marit)
    things = [ThingDraft("adapter"), ThingDraft("pack")]
    ask_tag(TicketFactory.create(by=tomas, things=things), counter, marit)
    assert print_waiting() == 3
    assert [len(sizes_mm(paper)) for paper in print_system.papers()] == [1, 1, 1]
