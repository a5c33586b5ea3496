"""Make the predictions of every board model that has none yet."""

from typing import Any

from django.core.management.base import BaseCommand

from diagnostics import clouds_of_models


class Command(BaseCommand):
    help = "Make what every check should read, for each board model (seconds each)."

    def handle(self, *args: Any, **options: Any) -> None:
        for model, seconds in clouds_of_models.make_missing():
            self.stdout.write(f"{model.number}: {seconds:.1f} s")
