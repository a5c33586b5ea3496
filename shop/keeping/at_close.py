"""The backup when the shop's server is stopped for the day."""

from shop.keeping import backups, copies, ground
from shop.keeping.backups import Backup
from shop.records.models import Event


def is_due() -> bool:
    """Whether something happened since the youngest backup."""
    if ground.shop_here()[0] is None:
        return False
    last = copies.newest()
    event = Event.objects.order_by("-id").first()
    return event is not None and (last is None or event.recorded_at > last)


def back_up() -> Backup:
    """Raises ``Refused``, in words."""
    backups.key_ensure()
    return backups.backup_make()
