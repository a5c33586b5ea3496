"""A scenario being told: who is who, and where the current ticket stands."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, time, timedelta
from decimal import Decimal
from typing import Any

from diagnostics.models import Board, Meter
from shop.billing.models import OrderLine, Quote, StockItem
from shop.intake.models import Customer, Device, Ticket
from shop.money import Money
from shop.people.models import Person, Shop

Step = Mapping[str, Any]


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
        return replace(self, ticket=None, board=None, quote=None, order_line=None)

    def at(self, step: Step) -> datetime:
        """``day = -3, time = "09:10"``: that many days before today, shop's time.

        A step that would lie ahead is moved to just before now, so that a demo
        started early in the morning tells no future.
        """
        return min(self.moment(step), self.today)

    def moment(self, step: Step) -> datetime:
        """The step's own day and time, also where it lies ahead: a promise."""
        hour, minute = map(int, str(step["time"]).split(":"))
        day = self.today.date() + timedelta(days=step["day"])
        return datetime.combine(day, time(hour, minute), self.shop.zone)

    def money(self, amount: str) -> Money:
        return Money.of(Decimal(amount), self.shop.currency)

    @property
    def in_hand(self) -> Ticket:
        """The ticket that was taken in last."""
        if self.ticket is None:
            raise ValueError("A step needs a ticket taken in before it.")
        return self.ticket

    @property
    def on_bench(self) -> Board:
        """The board that the current ticket or session is about."""
        if self.board is None:
            raise ValueError("A step at the bench needs a board before it.")
        return self.board


Acts = Mapping[str, Callable[[Telling, Step, Person], None]]
