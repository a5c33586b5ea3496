"""What is typed at the counter: cleaning only."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.intake import chips
from shop.intake.fields import (
    TOO_LONG,
    choice,
    long_text,
    moment,
    phone_field,
    takes_scans,
    text,
    ticks,
    year,
)
from shop.intake.models import (
    Answer,
    Channel,
    Customer,
    Device,
    DeviceKind,
    Goal,
    IntakeKind,
    Purpose,
    ThingKind,
    Triage,
)
from shop.intake.services import ThingDraft
from shop.intake.story import PARTS
from shop.money_fields import InCurrency, MoneyField
from shop.people.languages import named
from shop.records.models import Note

CAME_WITH_IT = ("adapter", "lead", "pack", "bag", "drive")
OF_DEVICE = ("kind", "model", "serial", "board_number_seen", "contact", "year_made")
AGREED = (
    "told",
    "goal",
    "pre_approved",
    "reassembly",
    "reassembly_price",
    "is_express",
    "promise",
    "ready_by",
    "their_reference",
    "order_number",
    "tracking",
    "fee_agreed",
)
FIRST_LOOK = ("liquid", "dropped", "hot_or_swollen", "opened_before")
ANSWERS = [
    (Answer.NO, _("No")),
    (Answer.YES, _("Yes")),
    (Answer.UNSURE, _("Unsure")),
    (Answer.NOT_RECORDED, _("Not asked")),
]
CONSENTS = [pair for pair in ANSWERS if pair[0] != Answer.UNSURE]
FEE_ANSWERS = [(Answer.YES, _("Yes")), (Answer.NOT_RECORDED, _("Not asked"))]
ON_PAPER, ON_SCREEN = "paper", "screen"
SIGNED = [(ON_PAPER, _("On paper")), (ON_SCREEN, _("On this screen"))]


class CustomerForm(forms.Form):
    """Who the customer is; ``version`` is what the page showed."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    name = text(_("Name"), 200, is_needed=True)
    phone = phone_field()
    email = forms.EmailField(
        label=_("E-mail"), required=False, error_messages={"max_length": TOO_LONG}
    )
    address = text(_("Address"), 500)
    channel = forms.ChoiceField(
        label=_("Answers best by"),
        choices=Channel.choices,
        initial=Channel.PHONE,
        required=False,
    )
    language = choice(_("Speaks"), [])

    def __init__(
        self, *args: Any, languages: Sequence[str] = (), **kwargs: Any
    ) -> None:
        """``languages`` of the shop's customers; with one there is nothing to ask."""
        super().__init__(*args, **kwargs)
        theirs = self.initial.get("language")
        codes = list(dict.fromkeys([*languages, *filter(None, [theirs])]))
        if len(codes) < 2:
            del self.fields["language"]
            return
        field = self.fields["language"]
        field.choices = named(codes)  # type: ignore[attr-defined]
        field.initial, field.required = codes[0], False

    def clean(self) -> dict[str, Any]:
        """A choice that was left alone is what the page offered first."""
        for name, field in self.fields.items():
            if field.initial and not self.cleaned_data.get(name, "missing"):
                self.cleaned_data[name] = field.initial
        return self.cleaned_data

    def who(self) -> dict[str, str]:
        """What the page asked of the customer; the rest stays as it is."""
        names = ("name", "phone", "email", "address", "channel", "language")
        return {name: self.cleaned_data[name] for name in names if name in self.fields}


def initial_of(customer: Customer) -> dict[str, Any]:
    return {
        "customer": customer.pk,
        "version": customer.version,
        "name": customer.name,
        "phone": customer.phone_typed,
        "email": customer.email,
        "address": customer.address,
        "channel": customer.channel,
        "language": customer.language,
    }


def initial_of_device(device: Device) -> dict[str, Any]:
    return {name: getattr(device, name) for name in OF_DEVICE}


