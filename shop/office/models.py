"""What the office keeps: figures that can be made anew from the events."""

from shop.office.turnaround_models import CountedUpTo, TicketDays

__all__ = ["CountedUpTo", "TicketDays"]
