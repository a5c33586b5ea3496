"""The catalogs in ``locale/``: whole, as they are compiled, and fit for their texts."""

import ast
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import pytest
from babel.messages.catalog import Catalog, Message
from django.conf import settings
from django.utils.translation import get_language, gettext, override

from diagnostics.engine.boards import board_of
from diagnostics.engine.family import Family
from diagnostics.engine.family_load import FAMILY_IDS, load_family, options_of
from diagnostics.engine.family_patch import Patch
from diagnostics.sayings import family_text
from tests.translating import catalogs
from tests.translating.extracting import FAMILY_KEYS, ROOT, all_messages

LANGUAGES = [code for code, _name in settings.LANGUAGES if code != "en"]
# What must stand in a translation as it stands in the text.
HELD = re.compile(r"%\(\w+\)[sd]|%%|%[sd]|\{[a-z_]*\}|</?[a-z]+[^>]*>|&\w+;")
ENDS = re.compile(r"^\s*|\s*$")
AT_ONCE = {"gettext", "ngettext", "pgettext", "npgettext"}


@pytest.fixture(scope="module", params=LANGUAGES)
def catalog(request: pytest.FixtureRequest) -> Catalog:
    return catalogs.catalog_of(request.param)


@pytest.fixture(scope="module")
def messages() -> Catalog:
    return all_messages()


def told(catalog: Catalog) -> set[tuple[object, object]]:
    return {(one.context, one.id) for one in catalog if one.id}


def texts_of(one: Message) -> tuple[str, ...]:
    return (one.id,) if isinstance(one.id, str) else tuple(one.id)


def test_every_text_is_in_the_catalog_and_no_other(
    catalog: Catalog, messages: Catalog
) -> None:
    """``manage.py messages`` takes in what is new here."""
    assert len(messages) > 4000
    assert told(messages) - told(catalog) == set(), "not taken in"
    assert told(catalog) - told(messages) == set(), "no longer said"
    assert not catalog.obsolete


def test_every_text_is_translated_for_sure(catalog: Catalog) -> None:
    assert catalogs.untranslated(catalog) == []
    assert [one.id for one in catalog if one.id and one.fuzzy] == []


def test_plurals_fill_all_forms_of_the_language(catalog: Catalog) -> None:
    plurals = [one for one in catalog if one.id and one.pluralizable]
    assert len(plurals) > 50
    assert {len(catalogs.said(one)) for one in plurals} == {catalog.num_plurals}


def test_what_is_compiled_is_what_is_written(catalog: Catalog) -> None:
    path = catalogs.po_of(str(catalog.locale)).with_suffix(".mo")
    kept = catalogs.read_compiled(path.read_bytes())
    assert kept == catalogs.read_compiled(catalogs.compiled(catalog))


def test_placeholders_and_tags_stand_in_each_translation(catalog: Catalog) -> None:
    """One of a plural may leave the number out: "the one part"."""
    wrong = []
    for one in catalog:
        source = Counter(HELD.findall(texts_of(one)[-1])) if one.id else Counter()
        for said in catalogs.said(one) if one.id else ():
            have = Counter(HELD.findall(said))
            is_less = one.pluralizable and have <= source
            if have != source and not is_less:
                wrong.append((texts_of(one)[-1], said))
    assert wrong == []


def test_blanks_at_the_ends_stand_too(catalog: Catalog) -> None:
    """Pieces beside a link or a figure carry the blank between."""
    wrong = [
        (one.id, said)
        for one in catalog
        if one.id
        for said in catalogs.said(one)
        if ENDS.findall(said) != ENDS.findall(texts_of(one)[0])
    ]
    assert wrong == []


# --- the texts of families ----------------------------------------------------------


def family_texts(thing: object, key: str = "") -> Iterator[str]:
    """All of a loaded family that people read, by the names of its fields."""
    if is_dataclass(thing) and not isinstance(thing, type):
        for field in fields(thing):
            if field.name not in {"circuit", "texts"}:
                yield from family_texts(getattr(thing, field.name), field.name)
    elif isinstance(thing, dict):
        for one in thing.values():
            yield from family_texts(one)
    elif isinstance(thing, tuple):
        for one in thing:
            yield from family_texts(one)
    elif isinstance(thing, str) and thing and key in FAMILY_KEYS:
        yield thing


def families_with_every_choice() -> Iterator[Family]:
    for one in FAMILY_IDS:
        family = load_family(one)
        yield family
        for variant, options in options_of(family).items():
            for option in options[1:]:
                chosen = [Patch(f"variants.{variant}", option)]
                yield board_of(family, chosen).family


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_text_of_every_family_is_found(language: str) -> None:
    """Loaded, with numbers in their labels: another way than the files are read."""
    known = {one.id for one in catalogs.catalog_of(language)}
    texts = {t for f in families_with_every_choice() for t in family_texts(f)}
    assert len(texts) > 500
    numbered = {re.sub(r"(?<= )\d+(?=,|$)", "{n}", one) for one in texts - known}
    assert numbered <= known
    with override(language):
        assert family_text("standby 5 V phase node 2").endswith(" 2")
        assert family_text("standby 5 V phase node 2") != "standby 5 V phase node 2"


def test_a_shop_s_own_words_stay_as_they_are() -> None:
    with override("de"):
        assert family_text("our own name of a rail, 3 of 4") == (
            "our own name of a rail, 3 of 4"
        )
        assert family_text("") == ""


# --- when texts are translated ------------------------------------------------------


def at_import(path: str) -> list[int]:
    """The lines where a module translates while it is read: for ever in English."""
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    names = {
        name.asname or name.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        and node.module == "django.utils.translation"
        for name in node.names
        if name.name in AT_ONCE
    }
    return list(_calls(tree, names))


def _calls(node: ast.AST, names: set[str]) -> Iterator[int]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.Lambda):
            continue
        called = child.func if isinstance(child, ast.Call) else None
        if isinstance(called, ast.Name) and called.id in names:
            yield called.lineno
        yield from _calls(child, names)


def test_nothing_is_translated_before_a_reader_is_known() -> None:
    modules = [
        p.relative_to(ROOT)
        for top in ("shop", "diagnostics")
        for p in (ROOT / top).rglob("*.py")
    ]
    found = {str(one): lines for one in modules if (lines := at_import(str(one)))}
    assert found == {}


def test_german_is_german() -> None:
    with override("de"):
        assert gettext("Ready by") != "Ready by"
    assert get_language() == "en"
