"""What the engine said and what technicians say of it, kept as it was."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import advising, bridge, queries
from diagnostics.bridge import Known
from diagnostics.engine.assessment import Assessment
from diagnostics.models import Advice, Board, Reading, SuspectWord
from diagnostics.services.telling import (
    keep_note,
    refuse_apart,
    refuse_closed,
    refuse_unknown_part,
    tell,
)
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind

OFFERS = (Advice.Moment.OFFER_OVERRULED, Advice.Moment.OFFER_FOLLOWED)
KINDS = {
    SuspectWord.Kind.ADDED: Kind.SUSPECT_ADDED,
    SuspectWord.Kind.STRUCK: Kind.SUSPECT_STRUCK,
    SuspectWord.Kind.TAKEN_BACK: Kind.SUSPECT_WORD_BACK,
}


@transaction.atomic
def suspect_name(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    part_id: str,
    mode_id: str,
    at: datetime | None = None,
) -> Advice:
    """Somebody says which suspect they hold it to be; kept with the ranking."""
    known = queries.known_of(board, at=at)
    refuse_closed(ticket)
    refuse_apart(board, ticket)
    refuse_unknown_part(known, part_id, mode_id, is_needed=True)
    codes = {"part": part_id, "mode": mode_id}
    tell(Kind.SUSPECT_NAMED, board=board, ticket=ticket, by=by, at=at, codes=codes)
    return advice_keep(
        board=board,
        ticket=ticket,
        by=by,
        moment=Advice.Moment.SUSPECT_NAMED,
        at=at,
        known=known,
    )


@transaction.atomic
def suspect_word(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    part_id: str,
    mode_id: str,
    kind: str,
    chip: str = "",
    words: str = "",
    at: datetime | None = None,
) -> SuspectWord:
    """A technician adds a suspect, or strikes one, with a reason; or takes it back."""
    at, known = at or timezone.now(), queries.known_of(board, at=at)
    refuse_closed(ticket)
    refuse_apart(board, ticket)
    refuse_unknown_part(known, part_id, mode_id, is_needed=True)
    if kind not in SuspectWord.Kind.values:
        raise Refused(_("Say whether to add it or to strike it."), field="kind")
    if kind == SuspectWord.Kind.TAKEN_BACK:
        chip = ""
    elif chip not in SuspectWord.Chip.values:
        raise Refused(_("Say why."), field="chip")
    if chip == SuspectWord.Chip.OTHER and not words.strip():
        raise Refused(_("Another reason needs its words."), field="words")
    said = SuspectWord.objects.create(
        board=board,
        ticket=ticket,
        epoch=known.epoch,
        part_id=part_id,
        mode_id=mode_id,
        kind=kind,
        chip=chip,
        note=keep_note(
            board=board, ticket=ticket, by=by, kind="suspect", text=words, at=at
        ),
        by=by,
        at=at,
    )
    codes = {"part": part_id, "mode": mode_id, "chip": chip}
    told = KINDS[SuspectWord.Kind(kind)]
    tell(told, board=board, ticket=ticket, by=by, at=at, codes=codes)
    return said


@transaction.atomic
def advice_keep(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person | None,
    moment: str,
    at: datetime | None = None,
    known: Known | None = None,
) -> Advice:
    """What the engine says at a moment that matters, and on what it rests.

    ``known``: the board at that moment, where the act has loaded it.
    """
    known = known or queries.known_of(board, at=at)
    return _keep(
        known,
        advising.assessment_of(known),
        ticket=ticket,
        by=by,
        moment=moment,
        at=at or timezone.now(),
    )


def offer_answered(
    known: Known, reading: Reading, *, offered: str, at: datetime
) -> Advice | None:
    """A reading was taken while a check was offered: that one, or another.

    ``known`` is the board as it was before the reading, ``offered`` the point that
    the page offered. Passed over, an offer is kept once, however many readings
    follow elsewhere; an offer that the family no longer knows is none.
    """
    if offered not in known.board.points:
        return None
    was_followed = bridge.check_id_of(offered) == reading.check_id
    newest = known.row.advice.filter(moment__in=OFFERS).order_by("-id").first()
    is_kept = newest is not None and (newest.next_check, newest.was_followed) == (
        offered,
        False,
    )
    if is_kept and not was_followed:
        return None
    return _keep(
        known,
        advising.said_before(known),
        ticket=reading.ticket,
        by=reading.by,
        moment=OFFERS[was_followed],
        at=at,
        offered=offered,
        was_followed=was_followed,
    )


def _keep(
    known: Known,
    said: Assessment | None,
    *,
    ticket: Ticket | None,
    by: Person | None,
    moment: str,
    at: datetime,
    offered: str = "",
    was_followed: bool | None = None,
) -> Advice:
    return Advice.objects.create(
        board=known.row,
        ticket=ticket,
        moment=moment,
        suspects=_suspects(said),
        something_else=said.something_else if said else 0.0,
        words=_words(known),
        next_check=offered or _offered(said),
        was_followed=was_followed,
        reading_ids=[reading.pk for reading in known.readings],
        engine_version=bridge.ENGINE_VERSION,
        family_hash=known.board.family.hash,
        lore_boards=_lore_boards(known),
        by=by,
        at=at,
    )


def _suspects(said: Assessment | None) -> list[dict[str, str | float]]:
    """None where the engine had not said anything yet."""
    return [
        {"part": one.part_id, "mode": one.mode_id, "p": round(one.probability, 6)}
        for one in (said.suspects if said else ())
    ]


def _words(known: Known) -> list[dict[str, str | int]]:
    return [
        {"part": part, "mode": mode, "kind": word.kind, "by": word.by_id}
        for (part, mode), word in advising.standing_words(known).items()
    ]


def _offered(said: Assessment | None) -> str:
    return said.next_best.point_id if said and said.next_best else ""


def _lore_boards(known: Known) -> int:
    """Of how many other good boards of the model something was known."""
    return len({good.board for goods in known.lore.goods.values() for good in goods})
