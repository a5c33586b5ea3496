"""Make what the search looks in anew, from the tickets' rows."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shop.searching import services


class Command(BaseCommand):
    help = "Make the search's texts and its trigram index anew, some tickets at a time."

    def handle(self, *args: Any, **options: Any) -> None:
        changed = services.texts_anew()
        has_index = services.index_make(self.stderr.write)
        self.stdout.write(f"{changed} texts were made anew.")
        if not has_index:
            raise CommandError("The trigram index is missing: the search is slow.")
