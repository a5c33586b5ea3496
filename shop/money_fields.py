"""Numbers and money as people type them: both decimal marks, nothing else."""

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from shop.money import Money, minor_digits

SPACES = re.compile(r"[\s\u00a0\u2009\u202f]+")
CURRENCY = re.compile(r"^([A-Z]{3})?(.*?)([A-Z]{3})?$")
NUMBER = re.compile(r"^([+\-\u2212]?)([0-9]{1,9})(?:[.,]([0-9]{1,9}))?$")


def decimal_of(typed: str, *, digits: int) -> Decimal:
    """An exact decimal from ``12.50`` or ``12,50``; spaces may group digits.

    One mark only, always the decimal one: ``1,234`` is never read as 1234.
    """
    match = NUMBER.match(SPACES.sub("", typed))
    if match is None:
        raise ValidationError(_("Write a number such as 12.50."), code="number")
    sign, whole, part = match.groups(default="")
    if len(part) > digits:
        raise ValidationError(
            _("At most %(digits)s digits behind the decimal mark."),
            code="digits",
            params={"digits": digits},
        )
    number = Decimal(f"{whole}.{part or 0}")
    return -number if sign in {"-", "\u2212"} and number else number


class NumberField(forms.CharField):
    """A decimal between ``least`` and ``most``."""

    def __init__(
        self,
        *,
        digits: int,
        least: int | None = 0,
        most: int | None = None,
        **kwargs: Any,
    ) -> None:
        self.digits, self.least, self.most = digits, least, most
        super().__init__(max_length=40, **kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        attrs: dict[str, Any] = super().widget_attrs(widget)
        return attrs | {"inputmode": "decimal", "autocomplete": "off"}

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        number = decimal_of(typed, digits=self.digits)
        if self.least is not None and number < self.least:
            raise ValidationError(
                _("This cannot be below %(least)s."), params={"least": self.least}
            )
        if self.most is not None and number > self.most:
            raise ValidationError(
                _("This cannot be above %(most)s."), params={"most": self.most}
            )
        return number


class MoneyField(NumberField):
    """An amount in the form's currency, which may be written beside it."""

    currency = ""

    def __init__(self, *, least: int | None = 0, **kwargs: Any) -> None:
        super().__init__(digits=2, least=least, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return str(value.amount) if isinstance(value, Money) else value

    def clean(self, value: Any) -> Any:
        self.digits = minor_digits(self.currency)
        number = super().clean(self._bare(value))
        return None if number is None else Money.of(number, self.currency)

    def _bare(self, value: Any) -> Any:
        """The number alone; refuses another currency beside it."""
        if not isinstance(value, str):
            return value
        match = CURRENCY.match(SPACES.sub("", value))
        before, number, behind = match.groups() if match else (None, value, None)
        if {before, behind} - {None, self.currency}:
            raise ValidationError(
                _("Amounts here are in %(currency)s."),
                params={"currency": self.currency},
            )
        return number


class InCurrency(forms.Form):
    """A form whose amounts are in one currency."""

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.currency = currency
        for field in self.fields.values():
            if isinstance(field, MoneyField):
                field.currency = currency
