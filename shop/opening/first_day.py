"""What is still open after the set-up. Most of it the program sees for itself."""

from collections.abc import Callable
from dataclasses import dataclass

from allauth.mfa.models import Authenticator
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.intake.models import Ticket
from shop.opening.models import StepDone
from shop.people.models import Membership, Person, Role, Shop, Station
from shop.people.texts import texts_are_read
from shop.records.errors import Refused

Text = str | Promise


@dataclass(frozen=True)
class Step:
    """A step, and how it is seen to be done; ``None``: only the owner can say."""

    code: str
    title: Text
    why: Text
    url_name: str = ""
    sees: Callable[[Shop], bool] | None = None


@dataclass(frozen=True)
class Standing:
    step: Step
    is_done: bool

    @property
    def is_ours_to_tick(self) -> bool:
        return not self.is_done and self.step.sees is None


def _has_second_factor(shop: Shop) -> bool:
    owners = Membership.objects.filter(shop=shop, role=Role.OWNER).values("person_id")
    return bool(Authenticator.objects.filter(user_id__in=owners).exists())


def _has_station(shop: Shop) -> bool:
    return Station.objects.filter(shop=shop, ended_at=None).exists()


def _has_ticket(shop: Shop) -> bool:
    return Ticket.objects.filter(shop=shop).exists()


STEPS = (
    Step(
        "texts",
        gettext_lazy("Read your texts"),
        gettext_lazy("Until then papers carry no terms, and messages wait."),
        "opening:texts",
        texts_are_read,
    ),
    Step(
        "second_factor",
        gettext_lazy("A second factor for the owner"),
        gettext_lazy("A passkey or a code, so that a password alone opens nothing."),
        "mfa_index",
        _has_second_factor,
    ),
    Step(
        "station",
        gettext_lazy("The first station"),
        gettext_lazy("A tablet or computer of the shop, known here by its name."),
        "people:stations",
        _has_station,
    ),
    Step(
        "ticket",
        gettext_lazy("The first job slip"),
        gettext_lazy("Take one in, and look at the paper before a customer does."),
        "intake:ticket_new",
        _has_ticket,
    ),
    Step(
        "printer",
        gettext_lazy("A test print"),
        gettext_lazy("One slip, and one tag if you have a roll."),
    ),
    Step(
        "backup",
        gettext_lazy("The first backup"),
        gettext_lazy("Made, and read back once, before you need it."),
    ),
)


def steps_of(shop: Shop) -> list[Standing]:
    ticked = set(StepDone.objects.filter(shop=shop).values_list("step", flat=True))
    return [
        Standing(step, step.sees(shop) if step.sees else step.code in ticked)
        for step in STEPS
    ]


def step_tick(*, shop: Shop, by: Person, code: str) -> None:
    if code not in {step.code for step in STEPS if step.sees is None}:
        raise Refused(_("That step is none to tick."))
    StepDone.objects.get_or_create(shop=shop, step=code, defaults={"by": by})
