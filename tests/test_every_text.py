"""Every page in a language of brackets: what stands outside is data, or a mistake."""

import re
from collections.abc import Callable
from zoneinfo import available_timezones

import pytest
from django.test import Client

from diagnostics.engine.family_load import FAMILY_IDS, load_family
from shop.intake.models import Customer, Ticket
from shop.opening import forms as asked
from shop.people.models import Person, Shop
from tests.test_access import ROUTES
from tests.translating.pseudo import CLOSE, OPEN, WORD, pseudo_german, read, unbracketed

SampleUrl = Callable[[str], str]
PEOPLE = ("tomas", "ines", "marit")
# What the samples of all pages are made of (tests/samples.py, tests/factories.py).
OF_THE_SAMPLES = (
    *("Ada Pell", "Ada Pel", "Iris Vane", "Orrin 14", "HN14-MB", "Bench one", "C4"),
    *("Ines Okafor", "Tomas Reyl", "Marit Hollin", "Sami Aalto", "by the coil"),
    *("Hollin Lane Board Repair", "4 Hollin Lane", "17 Weir Street", "Westmere"),
    *("Charged it overnight, dead in the morning.", "capacitor", "controller", "Marsh"),
    *("desk@hollin-lane.example", "ines", "tomas", "marit", "sami", "nobody", "PU3"),
    *("Loan laptop 1", "Fuse, 8 A", "FUSE-8A", "CAP-1"),
    *("Vera Lund", "vera", "DP-1"),
    *("Counter", "desk", "old.csv", "name", "phone", "http://testserver", "Repair"),
    # Kept as they were read to the customer, who spoke English then.
    *("Diagnosis, as agreed", "Consumables"),
)
# Names of our own, of standards, units and currencies, and secrets in letters.
NAMES = (
    *("Coldrail", "EUR", "DDR3L", "DDR3", "DDR4", "DDR5", "LPDDR4X", "LPDDR5", "CUPS"),
    "CSV",
    *("min", "mV", "kΩ", "mΩ", "MHz", "kHz"),
)
SECRET = re.compile(r"\b[A-Z2-7]{4}( [A-Z2-7]{4}){7}\b")
FINGERPRINT = re.compile(r"\b[0-9A-F]{2}( [0-9A-F]{2}){7}\b")  # a row of it
FIELD = re.compile(r"\{[a-z_]+\}")
FOLDER = re.compile(r"(?<!\S)/\S+")  # where something lies on the machine
FROZEN = re.compile(r"On this repair until .* not covered\.")  # on an issued invoice


@pytest.fixture(scope="module")
def data() -> re.Pattern[str]:
    """All that a page may show as it is; the longest first."""
    families = [load_family(one) for one in FAMILY_IDS]
    nets = {net for one in families for net in (*one.rails, *one.signals)}
    languages = {name for _code, name in asked.languages()}
    known = {*OF_THE_SAMPLES, *NAMES, *nets, *languages, *available_timezones()}
    longest = sorted(known, key=len, reverse=True)
    return re.compile(r"(?<!\w)(?:" + "|".join(map(re.escape, longest)) + r")(?!\w)")


def left_of(piece: str, data: re.Pattern[str]) -> str:
    if {OPEN, CLOSE} & set(piece):
        return ""  # a message of which empty lines were left out
    for kind in (SECRET, FINGERPRINT, FIELD, FROZEN, FOLDER, data):
        piece = kind.sub(" ", piece)
    return " ".join(piece.split())


@pytest.mark.django_db
@pytest.mark.one_database
def test_every_text_on_every_page_is_a_message(
    worked_ticket: Ticket,
    sample_url: SampleUrl,
    client_of: Callable[[str], Client],
    data: re.Pattern[str],
    blank_papers: None,
) -> None:
    Person.objects.update(language="de")
    Customer.objects.update(language="de")
    Shop.objects.update(languages="de")
    clients = [client_of(who) for who in PEOPLE]
    found, commas, seen = set[tuple[str, str]](), set[tuple[str, str]](), 0
    with pseudo_german():
        for name in sorted(ROUTES):
            url = sample_url(name)
            for client in clients:
                answer = client.get(url)
                if "html" in answer.get("Content-Type", ""):
                    seen += OPEN in answer.content.decode()
                    page = read(answer.content.decode())
                    left = (left_of(piece, data) for piece in unbracketed(page))
                    commas |= {(name, one) for one in page.commas}
                    found |= {(name, one) for one in left if WORD.search(one)}
    assert sorted(found) == []
    assert not sorted(commas), "figures for a browser have a dot"
    assert seen > 100, "the pages were shown in that language"
