"""What the office keeps: figures made from the events, and weekly sheets as sent."""

from shop.office.turnaround_models import CountedUpTo, TicketDays
from shop.office.weekly.models import WeeklySheet, WeeklyWish

__all__ = ["CountedUpTo", "TicketDays", "WeeklySheet", "WeeklyWish"]
