"""Taking a reading: what is kept, what is refused, and that nothing is kept then."""

from datetime import timedelta
from uuid import uuid4

import pytest

from diagnostics import holding
from diagnostics import services as bench
from diagnostics.engine.errors import EngineError, EvidenceError, TypedValueError
from diagnostics.models import Board, Meter, Reading
from diagnostics.refusals import HeldOff, OtherContents, WrongCondition
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, Note
from tests.diagnostics.conftest import MORNING, Read


def test_it_keeps_what_was_typed_beside_what_it_means(read: Read) -> None:
    reading = read("k03/main", "12 mV")
    assert (reading.typed, reading.value, reading.unit) == ("12 mV", 0.012, "V")
    assert (reading.decimals, reading.digit) == (0, 0.001)
    assert (reading.check_id, reading.mode, reading.condition) == ("k03", "V", "U")
    assert reading.full_scale == 0.6
    assert reading.epoch == 0


def test_a_point_with_a_unit_of_its_own_is_read_in_it(read: Read) -> None:
    assert read("k56/spread", "40 mV", source="told").unit == "V"
    assert read("k56/health", "76.8", source="told").unit == "%"


def test_a_wrong_unit_is_refused_and_nothing_is_kept(read: Read) -> None:
    with pytest.raises(TypedValueError) as refused:
        read("k03/main", "5 ohm")
    assert refused.value.code == "wrong_dimension"
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    "typed", ["", "   ", "hello", "1 234 V", "9**9**9 V", "9" * 10_000, "<b>1</b>"]
)
def test_nonsense_is_refused_and_nothing_is_kept(read: Read, typed: str) -> None:
    with pytest.raises(TypedValueError):
        read("k03/main", typed)
    assert not Reading.objects.exists()


def test_beyond_the_meters_ranges_is_refused(read: Read) -> None:
    with pytest.raises(EngineError):
        read("k04/leads", "900 M")
    assert not Reading.objects.exists()


def test_an_unknown_point_is_refused(read: Read) -> None:
    with pytest.raises(EvidenceError):
        read("k03/nowhere", "1")


def test_looking_is_one_of_the_answers_offered(read: Read) -> None:
    assert read("k01/top", category="corroded").category == "corroded"
    with pytest.raises(Refused):
        read("k01/top", category="lovely")


def test_words_instead_of_a_value_are_outcomes(read: Read) -> None:
    assert read("k04/leads", "OL").outcome == "ol"
    assert read("k04/leads", outcome="cant_reach").outcome == "cant_reach"
    assert read("k04/leads", outcome="climbing").value is None


def test_a_reading_without_contact_is_no_value_and_has_no_number(read: Read) -> None:
    reading = read("k04/leads", "0.3", outcome="cant_reach")
    assert (reading.outcome, reading.value, reading.typed) == ("cant_reach", None, "")


# --- the leads ---


def test_the_leads_of_the_day_are_kept_with_low_ohms(read: Read) -> None:
    read("k04/leads", "0.3")
    read("k04/leads", "0.2")
    assert read("k17/cpu.core", "4.3", source="told").lead_ohms == 0.2
    assert read("k04/leads", "0.25").lead_ohms is None


def test_another_person_has_measured_no_leads(read: Read, sami: Person) -> None:
    read("k04/leads", "0.2")
    reading = read("k17/cpu.core", "4.3", by=sami)
    assert reading.lead_ohms is None


def test_yesterdays_leads_are_not_todays(read: Read) -> None:
    read("k04/leads", "0.2", taken_at=MORNING - timedelta(days=1))
    assert read("k17/cpu.core", "4.3").lead_ohms is None


def test_a_struck_reading_of_the_leads_does_not_count(read: Read, ines: Person) -> None:
    read("k04/leads", "0.2")
    bench.reading_strike(reading=read("k04/leads", "0.9"), by=ines)
    assert read("k17/cpu.core", "4.3").lead_ohms == 0.2


