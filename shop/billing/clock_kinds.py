"""Which kind of labour a stint was, from what it left behind. PURE.

The time up to a sign is of the sign's kind: what was done led to it. What comes after
the last sign goes on as it was.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from shop.billing.clocks import Stint, What

DIAGNOSIS, REPAIR, PROOF = "diagnosis", "repair", "proof"
REWORK, WARRANTY = "rework", "warranty"


@dataclass(frozen=True)
class Course:
    """How a ticket went: the first yes, what was done to its boards, its proof."""

    yes_at: datetime | None = None
    works: tuple[datetime, ...] = ()
    proofs: tuple[datetime, ...] = ()
    is_covered: bool = False


def kind_at(course: Course, what: What, at: datetime) -> str:
    """The kind of labour that a sign of a moment speaks of.

    Diagnosis until somebody said yes or something was done; proof after the last
    thing done; whatever is done after a proof was begun is rework.
    """
    if course.is_covered:
        return WARRANTY
    if what == What.PROOF:
        return PROOF
    is_again = any(proof < at for proof in course.proofs)
    if what == What.WORK or any(work > at for work in course.works if is_again):
        return REWORK if is_again else REPAIR
    is_begun = any(work <= at for work in course.works)
    if is_begun:
        return REPAIR if any(work > at for work in course.works) else PROOF
    is_agreed = course.yes_at is not None and course.yes_at <= at
    return REPAIR if is_agreed else DIAGNOSIS


def kinds_of(stint: Stint, course: Course) -> Mapping[str, timedelta]:
    """A stint split by kind; the parts add up to its length."""
    parts = defaultdict[str, timedelta](timedelta)
    since = stint.start
    kind = kind_at(course, What.TAKEN, since)
    for sign in stint.signs:
        kind = kind_at(course, sign.what, sign.at)
        parts[kind] += sign.at - since
        since = sign.at
    parts[kind] += stint.end - since
    return {name: length for name, length in parts.items() if length}
