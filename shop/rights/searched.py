"""Personal text that belongs to no one row's customer: looked through for a name.

Intakes not sent yet and files of old customers not brought in hold whole people; a
kept answer is a page as it was shown; why two were parted again is said of both.
"""

import json
import re
from collections.abc import Iterable, Iterator

from django.db.models import Q, QuerySet
from django.utils import timezone

from shop.intake.counter_models import IntakeDraft
from shop.intake.drafts import fields_of
from shop.intake.models import Customer
from shop.opening.models import ImportRow, ImportRun
from shop.people.models import Shop
from shop.records.kinds import Kind
from shop.records.models import Event, KeptAnswer, Note

SHORTEST = 3  # of a name or a number that is looked for


def naming(rows: Iterable[Customer]) -> re.Pattern[str]:
    """What names one of these customers in a text: name, phone, e-mail, as words."""
    told = {
        text.strip()
        for row in rows
        for text in (row.name, row.phone_typed, row.phone_e164, row.email)
    }
    known = sorted(text for text in told if len(text) >= SHORTEST)
    either = "|".join(map(re.escape, known)) or "(?!)"
    return re.compile(rf"(?<!\w)(?:{either})(?!\w)", re.IGNORECASE)


def erase(shop: Shop, rows: Iterable[Customer], ids: Iterable[int]) -> None:
    """Nothing of these customers is left in what is searched."""
    named = naming(rows)
    drafts = [row.pk for row in drafts_naming(shop, named, set(map(str, ids)))]
    IntakeDraft.objects.filter(pk__in=drafts).delete()
    _imports_erase(shop, named)
    parted_notes(shop, ids).update(text="", erased_at=timezone.now())
    answers_empty()


def answers_empty() -> None:
    """Of every form that was sent lately: its answer's page goes, that it was done
    stays, so that the same form still does nothing twice.
    """
    KeptAnswer.objects.exclude(body="").update(body="")


def parted_notes(shop: Shop, ids: Iterable[int]) -> QuerySet[Note]:
    """Why somebody was parted from one of these customers."""
    ids = list(ids)
    parted = Event.objects.filter(shop_id=shop.pk, kind=Kind.CUSTOMERS_PARTED)
    of_them = parted.filter(Q(ids__kept__in=ids) | Q(ids__gone__in=ids))
    notes = of_them.exclude(note=None).values_list("note", flat=True)
    return Note.objects.filter(pk__in=list(notes))


def drafts_naming(
    shop: Shop, named: re.Pattern[str], ids: set[str]
) -> Iterator[IntakeDraft]:
    for row in IntakeDraft.objects.filter(shop=shop).exclude(sealed=""):
        fields = fields_of(row)
        is_chosen = bool(ids & set(fields.get("customer", [])))
        if is_chosen or any(named.search(v) for vs in fields.values() for v in vs):
            yield row


def _imports_erase(shop: Shop, named: re.Pattern[str]) -> None:
    """A run that is not brought in yet and names them goes whole; of others a row's
    own words.
    """
    for run in ImportRun.objects.filter(shop=shop, done_at=None).exclude(body=b""):
        if named.search(bytes(run.body).decode(run.encoding, "replace")):
            run.delete()
    rows = ImportRow.objects.filter(run__shop=shop).exclude(
        values={}, problem="", key="", key_2=""
    )
    ids = [row.pk for row in rows.iterator() if named.search(told(row))]
    ImportRow.objects.filter(pk__in=ids).update(values={}, problem="", key="", key_2="")


def told(row: ImportRow) -> str:
    values = json.dumps(row.values, ensure_ascii=False)
    return f"{values}\n{row.problem}\n{row.key}\n{row.key_2}"
