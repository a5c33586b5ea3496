"""An intake that was not sent yet, kept on the server: a closed tab loses nothing.

It belongs to who typed it and to the station where it was typed, and holds what the
form held, field by field. Personal data stays off the tablet (trust.md, 14.3.3).
"""

import json
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Q, QuerySet
from django.forms import Field, MultipleChoiceField
from django.http import QueryDict
from django.utils import timezone

from shop.intake.counter_models import IntakeDraft
from shop.people.models import Person, Shop, Station
from shop.records import clock
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event
from shop.records.sealed import CannotOpen, seal, unseal

KEPT = timedelta(hours=24)
LONGEST = 100_000
MOST_SHOWN = 5
ROWS = "machine-TOTAL_FORMS"
MACHINE = re.compile(r"machine-(\d{1,2})-[a-z]")
NOT_KEPT = {"csrfmiddlewaretoken", "idempotency_key", "draft", "intake_to", "then"}
WRITTEN = {"name", "phone", "email", "address", "model", "serial", "told", "tracking"}
Fields = dict[str, list[str]]


@dataclass(frozen=True)
class Waiting:
    """A draft in the list above an empty intake: whose, of what, from when."""

    row: IntakeDraft
    kind: str
    name: str
    model: str


def listen() -> None:
    records.when(Kind.PERSON_LEFT, _drop_of_who_left)


def _drop_of_who_left(event: Event) -> None:
    if event.person_id is not None:
        IntakeDraft.objects.filter(person_id=event.person_id).delete()


def sweep() -> None:
    old = clock.database_now() - KEPT
    IntakeDraft.objects.filter(saved_at__lt=old).delete()


def key_of(typed: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(typed)
    except ValueError:
        return None


def _own(shop: Shop, person: Person, station: Station | None) -> QuerySet[IntakeDraft]:
    mine = Q(person=person)
    if station is not None:
        mine |= Q(station=station)
    return IntakeDraft.objects.filter(mine, shop=shop)


def draft_save(
    *,
    shop: Shop,
    person: Person,
    station: Station | None,
    key: uuid.UUID,
    typed: QueryDict,
    asked: Mapping[str, Field],
    kind: str,
) -> IntakeDraft | None:
    """Keep what a form holds. ``asked`` are its fields: what it did not ask stays.

    ``kind`` is the kind of intake to go on with.

    Nothing typed at all keeps nothing, nor does more than any intake holds.
    """
    known = IntakeDraft.objects.filter(key=key)
    row = known.filter(pk__in=_own(shop, person, station)).first()
    if (row is None and known.exists()) or (row and row.ended_at):
        return None
    before = fields_of(row) if row else {}
    fields = _merged(before, typed, asked) | {"intake": [kind]}
    if not any(_is_typed(name, values) for name, values in fields.items()):
        return row
    row = row or IntakeDraft(shop=shop, key=key, person=person, station=station)
    text = json.dumps(fields)
    if len(text) > LONGEST:
        return None
    seal(row, "sealed", text)
    row.saved_at = timezone.now()
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:  # taken in at this very moment
        return None
    return row


def _merged(before: Fields, typed: QueryDict, asked: Mapping[str, Field]) -> Fields:
    """What a field offers by itself is not kept: another kind offers something else."""
    now = {
        name: typed.getlist(name)
        for name in typed
        if name not in NOT_KEPT
        and not (name in asked and typed.getlist(name) == [str(asked[name].initial)])
    }
    gone = set(asked) | {n for n in before if MACHINE.match(n) and ROWS in typed}
    return {n: v for n, v in before.items() if n not in gone} | now


def _is_typed(name: str, values: list[str]) -> bool:
    """Whether a person wrote it: what every empty intake offers is none of that."""
    written = {
        "name",
        "phone",
        "email",
        "address",
        "model",
        "serial",
        "told",
        "tracking",
    }
    return (name in written or name.startswith("machine-")) and any(
        value.strip() for value in values if not name.endswith("_FORMS")
    )


def fields_of(row: IntakeDraft) -> Fields:
    try:
        fields = json.loads(unseal(row, "sealed") or "{}")
    except (CannotOpen, ValueError):
        return {}
    return fields if isinstance(fields, dict) else {}


def draft_get(
    shop: Shop, person: Person, station: Station | None, key: uuid.UUID | None
) -> IntakeDraft | None:
    if key is None:
        return None
    own = _own(shop, person, station)
    return own.filter(key=key, ended_at=None).first()


def draft_drop(
    *, shop: Shop, person: Person, station: Station | None, key: uuid.UUID | None
) -> None:
    """Taken in, or thrown away: emptied, and kept as ended for a day."""
    if key is None:
        return
    ended = {"sealed": "", "ended_at": timezone.now()}
    whose = {"shop": shop, "person": person, "station": station}
    _row, is_new = IntakeDraft.objects.get_or_create(key=key, defaults=whose | ended)
    if not is_new:
        _own(shop, person, station).filter(key=key).update(**ended)


def waiting(shop: Shop, person: Person, station: Station | None) -> list[Waiting]:
    """What was begun here and not taken in, newest first."""
    rows = _own(shop, person, station).filter(ended_at=None).order_by("-saved_at")
    young = rows.filter(saved_at__gt=timezone.now() - KEPT)
    return [_shown(row) for row in young[:MOST_SHOWN]]


def _shown(row: IntakeDraft) -> Waiting:
    fields = fields_of(row)
    model = first(fields, "model") or first(fields, "machine-0-model")
    kind = first(fields, "intake")
    return Waiting(row, kind=kind, name=first(fields, "name"), model=model)


def first(fields: Mapping[str, list[str]], name: str) -> str:
    return next(iter(fields.get(name, [])), "")


def initial_of(fields: Fields, asked: Mapping[str, Field]) -> dict[str, Any]:
    """What a form is to show: lists where it asks for several."""
    return {
        name: fields[name] if isinstance(field, MultipleChoiceField) else values[0]
        for name, field in asked.items()
        if (values := fields.get(name))
    }


def rows_of(fields: Fields, asked: Mapping[str, Field]) -> list[dict[str, Any]]:
    """The rows of several machines, those in the middle that are empty among them."""
    numbers = [
        int(found[1]) for name in fields if (found := MACHINE.match(name)) is not None
    ]
    rows = []
    for number in range(max(numbers, default=-1) + 1):
        begin = f"machine-{number}-"
        own = {n: v for n, v in fields.items() if n.startswith(begin)}
        row = {n.removeprefix(begin): values for n, values in own.items()}
        rows.append(initial_of(row, asked))
    while rows and not any(rows[-1].values()):
        rows.pop()
    return rows
