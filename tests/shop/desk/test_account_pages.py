"""An account at the counter, at the handover and in the office."""

import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.billing import queries as money
from shop.billing.models import Invoice
from shop.desk import services as desk
from shop.desk.read_out import said_of
from shop.intake.models import Customer, Ticket
from shop.intake.papers import job_slip_html
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.shop.billing.accounts import (
    account_of,
    brought,
    college_of,
    drafted,
    gone_back,
)
from tests.shop.billing.conftest import euro

ClientOf = Callable[[str], Client]


@pytest.fixture
def college(hollin_lane: Shop, marit: Person) -> Customer:
    return college_of(hollin_lane, marit)


def post(client: Client, url: str, **typed: Any) -> Any:
    return client.post(url, {"idempotency_key": str(uuid.uuid4()), **typed})


def test_an_account_takes_its_machine_home_unpaid_up_to_its_limit(
    college: Customer, ines: Person, tomas: Person, marit: Person
) -> None:
    first, second = brought(college, ines), brought(college, ines)
    desk.hand_over(ticket=first, by=tomas, given_to="Ida Roth")
    account_of(college, marit, credit_limit=euro("200.00"), at=timezone.now())
    second = Ticket.objects.get(pk=second.pk)
    with pytest.raises(Refused, match=r"owes 37\.60 more than its limit"):
        desk.hand_over(ticket=second, by=tomas, given_to="Ida Roth")
    with pytest.raises(Refused, match="Say why"):
        desk.hand_over(ticket=second, by=marit, given_to="Ida Roth", may_owe=True)
    done = desk.hand_over(
        ticket=second,
        by=marit,
        given_to="Ida Roth",
        may_owe=True,
        owing_reason="Exams tomorrow",
    )
    assert done.owing_reason == "Exams tomorrow"


def test_nobody_asks_an_account_to_pay_over_one_ticket(
    college: Customer, ines: Person, client_of: ClientOf
) -> None:
    ticket = brought(college, ines)
    lines = said_of(ticket, timezone.now()).lines
    assert not {"pay_due", "paid", "pay_back"} & set(lines)
    page = client_of("tomas").get(ticket.get_absolute_url()).content.decode()
    assert "Nothing is paid at handover" in page
    assert "PO-77" in page
    assert "Ida Roth, lab 3" in page
    assert "Invoice it by itself" in page
    handing = client_of("tomas").get(f"/tickets/{ticket}/handover/").content.decode()
    assert "goes on the account’s monthly invoice" in handing
    assert "Still to pay" not in handing
    slip = client_of("tomas").get(f"/tickets/{ticket}/slip/").content.decode()
    assert "monthly invoice of your account" in slip


def test_the_counter_sees_at_intake_that_it_is_an_account_and_its_rules(
    college: Customer, client_of: ClientOf
) -> None:
    tomas = client_of("tomas")
    page = tomas.get(f"/counter/new/?customer={college.pk}").content.decode()
    assert "Account customer" in page
    assert "200.00 EUR" in page
    typed = {
        "name": college.name,
        "customer": college.pk,
        "version": college.version,
        "model": "Heron 14",
        "serial": "H-9",
        "told": "Dead.",
        "kind": "laptop",
        "order_number": "PO-9",
        "contact": "Hall 2",
        "then": "keep",
    }
    assert post(tomas, "/counter/new/", **typed).status_code == 302
    ticket = Ticket.objects.get()
    assert (ticket.order_number, ticket.device.contact) == ("PO-9", "Hall 2")
    assert ticket.pre_approved == euro("200.00")
    slip = job_slip_html(ticket)
    assert "goes on the monthly invoice of your account" in slip
    assert "PO-9" in slip


