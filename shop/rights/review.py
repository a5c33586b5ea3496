"""What is kept of one customer, counted: what a page shows before it is erased."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q
from django.utils.functional import cached_property

from shop.billing.models import Invoice
from shop.intake.counter_models import Signature
from shop.intake.models import STAYS_HERE, Customer, Device, Ticket
from shop.photos.models import Photo
from shop.records.models import Event, Note, OutgoingMessage
from shop.rights import searched
from shop.rights.periods import days_of
from shop.rights.sales import sales_naming
from shop.rights.whom import Whom, obstacle, warranty_until, whom


@dataclass(frozen=True)
class Review:
    """Counts of what goes and what stays."""

    about: Whom

    @property
    def customer(self) -> Customer:
        return self.about.customer

    @property
    def tickets(self) -> tuple[Ticket, ...]:
        return self.about.tickets

    @cached_property
    def obstacle(self) -> str:
        return obstacle(self.about)

    @cached_property
    def warranty_until(self) -> date | None:
        return warranty_until(self.about)

    @cached_property
    def devices(self) -> int:
        rows = Device.objects.filter(customer__in=self.about.customer_ids)
        return rows.exclude(serial="").count()

    @cached_property
    def notes(self) -> int:
        kept = Note.objects.filter(ticket_id__in=self.about.ticket_ids)
        return kept.exclude(text="").count()

    @cached_property
    def messages(self) -> int:
        of_them = Q(ticket_id__in=self.about.ticket_ids)
        of_them |= Q(customer_id__in=self.about.customer_ids)
        rows = OutgoingMessage.objects.filter(of_them)
        return rows.exclude(to="", text="").count()

    @cached_property
    def photos(self) -> int:
        rows = Photo.objects.filter(ticket__in=self.about.ticket_ids)
        return rows.filter(erased_at=None).count()

    @cached_property
    def signatures(self) -> int:
        rows = Signature.objects.filter(ticket__in=self.about.ticket_ids)
        return rows.exclude(sealed="").count()

    @cached_property
    def papers(self) -> list[Invoice]:
        """Of tickets and account, and sales that name them."""
        named = searched.naming(self.about.rows)
        return [*self.about.papers, *sales_naming(self.customer.shop, named)]

    @cached_property
    def left_to_us(self) -> list[Ticket]:
        return [
            ticket
            for ticket in self.tickets
            if hasattr(ticket, "handover") and ticket.handover.way in STAYS_HERE
        ]

    @cached_property
    def paper_years(self) -> int:
        return round(days_of(self.customer.shop)["papers"] / 365)

    @cached_property
    def version(self) -> str:
        """Another once anything was written of them."""
        events = Event.objects.filter(ticket_id__in=self.about.ticket_ids)
        newest = events.order_by("-id").values_list("id", flat=True).first()
        versions = "-".join(f"{row.pk}.{row.version}" for row in self.about.rows)
        return f"{versions}/{len(self.tickets)}/{newest}"


def review(customer: Customer) -> Review:
    return Review(whom(customer))
