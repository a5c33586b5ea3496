"""The texts that a new shop starts with: plain words of ours, not law.

They are marked as ours until the shop writes its own, and reach no customer before
the owner has read them.
"""

from collections.abc import Iterable, Mapping

from django.utils.translation import gettext_noop as _

from shop.people import languages
from shop.people.models import TextKind

LANGUAGE = "en"
DEFAULTS: Mapping[str, str] = {
    TextKind.JOB_TERMS: _(
        "We look for the fault and tell you what we found. The diagnosis fee is owed "
        "for that, whatever you decide afterwards. No repair begins before you have "
        "said yes to its price, unless a cap is agreed above. A repair on a damaged "
        "board can fail, and a second fault can show up while we work: we then stop "
        "and ask you. Copy your data beforehand if you can. Please collect the machine "
        "within 30 days of our word that it is ready."
    ),
    TextKind.CONSENT: _(
        "We start your machine to test it and do not browse your files. We copy or "
        "erase data only with your yes above. If we need a password, it is kept "
        "encrypted, used for this job alone and erased when the job is closed."
    ),
    TextKind.QUOTE_RISK: _(
        "The board was damaged before it came to us. If a further fault shows up while "
        "we work, we stop and ask you before it costs more."
    ),
}


def ours(language: str) -> Mapping[str, str]:
    """The texts of papers in a language of the program; of another there are none."""
    return languages.texts_in(language, DEFAULTS)


def has_ours(codes: Iterable[str]) -> list[str]:
    """The languages in which a shop gets texts of ours: at least one."""
    return [one for one in codes if languages.spoken(one) == one] or [LANGUAGE]
