"""The languages of the program, and the names of those that customers speak."""

from collections.abc import Iterable, Mapping

from django.conf import settings
from django.conf.locale import LANG_INFO
from django.utils.translation import gettext, override

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


def texts_in(language: str, texts: Mapping[str, str]) -> dict[str, str]:
    """Texts of ours by their kind; in a language that we don't speak there are none."""
    if spoken(language) != language:
        return {}
    with override(language):
        return {kind: gettext(text) for kind, text in texts.items()}
