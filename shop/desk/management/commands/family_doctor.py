"""A family of boards, read as its author needs: what is wrong, what to know."""

import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from diagnostics import words
from diagnostics.engine import family_doctor
from diagnostics.engine.errors import FamilyError
from diagnostics.engine.family_doctor import Finding
from diagnostics.engine.family_load import FAMILY_IDS, FOLDER, texts_of


class Command(BaseCommand):
    help = "Read a family of boards and say what is wrong with it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "family",
            nargs="*",
            metavar="FILE",
            help="an id of ours or the file that opens a family; default all of ours",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        found = [
            finding
            for wanted in options["family"] or FAMILY_IDS
            for finding in self.told(wanted)
        ]
        if any(finding.is_wrong for finding in found):
            sys.exit(1)

    def told(self, wanted: str) -> Iterator[Finding]:
        """Print the findings of one family, and hand them on."""
        found = findings(head_of(wanted))
        wrong = sum(finding.is_wrong for finding in found)
        self.stdout.write(
            f"{wanted}: {wrong} wrong, {len(found) - wrong} worth knowing"
        )
        for finding in found:
            mark = "WRONG" if finding.is_wrong else "note "
            self.stdout.write(f"  {mark} {place(finding)}: {sentence(finding)}")
        yield from found


def head_of(wanted: str) -> Path:
    """The file that opens a family: ours by its id, another by its path."""
    head = FOLDER / f"{wanted}.toml" if wanted in FAMILY_IDS else Path(wanted)
    if not head.is_file():
        ours = ", ".join(FAMILY_IDS)
        raise CommandError(f"“{wanted}” is no file, and none of ours: {ours}.")
    return head


def findings(head: Path) -> tuple[Finding, ...]:
    try:
        return family_doctor.examine(texts_of(head))
    except FamilyError as error:
        return (family_doctor.refusal(error),)


def place(finding: Finding) -> str:
    return f"{finding.file}:{finding.line or 1}"


def sentence(finding: Finding) -> str:
    """The sentence of a finding; its place stands before it already."""
    said = finding.reason
    text = words.error_sentence(FamilyError(said.code, **said.values))
    return text.removeprefix(f"{finding.file}, line {finding.line}: ")
