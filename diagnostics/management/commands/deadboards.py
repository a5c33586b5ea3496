"""The benchmark of dead boards: play a file of it, or serve its scorer."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

SHARES = (0.2, 0.3, 0.4, 0.5, 0.7)


class Command(BaseCommand):
    help = "Play dead boards of the benchmark, or answer its scorer line by line."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", type=Path, help="boards, one a line")
        parser.add_argument("--facts", type=Path, help="folder of its facts")
        parser.add_argument("--serve", action="store_true", help="JSON lines")
        parser.add_argument(
            "--frontier", action="store_true", help="right names against minutes"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["serve"]:
            self.serve()
        elif options["file"] is None:
            raise CommandError("Name a file of boards, or --serve.")
        else:
            folder = options["facts"] or options["file"].parent
            self.play(options["file"], folder, is_frontier=options["frontier"])

    def serve(self) -> None:
        from diagnostics.deadboards.serving import serve  # noqa: PLC0415  scipy

        for line in serve(sys.stdin):
            self.stdout.write(line)
            self.stdout.flush()

    def play(self, file: Path, folder: Path, *, is_frontier: bool) -> None:
        from diagnostics.deadboards import scoring  # noqa: PLC0415  scipy

        facts, cases = scoring.facts_in(folder), scoring.cases_in(file)
        models = scoring.models_for(facts)
        self.stdout.write(scoring.walk_all(cases, facts, models).line("fixed walk"))
        score = scoring.play_all(cases, facts, models)
        self.stdout.write(score.line("engine"))
        for wrong in score.wrong:
            self.stdout.write(f"  {wrong}")
        for share in SHARES if is_frontier else ():
            at = scoring.play_all(cases, facts, models, share)
            self.stdout.write(at.line(f"share {share:g}"))
