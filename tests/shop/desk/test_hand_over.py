"""Handing over: the bench is done, it is paid, counted, and signed where it must."""

import json
import uuid
from collections.abc import Callable
from io import BytesIO

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from diagnostics import papers as bench_papers
from shop.billing import queries as money
from shop.billing import receipts
from shop.billing import services as billing
from shop.desk import handing_papers
from shop.desk import services as desk
from shop.intake import papers
from shop.intake.counter_models import Signature
from shop.intake.models import Customer, Handover, Ticket
from shop.intake.things import given_back
from shop.people.models import Person
from shop.records.errors import Refused

ClientOf = Callable[[str], Client]


def hand_over(client: Client, ticket: Ticket, **typed: str) -> int:
    url = reverse("desk:handover", args=[ticket.number])
    form = {"given_to": "Ada Pell", "idempotency_key": str(uuid.uuid4())}
    form |= {f"thing-{tag}": "on" for tag in tags_of(ticket)} | typed
    return client.post(url, {name: v for name, v in form.items() if v}).status_code


def tags_of(ticket: Ticket) -> list[int]:
    return list(ticket.things.values_list("tag", flat=True))


@pytest.fixture
def paid(worked_ticket: Ticket, tomas: Person) -> Ticket:
    pay(worked_ticket, tomas)
    return worked_ticket


def pay(ticket: Ticket, by: Person) -> None:
    due = money.balance(ticket).due
    shop = ticket.shop
    billing.payment_take(shop=shop, by=by, amount=due, method="cash", ticket=ticket)


def words_of(answer: object) -> str:
    reader = PdfReader(BytesIO(answer.content))  # type: ignore[attr-defined]
    return " ".join(" ".join(p.extract_text() for p in reader.pages).split())


@pytest.mark.django_db
def test_it_waits_for_the_benchs_word(ticket: Ticket, client_of: ClientOf) -> None:
    assert hand_over(client_of("tomas"), ticket) == 422
    assert not Handover.objects.exists()


@pytest.mark.django_db
def test_money_owing_holds_it_at_the_front_desk(
    worked_ticket: Ticket, client_of: ClientOf
) -> None:
    assert hand_over(client_of("tomas"), worked_ticket) == 422
    assert not Handover.objects.exists()


@pytest.mark.django_db
def test_the_owner_may_let_it_go_with_a_reason(
    worked_ticket: Ticket, client_of: ClientOf
) -> None:
    marit = client_of("marit")
    assert hand_over(marit, worked_ticket) == 422
    assert hand_over(marit, worked_ticket, owing_reason="pays on Friday") == 302
    assert worked_ticket.handover.owing_reason == "pays on Friday"


@pytest.mark.django_db
def test_paid_it_goes_and_the_ticket_is_closed(paid: Ticket, tomas: Person) -> None:
    desk.hand_over(ticket=paid, by=tomas, given_to="Ada Pell")
    assert paid.handover.given_to == "Ada Pell"
    with pytest.raises(Refused):
        desk.hand_over(ticket=paid, by=tomas, given_to="Ada Pell")


@pytest.mark.django_db
def test_papers_read_next_year_as_they_did(paid: Ticket, tomas: Person) -> None:
    desk.hand_over(ticket=paid, by=tomas, given_to="Ada Pell")

    def again() -> tuple[str, str, bytes, str]:
        ticket = Ticket.objects.get(pk=paid.pk)
        payment, handover = ticket.payments.latest("id"), ticket.handover
        return (
            papers.job_slip_html(ticket),
            receipts.receipt_html(payment),
            handing_papers.after(handover),
            bench_papers.proof_sheet_html(ticket),
        )

    issued = again()
    assert paid.customer.language == "en"
    Customer.objects.filter(pk=paid.customer_id).update(language="de")
    assert again() == issued


@pytest.mark.django_db
def test_what_is_not_ticked_needs_a_word(paid: Ticket, client_of: ClientOf) -> None:
    tomas, last = client_of("tomas"), paid.things.last()
    assert last is not None
    one_short = {f"thing-{last.tag}": ""}
    assert hand_over(tomas, paid, **one_short) == 422
    assert not Handover.objects.exists()
    where = "collects the adapter on Friday"
    assert hand_over(tomas, paid, **one_short, missing=where) == 302
    assert paid.handover.missing == where
    assert last.pk not in given_back(paid)
    assert len(given_back(paid)) == paid.things.count() - 1


@pytest.mark.django_db
def test_a_parcel_has_a_number_and_is_paid_before(
    worked_ticket: Ticket, client_of: ClientOf, tomas: Person
) -> None:
    desk_of = client_of("tomas")
    assert hand_over(desk_of, worked_ticket, way="sent", tracking="RX 77 19") == 422
    due = money.balance(worked_ticket).due
    billing.payment_take(
        shop=worked_ticket.shop,
        by=tomas,
        amount=due,
        method="cash",
        ticket=worked_ticket,
    )
    assert hand_over(desk_of, worked_ticket, way="sent") == 422
    assert hand_over(desk_of, worked_ticket, way="sent", tracking="RX 77 19") == 302
    assert worked_ticket.handover.tracking == "RX 77 19"


DRAWN = json.dumps([[10, 20, 30, 40]])


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "is_done"),
    [
        ({"way": "left"}, False),
        ({"way": "left", "drive": "returned"}, False),
        ({"way": "left", "paper_signed": "on"}, False),
        ({"way": "left", "drive": "returned", "paper_signed": "on"}, True),
        ({"way": "recycle", "drive": "none", "signed": "screen"}, False),
        (
            {"way": "recycle", "drive": "none", "signed": "screen", "signature": DRAWN},
            True,
        ),
        ({"way": "sold", "drive": "erased", "paper_signed": "on"}, False),
        (
            {"way": "sold", "drive": "erased", "paper_signed": "on", "price": "40"},
            True,
        ),
    ],
)
def test_what_becomes_ours_is_signed_for(
    paid: Ticket, client_of: ClientOf, typed: dict[str, str], is_done: bool
) -> None:
    """Only the adapter goes home; the machine stays without further words."""
    tag = tags_of(paid)[0]
    done = hand_over(client_of("tomas"), paid, **{f"thing-{tag}": ""}, **typed)
    assert (done == 302) == is_done
    assert Handover.objects.exists() == is_done
    assert Signature.objects.exists() == (is_done and "signature" in typed)


@pytest.mark.django_db
def test_the_paper_to_sign_keeps_nothing_and_the_signed_one_says_the_same(
    paid: Ticket, client_of: ClientOf
) -> None:
    tomas, tag = client_of("tomas"), tags_of(paid)[0]
    typed = {"way": "sold", "drive": "returned", "price": "40", "given_to": "Ada Pell"}
    back = {f"thing-{one}": "on" for one in tags_of(paid) if one != tag}
    url = reverse("desk:handover_draft", args=[paid.number])
    nobody = tomas.post(url, typed | back | {"given_to": ""})
    assert nobody.status_code == 422
    assert 'viewBox="0 0 600 160"' in nobody.content.decode()
    before = words_of(tomas.post(url, typed | back))
    assert not Handover.objects.exists()
    assert "Handover of ownership" in before
    assert "Agreed price: 40.00 EUR" in before
    assert "taken out and given back" in before
    signed = {"signed": "screen", "signature": DRAWN, f"thing-{tag}": ""}
    assert hand_over(tomas, paid, **typed, **signed) == 302
    after = words_of(tomas.get(reverse("desk:handover_paper", args=[paid.number])))
    assert "signed on the screen" in after
    assert f"Stays with us {paid.number}-{tag}" in after
