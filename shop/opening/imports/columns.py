"""Which column of a file is what: guessed by the words of its head. PURE."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

CUSTOMERS, STOCK, TICKETS = "customers", "stock", "tickets"
NOT_WORDS = re.compile(r"[^a-z0-9äöüßéèáíóúñç]+")


@dataclass(frozen=True)
class Column:
    """Something that a row may say; ``heads`` are words that files call it by."""

    name: str
    heads: tuple[str, ...]
    is_needed: bool = False


def _column(name: str, heads: str, *, needed: bool = False) -> Column:
    return Column(name, tuple(heads.split(", ")), needed)


FIRST_NAME = _column("first_name", "first name, given name, forename, vorname, prénom")
NAME = _column(
    "name",
    "name, customer, customer name, full name, last name, surname, client, company, "
    "kunde, nachname, nom",
    needed=True,
)
PHONE = _column(
    "phone", "phone, mobile, telephone, tel, phone number, cell, telefon, téléphone"
)
EMAIL = _column("email", "email, e mail, mail, email address")
FAULT = "fault, problem, issue, complaint, description, fault as told, symptom, fehler"
COLUMNS: Mapping[str, tuple[Column, ...]] = {
    CUSTOMERS: (
        FIRST_NAME,
        NAME,
        PHONE,
        EMAIL,
        _column("street", "street, address, address 1, straße, strasse, adresse, rue"),
        _column("town", "town, city, postcode and town, ort, stadt, ville"),
        _column("postcode", "postcode, zip, zip code, postal code, plz"),
        _column("tax_id", "tax id, vat, vat number, vat id, ust id"),
    ),
    STOCK: (
        _column("code", "code, sku, part number, article, item, number", needed=True),
        _column("name", "name, description, part, title, bezeichnung", needed=True),
        _column("quantity", "quantity, qty, stock, on hand, count, menge, bestand"),
        _column("cost", "cost, price, purchase price, unit cost, buy price, preis"),
    ),
    TICKETS: (
        _column(
            "old_number",
            "number, ticket, ticket number, job, job number, order, id, nummer",
            needed=True,
        ),
        FIRST_NAME,
        NAME,
        PHONE,
        EMAIL,
        _column("model", "model, device, machine, gerät, modell", needed=True),
        _column("serial", "serial, serial number, sn, imei, seriennummer"),
        _column("told", FAULT, needed=True),
        _column("opened_on", "date, opened, taken in, received, created, datum"),
    ),
}


def plain(head: str) -> str:
    """A head without case and signs: ``E-Mail:`` and ``e mail`` are one."""
    return NOT_WORDS.sub(" ", head.lower()).strip()


def guessed(header: Sequence[str], what: str) -> dict[str, int]:
    """Field -> index of its column, each column used once.

    >>> guessed(["Customer", "E-Mail", "Notes"], CUSTOMERS)
    {'name': 0, 'email': 1}
    """
    heads = [plain(head) for head in header]
    found: dict[str, int] = {}
    for column in COLUMNS[what]:
        for word in column.heads:
            if word in heads and heads.index(word) not in found.values():
                found[column.name] = heads.index(word)
                break
    return found


def missing(columns: Mapping[str, int], what: str) -> list[str]:
    return [c.name for c in COLUMNS[what] if c.is_needed and c.name not in columns]
