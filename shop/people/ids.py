"""Bank accounts and tax ids as they are typed: what kind they are, and right. PURE.

Check digits by python-stdnum: IBAN by ISO 13616, VAT ids by each country's rule.
"""

import re
from collections.abc import Callable

from stdnum import get_cc_module, iban
from stdnum.exceptions import ValidationError

LOOKS_LIKE_IBAN = re.compile(r"[A-Z]{2}[0-9]{2}[A-Z0-9]{10,30}")
# Where a VAT id begins with something else than the country's code (BR-CO-9).
PREFIXES = {"GR": "EL"}


class WrongId(ValueError):
    """It has the shape of one, and its check digits say that it is mistyped."""


def iban_of(account: str) -> str:
    """The IBAN that a typed account is, without spaces; nothing if it is none.

    >>> iban_of("IBAN DE89 3704 0044 0532 0130 00")
    'DE89370400440532013000'
    >>> iban_of("Sort code 00-00-00, account 318")
    ''
    """
    squeezed = re.sub(r"[\s.\-]", "", account.upper()).removeprefix("IBAN")
    if not LOOKS_LIKE_IBAN.fullmatch(squeezed):
        return ""
    try:
        return str(iban.validate(squeezed))
    except ValidationError as error:
        raise WrongId(account) from error


def vat_id_of(tax_id: str, country: str) -> str:
    """The VAT id that a tax id is; nothing if it is a number of another kind.

    A VAT id begins with its country's code: one without it is an old or national
    tax number. ``country`` may be unknown, then that code alone says it.

    >>> vat_id_of("GB 980 7806 84", "GB"), vat_id_of("21/815/08150", "DE")
    ('GB980780684', '')
    """
    squeezed = re.sub(r"[^A-Z0-9+*]", "", tax_id.upper())
    code = country or _country_of(squeezed)
    prefix = PREFIXES.get(code, code)
    if not prefix or not squeezed.startswith(prefix):
        return ""
    module = get_cc_module(code.lower(), "vat")
    if module is None:
        return ""
    try:
        module.validate(squeezed)
    except ValidationError as error:
        raise WrongId(tax_id) from error
    return squeezed


def _country_of(squeezed: str) -> str:
    """The country that a VAT id's first letters name."""
    backwards = {prefix: country for country, prefix in PREFIXES.items()}
    start = squeezed[:2]
    return backwards.get(start, start) if start.isalpha() else ""


def right_or_none(kind: Callable[..., str], *typed: str) -> str:
    """What ``iban_of`` or ``vat_id_of`` finds; nothing where that is mistyped."""
    try:
        return kind(*typed)
    except WrongId:
        return ""
