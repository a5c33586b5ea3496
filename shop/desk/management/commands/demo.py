"""The demo: one invented shop, one whole ticket, its papers, then the pages."""

import os
import sys
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from diagnostics import clouds
from shop.desk import account
from shop.desk.scenario import tell
from shop.people.models import Shop

FIXTURES = settings.BASE_DIR / "fixtures"
SCENARIO = FIXTURES / "hollin_lane.toml"
YEAR = tuple(
    FIXTURES / f"hollin_lane_{part}.toml" for part in ("faults", "year", "money")
)
PICTURES = FIXTURES / "hollin_lane_pictures.toml"
# The machine whose ticket is told in full.
TOLD = "H14-3310-094A"
ADDRESS = "127.0.0.1:8000"


class Command(BaseCommand):
    help = "Load the demo shop, print one ticket's account, serve on this machine."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--no-serve", action="store_true", help="stop before serving"
        )
        parser.add_argument("--address", default=ADDRESS, help=f"default {ADDRESS}")

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.IS_DEMO:
            raise CommandError(
                "The demo runs in its own profile: COLDRAIL_PROFILE=demo."
            )
        call_command("migrate", verbosity=0)
        shop = Shop.objects.first()
        if shop is None:
            self.stdout.write("Loading the demo shop, and working out its boards ...")
            settings.CLOUDS = clouds.HERE
            shop = tell(SCENARIO, *YEAR, PICTURES, now=timezone.now())
            settings.CLOUDS = clouds.ASIDE
        self.stdout.write(account.of_one_ticket(shop, serial=TOLD))
        if not options["no_serve"]:
            self.serve(options["address"])

    def serve(self, address: str) -> None:
        """Hand this process over to the server."""
        self.stdout.write(f"\nServing on http://{address}/  (stop with Ctrl-C)")
        self.stdout.flush()
        command = [sys.executable, "-m", "gunicorn", "shop.wsgi", "--bind", address]
        options = ["--workers", "2", "-c", "python:shop.serving.preloading"]
        os.environ.setdefault("SHOP_ADDRESS", f"http://{address}")
        os.execv(sys.executable, [*command, *options])
