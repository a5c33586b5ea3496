"""Two tablets whose outboxes are sent in any way that a bad network may choose.

A state machine of Hypothesis plays the tablets: each keeps acts in its order and sends
the first until it is answered. Answers are lost, requests are doubled, the tablets take
turns as it comes, their clocks are off, the person at one is switched, the ticket is
closed meanwhile. At the end all is kept once, in each tablet's order, with its moments.
"""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from unittest import mock
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from diagnostics.models import Board, Reading
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people import presence
from shop.people.models import Person

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
FEW = settings(
    max_examples=8,
    stateful_step_count=16,
    suppress_health_check=list(HealthCheck),
)
TABLETS = st.sampled_from([0, 1])


@dataclass
class Act:
    """One kept act, as outbox.js keeps it."""

    form: dict[str, str]
    key: str
    at: datetime
    by: Person
    word: str
    sequence: int
    is_late: bool | None = None  # nobody knows before it is sent

    @property
    def is_in(self) -> bool:
        return self.is_late is not None


@dataclass
class Tablet:
    """What is kept and not answered yet; how far its clock is ahead of the house's."""

    ahead: timedelta
    person: Person
    waiting: list[Act] = field(default_factory=list)
    acts: list[Act] = field(default_factory=list)


def milliseconds(at: datetime) -> str:
    return str(round(at.timestamp() * 1000))


class TwoTablets(RuleBasedStateMachine):
    """The house in ``place``; each run of the machine begins with an empty board."""

    place: dict[str, Any]

    @initialize(
        clocks=st.tuples(*[st.sampled_from([-DAY, timedelta(0), DAY])] * 2),
    )
    def open(self, clocks: tuple[timedelta, timedelta]) -> None:
        self.before = transaction.savepoint()
        ines, sami = self.place["people"]
        self.now = timezone.now()
        self.closed_at: datetime | None = None
        self.tablets = [Tablet(clocks[0], ines), Tablet(clocks[1], sami)]
        self.count = 0

    # --- what people do ---

    @rule(which=TABLETS)
    def take(self, which: int) -> None:
        self._pass()
        tablet = self.tablets[which]
        if self.closed_at is not None:
            return  # what is typed after the closing is refused: another test's
        self.count += 1
        typed = f"0.{self.count:03d}"
        key = str(uuid4())
        form = {"point_id": "k04/leads", "check": "k04", "typed": typed, "uuid": key}
        word = presence.word_for(
            person=tablet.person,
            shop=self.place["job"].shop,
            station=None,
            now=self.now - timedelta(minutes=1),
        )
        sequence = len(tablet.acts) + 1
        act = Act(form, key, self.now, tablet.person, word, sequence)
        tablet.acts.append(act)
        tablet.waiting.append(act)

    @rule(which=TABLETS)
    def switch(self, which: int) -> None:
        ines, sami = self.place["people"]
        tablet = self.tablets[which]
        tablet.person = sami if tablet.person == ines else ines

    @rule()
    def close(self) -> None:
        if self.closed_at is None and self.count > 2:
            self._pass()
            job, tomas = self.place["job"], self.place["tomas"]
            with self._clock():
                intake.outcome_record(ticket=job, by=tomas, kind="declined")
                intake.handover_do(ticket=job, by=tomas, given_to="Ada Pell")
            self.closed_at = self.now

    # --- what the network does ---

    @rule(which=TABLETS, sender=st.sampled_from([0, 1]), is_lost=st.booleans())
    def send(self, which: int, sender: int, is_lost: bool) -> None:
        """The first that waits; where the answer is lost it goes on waiting."""
        tablet = self.tablets[which]
        if not tablet.waiting:
            return
        self._pass()
        self._post(tablet, tablet.waiting[0], sender)
        if not is_lost:
            tablet.waiting.pop(0)

    @rule(which=TABLETS, sender=st.sampled_from([0, 1]), at=st.integers(0, 20))
    def double(self, which: int, sender: int, at: int) -> None:
        """A copy of what was sent long ago comes in at last."""
        tablet = self.tablets[which]
        sent = tablet.acts[: len(tablet.acts) - len(tablet.waiting)]
        if sent:
            self._post(tablet, sent[at % len(sent)], sender)

    def teardown(self) -> None:
        """At last all that waits comes through."""
        if not hasattr(self, "tablets"):
            return
        for tablet in self.tablets:
            for act in tablet.waiting:
                self._post(tablet, act, 0)
            tablet.waiting.clear()
        self.all_is_kept_once_and_in_order()
        assert Reading.objects.count() == self.count
        transaction.savepoint_rollback(self.before)

    # --- what has to hold ---

    @invariant()
    def all_is_kept_once_and_in_order(self) -> None:
        kept = {one.typed: one for one in Reading.objects.order_by("id")}
        assert len(kept) == Reading.objects.count()
        arrived = [act for tablet in self.tablets for act in tablet.acts if act.is_in]
        assert len(kept) == len(arrived)
        for tablet in self.tablets:
            self._holds_for(tablet, kept)

    def _holds_for(self, tablet: Tablet, kept: dict[str, Reading]) -> None:
        sent = [act for act in tablet.acts if act.is_in]
        rows = [kept[act.form["typed"]] for act in sent]
        assert [row.pk for row in rows] == sorted(row.pk for row in rows)
        for act, row in zip(sent, rows, strict=True):
            assert row.by == act.by
            assert row.is_confirmed
            assert row.tablet_sequence == act.sequence
            assert abs(row.taken_at - act.at) < timedelta(milliseconds=2)
            off = row.tablet_offset_seconds
            assert off is not None
            assert abs(off - tablet.ahead.total_seconds()) < 0.002
            assert row.is_late == act.is_late

    def _pass(self) -> None:
        self.now += timedelta(seconds=20)

    def _clock(self) -> Any:
        return mock.patch("django.utils.timezone.now", return_value=self.now)

    def _post(self, tablet: Tablet, act: Act, sender: int) -> None:
        if not act.is_in:
            act.is_late = self.closed_at is not None
        client: Client = self.place["clients"][sender]
        told = {
            "Idempotency-Key": act.key,
            "Taken-At": milliseconds(act.at + tablet.ahead),
            "Tablet-Clock": milliseconds(self.now + tablet.ahead),
            "Tablet-Offset": str(tablet.ahead.total_seconds() * 1000),
            "Tablet-Sequence": str(act.sequence),
            "Taken-By": str(act.by.pk),
            "Taken-Word": act.word,
            "Taken-Form": "1",
        }
        with self._clock():
            answer: Any = client.post(self.place["url"], act.form, headers=told)
        assert answer.get("Tablet-Kept") == "yes", answer.content.decode()[:600]


@pytest.fixture
def place(
    job: Ticket, board: Board, ines: Person, sami: Person, tomas: Person
) -> dict[str, Any]:
    clients = []
    for person in (ines, sami):
        client = Client()
        client.force_login(person)
        clients.append(client)
    url = reverse("diagnostics:reading_take", args=[job.number, board.pk])
    return {
        "people": (ines, sami),
        "tomas": tomas,
        "job": job,
        "board": board,
        "clients": clients,
        "url": url,
    }


def test_two_tablets_lose_and_double_nothing(place: dict[str, Any]) -> None:
    machine = type("Here", (TwoTablets,), {"place": place})
    run_state_machine_as_test(machine, settings=FEW)
