"""Tickets closed as fixed, counted by SQL, and those that came back."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from django.db import connection
from django.db.models import Max, Q

from diagnostics.models import Finding
from shop.billing.models import Invoice
from shop.intake.models import Answer, Ticket
from shop.office.asked import Asked
from shop.office.quality.fix_rate import Fault, Held, fault_of, is_return
from shop.office.spans import Span, spans_of
from shop.people.models import Shop
from shop.records.kinds import Kind
from shop.records.models import Event

# The invoice says until when the warranty runs; where none does, the shop's days.
FIXED = """
WITH fixed AS (
    SELECT h.ticket_id, h.at, t.liquid, MAX(i.warranty_until) AS until
    FROM intake_handover h
    JOIN intake_ticket t ON t.id = h.ticket_id
    JOIN intake_outcome o ON o.ticket_id = h.ticket_id AND o.kind = 'fixed'
    LEFT JOIN billing_invoice i ON i.ticket_id = h.ticket_id AND i.kind = 'invoice'
    WHERE t.shop_id = %(shop)s AND NOT h.is_undone
        AND h.at >= %(since)s AND h.at < %(until)s
    GROUP BY h.ticket_id, h.at, t.liquid
), found AS (
    SELECT f.ticket_id, MAX(f.id) AS id
    FROM fixed x JOIN diagnostics_finding f ON f.ticket_id = x.ticket_id
    WHERE f.cause = 'part' GROUP BY f.ticket_id
), boards AS (
    SELECT tb.ticket_id, CASE WHEN MIN(b.board_model_id) = MAX(b.board_model_id)
        THEN MIN(b.board_model_id) END AS model_id
    FROM fixed x
    JOIN diagnostics_ticketboard tb ON tb.ticket_id = x.ticket_id
    JOIN diagnostics_board b ON b.id = tb.board_id
    GROUP BY tb.ticket_id
), each AS (
    SELECT x.ticket_id, f.by_id, f.part_id, b.model_id,
        CASE WHEN x.liquid = 'yes' THEN 1 ELSE 0 END AS wet,
        CASE WHEN x.until < %(today)s THEN 1
            WHEN x.until IS NULL AND x.liquid = 'yes' AND x.at < %(wet_run)s THEN 1
            WHEN x.until IS NULL AND x.liquid <> 'yes' AND x.at < %(run)s THEN 1
            ELSE 0 END AS has_run,
        CASE {spans} END AS span
    FROM fixed x
    LEFT JOIN found ON found.ticket_id = x.ticket_id
    LEFT JOIN diagnostics_finding f ON f.id = found.id
    LEFT JOIN boards b ON b.ticket_id = x.ticket_id
)
SELECT 'back', e.span, e.by_id, e.wet, e.model_id, e.part_id, e.has_run, 1, r.id
FROM each e JOIN intake_ticket r ON r.returns_to_id = e.ticket_id
LEFT JOIN intake_handover rh ON rh.ticket_id = r.id
WHERE r.intake_kind = 'warranty' AND (rh.id IS NULL OR NOT rh.is_undone)
UNION ALL
SELECT 'person', span, by_id, wet, NULL, NULL, has_run, COUNT(*), NULL
FROM each GROUP BY span, by_id, wet, has_run
UNION ALL
SELECT 'model', span, NULL, 0, model_id, NULL, has_run, COUNT(*), NULL
FROM each GROUP BY span, model_id, has_run
UNION ALL
SELECT 'part', 0, NULL, 0, model_id, part_id, has_run, COUNT(*), NULL
FROM each GROUP BY model_id, part_id, has_run
"""


@dataclass(frozen=True)
class Days:
    """Of warranty, and after liquid."""

    dry: int
    wet: int


@dataclass(frozen=True)
class Seen:
    """What a ticket closed as fixed is told apart by; None: not known."""

    span: int
    person: int | None
    is_wet: bool
    model: int | None
    part: str | None
    has_run: bool


@dataclass(frozen=True)
class Back:
    """A ticket that came back for its warranty."""

    ticket: str
    earlier: str
    seen: Seen
    days: int
    fault: Fault
    is_covered: bool | None
    counts: bool


BILLED = Q(returns_to__invoices__kind=Invoice.Kind.INVOICE)
Group = tuple[str, int | str | None]  # what is told apart, and which
Tally = Mapping[Group, Held]


@dataclass(frozen=True)
class Fixed:
    """``groups`` over the whole time; ``spans`` the same in each of its spans.

    Groups: all, person (id), wet, model (id), part (id) with its model.
    """

    spans: Sequence[Span]
    groups: Tally
    in_spans: Sequence[Tally]
    parts: Mapping[tuple[int | None, str | None], Held]
    back: Sequence[Back] = field(default=())

    def held(self, what: str, which: int | str | None = None) -> Held:
        return self.groups.get((what, which), Held())


def fixed_of(shop: Shop, asked: Asked) -> Fixed:
    """Five queries, however many tickets."""
    spans = spans_of(asked.since, asked.until, shop.zone)
    if not spans:
        return Fixed((), {}, (), {})
    days = _days(shop, asked.now)
    rows = _rows(shop, asked, spans, days)
    came = [(_seen(row), row[-1]) for row in rows if row[0] == "back"]
    back = _back(shop, came, days)
    return _added(spans, [row for row in rows if row[0] != "back"], back)


def _days(shop: Shop, now: datetime) -> Days:
    """The warranty that the shop gives now; none without terms."""
    rows = shop.terms.filter(valid_from__lte=now).order_by("-valid_from")
    found = rows.values_list("warranty_days", "liquid_warranty_days").first()
    return Days(*found) if found else Days(0, 0)


def _rows(
    shop: Shop, asked: Asked, spans: Sequence[Span], days: Days
) -> list[Sequence[Any]]:
    moment = connection.ops.adapt_datetimefield_value
    today = asked.now.astimezone(shop.zone).date()
    values: dict[str, Any] = {
        "shop": shop.pk,
        "since": moment(asked.since),
        "until": moment(asked.until),
        "today": connection.ops.adapt_datefield_value(today),
        "run": moment(asked.now - timedelta(days=days.dry)),
        "wet_run": moment(asked.now - timedelta(days=days.wet)),
    }
    values |= {f"span_{n}": moment(one.until) for n, one in enumerate(spans)}
    when = " ".join(f"WHEN x.at < %(span_{n})s THEN {n}" for n in range(len(spans)))
    with connection.cursor() as cursor:
        # Only names and numbers of our own are put together here.
        cursor.execute(FIXED.format(spans=when), values)
        found: list[Sequence[Any]] = cursor.fetchall()
    return found


def _seen(row: Sequence[Any]) -> Seen:
    _what, span, person, wet, model, part, run, *_more = row
    return Seen(span, person, bool(wet), model, part, bool(run))


# --- what came back -----------------------------------------------------------------


def _back(shop: Shop, found: Sequence[tuple[Seen, int]], days: Days) -> list[Back]:
    """The newest first; of a ticket that came back twice the first return counts."""
    seen = {ticket: one for one, ticket in found}
    rows: list[Any] = list(
        Ticket.objects.filter(pk__in=seen)
        .annotate(until=Max("returns_to__invoices__warranty_until", filter=BILLED))
        .order_by("-opened_at")
        .values(
            "pk",
            "number",
            "opened_at",
            "until",
            "returns_to",
            "returns_to__number",
            "returns_to__liquid",
            "returns_to__handover__at",
        )
    )
    covered = _covered(list(seen))
    parts = _parts([pk for row in rows for pk in (row["pk"], row["returns_to"])])
    counted: set[int] = set()
    told = []
    for row in reversed(rows):
        pk, earlier = row["pk"], row["returns_to"]
        decided = covered.get(pk)
        until = row["until"] or _until(shop, row, days)
        opened = row["opened_at"].astimezone(shop.zone).date()
        is_in_time = is_return(opened, until, is_covered=decided)
        told.append(
            Back(
                ticket=row["number"],
                earlier=row["returns_to__number"],
                seen=seen[pk],
                days=max(0, (row["opened_at"] - row["returns_to__handover__at"]).days),
                fault=fault_of(parts[earlier], parts[pk]),
                is_covered=decided,
                counts=is_in_time and earlier not in counted,
            )
        )
        if is_in_time:
            counted.add(earlier)
    return told[::-1]


def _until(shop: Shop, row: Mapping[str, Any], days: Days) -> date:
    """By the shop's days, where no invoice says it."""
    closed: datetime = row["returns_to__handover__at"]
    own = days.wet if row["returns_to__liquid"] == Answer.YES else days.dry
    return closed.astimezone(shop.zone).date() + timedelta(days=own)


