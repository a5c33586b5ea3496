"""What the bench page looks at, as its address or its form says."""

from diagnostics import presets
from shop.people.access import AtWork

STATE = (
    "stage",
    "check",
    "point",
    "reading",
    "taken",
    "told",
    "suspects",
    "ask",
    "passed",
)
OFFERED, FREELY = "offered", "freely"
"""``taken``: the reading was taken just now, as it was offered or by free choice."""


def state_of(request: AtWork) -> dict[str, str]:
    asked = request.POST if request.method == "POST" else request.GET
    return {key: asked.get(key, "")[:60] for key in (*STATE, *presets.STATE)}


def is_fragment(request: AtWork) -> bool:
    return "HX-Request" in request.headers
