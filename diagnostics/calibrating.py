"""What the engine said of boards that were repaired, beside what it was.

For each proven finding the advice counts that was kept last before the repair that
it is of: what was said then stands against what proved to be so, never by hindsight.
A part is right where it is the finding's, whatever its way of failing; so its ways
are added up, as ``engine.naming`` does.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from django.core.cache import cache as shared
from django.db.models import OuterRef, QuerySet, Subquery

from diagnostics.engine.assessment import Assessment
from diagnostics.engine.calibration import EDGES, Bin, Said, bins, place_of
from diagnostics.models import Advice, Finding, Intervention, InterventionKind
from shop.people.models import Shop
from shop.records.cache import cache

KEPT_SECONDS = 24 * 60 * 60
PIECE = 500  # findings at once
TAIL = 200  # an earlier number may be committed later
# Said when the repair was done or the ticket over: no forecast any more.
AFTERWARDS = (Advice.Moment.FINDING_CONFIRMED, Advice.Moment.TICKET_CLOSED)
PROVEN: Mapping[str, Any] = {"is_proven": True, "cause": Finding.Cause.PART}


def of_shop(shop: Shop) -> tuple[Bin, ...]:
    """How often a share that was said came true in this shop.

    Advice and findings only grow, and what was said before a repair is settled with
    its finding: so the newest finding says whether anything has changed, and what was
    counted up to an older one is kept in the database and added to.
    """
    newest = Finding.objects.order_by("-pk").values_list("pk", flat=True).first()
    if newest is None:
        return bins(())
    key = f"calibration-{shop.pk}-{newest}"
    found: tuple[Bin, ...] | None = cache.get(key)
    if found is None:
        found = _counted(shop, newest)
        cache.set(key, found, KEPT_SECONDS)
    return found


def make_ready() -> None:
    """Before anybody asks: once, all that was ever said is looked through."""
    for shop in Shop.objects.all():
        of_shop(shop)


def _counted(shop: Shop, newest: int) -> tuple[Bin, ...]:
    name = f"calibrated-{shop.pk}"
    edges, since, kept = shared.get(name) or (EDGES, 0, [])
    if edges != EDGES or since > newest:
        since, kept = 0, []
    until = newest - TAIL if newest - since >= 2 * TAIL else since
    settled = _with(bins(_cases_between(shop, since, until)), kept)
    if until > since:
        kept = [(one.right, one.said) for one in settled]
        shared.set(name, (EDGES, until, kept), timeout=None)
    return _with(bins(_cases_between(shop, until, newest)), kept)


def _with(counted: Sequence[Bin], more: Sequence[tuple[int, int]]) -> tuple[Bin, ...]:
    nothing = [(0, 0)] * len(counted)
    return tuple(
        replace(one, right=one.right + right, said=one.said + said)
        for one, (right, said) in zip(counted, more or nothing, strict=True)
    )


def _cases_between(shop: Shop, since: int, until: int) -> Iterator[Said]:
    """Of the findings after the one and up to the other, some at a time.

    By number alone: asked for those of a shop, SQLite sorts all that there are.
    """
    while since < until:
        rows = Finding.objects.filter(pk__gt=since, pk__lte=until, **PROVEN)
        columns = ("pk", "board__shop", "part_id", "said")
        found = list(foretold(rows).order_by("pk").values_list(*columns)[:PIECE])
        own = [(said, part) for _pk, at, part, said in found if at == shop.pk and said]
        yield from _cases(own)
        since = found[-1][0] if len(found) == PIECE else until


def _cases(found: Sequence[tuple[int, str]]) -> Iterator[Said]:
    """Of the advice that was said last before each repair, and the part that it was."""
    rows = Advice.objects.filter(pk__in=[pk for pk, _part in found]).order_by()
    said = dict(rows.values_list("pk", "suspects"))
    for pk, proven_part in found:
        part, share = first_part(said[pk])
        yield Said(share, was_right=part == proven_part)


def bin_now(shop: Shop, said: Assessment) -> Bin | None:
    """The bin of what is said of the first suspect's part; none without suspects."""
    if not said.suspects:
        return None
    first = said.suspects[0].part_id
    share = sum(one.probability for one in said.suspects if one.part_id == first)
    return of_shop(shop)[place_of(share)]


def proven(shop: Shop) -> QuerySet[Finding]:
    return Finding.objects.filter(board__shop=shop, **PROVEN)


def foretold(findings: QuerySet[Finding]) -> QuerySet[Any]:
    """With the ``repair`` that each is of, when it was ``done_at``, and the advice
    that was ``said`` last of its ticket before; none where there is no such thing.
    """
    done = Intervention.objects.filter(
        board=OuterRef("board"), epoch=OuterRef("epoch")
    ).exclude(kind=InterventionKind.AWAY)
    said = (
        Advice.objects.filter(
            board=OuterRef("board"),
            ticket=OuterRef("ticket"),
            at__lte=OuterRef("done_at"),
        )
        .exclude(moment__in=AFTERWARDS)
        .exclude(suspects=[])
        .order_by("-at", "-id")
    )
    return findings.annotate(
        repair=Subquery(done.values("pk")[:1]),
        done_at=Subquery(done.values("at")[:1]),
    ).annotate(said=Subquery(said.values("pk")[:1]))


def first_part(suspects: list[Mapping[str, Any]]) -> tuple[str, float]:
    """The part of the first suspect, and the share of all its ways of failing."""
    part = suspects[0]["part"]
    return part, sum(one["p"] for one in suspects if one["part"] == part)
