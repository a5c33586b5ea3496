"""Where a request about money works: an issued paper."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.http import HttpResponse

from shop.billing import queries
from shop.billing.models import Invoice
from shop.people.access import AtWork

P = ParamSpec("P")


def at_invoice(
    view: Callable[Concatenate[AtWork, Invoice, P], HttpResponse],
) -> Callable[Concatenate[AtWork, str, P], HttpResponse]:
    """Fetch the invoice or credit note in this person's shop, or 404."""

    @wraps(view)
    def placed(
        request: AtWork, number: str, *args: P.args, **kwargs: P.kwargs
    ) -> HttpResponse:
        invoice = queries.invoice_get(request.shop, number)
        return view(request, invoice, *args, **kwargs)

    return placed  # type: ignore[return-value]  # Django passes by name
