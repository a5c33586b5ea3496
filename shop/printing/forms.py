"""Which printer each paper has: cleaning only."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.printing.models import Paper

BY_BROWSER = ("", _("ask in the browser’s print dialog"))


class PrintersForm(forms.Form):
    """One list a paper; a printer that is off now can stay chosen."""

    def __init__(
        self,
        *args: Any,
        printers: Iterable[str],
        chosen: Mapping[str, str],
        **kwargs: Any,
    ) -> None:
        kwargs["initial"] = dict(chosen)
        super().__init__(*args, **kwargs)
        for paper in Paper:
            names = dict.fromkeys([*printers, chosen.get(paper) or ""])
            self.fields[paper.value] = forms.ChoiceField(
                label=paper.label,
                required=False,
                choices=[BY_BROWSER, *((name, name) for name in names if name)],
            )
