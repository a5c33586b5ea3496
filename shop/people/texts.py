"""The texts that customers read: which are in force, and whether they were read.

A text is in force once the owner has read it and said so; until then the last one
that was read stands. Before the first reading there is none.
"""

from datetime import datetime

from shop.people import message_texts
from shop.people.languages import spoken
from shop.people.models import Shop, ShopText, TextKind, TextsRead

Texts = dict[str, str]
Newest = dict[tuple[str, str], ShopText]


def newest(shop: Shop, until: datetime | None = None) -> Newest:
    """The newest row of each kind and language, made until ``until``."""
    rows = shop.texts.order_by("id")
    if until is not None:
        rows = rows.filter(made_at__lte=until)
    return {(row.kind, row.language): row for row in rows}


def texts_are_read(shop: Shop) -> bool:
    """Whether every text, as it stands now, was read and found right."""
    last = shop.texts_read.last()
    return last is not None and not shop.texts.filter(made_at__gt=last.at).exists()


def may_reach_customers(shop_id: int) -> bool:
    """Whether the owner has ever read the texts: before that no message goes out."""
    return TextsRead.objects.filter(shop_id=shop_id).exists()


def words_of(shop: Shop, when: datetime, language: str, kind: str) -> str:
    """One text as of a moment; ours where the shop had read none of its kind."""
    last = shop.texts_read.filter(at__lte=when).last()
    rows = newest(shop, until=last.at) if last else {}
    row = rows.get((kind, language)) or rows.get((kind, shop.language_codes[0]))
    if row is not None:
        return row.text
    return message_texts.ours(spoken(language)).get(kind, "")


def in_force(shop: Shop, when: datetime, language: str) -> Texts:
    """The texts that a paper of ``when`` carries, by kind; none before a reading.

    In the customer's language, else in the shop's usual one.
    """
    last = shop.texts_read.filter(at__lte=when).last()
    if last is None:
        return {}
    rows = newest(shop, until=last.at)
    usual = shop.language_codes[0]
    found = {}
    for kind in TextKind.values:
        row = rows.get((kind, language)) or rows.get((kind, usual))
        if row is not None and row.text:
            found[kind] = row.text
    return found
