"""The settings afterwards: everything that the set-up asked, each on its page."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.intake.forms_shown import typed
from shop.opening import backup_place, default_texts, first_day, services
from shop.opening import forms as asked
from shop.opening.hours_form import HoursForm, initial_of_hours
from shop.opening.message_texts import MessageTextsForm
from shop.opening.shop_form import ShopForm
from shop.people import house_services as house
from shop.people import logos, message_texts
from shop.people import queries as people
from shop.people import texts as shop_texts
from shop.people.access import OWNER, AtWork, roles
from shop.people.office_limits import limits_at
from shop.people.text_fields import MESSAGES
from shop.records.errors import Refused, StaleEdit
from shop.records.idempotency import once


@roles(OWNER)
@require_GET
def settings(request: AtWork) -> HttpResponse:
    shop = request.shop
    context = {
        "terms": people.terms_at(shop, timezone.now()),
        "limits": limits_at(shop, timezone.now()),
        "are_texts_read": shop_texts.texts_are_read(shop),
        "is_first_day": any(not s.is_done for s in first_day.steps_of(shop)),
    }
    return render(request, "opening/settings.html", context)


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def address(request: AtWork) -> HttpResponse:
    """Name, address, place, printers, backup, logo."""
    shop = request.shop
    start = asked.initial_of_shop(shop) | {"version": shop.version}
    form = ShopForm(typed(request), request.FILES or None, initial=start)
    context = {"form": form, "has_logo": bool(logos.logo_at(shop, timezone.now()))}
    if act_done(form, lambda: _shop_keep(request, form)):
        return act_kept(request, "opening:address")
    return form_page(request, "opening/address.html", form, context)


@transaction.atomic
def _shop_keep(request: AtWork, form: ShopForm) -> None:
    columns = form.columns()
    if columns["backup_place"] != request.shop.backup_place:
        columns["backup_place"] = backup_place.tried(columns["backup_place"])
    if columns["currency"] != request.shop.currency:
        services.currency_change(
            shop=request.shop, by=request.user, currency=columns["currency"]
        )
    picture = form.cleaned_data["logo"]
    png = logos.encoded(picture.read(logos.MOST_BYTES + 1)) if picture else None
    house.shop_change(
        shop=request.shop,
        by=request.user,
        version=form.cleaned_data["version"] or 0,
        **columns,
    )
    if png is not None or form.cleaned_data["no_logo"]:
        house.logo_keep(shop=request.shop, by=request.user, png=png or b"")


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def hours(request: AtWork) -> HttpResponse:
    shop = request.shop
    rows = max(6, shop.closed_days.count() + 3)
    form = HoursForm(typed(request), initial=initial_of_hours(shop), closed_rows=rows)

    def act() -> object:
        version = request.POST.get("version", "")
        return house.hours_keep(
            shop=shop,
            by=request.user,
            version=int(version) if version.isascii() and version.isdigit() else 0,
            week=form.week(),
            closed=form.closed(),
        )

    if act_done(form, act):
        return act_kept(request, "opening:hours")
    return form_page(request, "opening/hours.html", form, {"form": form})


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def texts(request: AtWork) -> HttpResponse:
    """The texts in every language of the shop, and “read and ok”."""
    shop = request.shop
    stand = shop_texts.newest(shop)
    languages = [*shop.language_codes, *(lang for _k, lang in stand)]
    groups = [_text_forms(request, lang, stand) for lang in dict.fromkeys(languages)]
    forms = [form for group in groups for form in group]
    status = 200
    stale: StaleEdit | None = None
    is_right = request.method == "POST" and all(
        [form.is_valid() for form in forms]  # noqa: C419  each shows its errors
    )
    is_preview = is_right and request.POST.get("then") == "preview"
    if is_right and not is_preview:
        try:
            return _texts_keep(request, forms)
        except StaleEdit as error:
            stale = error
    if request.method == "POST" and not is_preview:
        status = 422
    context = {
        "groups": groups,
        "is_preview": is_preview,
        "are_offered": not any(kind in MESSAGES for kind, _lang in stand),
        "wrong": [field for form in forms for field in form if field.errors],
        "stale": list(stale.theirs.items()) if stale else [],
        "seen": {f"{kind}_{lang}": row.pk for (kind, lang), row in stand.items()},
        "last": shop.texts.order_by("id").last(),
        "are_read": shop_texts.texts_are_read(shop),
        "read": shop.texts_read.last(),
        "are_ours": any(row.is_ours for row in stand.values()),
        "languages": dict(asked.languages()),
    }
    return render(request, "opening/texts.html", context, status=status)


def _text_forms(
    request: AtWork, language: str, stand: shop_texts.Newest
) -> tuple[asked.TextsForm, MessageTextsForm]:
    """Papers and messages in one language; ours are offered where none stands."""
    start = {f"{kind}_{lang}": row.text for (kind, lang), row in stand.items()}
    ours = {**default_texts.ours(language), **message_texts.ours(language)}
    start = {f"{kind}_{language}": text for kind, text in ours.items()} | start
    more: dict[str, Any] = {"language": language, "initial": start}
    return (
        asked.TextsForm(typed(request), **more),
        MessageTextsForm(typed(request), shop=request.shop, **more),
    )


def _texts_keep(request: AtWork, forms: list[asked.TextsForm]) -> HttpResponse:
    said = {key: text for form in forms for key, text in form.texts().items()}
    seen = {
        (kind, lang): int(pk)
        for kind, lang in said
        if (pk := request.POST.get(f"seen_{kind}_{lang}", "")).isdigit()
    }
    count = house.texts_keep(shop=request.shop, by=request.user, texts=said, seen=seen)
    if count:
        messages.success(
            request, _("Kept. Read them once more, and say that they are ok.")
        )
    return redirect("opening:texts")


@roles(OWNER)
@require_POST
@once
def texts_read(request: AtWork) -> HttpResponse:
    """“Read and ok”: from now on the texts reach customers."""
    last = request.POST.get("last", "")
    try:
        house.texts_confirm(
            shop=request.shop,
            by=request.user,
            last_seen=int(last) if last.isascii() and last.isdigit() else 0,
        )
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("opening:texts")
    messages.success(request, _("In force from now on."))
    return redirect("opening:texts")


def act_done(form: Form, act: Callable[[], object]) -> bool:
    """Do the act; what it refuses, and what others saved, stands beside its field."""
    if not (form.is_bound and form.is_valid()):
        return False
    try:
        act()
    except Refused as refused:
        field = refused.field if refused.field in form.fields else None
        form.add_error(field, str(refused))
    except StaleEdit as stale:
        for name, theirs in stale.theirs.items():
            if stale.mine[name] != theirs:
                said = _("Somebody else has saved “%(theirs)s” meanwhile.")
                field = name if name in form.fields else None
                form.add_error(field, said % {"theirs": theirs})
    return not form.errors


def act_kept(request: AtWork, name: str) -> HttpResponse:
    messages.success(request, _("Kept."))
    return redirect(name)


def form_page(
    request: AtWork, template: str, form: Form, context: dict[str, Any]
) -> HttpResponse:
    context |= {"version": request.shop.version}
    return render(request, template, context, status=422 if form.is_bound else 200)
