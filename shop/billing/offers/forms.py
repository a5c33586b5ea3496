"""What is typed about a quote and its answer: cleaning only."""

from collections.abc import Sequence
from decimal import Decimal
from itertools import zip_longest
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from shop.billing import work
from shop.billing.forms import day_field
from shop.billing.models import Quote, QuoteAnswer
from shop.billing.offers.risks import Risk
from shop.billing.quote_state import LETTERS
from shop.billing.rates.charges import Charges
from shop.billing.totals import MINUTE, ONE, Line
from shop.billing.wording import plain_number
from shop.money_fields import InCurrency, MoneyField, NumberField
from shop.people.models import FixedJob

EXPRESS = _("Express, %(percent)s %% more on the labour")
OPTIONS_HELP = _(
    "Only where the customer may choose: give its lines their letter; lines of no "
    "letter are in all of them."
)
EMPTY_ROWS = 3
MOST_ROWS = 60
LONGEST_RISK = 800


class QuoteForm(InCurrency):
    """What goes around the lines. Titles of options count where a line has a letter."""

    cause = forms.CharField(
        label=_("Cause, in plain words"),
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    risks = forms.MultipleChoiceField(
        label=_("Risks to name"),
        choices=Risk.choices,
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    risk = forms.CharField(
        label=_("Also of the risk"),
        max_length=LONGEST_RISK // 2,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    option_a = forms.CharField(
        label=_("Option A is"), max_length=80, required=False, help_text=OPTIONS_HELP
    )
    option_b = forms.CharField(label=_("Option B is"), max_length=80, required=False)
    option_c = forms.CharField(label=_("Option C is"), max_length=80, required=False)
    fixed_job = forms.ModelChoiceField(
        label=_("Add a job at a fixed price"),
        queryset=FixedJob.objects.none(),
        required=False,
        empty_label=_("none"),
    )
    is_express = forms.BooleanField(label=_("Express"), required=False)
    cap = MoneyField(label=_("Cap without asking"), required=False)
    deposit = MoneyField(label=_("Deposit"), required=False)
    valid_until = day_field(_("Valid until"))

    def __init__(self, *args: Any, charges: Charges, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        jobs = charges.terms.fixed_jobs.all()
        self.fields["fixed_job"].queryset = jobs  # type: ignore[attr-defined]
        percent = charges.express_percent
        self.fields["is_express"].label = EXPRESS % {"percent": percent}
        for name, is_asked in (("fixed_job", jobs), ("is_express", percent)):
            if not is_asked:
                del self.fields[name]

    def titles(self) -> dict[str, str]:
        """What each option is, by its letter."""
        names = ((letter, f"option_{letter.lower()}") for letter in LETTERS)
        return {letter: self.cleaned_data[name] for letter, name in names}


class LineForm(forms.Form):
    """A line of a quote: drafted from the work (with its code) or typed."""

    code = forms.RegexField(
        regex=r"^[a-z0-9_.]{1,40}$", required=False, widget=forms.HiddenInput
    )
    unit = forms.ChoiceField(
        choices=[(ONE, ""), (MINUTE, "")], required=False, widget=forms.HiddenInput
    )
    text = forms.CharField(label=_("Line"), max_length=200)
    quantity = NumberField(label=_("Quantity"), digits=3, least=None, required=False)
    unit_price = NumberField(label=_("Price"), digits=4)
    tax_percent = NumberField(label=_("Tax, %"), digits=2, most=100, required=False)
    is_fixed = forms.BooleanField(label=_("Billed as quoted"), required=False)
    option = forms.ChoiceField(
        label=_("Of option"),
        choices=[("", _("all")), *((letter, letter) for letter in LETTERS)],
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self["unit"].value() == MINUTE:
            self.fields["quantity"].label = _("Minutes")
            self.fields["unit_price"].label = _("Price, an hour")

    def line(self, currency: str, tax_percent: Decimal) -> Line:
        """The line; an empty quantity is one, empty tax the shop's own."""
        typed = self.cleaned_data
        quantity, tax = typed["quantity"], typed["tax_percent"]
        free = work.FIXED if typed["is_fixed"] else work.ESTIMATE
        return Line.priced(
            code=typed["code"] or free,
            text=typed["text"],
            quantity=Decimal(1) if quantity is None else quantity,
            unit=typed["unit"] or ONE,
            unit_price=typed["unit_price"],
            tax_percent=tax_percent if tax is None else tax,
            currency=currency,
        )


class BaseLines(forms.BaseFormSet):  # type: ignore[type-arg]  # not at run time
    def add_fields(self, form: forms.Form, index: int | None) -> None:
        super().add_fields(form, index)
        form.fields["DELETE"].label = _("Leave out")


LineFormSet = forms.formset_factory(
    LineForm,
    formset=BaseLines,
    extra=EMPTY_ROWS,
    can_delete=True,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
    validate_max=True,
)


def initial_of(
    lines: Sequence[Line], letters: Sequence[str] = ()
) -> list[dict[str, Any]]:
    """Rows of the form; ``letters`` are the options that the lines are of."""
    return [
        {
            "option": letter,
            "code": line.code,
            "unit": line.unit,
            "text": line.text,
            "quantity": plain_number(line.quantity),
            "unit_price": plain_number(line.unit_price),
            "tax_percent": plain_number(line.tax_percent),
        }
        for line, letter in zip_longest(lines, letters, fillvalue="")
        if isinstance(line, Line)
    ]


class AnswerForm(forms.Form):
    """The customer's yes or no, as it came; a yes to one of the options."""

    is_yes = forms.ChoiceField(
        label=_("Answer"),
        choices=[("yes", _("Yes, go ahead")), ("no", _("No"))],
        widget=forms.RadioSelect,
    )
    answered_by = forms.CharField(label=_("Who said so"), max_length=200)
    channel = forms.ChoiceField(
        label=_("How"),
        choices=[
            choice
            for choice in QuoteAnswer.Channel.choices
            if choice[0] != QuoteAnswer.Channel.SLIP_LINK
        ],
    )
    decline_reason = forms.ChoiceField(
        label=_("If no, why"),
        choices=[("", _("not said")), *QuoteAnswer.DeclineReason.choices],
        required=False,
    )

    def __init__(
        self, *args: Any, options: Sequence[Quote] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        if len(options) > 1:
            field = self.fields["is_yes"]
            field.choices = [  # type: ignore[attr-defined]
                *((one.option, yes_to(one)) for one in options),
                ("no", gettext("No to all of them")),
            ]

    @property
    def option(self) -> str:
        """The letter of the option that was said yes to."""
        said: str = self.cleaned_data["is_yes"]
        return said if said in LETTERS else ""


def yes_to(option: Quote) -> str:
    values = {"option": option.option, "title": option.option_title}
    values["total"] = str(option.total)
    return gettext("Yes to %(option)s: %(title)s, %(total)s") % values
