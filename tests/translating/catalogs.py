"""The catalogs in ``locale/``: brought up to the texts, and compiled."""

import gettext
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from tests.translating.extracting import ROOT, all_messages

LOCALE = ROOT / "locale"
SAME_DAY = datetime(2026, 1, 1, tzinfo=UTC)  # a date would change with every run


def po_of(language: str) -> Path:
    return LOCALE / language / "LC_MESSAGES" / "django.po"


def catalog_of(language: str) -> Catalog:
    path = po_of(language)
    if not path.exists():
        return Catalog(locale=language, fuzzy=False)
    with path.open("rb") as file:
        return read_po(file, locale=language)


def renew(language: str) -> Catalog:
    """Take in new texts, let go of old ones, write ``.po`` and ``.mo``."""
    catalog = catalog_of(language)
    catalog.update(all_messages(), no_fuzzy_matching=True)
    keep(catalog, po_of(language))
    return catalog


def keep(catalog: Catalog, path: Path) -> None:
    catalog.fuzzy = False
    catalog.project, catalog.version = "Coldrail", "1"
    catalog.header_comment = f"# Coldrail in {language_name(catalog)}."
    catalog.last_translator = catalog.language_team = catalog.project
    catalog.msgid_bugs_address = ""
    catalog.creation_date = catalog.revision_date = SAME_DAY
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        write_po(file, catalog, ignore_obsolete=True, include_lineno=False, width=88)
    path.with_suffix(".mo").write_bytes(compiled(catalog))


def language_name(catalog: Catalog) -> str:
    return str(catalog.locale.english_name) if catalog.locale else ""


def compiled(catalog: Catalog) -> bytes:
    file = BytesIO()
    write_mo(file, catalog)
    return file.getvalue()


def read_compiled(content: bytes) -> dict[object, str]:
    """What a program finds in an ``.mo``: texts, or (text, number), to translations."""
    known: dict[object, str] = gettext.GNUTranslations(BytesIO(content))._catalog  # type: ignore[attr-defined]
    return known


def untranslated(catalog: Catalog) -> list[str]:
    return [_first(one.id) for one in catalog if one.id and not all(said(one))]


def said(message: Message) -> tuple[str, ...]:
    """Its translations: one, or one for each number that the language tells apart."""
    string = message.string
    return (string,) if isinstance(string, str) else tuple(map(str, string or ("",)))


def _first(id_: str | tuple[str, ...] | list[str]) -> str:
    return id_ if isinstance(id_, str) else id_[0]
