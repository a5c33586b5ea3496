"""What a row says, as the shop's own rules see it: a draft, or why it is none."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.services import StockDraft
from shop.intake import services as intake
from shop.intake.models import Customer, Device, DeviceKind
from shop.intake.services.rows import LONGEST_TEXT, checked
from shop.money import Money, minor_digits
from shop.money_fields import decimal_of
from shop.opening.imports.columns import CUSTOMERS, STOCK, TICKETS
from shop.people.models import Shop
from shop.records.errors import Refused

Row = Mapping[str, str]
CUSTOMER = ("name", "phone_typed", "phone_e164", "email", "address", "tax_id")
DAYS = ("%Y-%m-%d", "%d.%m.%Y", "%d.%m.%y")
SLASHED = {True: ("%m/%d/%Y", "%m/%d/%y"), False: ("%d/%m/%Y", "%d/%m/%y")}
MONTH_FIRST = {"US", "PH"}
LONGEST_OLD_NUMBER = 40


@dataclass(frozen=True)
class Draft:
    """A row in order: its values, and the keys by which a twin would be found."""

    values: dict[str, Any]
    key: str = ""
    key_2: str = ""


@dataclass(frozen=True)
class Cleaner:
    shop: Shop
    language: str
    now: datetime = field(default_factory=timezone.now)

    def draft(self, what: str, row: Row) -> Draft:
        """The row as a draft; ``Refused`` says which field is wrong, and why."""
        for name, cell in row.items():
            if "\0" in cell:
                raise Refused(_("It holds a NUL byte, which no text has."), field=name)
        kinds: Mapping[str, Callable[[Row], Draft]] = {
            CUSTOMERS: self.customer,
            STOCK: self.stock,
            TICKETS: self.ticket,
        }
        return kinds[what](row)

    def customer(self, row: Row) -> Draft:
        draft = self._customer(row)
        return Draft(
            {"customer": {name: getattr(draft, name) for name in CUSTOMER}},
            draft.phone_e164,
            draft.email.lower(),
        )

    def _customer(self, row: Row) -> Customer:
        names = (row.get("first_name", ""), row.get("name", ""))
        town = " ".join(filter(None, (row.get("postcode"), row.get("town"))))
        return intake.customer_draft(
            shop=self.shop,
            name=" ".join(filter(None, names)),
            phone=row.get("phone", ""),
            email=row.get("email", ""),
            address=", ".join(filter(None, (row.get("street"), town))),
            language=self.language,
            tax_id=row.get("tax_id", ""),
        )

    def stock(self, row: Row) -> Draft:
        currency = self.shop.currency
        cost = _number(row.get("cost") or "0", minor_digits(currency), "cost")
        quantity = _number(row.get("quantity") or "0", 0, "quantity")
        draft = StockDraft(
            row.get("code", ""),
            row.get("name", ""),
            int(quantity),
            Money.of(cost, currency),
        )
        draft.check(currency)
        values = {
            "code": draft.code,
            "name": draft.name,
            "quantity": draft.quantity,
            "cost_minor": draft.cost.minor,
        }
        return Draft(values, draft.code)

    def ticket(self, row: Row) -> Draft:
        customer = self._customer(row)
        old = row.get("old_number", "")
        told = row.get("told", "")
        if not 1 <= len(old) <= LONGEST_OLD_NUMBER:
            raise Refused(_("A number of 1 to 40 characters."), field="old_number")
        if not 1 <= len(told) <= LONGEST_TEXT:
            raise Refused(_("Write a few words."), field="told")
        model, serial = row.get("model", ""), row.get("serial", "")
        checked(
            Device(
                shop=self.shop,
                customer=customer,
                kind=DeviceKind.OTHER,
                model=model,
                serial=serial,
            )
        )
        opened = self._opened(row.get("opened_on", ""))
        values = {
            "customer": {name: getattr(customer, name) for name in CUSTOMER},
            "old_number": old,
            "told": told,
            "model": model,
            "serial": serial,
            "opened_at": opened.isoformat(),
        }
        return Draft(values, old)

    def _opened(self, typed: str) -> datetime:
        if not typed:
            return self.now
        day = day_of(typed, month_first=self.shop.country in MONTH_FIRST)
        if day is None:
            raise Refused(_("A day such as 2026-03-31."), field="opened_on")
        at = datetime.combine(day, time(12), self.shop.zone)
        if at.date() > self.now.astimezone(self.shop.zone).date():
            raise Refused(_("That day is still to come."), field="opened_on")
        return min(at, self.now)


def day_of(typed: str, *, month_first: bool) -> date | None:
    """A day as files write it, with or without a time behind; ``None`` if none.

    >>> day_of("03/04/2026", month_first=True), day_of("3.4.2026", month_first=True)
    (datetime.date(2026, 3, 4), datetime.date(2026, 4, 3))
    """
    plain = typed.replace("T", " ").split(" ")[0]
    for form in (*DAYS, *SLASHED[month_first]):
        try:
            return datetime.strptime(plain, form).date()  # noqa: DTZ007  a day alone
        except ValueError:
            continue
    return None


def _number(typed: str, digits: int, name: str) -> Any:
    try:
        return decimal_of(typed, digits=digits)
    except ValidationError as error:
        raise Refused(error.messages[0], field=name) from error
