"""How long what is personal is kept, class by class: one table, and the owner's days.

The defaults are judgement (jd), but for papers of account: ten years after the year
in which they were issued is common (cp), and the local law decides.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.changes import before_after
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.rights.models import Period

Text = str | Promise
YEAR = 365
MOST = 40 * YEAR


@dataclass(frozen=True)
class Kept:
    """One class: what it is, from when its days count, how many by default."""

    what: str
    title: Text
    since: Text
    why: Text
    days: int
    least: int


CLASSES: Mapping[str, Kept] = {
    kept.what: kept
    for kept in (
        Kept(
            "customers",
            gettext_lazy("Customers"),
            gettext_lazy("after their last handover"),
            gettext_lazy(
                "Who does not come back is erased: name, phone, address, machines, "
                "words, signatures. Not while a ticket is open or money is owing."
            ),
            days=3 * YEAR,
            least=YEAR,
        ),
        Kept(
            "tickets",
            gettext_lazy("Words and signatures of a ticket"),
            gettext_lazy("after its handover"),
            gettext_lazy(
                "Of customers who do come back: notes, signatures, what things were "
                "called. The job itself and its readings stay."
            ),
            days=3 * YEAR,
            least=90,
        ),
        Kept(
            "messages",
            gettext_lazy("Messages to customers"),
            gettext_lazy("after they went out"),
            gettext_lazy("Their words and addresses. That one went out stays."),
            days=YEAR,
            least=30,
        ),
        Kept(
            "imports",
            gettext_lazy("Files of old data that were not brought in"),
            gettext_lazy("after they were uploaded"),
            gettext_lazy("The file, and the rows read from it."),
            days=30,
            least=1,
        ),
        Kept(
            "papers",
            gettext_lazy("Names on invoices, quotes and payments"),
            gettext_lazy("after the year in which they were issued"),
            gettext_lazy(
                "Papers of account are kept whole for the years that your law asks: "
                "look it up, it comes before this table. Then names go; sums stay."
            ),
            days=10 * YEAR,
            least=YEAR,
        ),
    )
}


def days_of(shop: Shop) -> dict[str, int]:
    """The days in force, by class: the owner's newest word, else the default."""
    said = dict(
        Period.objects.filter(shop=shop).order_by("id").values_list("what", "days")
    )
    return {what: said.get(what, kept.days) for what, kept in CLASSES.items()}


def periods_set(*, shop: Shop, by: Person, days: Mapping[str, int]) -> list[Period]:
    """New days from now on, of the classes that changed; refused out of bounds."""
    for what, count in days.items():
        least = CLASSES[what].least
        if not least <= count <= MOST:
            raise Refused(
                _("Between %(least)d and %(most)d days.")
                % {"least": least, "most": MOST},
                field=what,
            )
    known = days_of(shop)
    changed = {what: count for what, count in days.items() if count != known[what]}
    rows = Period.objects.bulk_create(
        Period(shop=shop, what=what, days=count, by=by)
        for what, count in changed.items()
    )
    if rows:
        records.event_record(
            Kind.SETTINGS_CHANGED,
            shop_id=shop.pk,
            by_id=by.pk,
            codes={"what": "keeping"} | before_after(known, changed),
            amounts=changed,
        )
    return rows
