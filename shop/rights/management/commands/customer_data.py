"""One customer's data as a ZIP, for a machine where no browser is."""

from argparse import ArgumentParser
from io import BytesIO
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from shop.intake.models import Ticket
from shop.records import own_files
from shop.rights import package


class Command(BaseCommand):
    help = "Write all that is kept of a ticket's customer to a ZIP file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("ticket", help="the number of one of their tickets")
        parser.add_argument("file", type=Path, help="the ZIP to write")

    def handle(self, *args: Any, **options: Any) -> None:
        file: Path = options["file"]
        ticket = Ticket.objects.filter(number=options["ticket"]).first()
        if ticket is None:
            raise CommandError(f"No ticket has the number {options['ticket']}.")
        if file.exists():
            raise CommandError(f"{file} is there already.")
        body = BytesIO()
        with transaction.atomic():
            package.package_write(customer=ticket.customer, by=None, target=body)
        own_files.put(file, body.getvalue())
        self.stdout.write(f"{file}: {file.stat().st_size} bytes")
