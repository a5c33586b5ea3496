"""Which risks a quote names, by what is known of the machine."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db import models
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.intake.machine_age import years_old
from shop.intake.models import Answer, Ticket

OLD_YEARS = 7  # jd: from this age on boards and connectors are brittle


class Risk(models.TextChoices):
    """A risk with the name that the shop ticks."""

    ENCRYPTED = "encrypted", _("encrypted disk")
    LIQUID = "liquid", _("liquid")
    AGE = "age", _("age")
    CHIP = "chip", _("work on a large chip")


SAID: Mapping[str, str | Promise] = {
    Risk.ENCRYPTED: _(
        "If its disk is encrypted, the data can be lost without the recovery key: "
        "please have it at hand."
    ),
    Risk.LIQUID: _(
        "After liquid a second fault can show weeks later; that one is not covered."
    ),
    Risk.AGE: _("It is old: its connectors and boards can break when it is opened."),
    Risk.CHIP: _(
        "A large chip is heated for this: in rare cases it, or what is under it, "
        "does not survive."
    ),
}


@dataclass(frozen=True)
class Facts:
    """What is known; ``years`` is None where nobody knows the age. PURE below."""

    is_liquid: bool = False
    may_lock_disk: bool = False
    is_large_chip: bool = False
    years: int | None = None


def risks_of(facts: Facts) -> tuple[Risk, ...]:
    """The risks to name, in the order in which they are named.

    >>> [str(one) for one in risks_of(Facts(is_liquid=True, years=9))]
    ['liquid', 'age']
    """
    found = {
        Risk.ENCRYPTED: facts.may_lock_disk,
        Risk.LIQUID: facts.is_liquid,
        Risk.AGE: facts.years is not None and facts.years >= OLD_YEARS,
        Risk.CHIP: facts.is_large_chip,
    }
    return tuple(risk for risk, is_there in found.items() if is_there)


def facts_of(ticket: Ticket) -> Facts:
    """What the counter knows: an unknown spill counts as liquid (domain.md, 1)."""
    today = timezone.now().astimezone(ticket.shop.zone).date()
    return Facts(
        is_liquid=ticket.liquid in {Answer.YES, Answer.UNSURE},
        years=years_old(ticket.device.year_made, today),
    )


def sentence(risks: Iterable[str], more: str = "") -> str:
    """What the quote says of them, in the language of the moment."""
    said = (str(SAID[risk]) for risk in Risk.values if risk in set(risks))
    return " ".join(filter(None, (*said, more.strip())))
