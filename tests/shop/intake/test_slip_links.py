"""The slip's address: the same for reprints, and the table gives no way in."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone

from shop.intake import papers, printed, scans, slip_links
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.slip_models import SlipLink
from shop.people.models import Person
from tests.factories import handed_over
from tests.shop.intake.papers_seen import codes_of
from tests.shop.intake.papers_seen import printed as as_printed

HOUSE = "https://repairs.example"


@pytest.fixture(autouse=True)
def known_house(settings: Any) -> None:
    settings.SHOP_ADDRESS = HOUSE


def id_of(address: str) -> str:
    return address.rstrip("/").rpartition("/")[2]


def opens(address: str, *, days: float = 0) -> bool:
    at = timezone.now() + timedelta(days=days)
    return slip_links.link_of(id_of(address), at) is not None


def test_the_same_address_again_until_it_would_not_last(ticket: Ticket) -> None:
    first = slip_links.address_of(ticket)
    assert first.startswith(f"{HOUSE}/slip/")
    assert len(id_of(first)) == 24  # base64 of 18 bytes: 144 bits
    later = timezone.now() + timedelta(days=15)
    assert slip_links.address_of(ticket, now=later - timedelta(days=2)) == first
    fresh = slip_links.address_of(ticket, now=later + timedelta(days=2))
    assert fresh != first
    assert opens(first, days=29)
    assert not opens(first, days=31)


def test_the_table_holds_no_id_and_nothing_that_makes_one(
    ticket: Ticket, settings: Any
) -> None:
    address = slip_links.address_of(ticket)
    with connection.cursor() as cursor:
        cursor.execute("SELECT * FROM intake_sliplink")
        assert id_of(address) not in str(cursor.fetchall())
    settings.SECRET_KEY = "another key of another house, long enough"
    assert opens(address)
    assert slip_links.to_print(ticket, timezone.now()) is None
    assert slip_links.address_of(ticket) != address


def test_revoked_it_opens_nothing_and_a_new_one_ends_the_old(
    ticket: Ticket, tomas: Person
) -> None:
    first = slip_links.address_of(ticket)
    assert slip_links.revoke(ticket=ticket, by=tomas) == 1
    assert not opens(first)
    second = slip_links.renew(ticket=ticket, by=tomas)
    third = slip_links.renew(ticket=ticket, by=tomas)
    assert [opens(one) for one in (first, second, third)] == [False, False, True]


def test_closed_it_opens_for_thirty_days_more(ticket: Ticket, tomas: Person) -> None:
    address = slip_links.address_of(ticket)
    SlipLink.objects.update(expires_at=timezone.now() + timedelta(days=1))
    handed_over(ticket, tomas)
    assert opens(address, days=29)
    assert not opens(address, days=31)


def test_what_came_in_by_mistake_has_none(ticket: Ticket, tomas: Person) -> None:
    address = slip_links.address_of(ticket)
    intake.ticket_withdraw(ticket=ticket, by=tomas)
    assert not opens(address)
    assert not opens(slip_links.address_of(ticket))


def test_the_job_slip_carries_it_for_a_phone(ticket: Ticket) -> None:
    """Read back from the printed dots by a barcode library (zxing-cpp)."""
    picture = as_printed(papers.job_slip(ticket), 300)
    codes = {code.text: code for code in codes_of(picture, 300)}
    code = codes[slip_links.address_of(ticket)]
    assert code.side_mm >= 15
    assert scans.ticket_code(ticket.number) in codes


def test_an_address_of_this_machine_alone_is_printed_on_no_slip(
    ticket: Ticket, settings: Any
) -> None:
    settings.SHOP_ADDRESS = "http://127.0.0.1:8000"
    assert papers.slip_of(ticket)["follow"] is None
    settings.SHOP_ADDRESS, settings.ALLOWED_HOSTS = "", ["repairs.example"]
    assert papers.slip_of(ticket)["follow"]
    assert slip_links.address_of(ticket).startswith(f"{HOUSE}/slip/")


def test_printing_it_again_makes_none(
    ticket: Ticket, client_of: Callable[[str], Client]
) -> None:
    client_of("tomas").get(f"/tickets/{ticket.number}/job-slip.pdf")
    assert printed._slip(ticket.pk, 0).body
    assert SlipLink.objects.count() == 1


def test_staff_come_to_the_ticket_by_the_code_of_a_slip(
    ticket: Ticket, tomas: Person, client_of: Callable[[str], Client], stranger: Client
) -> None:
    """An ended link opens nothing to its holder; the shop still knows its paper."""
    code = slip_links.address_of(ticket)
    slip_links.revoke(ticket=ticket, by=tomas)
    desk = client_of("tomas")
    data = {"accept": "application/json"}
    led = desk.post("/scan/slip/", {"code": code}, headers=data).json()
    assert led["url"] == ticket.get_absolute_url()
    assert led["code"] == f"CRN{ticket}"
    forged = code[:-5] + ("AAAA/" if code[-5:] != "AAAA/" else "BBBB/")
    refused = desk.post("/scan/slip/", {"code": forged}, headers=data)
    assert (refused.status_code, "url" in refused.json()) == (422, False)
    assert stranger.post("/scan/slip/", {"code": code}).status_code in {302, 403, 404}
    bare = desk.get("/find/", {"q": code})
    assert bare["Location"] == ticket.get_absolute_url()
