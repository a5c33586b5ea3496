"""Django's migrate, with a sealed backup before the tables of a shop are changed.

An empty SQLite database gets its tables at once (``first_tables``).
"""

from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.core.management.commands import migrate
from django.db import connections

from shop.keeping import at_close, first_tables, upgrading
from shop.records.errors import Refused

NOT_CHANGED = (
    "{reason}\nThe tables were not changed: this version would change them, and that "
    "wants a backup first. Mend it, or take the risk: manage.py migrate "
    "--without-backup."
)


# With one of these, somebody wants less than all tables.
PARTLY = ("app_label", "migration_name", "fake", "fake_initial", "plan", "prune")


def is_plain(options: dict[str, Any]) -> bool:
    """Whether all tables are wanted, made and not only talked of."""
    return not any(options[one] for one in (*PARTLY, "check_unapplied"))


class Command(migrate.Command):
    help = f"{migrate.Command.help} A shop's database is backed up before."

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "--without-backup", action="store_true", help="change the tables at once"
        )
        parser.add_argument(
            "--one-by-one",
            action="store_true",
            help="apply every migration, on an empty database too",
        )

    def handle(self, *args: Any, **options: Any) -> Any:
        wants_one = not options.pop("without_backup", False)
        if wants_one and options["database"] == "default" and upgrading.is_due():
            self.back_up()
        if not options.pop("one_by_one", False) and is_plain(options):
            self.lay_first(options)
        return super().handle(*args, **options)

    def lay_first(self, options: dict[str, Any]) -> None:
        laid = first_tables.lay(connections[options["database"]])
        if laid and options["verbosity"] > 0:
            self.stdout.write("An empty database: its tables were made at once.")

    def back_up(self) -> None:
        self.stdout.write("This version changes the tables: a backup first ...")
        self.stdout.flush()
        try:
            made = at_close.back_up()
        except Refused as refusal:
            raise CommandError(NOT_CHANGED.format(reason=refusal)) from None
        self.stdout.write(f"{made.file}: whole.")
