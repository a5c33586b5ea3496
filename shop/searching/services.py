"""Acts that keep the texts as the rows say.

A row that is written otherwise than by ``save`` (``update``, ``bulk_create``) tells
nobody: such an act calls ``texts_renew`` itself.
"""

from collections.abc import Callable, Iterable

from django.db import connection, transaction

from shop.intake.models import Ticket
from shop.records import jobs
from shop.searching import sources, trigrams, words
from shop.searching.models import TicketText

AT_ONCE = 200


@transaction.atomic
def texts_renew(ids: Iterable[int]) -> int:
    """Make the texts of these tickets anew; how many were another before.

    Their rows are locked before the sources are read: of two acts at once the
    second sees what the first has written.
    """
    ids = sorted(set(ids))
    known = TicketText.objects.select_for_update().in_bulk(ids)
    texts = sources.texts_of(ids)
    rows = [
        TicketText(ticket_id=pk, shop_id=shop_id, text=text)
        for pk, (shop_id, text) in sorted(texts.items())
        if pk not in known or known[pk].text != text
    ]
    TicketText.objects.bulk_create(
        rows,
        update_conflicts=True,
        unique_fields=["ticket"],
        update_fields=["shop", "text"],
    )
    return len(rows)


def texts_anew(may_go_on: Callable[[], bool] = jobs.may_go_on) -> int:
    """Make every text anew, some at a time; how many were another before."""
    changed, last = 0, 0
    while may_go_on():
        rows = Ticket.objects.filter(pk__gt=last).order_by("pk")
        ids = list(rows.values_list("pk", flat=True)[:AT_ONCE])
        if not ids:
            break
        changed += texts_renew(ids)
        words.keep(connection, ids)
        last = ids[-1]
    words.sweep(connection, may_go_on)
    return changed


def index_make(say: trigrams.Say) -> bool:
    """The trigram index, where it is missing; False where it can't be made."""
    with transaction.atomic():
        return trigrams.make(connection, say)
