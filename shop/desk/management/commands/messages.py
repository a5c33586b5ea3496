"""Bring the translations up to the texts of the program, and say what they lack."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand


class Command(BaseCommand):
    help = "Take new texts into locale/, let go of old ones, compile, list what lacks."

    def handle(self, *args: Any, **options: Any) -> None:
        from tests.translating import catalogs  # noqa: PLC0415  only where tests are

        for language, name in settings.LANGUAGES:
            if language == settings.LANGUAGE_CODE:
                continue
            lacks = catalogs.untranslated(catalogs.renew(language))
            self.stdout.write(f"{name}: {len(lacks)} texts to translate")
            for text in lacks:
                self.stdout.write(f"  {text!r}")
