"""Acts that end an intake or decide on it: the rest, the parcel, the warranty."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake import arriving, paper_language
from shop.intake.models import (
    Answer,
    Consent,
    Goal,
    IntakeKind,
    Purpose,
    SafeBy,
    Thing,
    Ticket,
)
from shop.intake.services.devices import device_learn
from shop.intake.services.rows import keep, note, still_open, tell
from shop.intake.services.things_in import ThingDraft, things_keep
from shop.money import Money
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event

ANSWERS = ("liquid", "dropped", "hot_or_swollen", "opened_before", "fee_agreed")


@transaction.atomic
def intake_finish(
    *,
    ticket: Ticket,
    by: Person,
    answers: Mapping[str, str],
    things: Sequence[ThingDraft] = (),
    consents: Mapping[str, str] | None = None,
    goal: str = Goal.MACHINE_WORKS,
    pre_approved: Money | None = None,
    fee_agreed: str = Answer.NOT_RECORDED,
    triage: Sequence[str] = (),
    condition: str = "",
    serial: str = "",
    year_made: int | None = None,
    at: datetime | None = None,
) -> Event:
    """The rest of a quick intake: what was not asked then is asked now."""
    still_open(ticket)
    if not arriving.is_unended(ticket, IntakeKind.QUICK):
        raise Refused(_("This intake was finished already."))
    at = at or timezone.now()
    _answers_keep(ticket, {**answers, "fee_agreed": fee_agreed}, triage)
    ticket.goal = goal
    ticket.pre_approved_minor = None if pre_approved is None else pre_approved.minor
    ticket.version += 1
    keep(ticket, update_fields=["goal", "pre_approved_minor", "version"])
    serial = ticket.device.serial or serial.strip()
    device_learn(ticket.device, {"serial": serial, "year_made": year_made})
    _things_add(ticket, things)
    for purpose, answer in (consents or {}).items():
        keep(Consent(ticket=ticket, purpose=purpose, answer=answer, at=at))
    if condition.strip():
        note(ticket, by, "condition", condition, at)
    codes = {
        **_codes(ticket),
        **paper_language.kept(ticket),
        "goal": str(ticket.goal),
        "is_pre_approved": pre_approved is not None,
    }
    return tell(Kind.INTAKE_FINISHED, ticket, by, at, codes=codes)


@transaction.atomic
def parcel_unpack(
    *,
    ticket: Ticket,
    by: Person,
    answers: Mapping[str, str],
    things: Sequence[ThingDraft] = (),
    triage: Sequence[str] = (),
    seen: str,
    at: datetime | None = None,
) -> Event:
    """Declared against arrived: what lay in the parcel and how it looks."""
    still_open(ticket)
    if not arriving.is_unended(ticket, IntakeKind.PARCEL):
        raise Refused(_("This parcel was unpacked already."))
    at = at or timezone.now()
    _answers_keep(ticket, answers, triage)
    _things_add(ticket, things)
    words = note(ticket, by, "unpacked", seen, at)
    return tell(Kind.PARCEL_UNPACKED, ticket, by, at, codes=_codes(ticket), note=words)


@transaction.atomic
def warranty_decide(
    *,
    ticket: Ticket,
    by: Person,
    is_covered: bool,
    reason: str,
    at: datetime | None = None,
) -> Event:
    """Covered or not, in writing, before any price is named.

    The newest decision counts.
    """
    still_open(ticket)
    if not ticket.is_warranty:
        raise Refused(_("This ticket is no warranty check."))
    at = at or timezone.now()
    words = note(ticket, by, "warranty", reason, at)
    codes = {"is_covered": is_covered}
    return tell(Kind.WARRANTY_DECIDED, ticket, by, at, codes=codes, note=words)


@transaction.atomic
def data_safe_record(
    *,
    ticket: Ticket,
    by: Person,
    how: str = "",
    board_id: int | None = None,
    at: datetime | None = None,
) -> Event:
    """The data is safe: what was held off for it may be done. Said once."""
    still_open(ticket)
    if how and how not in SafeBy.values:
        raise Refused(_("Say how it was made safe."), field="how")
    if Event.objects.filter(ticket_id=ticket.pk, kind=Kind.DATA_SAFE).exists():
        raise Refused(_("The data is already recorded as safe."))
    codes = {"how": str(how)}
    return tell(Kind.DATA_SAFE, ticket, by, at, board_id=board_id, codes=codes)


@transaction.atomic
def intake_answer(
    *,
    ticket: Ticket,
    by: Person,
    question: str,
    answer: str,
    at: datetime | None = None,
) -> Event:
    """One thing that a quick intake left out, by a tap. The first answer stands."""
    still_open(ticket)
    ticket.refresh_from_db()
    if not arriving.is_unended(ticket, IntakeKind.QUICK):
        raise Refused(_("This intake was finished already."))
    asked = {one.name: one for one in arriving.questions_of(ticket)}.get(question)
    if asked is None:
        raise Refused(_("This was answered already."))
    if answer not in dict(asked.answers):
        raise Refused(_("Choose one from the list."))
    at = at or timezone.now()
    if question in Purpose.values:
        keep(Consent(ticket=ticket, purpose=question, answer=answer, at=at))
    else:
        _answers_keep(ticket, {question: answer})
    codes = _codes(ticket) | {"question": question, "answer": answer}
    return tell(Kind.INTAKE_ANSWERED, ticket, by, at, codes=codes)


def _answers_keep(
    ticket: Ticket, answers: Mapping[str, str], triage: Sequence[str] = ()
) -> None:
    """Only what was asked now; an answer given before is not unsaid."""
    asked = {
        name: answers[name]
        for name in ANSWERS
        if answers.get(name, Answer.NOT_RECORDED) != Answer.NOT_RECORDED
    }
    if triage:
        asked["triage"] = " ".join(triage)
    for name, answer in asked.items():
        setattr(ticket, name, answer)
    if asked:
        keep(ticket, update_fields=list(asked))


def _codes(ticket: Ticket) -> dict[str, str]:
    return {
        "liquid": str(ticket.liquid),
        "hot_or_swollen": str(ticket.hot_or_swollen),
    }


def _things_add(ticket: Ticket, drafts: Sequence[ThingDraft]) -> None:
    """The next tags; what was ticked before has its tag already."""
    known = list(ticket.things.all())
    new = list(_new_of(known, drafts))
    things_keep(ticket, new, is_on_paper=hasattr(ticket, "paper_slip"))


def _new_of(
    known: Sequence[Thing], drafts: Sequence[ThingDraft]
) -> Iterator[ThingDraft]:
    had = {(thing.kind, thing.label) for thing in known}
    return (draft for draft in drafts if (draft.kind, draft.label) not in had)
