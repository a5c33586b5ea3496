"""The order in which different points were read changes no verdict."""

from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics import bridge
from diagnostics.models import Reading
from tests.measuring.judging import Many

MANY = Many(count=200, seed=11)


def one_of_each_point() -> list[Reading]:
    """With main and the rails behind it, so that main to phase has its sum."""
    points = {one.point_id: one for one in MANY.rows}
    across = [
        Reading(
            pk=1000 + place,
            check_id="k18",
            point_id=point_id,
            mode="R",
            condition="U",
            polarity="red_on_point",
            outcome="value",
            value=4.5,
            unit="ohm",
            digit=0.1,
            lead_ohms=0.2,
        )
        for place, point_id in enumerate(("k18/cpu.phase1", "k18/cpu.phase2"))
    ]
    return [*points.values(), *across]


ROWS = one_of_each_point()


@settings(max_examples=25)
@given(st.permutations(ROWS))
def test_each_reading_keeps_its_verdict(turned: list[Reading]) -> None:
    before = {one.reading.pk: one for one in bridge.judged_all(MANY.board, ROWS)}
    after = bridge.judged_all(MANY.board, turned)
    assert [one.reading.pk for one in after] == [row.pk for row in turned]
    for one in after:
        assert one.verdict == before[one.reading.pk].verdict
    assert {one.verdict.word.value for one in after} >= {"good", "bad", "unclear"}
