"""A scenario being told: who is who, and where the current ticket stands."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from diagnostics.models import Board, Meter
from shop.billing.loan_models import Loan, LoanDevice
from shop.billing.models import Invoice, OrderLine, Quote, StockItem
from shop.intake import services as intake
from shop.intake.models import Customer, Device, Ticket
from shop.money import Money
from shop.people.models import Person, Shop

Step = Mapping[str, Any]
SUNDAY = 6


@dataclass
class Telling:
    """A scenario being told: who is who, and where the current ticket stands."""

    shop: Shop
    today: datetime
    people: dict[str, Person] = field(default_factory=dict)
    stock: dict[str, StockItem] = field(default_factory=dict)
    meters: dict[str, Meter] = field(default_factory=dict)
    ticket: Ticket | None = None
    board: Board | None = None
    quote: Quote | None = None
    order_line: OrderLine | None = None
    invoice: Invoice | None = None
    loan: Loan | None = None
    loan_devices: dict[str, LoanDevice] = field(default_factory=dict)
    customers: dict[str, Customer] = field(default_factory=dict)
    devices: dict[str, Device] = field(default_factory=dict)
    tickets: dict[str, Ticket] = field(default_factory=dict)
    places: list[str] = field(default_factory=list)

    @property
    def begun(self) -> datetime:
        """When the shop began."""
        return self.today - timedelta(days=365)

    def of_its_own(self) -> "Telling":
        """The same shop and people, for a story that is told beside the others."""
        return replace(
            self,
            ticket=None,
            board=None,
            quote=None,
            order_line=None,
            invoice=None,
            loan=None,
        )

    def at(self, step: Step) -> datetime:
        """``day = -3, time = "09:10"``: that many days before today, shop's time.

        A step that would lie ahead is moved to just before now, so that a demo
        started early in the morning tells no future.
        """
        return min(self.moment(step), self.today)

    def moment(self, step: Step) -> datetime:
        """The step's own day and time, also where it lies ahead: a promise."""
        hour, minute = map(int, str(step["time"]).split(":"))
        return datetime.combine(self._day(step), time(hour, minute), self.shop.zone)

    def _day(self, step: Step) -> date:
        """With a ``month`` it is that day of it, not on a Sunday."""
        today = self.today.date()
        if "month" not in step:
            return today + timedelta(days=step["day"])
        months = today.year * 12 + today.month - 1 + step["month"]
        day = date(months // 12, months % 12 + 1, step["day"])
        return day + timedelta(days=day.weekday() == SUNDAY)

    def customer(self, who: Mapping[str, Any], by: Person) -> Customer:
        """The one who was here before is the same customer."""
        if who["name"] not in self.customers:
            kept = intake.customer_keep(shop=self.shop, by=by, **who)
            self.customers[who["name"]] = kept
        return self.customers[who["name"]]

    def money(self, amount: str) -> Money:
        return Money.of(Decimal(amount), self.shop.currency)

    @property
    def in_hand(self) -> Ticket:
        """The ticket that was taken in last."""
        if self.ticket is None:
            raise ValueError("A step needs a ticket taken in before it.")
        return self.ticket

    @property
    def billed(self) -> Invoice:
        """The paper that was issued last."""
        if self.invoice is None:
            raise ValueError("A step needs an invoice issued before it.")
        return self.invoice

    @property
    def on_bench(self) -> Board:
        """The board that the current ticket or session is about."""
        if self.board is None:
            raise ValueError("A step at the bench needs a board before it.")
        return self.board


Acts = Mapping[str, Callable[[Telling, Step, Person], None]]
