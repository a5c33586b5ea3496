"""What customers often tell, and what is often seen: words to tick instead of typing.

The faults are those of the trade's counter (common practice); none of them is a
diagnosis.
"""

from collections.abc import Iterable, Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.intake.models import Triage

Chips = Mapping[str, str | Promise]
FAULTS: Chips = {
    "dead": _("Does nothing at all"),
    "no_charge": _("Does not charge"),
    "no_picture": _("Runs without a picture"),
    "goes_off": _("Goes off by itself"),
    "restarts": _("Starts again and again"),
    "spilled": _("Liquid went over it"),
    "fell": _("It fell"),
    "hot_loud": _("Gets hot, fan is loud"),
    "keys": _("Keys or pad don’t work"),
    "socket": _("Socket is loose or broken"),
}
MARKS: Chips = {
    "no_marks": _("No marks seen"),
    "scratches": _("Scratches"),
    "dent": _("Dent"),
    "lid": _("Lid or hinge broken"),
    "screen": _("Screen cracked"),
    "keys_missing": _("Keys missing"),
    "screws_missing": _("Screws missing"),
    "sticky": _("Sticky or stained"),
}
# What triage found says yes to these questions.
ANSWERED_BY = {
    "hot_or_swollen": {Triage.SWOLLEN, Triage.HOT, Triage.SMELLS},
    "liquid": {Triage.WET},
}


def joined(chips: Chips, ticked: Iterable[str], written: str) -> str:
    """The ticked words as a sentence, then what was written."""
    said = ", ".join(str(chips[code]) for code in ticked)
    return "\n".join(filter(None, (f"{said}." if said else "", written.strip())))
