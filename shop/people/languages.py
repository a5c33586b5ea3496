"""The languages of the program, and the names of those that customers speak."""

from collections.abc import Iterable

from django.conf import settings
from django.conf.locale import LANG_INFO

Named = list[tuple[str, str]]


def of_program() -> Named:
    """Those that the program speaks, each by its own name."""
    return [(code, str(name)) for code, name in settings.LANGUAGES]


def spoken(code: str | None) -> str:
    """The language itself where the program speaks it, else its usual one."""
    known = dict(settings.LANGUAGES)
    return code if code in known else settings.LANGUAGE_CODE


def named(codes: Iterable[str]) -> Named:
    """Any languages, each by its own name."""
    return [
        (code, str(LANG_INFO.get(code, {}).get("name_local", code))) for code in codes
    ]