def _covered(tickets: Sequence[int]) -> dict[int, bool]:
    """The newest decision counts."""
    rows = Event.objects.filter(ticket_id__in=tickets, kind=Kind.WARRANTY_DECIDED)
    told = rows.order_by("id").values_list("ticket_id", "codes")
    return {pk: bool(codes["is_covered"]) for pk, codes in told if pk is not None}


def _parts(tickets: Sequence[int]) -> Mapping[int, set[str]]:
    rows = Finding.objects.filter(ticket__in=tickets, cause=Finding.Cause.PART)
    found: dict[int, set[str]] = defaultdict(set)
    for ticket, part in rows.values_list("ticket_id", "part_id"):
        found[ticket or 0].add(part)
    return found


# --- added up -----------------------------------------------------------------------


def _added(
    spans: Sequence[Span], rows: Sequence[Sequence[Any]], back: Sequence[Back]
) -> Fixed:
    groups: dict[Group, Held] = defaultdict(Held)
    in_spans: list[dict[Group, Held]] = [defaultdict(Held) for _one in spans]
    parts: dict[tuple[int | None, str | None], Held] = defaultdict(Held)

    def add(seen: Seen, kinds: Sequence[str], held: Held) -> None:
        for group in _groups_of(seen, kinds):
            groups[group] += held
            in_spans[seen.span][group] += held
        if "part" in kinds:
            parts[seen.model, seen.part] += held

    for row in rows:
        seen, count = _seen(row), row[7]
        held = Held(run=count) if seen.has_run else Held(young=count)
        add(seen, [row[0]], held)
    for one in back:
        if one.counts:
            held = Held(back=1) if one.seen.has_run else Held(young_back=1)
            add(one.seen, ["person", "model", "part"], held)
    return Fixed(spans, groups, in_spans, parts, back)


def _groups_of(seen: Seen, kinds: Sequence[str]) -> list[Group]:
    found: list[Group] = []
    if "person" in kinds:
        found += [("all", None), ("person", seen.person)]
        found += [("wet", None)] if seen.is_wet else []
    if "model" in kinds:
        found.append(("model", seen.model))
    return found
