"""Which way a person goes at the bench: the walk, or the next best check.

It is chosen by a tap and kept for that person's session, until they choose otherwise.
"""

from shop.people.access import AtWork

WALK, BEST = "walk", "best"
KEPT = "bench_way"


def is_walking(request: AtWork) -> bool:
    """Whether they follow the walk; what the address says is kept from then on."""
    asked = request.GET.get("way", "")
    if asked in {WALK, BEST} and request.session.get(KEPT) != asked:
        request.session[KEPT] = asked
    return request.session.get(KEPT) == WALK
