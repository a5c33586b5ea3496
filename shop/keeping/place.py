"""Where backups go: COLDRAIL_BACKUP_DIR, else what the shop says, else here."""

from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

from shop.people.models import Shop
from shop.records.errors import Refused

Ask = Callable[[], Path | None]
_asked: list[Ask] = []


def place_told_by(ask: Ask) -> None:
    """A room knows the shop's setting; ``None`` where it has none."""
    _asked.append(ask)


def backup_place() -> Path:
    """The folder of the backups. Refused where it is chosen and not there.

    A chosen folder is never made: were its disk not mounted, the backups would
    quietly go to the disk that they are to survive.
    """
    chosen = settings.BACKUP_DIR or next((p for ask in _asked if (p := ask())), None)
    if chosen is None:
        here().mkdir(mode=0o700, parents=True, exist_ok=True)
        return here()
    folder = Path(chosen)
    if not folder.is_dir():
        raise Refused(
            _("The backup folder %(folder)s is not there. Is its disk connected?")
            % {"folder": folder}
        )
    return folder


def here() -> Path:
    """The folder of this machine's own."""
    return Path(settings.DATA_DIR) / "backups"


def of_the_shop() -> Path | None:
    """What the shop's settings say.

    The one column alone: an older version's table may lack others.
    """
    named = Shop.objects.exclude(backup_place="").order_by("pk")
    chosen = named.values_list("backup_place", flat=True).first()
    return Path(chosen) if chosen else None
