"""What a country fills in, held to CLDR (through babel) and to the machine's zones."""

from datetime import date
from decimal import Decimal
from zoneinfo import available_timezones

import pytest
from babel import Locale
from babel.core import get_global
from babel.languages import get_official_languages
from babel.numbers import get_territory_currencies

from shop.opening.countries import countries, likely, starting
from shop.opening.forms import initial_of_country, languages

TODAY = date(2026, 11, 1)
# In the euro since 2026: newer than this CLDR.
NEWER_CURRENCY = {"BG": "EUR"}
# CLDR, supplemental data, paperSize: of US-Letter those that are here (from memory).
LETTER = {"CA", "CL", "CO", "MX", "PH", "US"}
MEMBERS = {
    *(
        "AT",
        "BE",
        "BG",
        "HR",
        "CY",
        "CZ",
        "DK",
        "EE",
        "FI",
        "FR",
        "DE",
        "GR",
        "HU",
        "IE",
    ),
    *("IT", "LV", "LT", "LU", "MT", "NL", "PL", "PT", "RO", "SK", "SI", "ES", "SE"),
}
# Directive 2006/112/EC, article 97: a standard rate is 15 % at least; the widest is
# Hungary's 27 % (all from memory).
LEAST, MOST = Decimal(15), Decimal(27)


@pytest.mark.parametrize("code", sorted(countries()))
def test_a_country_is_as_cldr_has_it(code: str) -> None:
    country = countries()[code]
    assert Locale("en").territories[code] == country.name
    currencies = get_territory_currencies(code, TODAY)
    assert country.currency in {*currencies, NEWER_CURRENCY.get(code, "")}
    spoken = get_official_languages(code, regional=True, de_facto=True)
    assert set(country.languages) <= set(spoken)
    zones = get_global("zone_territories")
    for zone in country.zones:
        assert zone in available_timezones()
        assert zones[zone] == code


def test_paper_is_letter_where_cldr_says_so() -> None:
    assert {c.code for c in countries().values() if c.paper == "Letter"} == LETTER


def test_every_member_state_is_there_with_a_lawful_rate() -> None:
    assert set(countries()) >= MEMBERS
    for code in MEMBERS:
        assert LEAST <= countries()[code].tax <= MOST
        assert countries()[code].with_tax


def test_every_country_begins_with_figures_and_a_language_of_the_form() -> None:
    for country in countries().values():
        rate, fee = starting(country.currency)
        assert rate > fee > 0
        assert initial_of_country(country)["language_1"] in dict(languages())


def test_browser_then_clock_tell_the_country() -> None:
    assert likely("de-AT,de;q=0.9", "Europe/Paris").code == "AT"
    assert likely("de", "Europe/Paris").code == "FR"
    assert likely("", "").code == "GB"
