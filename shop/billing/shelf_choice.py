"""A part off the shelf, chosen from a list that a script lets one search."""

from collections.abc import Iterable, Iterator

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.billing.likely import Shelf
from shop.billing.models import StockItem


class ShelfChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # not at run time
    """Parts by name, with what tells two alike apart; what is likely needed first."""

    def label_from_instance(self, obj: StockItem) -> str:
        place = f", {obj.place}" if obj.place else ""
        return f"{obj.name} ({obj.code}{place}: {obj.on_hand})"

    def offer(self, shelf: Shelf) -> None:
        """Two groups where something is likely; the script searches both as one."""
        groups = [(_("Likely for this board"), shelf.likely)]
        groups.append((_("Everything else"), shelf.others))
        self.choices = [
            ("", self.empty_label),
            *((name, list(self._shown(items))) for name, items in groups if items),
        ]
        self.widget.attrs |= {
            "data-search": _("Search the shelf by name or code"),
            "data-none": _("Nothing like this is on the shelf."),
        }

    def _shown(self, items: Iterable[StockItem]) -> Iterator[tuple[int, str]]:
        return ((item.pk, self.label_from_instance(item)) for item in items)
