"""Looking for tickets with whatever somebody knows of them."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.utils import timezone

from shop.intake import numbers, scans
from shop.intake import queries as intake
from shop.intake.models import Ticket
from shop.intake.turn import Whose
from shop.people.models import Shop
from shop.searching import asking, candidates, marking, ranking, sources
from shop.searching.marking import Reason
from shop.searching.ranking import Ranked

ENOUGH = 10
MEANT = 0.98  # such a score is all words, as they stand there
MOST_AS_TYPED, MOST_WITH_A_SLIP, MOST_BUT_ONE = 300, 600, 150
MOST_SHOWN = 50


@dataclass(frozen=True)
class Hit:
    """A ticket that was found: where it lies, whose turn it is, why it was found."""

    ticket: Ticket
    whose: Whose
    places: Sequence[str]
    reasons: Sequence[Reason] = ()


@dataclass(frozen=True)
class Answer:
    """``is_mistyped``: a ticket number with a slip, and near ones are offered."""

    asked: str
    hits: list[Hit] = field(default_factory=list)
    is_mistyped: bool = False

    @property
    def only(self) -> Ticket | None:
        """The one that is meant beyond doubt."""
        is_sure = len(self.hits) == 1 and not self.is_mistyped
        return self.hits[0].ticket if is_sure else None


def ticket_numbered(shop: Shop, typed: str) -> Ticket | None:
    """The ticket of a number that was typed or scanned whole, by its tag too."""
    read = scans.read(typed)
    number = read.number or numbers.compact(typed)
    return intake.ticket_numbered(shop, number) if numbers.is_valid(number) else None


def is_mistyped(typed: str) -> bool:
    """Whether this is a ticket number whose check digit doesn't fit."""
    return numbers.looks_like_one(typed) and not numbers.is_valid(
        numbers.compact(typed)
    )


def find(shop: Shop, typed: str, most: int = MOST_SHOWN) -> Answer:
    """What is meant, best first. A wrong number finds those it may have meant."""
    if exact := ticket_numbered(shop, typed):
        return Answer(typed, shown([exact.pk], {}))
    near = _near(shop, typed)
    best = best_of(shop, typed, slips=not near)[:most]
    met = {one.ticket_id: one for one in best}
    ids = list(dict.fromkeys([*near, *met]))[:most]
    return Answer(typed, shown(ids, met), is_mistyped=bool(near))


def _near(shop: Shop, typed: str) -> list[int]:
    """Tickets whose number is one slip away from this one, if it is no old one."""
    old = shop.tickets.filter(old_number=typed.strip()).exclude(old_number="")
    if not is_mistyped(typed) or old.exists():
        return []
    likely = numbers.near_mistypes(numbers.compact(typed))
    rows = shop.tickets.filter(number__in=likely).order_by("-id")
    return list(rows.values_list("pk", flat=True))


def best_of(shop: Shop, typed: str, *, slips: bool = True) -> list[Ranked]:
    """All words as typed; else with a slip in each; else without one of them."""
    words = asking.words_of(typed)
    if not words:
        return []
    with candidates.looking(shop) as look:
        texts = look.found(asking.as_typed(words), MOST_AS_TYPED)
        best = ranking.ranked(words, texts)
        if not slips or len(texts) >= ENOUGH or _is_at_least(MEANT, best):
            return best
        slipped = asking.with_a_slip(words)
        texts += look.found(slipped, MOST_WITH_A_SLIP)
        best = ranking.ranked(words, texts)
        further = [wish for wish in asking.but_one(words) if wish != slipped]
        if not further or _is_at_least(ranking.with_a_slip_in_each(words), best):
            return best
        for wish in further:
            texts += look.found(wish, MOST_BUT_ONE)
        return ranking.ranked(words, texts)


def _is_at_least(score: float, best: Sequence[Ranked]) -> bool:
    return bool(best) and best[0].score >= score


def shown(ids: Sequence[int], met: dict[int, Ranked]) -> list[Hit]:
    """These tickets with all that a hit says, in this order; a few queries."""
    rows = sources.tickets(ids).in_bulk()
    tickets = [rows[pk] for pk in ids if pk in rows]
    whose = intake.whose_turns(tickets, timezone.now())
    places = intake.places_by_ticket(tickets)
    told = sources.told_of(tickets) if met else {}
    return [
        Hit(
            ticket=one,
            whose=whose[one.pk],
            places=places.get(one.pk, []),
            reasons=marking.reasons(told[one.pk], met[one.pk].met.values())
            if one.pk in met
            else (),
        )
        for one in tickets
    ]
