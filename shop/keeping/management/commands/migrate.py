"""Django's migrate, with a sealed backup before the tables of a shop are changed."""

from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.core.management.commands import migrate

from shop.keeping import at_close, upgrading
from shop.records.errors import Refused

NOT_CHANGED = (
    "{reason}\nThe tables were not changed: this version would change them, and that "
    "wants a backup first. Mend it, or take the risk: manage.py migrate "
    "--without-backup."
)


class Command(migrate.Command):
    help = f"{migrate.Command.help} A shop's database is backed up before."

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "--without-backup", action="store_true", help="change the tables at once"
        )

    def handle(self, *args: Any, **options: Any) -> Any:
        wants_one = not options.pop("without_backup", False)
        if wants_one and options["database"] == "default" and upgrading.is_due():
            self.back_up()
        return super().handle(*args, **options)

    def back_up(self) -> None:
        self.stdout.write("This version changes the tables: a backup first ...")
        self.stdout.flush()
        try:
            made = at_close.back_up()
        except Refused as refusal:
            raise CommandError(NOT_CHANGED.format(reason=refusal)) from None
        self.stdout.write(f"{made.file}: whole.")
