"""What a country fills in at the set-up, from ``countries.toml``."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).with_name("countries.toml")
USUAL = "GB"  # where neither browser nor clock tell a country: the program is English
STARTING = "starting"
HOURLY_RATE, DIAGNOSIS_FEE = 60, 35  # in euros: the worked cases', our judgement


@dataclass(frozen=True)
class Country:
    code: str
    name: str
    currency: str
    tax: Decimal
    tax_name: str
    with_tax: bool
    languages: tuple[str, ...]
    zones: tuple[str, ...]
    paper: str


@cache
def countries() -> Mapping[str, Country]:
    return {
        code: Country(
            code=code,
            name=facts["name"],
            currency=facts["currency"],
            tax=Decimal(facts["tax"]),
            tax_name=facts["tax_name"],
            with_tax=facts["with_tax"],
            languages=tuple(facts["languages"]),
            zones=tuple(facts["zones"]),
            paper=facts["paper"],
        )
        for code, facts in _file().items()
        if code != STARTING
    }


def starting(currency: str) -> tuple[Decimal, Decimal]:
    """A first hourly rate and diagnosis fee: figures to be changed, not advice."""
    scale = Decimal(_file()[STARTING].get(currency, 1))
    return HOURLY_RATE * scale, DIAGNOSIS_FEE * scale


def likely(accepted_languages: str, zone: str) -> Country:
    """By the region of the browser's first language, else by the machine's zone."""
    first = (
        accepted_languages.split(",", maxsplit=1)[0].split(";", maxsplit=1)[0].strip()
    )
    region = first.rpartition("-")[2].upper()
    known = countries()
    if "-" in first and region in known:
        return known[region]
    at = (country for country in known.values() if zone in country.zones)
    return next(at, known[USUAL])


def zone_of_machine() -> str:
    """The IANA name of this machine's zone, where it says one."""
    link = Path("/etc/localtime")
    try:
        return link.resolve(strict=True).as_posix().partition("/zoneinfo/")[2]
    except OSError:
        return ""


@cache
def _file() -> Mapping[str, dict[str, Any]]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))
