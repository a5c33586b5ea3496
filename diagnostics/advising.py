"""What the engine says of a board now, and what technicians have said of suspects."""

from diagnostics import clouds, learned
from diagnostics.bridge import Known
from diagnostics.engine.assess import assess
from diagnostics.engine.assessment import Assessment, Key
from diagnostics.models import SuspectWord
from diagnostics.situations import evidence_of, said, situation_of, standing_words
from shop.records.cache import cache

__all__ = [
    "added",
    "assessment_of",
    "said_before",
    "said_on_page",
    "standing_words",
    "struck",
]

REMEMBERED_SECONDS = 60 * 60


def assessment_of(known: Known) -> Assessment | None:
    """All the engine says; ``None`` while this model's predictions are being made."""
    model = clouds.model_for(known.board)
    if model is None:
        return None
    ours = learned.of_model(known, model)
    return assess(
        model,
        evidence_of(known),
        situation_of(known),
        before=ours.before,
        usual=ours.usual,
        learned=ours.learned,
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
    walked = (len(known.conditions), len(known.passed_by))
    words = (len(known.words), seen, len(known.sightings), *walked)
    told = ("said", known.row.pk, *newest, *words, known.board.family.hash)
    return "-".join(str(one) for one in told)


# --- the technicians' own word ------------------------------------------------------


def struck(known: Known) -> frozenset[Key]:
    """Suspects that a technician has struck: they are out of question."""
    return said(known, SuspectWord.Kind.STRUCK)


def added(known: Known) -> frozenset[Key]:
    """Suspects that a technician has added: they are shown, however unlikely."""
    return said(known, SuspectWord.Kind.ADDED)
