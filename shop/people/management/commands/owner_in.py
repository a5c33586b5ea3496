"""A way in for an owner who has lost password or second factor."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shop.people import recovering
from shop.records.errors import Refused

TOLD = """
{name} signs in as     {username}
with this password     {password}

It is told this once and has to be changed at the first sign-in, where a second factor
is set up anew. Whoever was signed in under that name is out. Every owner sees that
this was done.
"""


class Command(BaseCommand):
    help = (
        "Let an owner in again, without e-mail: a first password, told once. Second "
        "factors, PIN and sessions of that person end."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "username", nargs="?", help="which owner; else they are listed"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["username"]:
            for one in recovering.owners():
                self.stdout.write(f"{one.person.username:20} {one.person.name}")
            return
        try:
            person, password = recovering.sign_in_recover(username=options["username"])
        except Refused as refusal:
            raise CommandError(str(refusal)) from None
        told = {"name": person.name, "username": person.username, "password": password}
        self.stdout.write(TOLD.format(**told))
