"""When a session was last signed in to with everything that a sign-in asks for."""

import time
from typing import Any

from django.http import HttpRequest

from shop.people.access import FRESH


def remember(request: HttpRequest, **_signal: Any) -> None:
    request.session[FRESH] = time.time()
