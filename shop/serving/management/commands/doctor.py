"""What is well and what is not, on the server."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shop.serving import looking
from shop.serving.judging import Level
from shop.serving.words import Line, line_of

MARKS = {
    Level.WELL: "[+]",
    Level.SOON: "[~]",
    Level.FAULT: "[x]",
    Level.UNKNOWN: "[?]",
}


class Command(BaseCommand):
    help = "Look at the server; the exit code is 1 when something is at fault."

    def handle(self, *args: Any, **options: Any) -> None:
        lines = [line_of(finding) for finding in looking.findings()]
        for line in lines:
            self.stdout.write(as_text(line))
        self.stdout.write("\nOn a tablet: the page /doctor/ looks at the tablet too.")
        faults = sum(line.level is Level.FAULT for line in lines)
        if faults:
            raise CommandError(f"{faults} at fault.")


def as_text(line: Line) -> str:
    text = f"{MARKS[line.level]} {line.subject:13} {line.level_word:10} {line.said}"
    return f"{text}\n{'':29}{line.advice}" if line.advice else text
