"""What the engine said of boards that were repaired, beside what it was.

For each proven finding the advice counts that was kept last before the repair that
it is of: what was said then stands against what proved to be so, never by hindsight.
A part is right where it is the finding's, whatever its way of failing; so its ways
are added up, as ``engine.naming`` does.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import Max, QuerySet

from diagnostics.engine.assessment import Assessment
from diagnostics.engine.calibration import Bin, Said, bins, place_of
from diagnostics.models import Advice, Finding, Intervention, InterventionKind
from shop.people.models import Shop
from shop.records.cache import cache

KEPT_SECONDS = 24 * 60 * 60
# Said when the repair was done or the ticket over: no forecast any more.
AFTERWARDS = (Advice.Moment.FINDING_CONFIRMED, Advice.Moment.TICKET_CLOSED)


def of_shop(shop: Shop) -> tuple[Bin, ...]:
    """How often a share that was said came true in this shop.

    Advice and findings only grow, and what was said before a repair is settled with
    its finding: so the newest finding says whether anything has changed.
    """
    newest = proven(shop).aggregate(newest=Max("id"))["newest"]
    if newest is None:
        return bins(())
    key = f"calibration-{shop.pk}-{newest}"
    found: tuple[Bin, ...] | None = cache.get(key)
    if found is None:
        found = bins(cases(proven(shop)))
        cache.set(key, found, KEPT_SECONDS)
    return found


def bin_now(shop: Shop, said: Assessment) -> Bin | None:
    """The bin of what is said of the first suspect's part; none without suspects."""
    if not said.suspects:
        return None
    first = said.suspects[0].part_id
    share = sum(one.probability for one in said.suspects if one.part_id == first)
    return of_shop(shop)[place_of(share)]


def proven(shop: Shop) -> QuerySet[Finding]:
    return Finding.objects.filter(
        board__shop=shop, is_proven=True, cause=Finding.Cause.PART
    )


def cases(findings: QuerySet[Finding]) -> list[Said]:
    """One for each finding that something was said of before its repair."""
    found = list(findings.order_by("id"))
    boards = {one.board_id for one in found}
    repairs = {
        (done.board_id, done.epoch): done
        for done in Intervention.objects.filter(board_id__in=boards).exclude(
            kind=InterventionKind.AWAY
        )
    }
    said: dict[int, list[Advice]] = {}
    kept = Advice.objects.filter(board_id__in=boards).exclude(moment__in=AFTERWARDS)
    for row in kept.order_by("at", "id"):
        said.setdefault(row.board_id, []).append(row)
    told = (
        case(one, repairs.get((one.board_id, one.epoch)), said.get(one.board_id, []))
        for one in found
    )
    return [one for one in told if one is not None]


def case(
    finding: Finding, repair: Intervention | None, said: Iterable[Advice]
) -> Said | None:
    """The last that was said of this ticket's board before the repair."""
    if repair is None:
        return None
    before = [
        row
        for row in said
        if row.ticket_id == finding.ticket_id and row.at <= repair.at and row.suspects
    ]
    if not before:
        return None
    part, share = first_part(before[-1].suspects)
    return Said(share, was_right=part == finding.part_id)


def first_part(suspects: list[Mapping[str, Any]]) -> tuple[str, float]:
    """The part of the first suspect, and the share of all its ways of failing."""
    part = suspects[0]["part"]
    return part, sum(one["p"] for one in suspects if one["part"] == part)