def test_the_month_is_looked_at_and_issued_for_all_on_one_page(
    college: Customer, ines: Person, marit: Person, client_of: ClientOf
) -> None:
    works = college_of(college.shop, marit, order_number="", needs_order=True)
    Customer.objects.filter(pk=works.pk).update(name="Alder Works")
    gone_back(college, ines)
    missing = gone_back(works, ines)
    gone_back(works, ines, order_number="B-1")
    owner = client_of("marit")
    url = "/accounts/month/?month=2026-03"
    page = owner.get(url).content.decode()
    assert "Weir College" in page
    assert "Alder Works" in page
    alone = owner.get(f"/accounts/month/{works.pk}/?month=2026-03").content.decode()
    assert "The order number is missing." in alone
    stale = {f"seen-{college.pk}": "0" * 32}
    seen = {f"seen-{works.pk}": drafted(works).mark}
    answer = post(owner, url, **stale, **seen)
    assert answer.status_code == 422
    assert "changed since you looked" in answer.content.decode()
    assert Invoice.objects.get().account.customer == works
    number = {"order_number": "B-2", "contact": ""}
    assert post(owner, f"/tickets/{missing}/account/", **number).status_code == 302
    seen = {f"seen-{one.pk}": drafted(one).mark for one in (college, works)}
    assert post(owner, url, **seen).status_code == 302
    assert sorted(Invoice.objects.values_list("serial", flat=True)) == [1, 2, 3]
    assert money.monthly_invoice(missing) is not None
    refused = post(owner, f"/tickets/{missing}/account/", order_number="B-3")
    assert refused.status_code == 422
    assert "B-3" in refused.content.decode()


def test_one_ticket_may_wait_for_another_month(
    college: Customer, ines: Person, client_of: ClientOf
) -> None:
    stays, goes = gone_back(college, ines), gone_back(college, ines)
    owner, url = client_of("marit"), f"/accounts/month/{college.pk}/?month=2026-03"
    boxes = {"shown": [stays.pk, goes.pk], "bill": [goes.pk]}
    mark = drafted(college, left_out=[stays.pk]).mark
    answer = post(owner, url, **boxes, seen=mark, then="issue")
    assert answer.status_code == 302
    assert money.monthly_invoice(stays) is None
    assert money.monthly_invoice(goes) is not None


def test_the_owner_alone_opens_changes_and_ends_an_account(
    hollin_lane: Shop, ticket: Ticket, client_of: ClientOf
) -> None:
    owner, at = client_of("marit"), f"/accounts/{ticket.customer.pk}"
    rules = {"seen": 0, "payment_days": "21", "standing_cap": "150,00"}
    assert post(client_of("tomas"), f"{at}/rules/", **rules).status_code == 403
    wrong = post(owner, f"{at}/rules/", **rules | {"credit_limit": "-5"})
    assert wrong.status_code == 422
    assert "150,00" in wrong.content.decode()
    assert post(owner, f"{at}/rules/", **rules).status_code == 302
    assert Customer.objects.get().is_account
    assert post(owner, f"{at}/rules/", **rules).status_code == 422  # seen another
    prices = {"hourly_rate": "48", "discount": "7.5"}
    assert post(owner, f"{at}/prices/", **prices).status_code == 302
    page = owner.get(f"{at}/").content.decode()
    assert "48.00" in page
    assert "7.5" in page
    newest = ticket.customer.account_terms.latest("id").pk
    end = rules | {"seen": newest, "then": "end"}
    assert post(owner, f"{at}/rules/", **end).status_code == 302
    assert not Customer.objects.get().is_account


def test_the_owner_hands_out_and_keeps_what_an_account_owes(
    college: Customer, ines: Person, marit: Person
) -> None:
    """A customer with an open monthly invoice is not erased; its papers are theirs."""
    from shop.rights.tables import rows_of, tables
    from shop.rights.whom import obstacle, whom
    from tests.shop.billing.accounts import issued

    gone_back(college, ines)
    bill = issued(college, ines)
    about = whom(college)
    assert bill.number in obstacle(about)
    found = next((m, t) for m, t in tables() if m is Invoice)
    assert list(rows_of(*found, customers=about.customer_ids)) == [bill]
