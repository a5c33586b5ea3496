"""More than one place for backups: the shop's, this machine, and one by environment.

A backup is copied only once it is whole, and its copy is read back like itself. On this
machine lies the newest alone, beside the shop's own place: it is there when the disk of
that place is not, and the other way round.
"""

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

from shop.keeping import backups
from shop.keeping.place import backup_place, here
from shop.records.errors import Refused

LATE = timedelta(hours=26)


@dataclass(frozen=True)
class Stands:
    """A place as it is now; ``problem`` says why nothing can be said of it."""

    folder: Path
    is_here: bool
    newest: datetime | None = None
    count: int = 0
    problem: str = ""

    def age_at(self, now: datetime) -> timedelta | None:
        return now - self.newest if self.newest else None

    def is_late_at(self, now: datetime) -> bool:
        age = self.age_at(now)
        return age is None or age > LATE


def places() -> list[Stands]:
    """Every place that backups should lie in, the shop's own first."""
    found = []
    try:
        found.append(_stands(backup_place()))
    except Refused as refusal:
        folder = Path(settings.BACKUP_DIR or "?")
        found.append(Stands(folder, is_here=False, problem=str(refusal)))
    found += [_stands(folder) for folder in further(found[0].folder)]
    return found


def newest() -> datetime | None:
    """When the youngest backup anywhere was made."""
    made = [one.newest for one in places() if one.newest]
    return max(made, default=None)


def further(place: Path) -> Iterator[Path]:
    """Where copies go beside that place."""
    if place != here():
        yield here()
    if settings.SECOND_BACKUP_DIR and place != Path(settings.SECOND_BACKUP_DIR):
        yield Path(settings.SECOND_BACKUP_DIR)


def _stands(folder: Path) -> Stands:
    is_here = folder == here()
    try:
        kept = backups.kept_in(folder)
    except OSError as error:
        problem = _("%(folder)s can’t be read: %(why)s.")
        said = problem % {"folder": folder, "why": error.strerror}
        return Stands(folder, is_here, problem=said)
    return Stands(folder, is_here, max(kept, default=None), len(kept))


def copy_to_all(made: backups.Backup) -> list[str]:
    """To every further place; what went wrong, in words."""
    wrong = []
    for folder in further(made.file.parent):
        try:
            copy(made.file, folder)
        except (OSError, Refused) as error:
            reason = error.strerror if isinstance(error, OSError) else str(error)
            wrong.append(
                _("No copy in %(folder)s: %(why)s") % {"folder": folder, "why": reason}
            )
    return wrong


def copy(file: Path, folder: Path) -> None:
    """Whole or not at all; what is older goes by the place's own rule."""
    if folder == here():
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    backups.sweep_leftovers(folder)
    part = folder / (file.name + backups.PART)
    try:
        with file.open("rb") as source, part.open("xb") as target:
            part.chmod(0o600)
            shutil.copyfileobj(source, target, 1024 * 1024)
            target.flush()
            os.fsync(target.fileno())
        backups.backup_check(part)
        part.replace(folder / file.name)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    if folder == here():
        _newest_alone(folder)
    else:
        backups.rotate(folder)


def _newest_alone(folder: Path) -> None:
    kept = backups.kept_in(folder)
    for made in sorted(kept)[:-1]:
        kept[made].unlink(missing_ok=True)
