"""A person's own settings."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from shop.people import languages, services
from shop.people.access import AtWork
from shop.people.forms import OwnForm
from shop.people.sign_in import at_work
from shop.records.idempotency import once


@at_work
@require_http_methods(["GET", "POST"])
@once
def own(request: AtWork) -> HttpResponse:
    person = request.user
    start = {"hides_suspects": person.hides_suspects, "language": person.language}
    form = OwnForm(request.POST or None, initial=start)
    if form.is_bound and form.is_valid():
        chosen = form.cleaned_data["language"] or person.language
        services.settings_keep(
            person=person,
            hides_suspects=form.cleaned_data["hides_suspects"],
            language=chosen,
        )
        translation.activate(languages.spoken(chosen))
        messages.success(request, _("Kept."))
        return redirect("people:own")
    status = 422 if form.is_bound else 200
    return render(request, "people/own.html", {"form": form}, status=status)
