"""Places as they are typed: cleaning only."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.intake.fields import choice, text
from shop.intake.models import Place, PlaceKind


class PlaceForm(forms.Form):
    """A place by its name; the shop's own places are offered."""

    place = text(_("Place"), 40, is_needed=True)

    def __init__(self, *args: Any, places: Iterable[Place], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = [place.name for place in places]
        self.fields["place"].widget = Offered("place_offers", names)


class Offered(forms.TextInput):
    """A text field that offers what is known and takes anything else too."""

    def __init__(self, list_id: str, offers: Iterable[str]) -> None:
        super().__init__({"autocomplete": "off", "list": list_id})
        self.offers = list(offers)


class PlacesForm(forms.Form):
    """Several places at once: ``C1 to C8``."""

    names = text(_("Names, such as C1 to C8, D2"), 500, is_needed=True)
    kind = choice(_("What they are"), PlaceKind.choices, initial=PlaceKind.SHELF)
