"""The dry run: a file is checked slice by slice, and nothing is brought in."""

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice

from django.db import transaction
from django.db.models.functions import Lower

from shop.billing.models import StockItem
from shop.intake.models import Customer, Ticket
from shop.opening.imports.cleaning import Cleaner, Draft
from shop.opening.imports.columns import CUSTOMERS, STOCK
from shop.opening.imports.reading import Record, records, text_of
from shop.opening.models import ImportRow, ImportRun
from shop.records.errors import Refused

SLICE = 2_500
BATCH = 500
State = ImportRow.State
LONGEST_PROBLEM = 300


@transaction.atomic
def check_some(run: ImportRun) -> ImportRun:
    """Check the next slice of rows; call it until ``run.is_checked``."""
    run = ImportRun.objects.select_for_update().get(pk=run.pk)
    if run.is_checked or run.done_at:
        return run
    first = run.checked_rows + 1  # row 0 is the header
    rows = list(islice(_records(run), first, first + SLICE))
    drafts = [_drafted(run, cleaner_of(run), record) for record in rows]
    good = [draft for _row, draft in drafts if draft is not None]
    known = _Known(run, good)
    lines = [known.judged(row, draft) for row, draft in drafts]
    ImportRow.objects.bulk_create(lines, batch_size=BATCH)
    run.checked_rows += len(rows)
    run.save(update_fields=["checked_rows"])
    return run


def sample(run: ImportRun, count: int) -> list[Record]:
    """The header and the first rows."""
    return list(islice(_records(run), count + 1))


def cleaner_of(run: ImportRun) -> Cleaner:
    return Cleaner(run.shop, run.shop.language_codes[0], run.uploaded_at)


def _records(run: ImportRun) -> Iterator[Record]:
    return records(text_of(bytes(run.body), run.encoding), run.separator)


def _drafted(
    run: ImportRun, cleaner: Cleaner, record: Record
) -> tuple[ImportRow, Draft | None]:
    row = ImportRow(run=run, line=record.line, state=State.GOOD)
    try:
        draft = cleaner.draft(run.what, row_of(record, run.columns))
    except Refused as refused:
        row.state, row.column = State.BAD, refused.field or ""
        row.problem = str(refused)[:LONGEST_PROBLEM]
        return row, None
    row.values, row.key, row.key_2 = draft.values, draft.key, draft.key_2
    return row, draft


def row_of(record: Record, columns: Mapping[str, int]) -> dict[str, str]:
    """Field -> cell; what a short row lacks is empty."""
    cells = record.cells
    return {
        name: cells[index] if index < len(cells) else ""
        for name, index in columns.items()
    }


class _Known:
    """What is here already: in the shop, and in the rows of the file before."""

    def __init__(self, run: ImportRun, drafts: list[Draft]) -> None:
        keys = {draft.key for draft in drafts if draft.key}
        seconds = {draft.key_2 for draft in drafts if draft.key_2}
        self.here = dict(_here(run, keys, seconds))
        for column, wanted in (("key", keys), ("key_2", seconds)):
            for some in _chunks(wanted):
                lines = run.lines.filter(**{f"{column}__in": some}, state=State.GOOD)
                for key, line in lines.values_list(column, "line"):
                    self.here.setdefault(key, f"#{line}")

    def judged(self, row: ImportRow, draft: Draft | None) -> ImportRow:
        """A row that is here already is a twin; one that is not is known from now."""
        if draft is None:
            return row
        keys = [key for key in (draft.key, draft.key_2) if key]
        twin = next((self.here[key] for key in keys if key in self.here), None)
        if twin is not None:
            row.state, row.problem = State.TWIN, twin[:LONGEST_PROBLEM]
            return row
        for key in keys:
            self.here[key] = f"#{row.line}"
        return row


def _here(
    run: ImportRun, keys: set[str], seconds: set[str]
) -> Iterator[tuple[str, str]]:
    """Key -> what has it in the shop."""
    shop = run.shop
    for some in _chunks(keys):
        if run.what == CUSTOMERS:
            found = Customer.objects.filter(shop=shop, phone_e164__in=some)
            yield from found.values_list("phone_e164", "name")
        elif run.what == STOCK:
            taken_back = _taken_back(run)
            for pk, code, name in StockItem.objects.filter(
                shop=shop, code__in=some
            ).values_list("pk", "code", "name"):
                if pk not in taken_back:
                    yield code, name
        else:
            open_or_done = Ticket.objects.filter(shop=shop, old_number__in=some)
            standing = open_or_done.exclude(handover__is_undone=True)
            yield from standing.values_list("old_number", "number")
    for some in _chunks(seconds):
        mails = Customer.objects.filter(shop=shop).annotate(low=Lower("email"))
        yield from mails.filter(low__in=some).values_list("low", "name")


def _taken_back(run: ImportRun) -> set[int]:
    """Stock items of imports that were undone: their codes are free again."""
    undone = run.shop.imports.filter(what=STOCK, undone_at__isnull=False)
    found = set[int]()
    for other in undone.defer("body"):
        kept = set(other.lines.filter(state=State.KEPT).values_list("pk", flat=True))
        found |= {made for pk, made in other.made if pk not in kept}
    return found


def _chunks(keys: Iterable[str]) -> Iterator[list[str]]:
    left = iter(keys)
    while some := list(islice(left, BATCH)):
        yield some
