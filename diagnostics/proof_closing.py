"""Whether a repair may be called fixed, and what an honest other end has to say.

Domain brief, section 8: cause named or "not found" said openly; the failing reading in
band; every required item of the proof passed, or waived with reason and name; what
came with it counted. A ticket that never had a board on the bench proves nothing here.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics import proof_again, proof_words, queries, sayings
from diagnostics.bridge import Known
from diagnostics.models import ProofItem
from diagnostics.proof_again import Again
from diagnostics.proof_state import ProofState, state_of
from shop.intake.models import ClosingKind, Outcome, Ticket
from shop.records.errors import Refused
from shop.records.models import Event

COUNTED = "counted"


@dataclass(frozen=True)
class Missing:
    """What stands between a ticket and "fixed", each in words of its own."""

    has_cause: bool
    failing: tuple[tuple[Known, Again], ...]
    proof: ProofState
    is_counted: bool

    def __bool__(self) -> bool:
        return bool(
            not self.has_cause
            or self.failing
            or self.proof.unproved
            or not self.is_counted
        )

    def said(self) -> list[str]:
        return list(dict.fromkeys(self._said()))

    def _said(self) -> Iterator[str]:
        if not self.has_cause:
            yield _("No cause is named, and nobody said that none was found.")
        for known, one in self.failing:
            yield _("Not in band since: %(point)s, which read %(value)s.") % {
                "point": proof_words.point(known, one.before),
                "value": sayings.reading_value(one.before.reading),
            }
        if self.proof.unproved:
            lacking = [proof_words.lack_words(one) for one in self.proof.unproved]
            yield _("Of the %(level)s proof: %(lacks)s.") % {
                "level": proof_words.LEVEL_NAMES[self.proof.level],
                "lacks": proof_words.joined(lacking),
            }
        if not self.is_counted:
            yield _("What came with it is not counted.")


def missing(ticket: Ticket) -> Missing | None:
    """What is missing to call it fixed; None where no board was on the bench."""
    boards = list(queries.boards_of(ticket))
    if not boards:
        return None
    return missing_of(ticket, list(queries.known_of_all(boards).values()))


def missing_of(ticket: Ticket, boards: list[Known]) -> Missing:
    failing = [
        (known, one) for known in boards for one in proof_again.failing(known, ticket)
    ]
    return Missing(
        has_cause=ticket.findings.exists(),
        failing=tuple(failing),
        proof=state_of(ticket),
        is_counted=is_counted(ticket),
    )


def is_counted(ticket: Ticket) -> bool:
    """Somebody said that everything which came with it is here; or nothing came."""
    newest = ticket.proof_items.filter(item=COUNTED).order_by("-id").first()
    if newest is not None:
        return newest.result == ProofItem.Result.PASSED
    return not ticket.things.exists()


def refuse_unproven(event: Event) -> None:
    """Nothing is called fixed that is not: the act is refused whole."""
    if event.codes.get("kind") != ClosingKind.FIXED or event.ticket_id is None:
        return
    lacking = missing(Ticket.objects.get(pk=event.ticket_id))
    if not lacking:
        return
    raise Refused(
        _("It can’t be called fixed yet. %(missing)s Else say: improved, not proven.")
        % {"missing": " ".join(lacking.said())},
        field="kind",
    )


# --- what the ends say ------------------------------------------------------


def ended(ticket: Ticket) -> str:
    """How it ended in one sentence, for the sheet; "" while it is open."""
    outcome: Outcome | None = getattr(ticket, "outcome", None)
    if outcome is None:
        return ""
    kind = capfirst(str(outcome.get_kind_display()))
    if outcome.kind == ClosingKind.NO_FAULT_FOUND:
        return f"{kind} {looked_at(ticket)}"
    if outcome.no_fix_reason:
        return f"{kind}: {outcome.get_no_fix_reason_display()}."
    return f"{kind}."


def looked_at(ticket: Ticket) -> str:
    """ "in the 43 points measured; not looked at: memory, graphics." """
    count, stages = _looked(ticket)
    measured = ngettext(
        "in the %(count)d point measured", "in the %(count)d points measured", count
    ) % {"count": count}
    if not stages:
        return f"{measured}."
    return _("%(measured)s; not looked at: %(stages)s.") % {
        "measured": measured,
        "stages": ", ".join(stages),
    }


def measured(ticket: Ticket) -> str:
    """ "Points measured: 43. Not looked at: memory, graphics." """
    count, stages = _looked(ticket)
    said = _("Points measured: %(count)d.") % {"count": count}
    if not stages:
        return said
    return f"{said} {_('Not looked at: %(stages)s.') % {'stages': ', '.join(stages)}}"


def _looked(ticket: Ticket) -> tuple[int, list[str]]:
    """How many points were read, and the stages of which none was."""
    boards = queries.known_of_all(list(queries.boards_of(ticket))).values()
    count = sum(proof_again.read_points(known, ticket) for known in boards)
    stages = dict.fromkeys(s for known in boards for s in unseen(known, ticket))
    return count, list(stages)


def unseen(known: Known, ticket: Ticket) -> list[str]:
    """The fitted stages of which this ticket has no reading, in words."""
    read = set(proof_again.of_points(known, ticket))
    board = known.board
    return [
        sayings.family_text(stage.name)
        for stage in board.family.stages
        if board.is_fitted(stage.id)
        and not any(
            point.id in read for check in board.walk(stage.id) for point in check.points
        )
    ]
