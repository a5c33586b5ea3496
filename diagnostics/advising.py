"""What the engine says of a board now, and what technicians have said of suspects."""

from django.core.cache import cache

from diagnostics.bridge import HOUSEKEEPING, Known
from diagnostics.engine.assessment import Assessment, Key, Suspect
from diagnostics.engine.suspects import Suspect as Ranked
from diagnostics.models import ReadingSource, SuspectWord

REMEMBERED_SECONDS = 60 * 60


def assessment_of(known: Known) -> Assessment | None:
    """All the engine says; ``None`` while this model's predictions are being made."""
    ranking, out = known.ranking, struck(known)
    left = [one for one in ranking.suspects if (one.part_id, one.mode_id) not in out]
    rest = ranking.no_fault + ranking.something_else
    scale = 1 / (rest + sum(one.probability for one in left))
    suspects = tuple(_suspect(known, one, scale) for one in left)
    read = {
        one.point.id
        for one in known.judged
        if one.reading.source == ReadingSource.OURS and one.check.id not in HOUSEKEEPING
    }
    stages = {known.board.check(known.board.point(id_).check).stage for id_ in read}
    return Assessment(
        suspects=suspects,
        no_fault=ranking.no_fault * scale,
        something_else=ranking.something_else * scale,
        confidence=suspects[0].probability if suspects else 0.0,
        offers=(),
        stop=None,
        confirm=None,
        disagreements=(),
        measured=len(read),
        not_looked_at=tuple(
            stage.id
            for stage in known.board.family.stages
            if stage.id not in stages and known.board.is_fitted(stage.id)
        ),
    )


# --- what a page said ---------------------------------------------------------------


def said_on_page(known: Known) -> Assessment | None:
    """What the engine says, remembered for the reading that is taken next."""
    said = assessment_of(known)
    if said is not None:
        cache.set(_mark(known), said, REMEMBERED_SECONDS)
    return said


def said_before(known: Known) -> Assessment | None:
    """What the page said of this state of the board; reckoned anew where forgotten."""
    said: Assessment | None = cache.get(_mark(known))
    return said or assessment_of(known)


def _mark(known: Known) -> str:
    """Changes with all that is said from: rows only grow, and a strike drops one."""
    read = [reading.pk for reading in known.readings]
    newest = (max(read, default=0), len(read), known.epoch)
    seen = max((one.pk for one in known.sightings), default=0)
    words = (len(known.words), seen, len(known.sightings), known.board.family.hash)
    return "-".join(str(one) for one in ("said", known.row.pk, *newest, *words))


def _suspect(known: Known, one: Ranked, scale: float) -> Suspect:
    part = known.board.parts[one.part_id]
    mode = next(mode for mode in part.modes if mode.id == one.mode_id)
    return Suspect(
        part_id=one.part_id,
        mode_id=one.mode_id,
        place=mode.rail or "",
        probability=one.probability * scale,
        speaks_for=tuple(why for why in one.reasons if why.code == "suspect_for"),
        against=tuple(why for why in one.reasons if why.code == "suspect_against"),
    )


# --- the technicians' own word ------------------------------------------------------


def standing_words(known: Known) -> dict[Key, SuspectWord]:
    """The newest word on each suspect."""
    return {(one.part_id, one.mode_id): one for one in known.words}


def struck(known: Known) -> frozenset[Key]:
    """Suspects that a technician has struck: they are out of question."""
    return _said(known, SuspectWord.Kind.STRUCK)


def added(known: Known) -> frozenset[Key]:
    """Suspects that a technician has added: they are shown, however unlikely."""
    return _said(known, SuspectWord.Kind.ADDED)


def _said(known: Known, kind: str) -> frozenset[Key]:
    words = standing_words(known)
    return frozenset(key for key, word in words.items() if word.kind == kind)
