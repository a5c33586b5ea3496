"""After a restore: papers issued since the backup keep their numbers."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import NumberSeries


class Command(BaseCommand):
    help = "Let a series of numbers go on behind the last one on your papers."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("series", help="ticket, invoice, credit_note")
        parser.add_argument("last", type=int, help="the last number on paper")

    def handle(self, *args: Any, **options: Any) -> None:
        kind, last = options["series"], options["last"]
        rows = NumberSeries.objects.filter(kind=kind)
        if not rows:
            known = ", ".join(NumberSeries.objects.values_list("kind", flat=True))
            raise CommandError(f"No series is called {kind}: {known or 'none yet'}.")
        if len(rows) > 1:
            raise CommandError("More than one shop is here: nothing was changed.")
        self.go_on(rows[0], last)

    def go_on(self, series: NumberSeries, last: int) -> None:
        before = series.next_number
        try:
            with transaction.atomic():
                records.series_start(
                    shop_id=series.shop_id, kind=series.kind, first=last + 1
                )
                records.event_record(
                    Kind.SETTINGS_CHANGED,
                    shop_id=series.shop_id,
                    by_id=None,
                    codes={"what": "numbers"},
                    amounts={"from": before, "to": last + 1},
                )
        except ValueError:
            raise CommandError(
                f"The next {series.kind} is number {before}: a series never goes back."
            ) from None
        self.stdout.write(f"The next {series.kind} is number {last + 1}.")
