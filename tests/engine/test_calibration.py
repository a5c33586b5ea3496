"""Bins of what was said, against what came of it."""

from diagnostics.engine.calibration import FEWEST, Said, bins, place_of, wilson


def test_each_case_is_counted_once_in_its_bin() -> None:
    said = [0.0, 0.29, 0.3, 0.5, 0.71, 0.8, 0.89, 0.9, 0.99, 1.0]
    found = bins(Said(one, was_right=one > 0.75) for one in said)
    assert [one.said for one in found] == [2, 1, 1, 3, 3]
    assert [one.right for one in found] == [0, 0, 0, 2, 3]
    assert [(one.low, one.high) for one in found][0::4] == [(0.0, 0.3), (0.9, 1.0)]


def test_without_cases_every_bin_is_there_and_tells_nothing() -> None:
    found = bins([])
    assert len(found) == 5
    assert not any(one.is_telling for one in found)
    assert found[0].interval == (0.0, 1.0)


def test_a_bin_tells_from_five_cases_on() -> None:
    cases = [Said(0.8, was_right=True)] * (FEWEST - 1)
    assert not bins(cases)[place_of(0.8)].is_telling
    found = bins([*cases, Said(0.8, was_right=False)])[place_of(0.8)]
    assert found.is_telling
    assert found.interval == wilson(4, 5)
