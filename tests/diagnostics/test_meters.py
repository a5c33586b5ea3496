"""The shop's meters: entered from a manual, never edited, past calibration said."""

from collections.abc import Callable
from datetime import date, timedelta
from math import sqrt
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import bridge, papers
from diagnostics import services as bench
from diagnostics.bridge import Judged
from diagnostics.engine.meters import HANDHELD, MeterRange
from diagnostics.models import Board, Meter, Reading
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from tests.diagnostics.conftest import MORNING, Read
from tests.diagnostics.test_bench_page import page_of

LIST = reverse("diagnostics:meters")
NEW = reverse("diagnostics:meter_new")
VOLTS = {"mode": "V", "full_scales": "600 mV, 6 V", "percent": "0.5", "counts": "2"}


def typed(*lines: dict[str, str], **fields: str) -> dict[str, str]:
    """A whole form of a meter, as the page sends it."""
    sent = {"idempotency_key": str(uuid4()), "name": "Bench two"}
    sent |= {"diode_amps": "1 mA", "diode_volts": "3 V", **fields}
    sent |= {"lines-TOTAL_FORMS": str(len(lines)), "lines-INITIAL_FORMS": "0"}
    for number, line in enumerate(lines):
        shown = {"shown": "6000", **line}
        sent |= {f"lines-{number}-{key}": value for key, value in shown.items()}
    return sent


@pytest.fixture
def fine(hollin_lane: Shop, ines: Person) -> Meter:
    return bench.meter_keep(
        shop=hollin_lane,
        by=ines,
        name="Bench one",
        ranges=(MeterRange("V", 60.0, 0.025, 2, 0.001),),
        calibration_due=date(2026, 1, 31),
    )


def test_a_meter_is_entered_line_by_line(at_bench: Client, hollin_lane: Shop) -> None:
    at_bench.post(NEW, typed(VOLTS, {"mode": ""}))
    meter = hollin_lane.meters.get(name="Bench two")
    spec = bridge.meter_spec(meter)
    assert [one.full_scale for one in spec.ranges] == [0.6, 6.0]
    assert spec.ranges[1].digit == pytest.approx(0.001)
    assert "Bench two" in at_bench.get(LIST).content.decode()


def test_a_new_meter_starts_with_a_usual_handhelds_figures(at_bench: Client) -> None:
    html = at_bench.get(NEW).content.decode()
    assert "0.6 V, 6 V, 60 V, 600 V" in html


@pytest.mark.parametrize(
    ("line", "fields", "said"),
    [
        ({**VOLTS, "percent": "0", "counts": "0"}, {}, "Type the accuracy"),
        ({**VOLTS, "percent": "-1"}, {}, "greater than or equal to 0"),
        ({**VOLTS, "full_scales": ""}, {}, "Type the ranges"),
        ({**VOLTS, "full_scales": "600 ohm"}, {}, "volts"),
        ({**VOLTS, "full_scales": "six"}, {}, "read this as a value"),
        (VOLTS, {"diode_volts": "0"}, "above nought"),
        (VOLTS, {"name": ""}, "required"),
        (VOLTS, {"name": "bench ONE"}, "there already"),
    ],
)
def test_what_makes_no_sense_is_said_and_nothing_is_kept(
    line: dict[str, str],
    fields: dict[str, str],
    said: str,
    at_bench: Client,
    fine: Meter,
) -> None:
    page = at_bench.post(NEW, typed(line, **fields))
    html = page.content.decode()
    assert page.status_code == 422
    assert said in html
    assert f'value="{line["counts"]}"' in html
    assert list(Meter.objects.all()) == [fine]


def test_new_figures_leave_old_readings_as_they_were(
    at_bench: Client, fine: Meter, read: Read, verdict_of: Callable[[Reading], Judged]
) -> None:
    taken = read("k34/rtc", "3.01", meter=fine)
    page = reverse("diagnostics:meter", args=[fine.pk])
    at_bench.post(page, typed(VOLTS, name="Bench one", calibration_due="2027-01-31"))
    fine.refresh_from_db()
    newest = Meter.objects.get(name="Bench one", retired_at=None)
    assert newest.pk != fine.pk
    assert fine.retired_at is not None
    seen = bridge.observed(verdict_of(taken).reading)
    assert seen.half_width == pytest.approx(3.01 * 0.00025 + 2 * 0.01)
    assert seen.u == pytest.approx(seen.half_width / sqrt(3))


def test_two_people_cannot_change_one_row_twice(at_bench: Client, fine: Meter) -> None:
    page = reverse("diagnostics:meter", args=[fine.pk])
    at_bench.post(page, typed(VOLTS, name="Bench one"))
    again = at_bench.post(page, typed(VOLTS, name="Bench one", diode_volts="2 V"))
    assert again.status_code == 422
    assert "changed this meter meanwhile" in again.content.decode()
    assert Meter.objects.count() == 2


def test_the_bench_goes_on_with_the_meters_present_row(
    at_bench: Client, job: Ticket, board: Board, fine: Meter, ines: Person
) -> None:
    entry = reverse("diagnostics:reading_take", args=[job.number, board.pk])
    taken = {"point_id": "k34/rtc", "typed": "3.01", "meter": str(fine.pk)}
    at_bench.post(entry, {"idempotency_key": str(uuid4()), **taken})
    newer = bench.meter_keep(
        shop=job.shop, by=ines, name=fine.name, ranges=HANDHELD.ranges, replaces=fine
    )
    html = at_bench.get(page_of(job, board, check="k34")).content.decode()
    assert f'<option value="{newer.pk}" selected>' in html


def test_past_calibration_it_works_and_is_said_on_verdict_and_proof_sheet(
    at_bench: Client, job: Ticket, board: Board, fine: Meter, read: Read
) -> None:
    taken = read("k34/rtc", "3.01", meter=fine)
    said = "calibration was due 31 January 2026"
    assert taken.taken_at.date() > date(2026, 1, 31)
    assert said in at_bench.get(page_of(job, board, reading=taken.pk)).content.decode()
    assert f"Bench one ({said})" in papers.proof_sheet_html(job)


def test_inside_calibration_nothing_is_said(
    at_bench: Client, job: Ticket, board: Board, read: Read, ines: Person
) -> None:
    due = MORNING.date() + timedelta(days=1)
    meter = bench.meter_keep(
        shop=job.shop,
        by=ines,
        name="New",
        ranges=HANDHELD.ranges,
        calibration_due=due,
    )
    taken = read("k34/rtc", "3.01", meter=meter)
    html = at_bench.get(page_of(job, board, reading=taken.pk)).content.decode()
    assert "calibration" not in html


def test_the_leads_are_asked_for_once_a_day(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01", taken_at=timezone.now())
    card = page_of(job, board, check="k06")
    assert "leads are not measured today" in at_bench.get(card).content.decode()
    read("k04/leads", "0.2", taken_at=timezone.now())
    assert "Leads of 0.2\N{NO-BREAK SPACE}Ω" in at_bench.get(card).content.decode()


def test_front_desk_has_no_business_with_meters(client: Client, tomas: Person) -> None:
    client.force_login(tomas)
    assert client.get(LIST).status_code == 403
