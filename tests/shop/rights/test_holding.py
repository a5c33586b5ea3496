"""Every column of the house is classified, and what is personal is truly emptied."""

import uuid
from typing import Any

import pytest
from django.apps import apps
from django.db import models
from django.test.utils import isolate_apps

from shop.intake import holds
from shop.intake.models import Handover, Ticket
from shop.people.models import Person, Shop
from shop.records.holding import Holds, table
from shop.records.models import OutgoingMessage
from shop.records.sealed import SealedField, seal, unseal
from shop.rights import said, tables
from shop.rights.erasing import customer_erase
from shop.rights.tables import of_customers, rows_of, unclassified
from shop.rights.whom import Whom, whom

WHERE = "name it in holds.py of its room."
HOW = "Name each column in the holds.py of its room (shop/records/holding.py says how)."


def test_every_column_says_what_it_holds() -> None:
    wrong = unclassified()
    assert not wrong, "\n".join([HOW, *wrong])


def test_a_new_column_and_a_new_model_are_told_apart_and_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    known = holds.TABLES["Device"]
    columns = dict(known.columns)
    del columns["serial"]
    columns["colour"] = Holds.CUSTOMER
    monkeypatch.setitem(holds.TABLES, "Device", type(known)(columns, "customer"))
    loose = table(customer="seen", technical="id")
    with isolate_apps():

        class Passer(models.Model):
            seen = models.TextField()

            class Meta:
                app_label = "rights"

            def __str__(self) -> str:
                return self.seen

        every = [*apps.get_models(include_auto_created=True), Passer]
        monkeypatch.setattr(apps, "get_models", lambda **_how: every)
        assert unclassified() == [
            f"intake.Device.serial is classified nowhere: {WHERE}",
            "intake.Device.colour is in holds.py, but the model has no such column.",
            "rights.Passer is in no holds.py: say what its columns hold.",
        ]
        listed = [*tables.tables(), (Passer, loose)]
        monkeypatch.setattr(tables, "tables", lambda: iter(listed))
        assert "nothing says whose" in unclassified()[-1]


def test_what_is_handed_out_has_its_words() -> None:
    for model, listed in of_customers():
        columns = listed.named(Holds.CUSTOMER, Holds.PAPER, Holds.BUSINESS)
        if columns and not listed.goes:
            assert model._meta.label in said.TABLE
            missing = set(columns) - set(said.COLUMN)
            assert not missing, f"shop/rights/said.py has no words for {missing}"


def test_one_column_has_one_class() -> None:
    with pytest.raises(ValueError, match="text is named twice"):
        table(customer="text", business="text")


@pytest.fixture
def closed(worked_ticket: Ticket, hollin_lane: Shop) -> Whom:
    """Every personal column of theirs filled with a word of its own."""
    ticket = worked_ticket
    fill_missing(ticket)
    about = whom(ticket.customer)
    for model, listed in of_customers():
        rows = rows_of(
            model, listed, customers=about.customer_ids, tickets=about.ticket_ids
        )
        for name in listed.named(Holds.CUSTOMER):
            assert rows.exists(), f"{model._meta.label}.{name}: no row to erase here"
            for row in rows:
                plant(row, name)
    return whom(ticket.customer)


def fill_missing(ticket: Ticket) -> None:
    from shop.billing import queries as money
    from shop.billing import services as billing
    from shop.intake.account_models import AccountTerms
    from shop.intake.counter_models import Signature
    from shop.intake.passcode_models import Passcode

    by = Person.objects.get(username="tomas")
    due = money.balance(ticket).due
    billing.payment_take(
        shop=ticket.shop, by=by, ticket=ticket, amount=due, method="cash"
    )
    Handover.objects.create(ticket=ticket, given_to="Ada Pell")
    AccountTerms.objects.create(
        shop=ticket.shop, customer=ticket.customer, currency="EUR", by=by, language="en"
    )
    Signature.objects.create(ticket=ticket)
    Passcode.objects.create(ticket=ticket, kind="pin", kept_by=by)
    if not OutgoingMessage.objects.filter(ticket_id=ticket.pk).exists():
        OutgoingMessage.objects.create(
            shop_id=ticket.shop_id, ticket_id=ticket.pk, message_id=str(uuid.uuid4())
        )


def word_of(model: Any, name: str) -> str:
    longest = model._meta.get_field(name).max_length or 40
    return f"word{model._meta.model_name[:5]}{name}"[:longest]


def plant(row: Any, name: str) -> None:
    word = word_of(type(row), name)
    rows = type(row)._default_manager.filter(pk=row.pk)
    if isinstance(row._meta.get_field(name), SealedField):
        seal(row, name, word)
        word = getattr(row, name)
    rows.update(**{name: word})


@pytest.mark.django_db
def test_each_personal_column_is_emptied(closed: Whom) -> None:
    """Column by column from the lists, not by a list of this test's own."""
    customer_erase(customer=closed.customer, by=None)
    seen = 0
    for model, listed in of_customers():
        rows = rows_of(
            model, listed, customers=closed.customer_ids, tickets=closed.ticket_ids
        )
        for row in rows:
            for name in listed.named(Holds.CUSTOMER):
                assert word_of(model, name) not in str(value_of(row, name)), name
                seen += 1
    assert seen > 25


def value_of(row: Any, name: str) -> object:
    is_sealed = isinstance(row._meta.get_field(name), SealedField)
    return unseal(row, name) if is_sealed else getattr(row, name)
