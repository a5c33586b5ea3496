"""The demo's scenario goes through the services and ends as it should."""

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from diagnostics import queries
from diagnostics.models import Finding
from shop.billing.models import Invoice
from shop.desk import account
from shop.desk.management.commands.demo import SCENARIO, TOLD
from shop.desk.scenario import ACTS, tell
from shop.intake import queries as intake


@pytest.mark.django_db
def test_the_whole_ticket_is_told_to_the_last_cent(
    settings: Any, tmp_path: Path
) -> None:
    settings.PAPERS_DIR = tmp_path
    shop = tell(SCENARIO, now=timezone.now())
    invoice = Invoice.objects.get()
    assert [str(s) for s in (invoice.net, invoice.tax, invoice.total)] == [
        "101.00",
        "20.20",
        "121.20",
    ]
    told = account.of_one_ticket(shop, serial=TOLD)
    for words in ("k06/main", "Bad", "79.20", "invoice-", "marit-bench"):
        assert words in told
    assert len(list(settings.PAPERS_DIR.iterdir())) == 3


@pytest.mark.django_db
def test_every_party_has_a_turn_in_it() -> None:
    now = timezone.now()
    shop = tell(SCENARIO, now=now)
    open_ones = intake.tickets_open(shop)
    turns = intake.turns_of(open_ones, now)
    assert {turn.whose for turn in turns.values()} >= {"ours", "customer", "supplier"}


@pytest.mark.django_db
def test_a_repaired_board_reads_good_where_it_read_bad() -> None:
    """Issue: on healthy boards no reading is bad and at most one in ten unclear."""
    tell(SCENARIO, now=timezone.now())
    before: Counter[str] = Counter()
    after: Counter[str] = Counter()
    for finding in Finding.objects.filter(is_proven=True):
        known = queries.known_of(finding.board)
        for one in known.judged:
            words = after if one.reading.epoch == known.epoch else before
            words[one.verdict.word.value] += 1
    assert before["bad"] > 0
    assert after.total() > 10
    assert after["bad"] == 0
    assert after["unclear"] <= 0.10 * after.total()


def test_the_grammar_names_every_act() -> None:
    head = SCENARIO.read_text(encoding="utf-8").split("\n[shop]")[0]
    grammar = " ".join(line.lstrip("# ") for line in head.splitlines())
    assert [act for act in ACTS if act not in grammar] == []


def test_the_demo_refuses_another_profile() -> None:
    with pytest.raises(CommandError, match="its own profile"):
        call_command("demo", "--no-serve")
