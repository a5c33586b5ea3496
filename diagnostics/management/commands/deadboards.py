"""The benchmark of dead boards: play a file of it, or serve its scorer."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

WEIGHTS = (0.5, 0.7, 1.0, 1.4, 2.0, 3.0)  # of what a wrong name costs


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
        parser.add_argument(
            "--learn", action="store_true", help="learn from closed boards of a model"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["serve"]:
            self.serve()
        elif options["file"] is None:
            raise CommandError("Name a file of boards, or --serve.")
        else:
            folder = options["facts"] or options["file"].parent
            self.play(options["file"], folder)
            if options["frontier"]:
                self.frontier(options["file"], folder)
            if options["learn"]:
                self.learn(options["file"], folder)

    def serve(self) -> None:
        from diagnostics.deadboards.serving import serve  # noqa: PLC0415  scipy

        for line in serve(sys.stdin):
            self.stdout.write(line)
            self.stdout.flush()

    def play(self, file: Path, folder: Path) -> None:
        from diagnostics.deadboards import scoring  # noqa: PLC0415  scipy

        facts, cases = scoring.facts_in(folder), scoring.cases_in(file)
        models = scoring.models_for(facts)
        self.stdout.write(scoring.walk_all(cases, facts, models).line("fixed walk"))
        score = scoring.play_all(cases, facts, models)
        self.stdout.write(score.line("engine"))
        for wrong in score.wrong:
            self.stdout.write(f"  {wrong}")

    def frontier(self, file: Path, folder: Path) -> None:
        """Looking ahead and greedy, from impatient to careful."""
        from diagnostics.deadboards import scoring  # noqa: PLC0415  scipy

        facts, cases = scoring.facts_in(folder), scoring.cases_in(file)
        models = scoring.models_for(facts)
        for name, is_greedy in (("ahead", False), ("greedy", True)):
            for weight in WEIGHTS:
                at = scoring.play_all(
                    cases, facts, models, weight=weight, is_greedy=is_greedy
                )
                self.stdout.write(at.line(f"{name} {weight:g}"))

    def learn(self, file: Path, folder: Path) -> None:
        from diagnostics.deadboards import scoring  # noqa: PLC0415  scipy

        facts, cases = scoring.facts_in(folder), scoring.cases_in(file)
        if not all("board_model" in case for case in cases):
            raise CommandError("To learn from boards they must name their model.")
        models = scoring.models_for(facts)
        for tens, score in scoring.learn_all(cases, facts, models).items():
            self.stdout.write(score.line(tens))
