"""A meter's accuracy by the line, as manuals print it, and back."""

import pytest

from diagnostics.engine.errors import MeterError
from diagnostics.engine.meter_lines import AccuracyLine, lines_of, ranges_of
from diagnostics.engine.meters import HANDHELD, half_width


def test_the_handheld_comes_back_from_its_lines_whole() -> None:
    again = ranges_of(lines_of(HANDHELD.ranges))
    assert [one.mode for one in again] == [one.mode for one in HANDHELD.ranges]
    for one, kept in zip(again, HANDHELD.ranges, strict=True):
        assert one.full_scale == kept.full_scale
        assert one.digit == pytest.approx(kept.digit)


def test_a_line_of_a_printed_manual_gives_its_bound() -> None:
    """±(0.08 % + 2) on 5 V with 1 mV digits: 3.6 mV at 2.000 V.

    Source: a distributor's note on meter error (check-values row 2.17).
    """
    (one,) = ranges_of([AccuracyLine("V", (5.0,), 0.08, 2, 5000)])
    assert half_width(2.0, one.percent, one.counts, one.digit) == pytest.approx(0.0036)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (AccuracyLine("X", (6.0,), 0.5, 2, 6000), "unknown_mode"),
        (AccuracyLine("V", (6.0,), 0.0, 0, 6000), "line_without_accuracy"),
        (AccuracyLine("V", (6.0,), -0.5, 2, 6000), "line_without_accuracy"),
        (AccuracyLine("V", (), 0.5, 2, 6000), "no_full_scale"),
        (AccuracyLine("V", (-6.0,), 0.5, 2, 6000), "no_full_scale"),
        (AccuracyLine("V", (6.0,), 0.5, 2, 0), "no_full_scale"),
    ],
)
def test_what_is_no_line_is_refused(line: AccuracyLine, code: str) -> None:
    with pytest.raises(MeterError) as refused:
        ranges_of([line])
    assert refused.value.code == code
