"""Badges: a card with a code that signs its holder in at a bench tablet.

The code has 130 bits from ``secrets`` and is kept as a hash; the card is printed once.
Its signs stand on the same keys of QWERTY, QWERTZ and AZERTY, and none is like another.
"""

import hashlib
import math
import re
import secrets

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from shop import pdf, qr
from shop.people.models import Badge, Person, Shop
from shop.people.sign_in_log import log
from shop.records import services as records
from shop.records.kinds import Kind

SIGNS = "BCDEFGHJKNPRSTUVX23456789"
LENGTH = 28
BITS = LENGTH * math.log2(len(SIGNS))
# A scanner set to another keyboard types another sign for the hyphen.
CODE = re.compile(rf"CR.{{0,2}}B.{{0,2}}([{SIGNS}]{{{LENGTH}}})")


@transaction.atomic
def badge_make(*, person: Person, shop: Shop, by: Person) -> tuple[Badge, str]:
    """A new badge and the code on it, which is told this once."""
    token = "".join(secrets.choice(SIGNS) for _sign in range(LENGTH))
    badge = Badge.objects.create(
        shop=shop, person=person, token_hash=_hash_of(token), made_by=by
    )
    _tell(Kind.BADGE_MADE, badge, by)
    return badge, f"CR-B-{token}"


@transaction.atomic
def badge_end(*, badge: Badge, by: Person) -> None:
    if badge.ended_at is not None:
        return
    badge.ended_at = timezone.now()
    badge.save(update_fields=["ended_at"])
    _tell(Kind.BADGE_ENDED, badge, by)


def badge_of(code: str, shop: Shop) -> Badge | None:
    """The badge that was scanned, of somebody who still works here."""
    typed = CODE.fullmatch("".join(code.split()).upper())
    if typed is None:
        return None
    known = Badge.objects.filter(
        shop=shop,
        token_hash=_hash_of(typed[1]),
        ended_at=None,
        person__is_active=True,
    )
    return known.select_related("person").first()


def card(badge: Badge, code: str) -> bytes:
    """The card as a PDF of a bank card's size."""
    context = {
        "shop": badge.shop,
        "person": badge.person,
        "stamp": badge.made_at,
        "code": qr.svg(code),
    }
    return pdf.render(
        render_to_string("papers/badge.html", context), stamp=badge.made_at
    )


def _hash_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _tell(kind: Kind, badge: Badge, by: Person) -> None:
    records.event_record(
        kind,
        shop_id=badge.shop_id,
        by_id=by.pk,
        person_id=badge.person_id,
        ids={"badge": badge.pk},
    )
    log.info("person %s: badge %s, %s", badge.person_id, badge.pk, kind.value)