def test_leads_belong_to_their_meter(read: Read, hollin_lane: Shop) -> None:
    other = Meter.objects.create(shop=hollin_lane, name="B2")
    read("k04/leads", "0.2")
    assert read("k17/cpu.core", "4.3", meter=other).lead_ohms is None
    read("k04/leads", "0.1", meter=other)
    assert read("k17/cpu.core", "4.3", meter=other).lead_ohms == 0.1


def test_four_wires_have_no_leads_in_their_value(read: Read) -> None:
    read("k04/leads", "0.2")
    assert read("k17/cpu.core", "4.1", is_four_wire=True).lead_ohms is None


# --- the board's condition ---


def test_a_cold_check_is_refused_on_a_powered_board(read: Read) -> None:
    with pytest.raises(WrongCondition):
        read("k17/cpu.core", "4.1", condition="A")


def test_a_powered_check_is_refused_on_a_cold_board(read: Read) -> None:
    with pytest.raises(WrongCondition):
        read("k27/main", "18.9", condition="U")
    assert not Reading.objects.exists()


# --- gates ---


def test_ohms_wait_until_the_power_is_gone(read: Read) -> None:
    with pytest.raises(HeldOff) as refused:
        read("k06/main", "41k")
    assert refused.value.holds[0].frees == "k03"
    assert not Reading.objects.exists()


def test_no_power_before_the_resistances_are_known(read: Read) -> None:
    with pytest.raises(HeldOff):
        read("k27/main", "18.9")
    assert not Reading.objects.exists()


def test_what_another_repairer_told_is_kept_but_opens_no_gate(read: Read) -> None:
    for rail in ("main", "mem.q", "cpu.core"):
        assert read(f"k03/{rail}", "0.01", source="told").source == "told"
    with pytest.raises(HeldOff):
        read("k06/main", "41k")


# --- twice ---


def test_the_same_reading_sent_twice_is_kept_once(read: Read) -> None:
    uuid = uuid4()
    first = read("k03/main", "0.01", uuid=uuid)
    assert read("k03/main", "0.01", uuid=uuid) == first
    assert Reading.objects.count() == 1


def test_the_same_key_with_another_value_is_refused(read: Read) -> None:
    uuid = uuid4()
    read("k03/main", "0.01", uuid=uuid)
    with pytest.raises(OtherContents):
        read("k03/main", "0.02", uuid=uuid)
    assert Reading.objects.get().value == 0.01


def test_two_people_may_read_the_same_point(read: Read, sami: Person) -> None:
    read("k03/main", "0.01")
    read("k03/main", "0.02", by=sami)
    assert set(Reading.objects.values_list("by__username", flat=True)) == {
        "ines",
        "sami",
    }


# --- in hand ---


def test_the_first_reading_takes_the_board_in_hand(
    read: Read, board: Board, ines: Person, sami: Person
) -> None:
    assert holding.holder_of(board) is None
    read("k03/main", "0.01")
    assert holding.holder_of(board) == ines.pk
    read("k03/mem.q", "0.01", by=sami)
    assert holding.holder_of(board) == ines.pk
    assert Event.objects.filter(kind=Kind.BOARD_TAKEN).count() == 1


def test_words_of_a_person_lie_in_a_note_and_in_no_event(read: Read) -> None:
    reading = read("k03/main", "0.01", note="Mrs Pell's cat was here")
    assert reading.note is not None
    assert Note.objects.get(kind="reading").text == "Mrs Pell's cat was here"
    assert "cat" not in str(list(Event.objects.values()))


def test_a_handed_over_ticket_takes_no_more_readings(read: Read, job: Ticket) -> None:
    from shop.intake.models import Handover

    Handover.objects.create(ticket=job, given_to="Ada Pell")
    with pytest.raises(Refused):
        read("k03/main", "0.01")
    assert not Reading.objects.exists()
