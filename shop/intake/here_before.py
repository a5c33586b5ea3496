"""Who may be at the counter, while a name or a number is typed.

First what holds the typed letters or digits as they are; where that finds nobody, what
holds most of their pieces: one letter or digit may be wrong, missing or swapped.
"""

from collections.abc import Iterator
from itertools import pairwise

from django.db.models import Q, QuerySet

from shop.intake import phones
from shop.intake.joining import alike
from shop.intake.models import Customer
from shop.people.models import Shop

MOST_OFFERED = 5
SHORTEST_NAME = 2
# A typo leaves these many letters beside it whole; pieces and rows are bounded so that
# a key press never costs more than one look through the names.
PIECE, MOST_PIECES, MOST_ROWS = 3, 12, 400
LIKE_ENOUGH = 0.7
SHORTEST_PHONE = 5


def customers_like(shop: Shop, name: str, phone: str) -> list[Customer]:
    """Customers who may be the one at the counter, the likeliest first."""
    name, phone = (given.replace("\0", "").strip() for given in (name, phone))
    known = Customer.objects.filter(shop=shop, joined_to=None, erased_at=None)
    exact = list(
        known.filter(_as_typed(shop, name, phone)).order_by("id")[:MOST_OFFERED]
    )
    return exact or _nearly(known, name, phone)


def _as_typed(shop: Shop, name: str, phone: str) -> Q:
    digits = phones.piece(phone)
    asked = Q(pk__in=[])
    if len(name) >= SHORTEST_NAME:
        asked |= _all_words(name)
    if digits:
        e164 = phones.e164(phone, shop.country) or digits
        asked |= Q(phone_e164__contains=e164.lstrip("+"))
        asked |= Q(phone_typed__contains=phone)
    return asked


def _all_words(name: str) -> Q:
    """Each word somewhere in the name: "pell ada" is Ada Pell."""
    asked = Q()
    for word in name.split():
        asked &= Q(name__icontains=word)
    return asked


def _nearly(known: QuerySet[Customer], name: str, phone: str) -> list[Customer]:
    asked = Q(pk__in=[])
    for piece in _pieces(name):
        asked |= Q(name__icontains=piece)
    digits = phones.piece(phone)
    if len(digits) >= SHORTEST_PHONE:
        for half in (digits[: len(digits) // 2], digits[len(digits) // 2 :]):
            asked |= Q(phone_e164__contains=half)
    rows = known.filter(asked).order_by("id")[:MOST_ROWS]
    marked = ((_mark(row, name, digits), row) for row in rows)
    near = [(mark, row) for mark, row in marked if mark >= LIKE_ENOUGH]
    near.sort(key=lambda pair: (-pair[0], pair[1].pk))
    return [row for _mark, row in near[:MOST_OFFERED]]


def _pieces(name: str) -> list[str]:
    found = (
        word[at : at + PIECE]
        for word in name.casefold().split()
        for at in range(len(word) - PIECE + 1)
    )
    return list(dict.fromkeys(found))[:MOST_PIECES]


def _mark(row: Customer, name: str, digits: str) -> float:
    """How well a row fits: its name or a word of it, or its number."""
    marks = [alike(name, told) for told in _names(row.name)] if name else []
    if digits and row.phone_e164:
        marks.append(alike(digits, row.phone_e164[-len(digits) :]))
    return max(marks, default=0.0)


def _names(name: str) -> Iterator[str]:
    """The whole name, its words, and its neighbouring words: one types a part."""
    words = name.split()
    yield name
    yield from words
    yield from map(" ".join, pairwise(words))
