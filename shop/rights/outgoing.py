"""Files of messages that had no sender: gone with the message's words.

Where one can't be deleted now, the night's work tries again.
"""

import logging
from collections.abc import Iterable
from pathlib import Path

from django.conf import settings

from shop.records.models import OutgoingMessage
from shop.records.senders import file_name

log = logging.getLogger(__name__)


def files_away(message_ids: Iterable[str]) -> int:
    """Delete the files of these messages; how many are still there."""
    left = 0
    for message_id in message_ids:
        try:
            (Path(settings.OUTGOING_DIR) / file_name(message_id)).unlink(
                missing_ok=True
            )
        except OSError as error:
            left += 1
            log.error("The file of a message is not deleted yet: %s", error.strerror)
    return left


def sweep() -> int:
    """The files of every message whose words are gone; how many are still there."""
    folder = Path(settings.OUTGOING_DIR)
    if not folder.is_dir():
        return 0
    there = {path.name for path in folder.iterdir()}
    emptied = OutgoingMessage.objects.filter(to="", text="").exclude(given_up_at=None)
    emptied |= OutgoingMessage.objects.filter(to="", text="").exclude(sent_at=None)
    ids = emptied.values_list("message_id", flat=True).iterator()
    return files_away(one for one in ids if file_name(one) in there)
