"""The audit bundle of a period into a file: for a big year, without a browser."""

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from shop.books.bundle.writing import bundle
from shop.books.periods import period_of
from shop.people.models import Shop
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


class Command(BaseCommand):
    help = "Write the audit bundle of a period: FIRST and LAST day, and the file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("first", type=date.fromisoformat)
        parser.add_argument("last", type=date.fromisoformat)
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        shop = Shop.objects.order_by("id").first()
        if shop is None:
            raise CommandError("There is no shop yet.")
        today = timezone.now().astimezone(shop.zone).date()
        try:
            period = period_of(shop, options["first"], options["last"], today)
        except Refused as refused:
            raise CommandError(str(refused)) from None
        with options["file"].open("xb") as file:
            for piece in bundle(period):
                file.write(piece)
        records.event_record(
            Kind.BOOKS_GIVEN,
            shop_id=shop.pk,
            by_id=None,
            codes={"what": "bundle", "period": str(period)},
        )
        self.stdout.write(f"{options['file']}: {options['file'].stat().st_size} bytes")
