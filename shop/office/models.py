"""What the office keeps: sheets as they were made, and who wishes them."""

from shop.office.weekly.models import WeeklySheet, WeeklyWish

__all__ = ["WeeklySheet", "WeeklyWish"]