class IntakeForm(CustomerForm, InCurrency):
    """The whole of *Take one in*, section by section.

    The other kinds of intake leave fields out, or add their own
    (``forms_kinds``).
    """

    intake_kind = IntakeKind.COUNTER
    brought: tuple[str, ...] = ()
    leaves_out: tuple[str, ...] = ()

    customer = forms.IntegerField(required=False, widget=forms.HiddenInput)

    kind = choice(_("Kind"), DeviceKind.choices, initial=DeviceKind.LAPTOP)
    model = text(_("Model"), 120, is_needed=True)
    serial = takes_scans(text(_("Serial number"), 80))
    board_number_seen = takes_scans(text(_("Board number, if seen"), 80))
    year_made = year(_("Year made or bought, if known"))
    contact = text(_("Whom to ask about this machine"), 200)

    faults = ticks(_("Often told"), chips.FAULTS.items())
    told = long_text(_("In the customer’s words"))

    liquid = choice(_("Liquid?"), ANSWERS, initial=Answer.NOT_RECORDED)
    dropped = choice(_("Dropped?"), ANSWERS, initial=Answer.NOT_RECORDED)
    hot_or_swollen = choice(
        _("Hot, smell, swollen?"), ANSWERS, initial=Answer.NOT_RECORDED
    )
    opened_before = choice(_("Opened before?"), ANSWERS, initial=Answer.NOT_RECORDED)
    triage = ticks(_("What of it"), Triage.choices)

    marks = ticks(_("Often seen"), chips.MARKS.items())
    condition = long_text(_("Condition, as it stands on the counter"), rows=2)

    things = ticks(
        _("Came with it"), [(kind, ThingKind(kind).label) for kind in CAME_WITH_IT]
    )
    other_thing = text(_("Anything else"), 80)

    without_passcode = choice(
        _("Work without a passcode?"), CONSENTS, initial=Answer.NOT_RECORDED
    )
    goal = choice(_("Goal"), Goal.choices, initial=Goal.MACHINE_WORKS)
    pre_approved = MoneyField(label=_("Cap without asking"), required=False)
    fee_agreed = choice(
        _("Diagnosis fee agreed?"), FEE_ANSWERS, initial=Answer.NOT_RECORDED
    )
    reassembly = choice(
        _("After a no: put together again?"), CONSENTS, initial=Answer.NOT_RECORDED
    )
    reassembly_price = MoneyField(label=_("For, without tax"), required=False)
    is_express = forms.BooleanField(label=_("Express: before its turn"), required=False)
    promise = moment(_("First word by"))
    ready_by = moment(_("Ready by"))
    their_reference = takes_scans(text(_("Their reference"), 80))
    order_number = takes_scans(text(_("Order number"), 80))
    boot_test = choice(Purpose.BOOT_TEST.label, CONSENTS, initial=Answer.NOT_RECORDED)
    open_files = choice(Purpose.OPEN_FILES.label, CONSENTS, initial=Answer.NOT_RECORDED)
    backup = choice(Purpose.BACKUP.label, CONSENTS, initial=Answer.NOT_RECORDED)
    erase = choice(Purpose.ERASE.label, CONSENTS, initial=Answer.NOT_RECORDED)
    signed = choice(_("Signature"), SIGNED, initial=ON_PAPER)
    signature = forms.CharField(required=False, widget=forms.HiddenInput)
    draft = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.leaves_out:
            self.fields.pop(name, None)

    def clean(self) -> dict[str, Any]:
        """A ticked chip is a word; what triage found answers its question."""
        typed = super().clean()
        if "told" in self.fields and "told" not in self.errors:
            typed["told"] = chips.joined(
                chips.FAULTS, typed.get("faults", ()), typed["told"]
            )
            if not typed["told"]:
                self.add_error("told", _("Tick or write what the customer tells."))
        if "condition" in typed:
            marks = typed.get("marks", ())
            typed["condition"] = chips.joined(chips.MARKS, marks, typed["condition"])
        self._reassembly_has_its_price(typed)
        for name, codes in chips.ANSWERED_BY.items():
            is_found = bool(codes & set(typed.get("triage", ())))
            if is_found and typed.get(name) == Answer.NOT_RECORDED:
                typed[name] = Answer.YES
        return typed

    def _reassembly_has_its_price(self, typed: dict[str, Any]) -> None:
        is_agreed = typed.get("reassembly") == Answer.YES
        price = typed.get("reassembly_price")
        if "reassembly_price" in self.errors:
            return
        if is_agreed and price is None:
            self.add_error("reassembly_price", _("Write the price; 0 is for nothing."))
        if price is not None and not is_agreed:
            self.add_error("reassembly", _("A price is written: was it agreed?"))

    def first_look(self) -> list[forms.BoundField]:
        return self.shown(FIRST_LOOK)

    def consent_fields(self) -> list[forms.BoundField]:
        return self.shown(Purpose.values)

    def shown(self, names: Iterable[str]) -> list[forms.BoundField]:
        """Those of the fields that this kind of intake asks for."""
        return [self[name] for name in names if name in self.fields]

    def what(self) -> dict[str, Any]:
        typed = self.cleaned_data
        return {name: typed[name] for name in OF_DEVICE if name in typed}

    def opening(self) -> dict[str, Any]:
        """What ``ticket_open`` wants to know beyond customer and device."""
        typed = self.cleaned_data
        asked = {name: typed[name] for name in AGREED if name in typed}
        return {
            **asked,
            **self.answers(),
            "things": self.things_typed(),
            "consents": self.consents(),
            "intake_kind": self.intake_kind,
            "triage": typed.get("triage", []),
            "brought": {
                kind: typed[kind]
                for kind in (*self.brought, "condition")
                if kind in typed
            },
        }

    def answers(self) -> dict[str, str]:
        typed = self.cleaned_data
        return {name: typed[name] for name in FIRST_LOOK if name in typed}

    def consents(self) -> dict[str, str]:
        typed = self.cleaned_data
        asked = {name: typed[name] for name in Purpose.values if name in typed}
        return {name: a for name, a in asked.items() if a != Answer.NOT_RECORDED}

    def things_typed(self) -> list[ThingDraft]:
        typed = self.cleaned_data
        drafts = [ThingDraft(kind) for kind in typed.get("things", ())]
        if other := typed.get("other_thing"):
            drafts.append(ThingDraft(ThingKind.OTHER, other))
        return drafts


class StoryForm(forms.Form):
    """The four texts, each with the note that stood when the page was made."""

    def __init__(self, *args: Any, notes: Mapping[str, Note], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for part, label in PARTS.items():
            note = notes.get(part)
            self.fields[part] = long_text(label)
            self.fields[part].initial = note.text if note else ""
            self.fields[f"seen_{part}"] = forms.IntegerField(
                required=False,
                widget=forms.HiddenInput,
                initial=note.pk if note else 0,
            )

    def texts(self) -> dict[str, str]:
        """Every text but those that are empty and were never written."""
        return {
            part: self.cleaned_data[part]
            for part in PARTS
            if self.cleaned_data[part] or self.fields[part].initial
        }

    def seen(self) -> dict[str, int]:
        return {part: self.cleaned_data[f"seen_{part}"] or 0 for part in PARTS}
