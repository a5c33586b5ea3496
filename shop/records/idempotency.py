"""The same request twice is done once.

Every unsafe form carries ``{% idempotency_key %}``; a tablet sends the same in
the ``Idempotency-Key`` header. The same key gets the stored answer; the same
key with another body, or from another person, is refused.
"""

import hashlib
from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shop.records.models import KeptAnswer

P = ParamSpec("P")
R = TypeVar("R", bound=HttpRequest)
View = Callable[Concatenate[R, P], HttpResponse]

FIELD = "idempotency_key"
NOT_PART_OF_THE_ACT = {FIELD, "csrfmiddlewaretoken"}
KEPT_HEADERS = ("Location", "Content-Type", "HX-Redirect", "HX-Trigger", "HX-Retarget")
SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}


def once(view: View[R, P]) -> View[R, P]:
    """Do a view's act once per key, in one transaction with its key."""

    @wraps(view)
    def wrapped(request: R, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        if request.method in SAFE_METHODS:
            return view(request, *args, **kwargs)
        key = key_of(request)
        if not key:
            return refusal(request, "key_missing", status=400)
        with transaction.atomic():
            return _answer(request, key, lambda: view(request, *args, **kwargs))

    wrapped.is_once = True  # type: ignore[attr-defined]
    return wrapped


def key_of(request: HttpRequest) -> str:
    """The key of a request; empty when there is none that is fit."""
    key = request.headers.get("Idempotency-Key") or request.POST.get(FIELD, "")
    return key if 16 <= len(key) <= 64 else ""


def _answer(
    request: HttpRequest, key: str, act: Callable[[], HttpResponse]
) -> HttpResponse:
    person_id = request.user.pk
    digest = request_hash(request)
    kept, is_new = KeptAnswer.objects.select_for_update().get_or_create(
        key=key, defaults={"person_id": person_id, "request_hash": digest}
    )
    if not is_new:
        if (kept.person_id, kept.request_hash) != (person_id, digest):
            return refusal(request, "key_reused", status=422)
        return _replay(kept)
    response = act()
    if response.status_code >= 400:
        kept.delete()
    else:
        _keep(kept, response)
    return response


def forget_key(request: HttpRequest) -> None:
    """The act is done and its answer is the next page: the forms there are new ones."""
    posted = request.POST.copy()
    posted.pop(FIELD, None)
    request.POST = posted  # type: ignore[assignment]  # only its mutability differs


def request_hash(request: HttpRequest) -> str:
    """A hash of what is asked: the path and every posted field."""
    digest = hashlib.sha256(request.path.encode())
    for name in sorted(set(request.POST) - NOT_PART_OF_THE_ACT):
        for value in request.POST.getlist(name):
            digest.update(f"\0{name}\0{value}".encode())
    return digest.hexdigest()


def _keep(kept: KeptAnswer, response: HttpResponse) -> None:
    kept.status = response.status_code
    kept.headers = {h: response[h] for h in KEPT_HEADERS if h in response}
    kept.body = response.content.decode()
    kept.save(update_fields=["status", "headers", "body"])


def _replay(kept: KeptAnswer) -> HttpResponse:
    response = HttpResponse(kept.body, status=kept.status)
    for header, value in kept.headers.items():
        response[header] = value
    return response


def refusal(request: HttpRequest, code: str, *, status: int) -> HttpResponse:
    return render(request, "records/refused.html", {"code": code}, status=status)
