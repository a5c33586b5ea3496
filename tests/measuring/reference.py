"""The reference: a bare Django view with as many queries and as many bytes."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from shop.people.models import Shop


def bare_view(
    queries: int, size: int, pk: int
) -> Callable[[HttpRequest], HttpResponse]:
    """A view that reads one row by its key ``queries`` times and answers."""
    body = b"x" * size

    def view(request: HttpRequest) -> HttpResponse:
        for _turn in range(queries):
            Shop.objects.get(pk=pk)
        return HttpResponse(body)

    return view
