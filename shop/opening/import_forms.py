"""What is asked about a file: what it holds, and how to read it."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from shop.intake.fields import choice
from shop.opening.imports.columns import COLUMNS
from shop.opening.imports.reading import ENCODINGS
from shop.opening.models import ImportRun

ENCODING_LABELS = {
    "utf-8": _("UTF-8"),
    "utf-16": _("UTF-16"),
    "cp1252": _("Windows, western Europe"),
    "latin-1": _("Latin-1"),
}
SEPARATOR_CHOICES = [
    (",", _("comma")),
    (";", _("semicolon")),
    ("tab", _("tab")),
]
TAB = "tab"
COLUMN_LABELS: dict[str, str | Promise] = {
    "first_name": _("first name"),
    "name": _("name"),
    "phone": _("phone"),
    "email": _("e-mail"),
    "phone_typed": _("phone"),
    "address": _("address"),
    "street": _("street"),
    "town": _("town"),
    "postcode": _("postcode"),
    "tax_id": _("tax id"),
    "code": _("code"),
    "quantity": _("quantity"),
    "cost": _("cost"),
    "old_number": _("old number"),
    "model": _("device"),
    "serial": _("serial number"),
    "told": _("fault as told"),
    "opened_on": _("taken in on"),
}


class UploadForm(forms.Form):
    what = choice(
        _("What is in it"), ImportRun.What.choices, initial=ImportRun.What.CUSTOMERS
    )
    file = forms.FileField(
        label=_("File (CSV)"),
        help_text=_("Text with commas, semicolons or tabs; the first line names them."),
        allow_empty_file=True,
    )

    def clean_what(self) -> str:
        typed: str = self.cleaned_data["what"]
        return typed or str(ImportRun.What.CUSTOMERS)


class ReadForm(forms.Form):
    """Encoding, separator, and for each field the column that holds it."""

    encoding = forms.ChoiceField(
        label=_("Encoding"), choices=[(e, ENCODING_LABELS[e]) for e in ENCODINGS]
    )
    separator = forms.ChoiceField(label=_("Separated by"), choices=SEPARATOR_CHOICES)

    def __init__(
        self, data: Any = None, *, run: ImportRun, header: Sequence[str]
    ) -> None:
        self.run = run
        start: dict[str, Any] = {
            "encoding": run.encoding,
            "separator": TAB if run.separator == "\t" else run.separator,
        }
        super().__init__(data, initial=start)
        heads = [("", "—"), *((str(n), h or "?") for n, h in enumerate(header))]
        for column in COLUMNS[run.what]:
            name = f"column_{column.name}"
            self.fields[name] = forms.ChoiceField(
                label=capfirst(str(COLUMN_LABELS[column.name])),
                choices=heads,
                required=False,
                initial=str(run.columns.get(column.name, "")),
                help_text=_("needed") if column.is_needed else "",
            )

    def matching(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("column_")]

    def reading(self) -> dict[str, Any]:
        """The columns of the run, as they are wanted now."""
        typed = self.cleaned_data
        chosen = {
            name.removeprefix("column_"): int(index)
            for name, index in typed.items()
            if name.startswith("column_") and index != ""
        }
        return {
            "encoding": typed["encoding"],
            "separator": self._separator(),
            "columns": chosen,
        }

    def is_read_otherwise(self) -> bool:
        """Whether encoding or separator differ: the columns are then others too."""
        wanted = (self.cleaned_data["encoding"], self._separator())
        return wanted != (self.run.encoding, self.run.separator)

    def _separator(self) -> str:
        typed: str = self.cleaned_data["separator"]
        return "\t" if typed == TAB else typed
