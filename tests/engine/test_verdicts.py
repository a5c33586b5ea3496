"""One reading, one yardstick, one word: each row of the table in model.md."""

from dataclasses import replace

import pytest

from diagnostics.engine.meters import HANDHELD, standard_uncertainty
from diagnostics.engine.quantities import Outcome, parse
from diagnostics.engine.verdicts import (
    RED_ON_GROUND,
    RED_ON_POINT,
    Observed,
    Settle,
    Verdict,
    Word,
    Yardstick,
    judge,
)

GOOD, WATCH, BAD, UNCLEAR = Word.GOOD, Word.WATCH, Word.BAD, Word.UNCLEAR

SB33 = Yardstick(
    "V",
    limit_low=3.135,
    limit_high=3.465,
    limit_source="cp",
    usual_low=3.28,
    usual_high=3.34,
    usual_count=14,
)
MAIN = Yardstick("ohm", limit_low=20, limit_source="cp", usual_low=1e3, watch_low=300)
JACK = Yardstick("ohm", limit_low=10, usual_low=10e3, watch_low=1e3)
CORE = Yardstick(
    "ohm", limit_low=0.1, usual_low=1.0, watch_low=0.4, needs_four_wire=True
)
DIODE = Yardstick("V", usual_low=0.40, usual_high=0.60, polarity=RED_ON_GROUND)
FUSE = Yardstick("ohm", limit_high=0.5)


def own(yardstick: Yardstick, low: float, high: float, boards: int = 3) -> Yardstick:
    """The yardstick with this model's own band beside the family's figures."""
    return replace(
        yardstick,
        ok_from=yardstick.usual_low,
        usual_low=low,
        usual_high=high,
        usual_count=boards,
    )


def read(
    text: str,
    yardstick: Yardstick | None,
    mode: str = "R",
    *,
    leads: float | None = 0.2,
    four_wire: bool = False,
    polarity: str = "",
    lead_spread: float = 0.0,
) -> Verdict:
    """What is typed, read with the handheld, and judged."""
    typed = parse(text, yardstick.unit if yardstick else "ohm")
    u = 0.0
    if typed.value is not None:
        u = standard_uncertainty(
            HANDHELD, mode, typed.value, typed.digit, is_four_wire=four_wire
        ).u
    observed = Observed(
        typed.outcome,
        typed.value,
        u,
        mode,
        polarity,
        four_wire=four_wire,
        lead_ohms=leads,
        lead_spread=lead_spread,
    )
    return judge(observed, yardstick)


def codes(verdict: Verdict) -> list[str]:
    return [one.code for one in verdict.reasons]


# --- the limit --------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "word", "first"),
    [
        ("0.41 V", BAD, "under_lower"),
        ("3.08 V", BAD, "under_lower"),
        ("3.130 V", UNCLEAR, "close_to_lower"),
        ("3.140 V", UNCLEAR, "close_to_lower"),
        ("3.180 V", WATCH, "outside_usual"),
        ("3.280 V", GOOD, "inside_limits"),
        ("3.310 V", GOOD, "inside_limits"),
        ("3.340 V", GOOD, "inside_limits"),
        ("3.400 V", WATCH, "outside_usual"),
        ("3.460 V", UNCLEAR, "close_to_upper"),
        ("3.470 V", UNCLEAR, "close_to_upper"),
        ("3.52 V", BAD, "over_upper"),
        ("19.1 V", BAD, "over_upper"),
    ],
)
def test_volts_on_a_rail(text: str, word: Word, first: str) -> None:
    verdict = read(text, SB33, "V")
    assert verdict.word is word
    assert codes(verdict)[0] == first


def test_a_bad_reading_says_how_far_off_and_that_it_is_not_the_meter() -> None:
    verdict = read("0.41 V", SB33, "V")
    outside, meter, band = verdict.reasons
    assert outside.values["distance"] == pytest.approx(3.135 - 0.41)
    assert outside.values["limit"] == 3.135
    assert outside.values["source"] == "cp"
    assert meter.code == "not_the_meter"
    assert meter.values["error"] == pytest.approx(0.41 * 0.005 + 2 * 0.01)
    assert (band.code, band.values["boards"]) == ("model_reads", 14)
    assert verdict.p_inside == pytest.approx(0.0)
    assert verdict.settle == ()


def test_a_bad_reading_within_the_stated_error_is_hardly_the_meter() -> None:
    """p <= 0.05 begins at 1.645 u, which is 0.95 of the stated bound."""
    observed = Observed(Outcome.VALUE, 3.135 - 0.0168, 0.01, "V")
    verdict = judge(observed, replace(SB33, usual_count=0))
    assert verdict.word is BAD
    assert codes(verdict) == ["under_lower", "hardly_the_meter"]
    further = Observed(Outcome.VALUE, 3.135 - 0.0180, 0.01, "V")
    assert "not_the_meter" in codes(judge(further, SB33))


def test_a_count_needs_no_meter_to_blame() -> None:
    errors = Yardstick("1", limit_high=0)
    assert codes(judge(Observed(Outcome.VALUE, 3, 0.0, "W"), errors)) == ["over_upper"]
    assert judge(Observed(Outcome.VALUE, 0, 0.0, "W"), errors).word is GOOD


def test_a_limit_that_is_practice_says_so() -> None:
    verdict = read("0.41 V", replace(SB33, limit_is_hard=False), "V")
    assert "limit_is_practice" in codes(verdict)


def test_too_close_to_call_says_what_would_settle_it() -> None:
    verdict = read("3.1 V", SB33, "V")
    assert verdict.word is UNCLEAR
    assert verdict.settle == ("more_digits", "finer_meter")
    assert read("3.075 V", SB33, "V").word is BAD


def test_a_meter_coarser_than_the_limits_proves_nothing() -> None:
    """p is under 0.05 for want of resolution; that is no proof of a fault."""
    for value in (3.3, 2.0, 3.6):
        verdict = judge(Observed(Outcome.VALUE, value, 5.0, "V"), SB33)
        assert verdict.p_inside is not None
        assert verdict.p_inside < 0.05
        assert verdict.word is UNCLEAR


def test_a_reading_exactly_on_the_limit_is_unclear() -> None:
    verdict = judge(Observed(Outcome.VALUE, 3.135, 0.01, "V"), SB33)
    assert verdict.word is UNCLEAR
    assert verdict.p_inside == pytest.approx(0.5)


def test_negative_rails_are_judged_by_their_own_sides() -> None:
    minus12 = Yardstick("V", limit_low=-13.2, limit_high=-10.8)
    assert read("-12.00 V", minus12, "V").word is GOOD
    assert codes(read("-9.00 V", minus12, "V"))[0] == "over_upper"
    assert codes(read("-14.00 V", minus12, "V"))[0] == "under_lower"


def test_nought_is_no_lower_limit_of_ohms() -> None:
    """No true value lies below it, so a reading of 0 Ω is not half outside."""
    joined = Yardstick("ohm", limit_low=0.0, limit_high=1.0)
    verdict = read("0.2", joined, "C")
    assert verdict.word is GOOD
    assert verdict.reasons[0].values["low"] is None
    assert codes(read("41k", Yardstick("ohm", limit_low=0.0))) == ["no_yardstick"]


def test_a_limit_without_usual_range_is_enough_for_good() -> None:
    plain = Yardstick("V", limit_low=4.75, limit_high=5.25)
    assert codes(read("5.02 V", plain, "V")) == ["inside_limits"]


# --- the usual range --------------------------------------------------------


def test_a_usual_range_alone_never_makes_bad() -> None:
    usual = Yardstick("V", usual_low=0.65, usual_high=1.1, usual_source="cp")
    assert read("0.900 V", usual, "V").word is GOOD
    for text in ("0.00 V", "19.0 V"):
        verdict = read(text, usual, "V")
        assert verdict.word is WATCH
        assert verdict.p_inside is None
        assert codes(verdict) == ["outside_usual", "family_reads"]


def test_a_usual_range_open_on_one_side() -> None:
    from_100 = Yardstick("V", usual_low=100)
    assert read("120 V", from_100, "V").word is GOOD
    assert read("80 V", from_100, "V").word is WATCH


def test_nothing_to_hold_it_against_is_unclear() -> None:
    for yardstick in (None, Yardstick("ohm"), Yardstick("ohm", watch_low=3.0)):
        verdict = read("41k", yardstick)
        assert codes(verdict) == ["no_yardstick"]
        assert verdict.settle == ("compare_good_board",)


# --- ohms to ground ---------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "word", "first"),
    [
        ("0.4", BAD, "is_short"),
        ("19.5", BAD, "is_short"),
        ("20.0", UNCLEAR, "close_to_lower"),
        ("21.0", GOOD, ""),
        ("120", WATCH, "under_watch"),
        ("299.9", WATCH, "under_watch"),
        ("305.0", UNCLEAR, "between_bands"),
        ("999.0", UNCLEAR, "between_bands"),
        ("1010", GOOD, "no_short"),
        ("41k", GOOD, "no_short"),
    ],
)
def test_ohms_of_the_main_rail(text: str, word: Word, first: str) -> None:
    yardstick = MAIN if first else replace(MAIN, watch_low=None, usual_low=None)
    verdict = read(text, yardstick)
    assert verdict.word is word
    assert codes(verdict)[0] == (first or "no_short")


def test_the_leads_are_subtracted_first() -> None:
    """Domain 12, case A: 0.4 - 0.2 = 0.2 Ω on main is bad."""
    short = read("0.4", MAIN).reasons[0]
    assert short.values["value"] == pytest.approx(0.2)
    assert read("0.1", MAIN).reasons[0].values["value"] == 0.0


def test_between_the_bands_only_the_models_own_band_makes_it_good() -> None:
    assert read("500", MAIN).word is UNCLEAR
    assert read("500", own(MAIN, 450, 550)).word is GOOD
    assert read("500", own(MAIN, 450, 550, boards=2)).word is UNCLEAR
    outside = read("500", own(MAIN, 600, 700))
    assert outside.word is UNCLEAR
    assert "model_reads" in codes(outside)
    assert outside.settle == ("compare_good_board",)


def test_under_watch_below_not_even_the_models_own_band_makes_it_good() -> None:
    verdict = read("200", own(MAIN, 150, 250))
    assert verdict.word is WATCH
    assert codes(verdict)[:2] == ["under_watch", "model_reads"]


def test_above_ok_from_the_models_own_band_still_counts() -> None:
    assert read("41k", own(MAIN, 30e3, 60e3)).word is GOOD
    verdict = read("5k", own(MAIN, 30e3, 60e3))
    assert verdict.word is WATCH
    assert codes(verdict)[0] == "outside_usual"


def test_an_own_band_without_the_familys_ok_from() -> None:
    alone = replace(own(MAIN, 450, 550), ok_from=None)
    assert read("500", alone).word is GOOD
    assert read("900", alone).word is WATCH


def test_under_two_ohms_without_leads_is_unclear() -> None:
    verdict = read("1.99", MAIN, leads=None)
    assert verdict.word is UNCLEAR
    assert verdict.settle == ("measure_leads", "four_wire")
    assert read("2.0", MAIN, leads=None).word is BAD
    assert read("1.9", MAIN, leads=None, four_wire=True).word is BAD
    assert read("1.9", FUSE, "C", leads=None).word is UNCLEAR


def test_four_wires_have_no_leads_to_subtract() -> None:
    verdict = read("0.3", MAIN, leads=0.2, four_wire=True)
    assert verdict.reasons[0].values["value"] == pytest.approx(0.3)


def test_less_than_the_leads_vary_is_unclear() -> None:
    """Domain 7.6: invalid if the result is under twice the lead spread."""
    core = Yardstick("ohm", usual_low=0.05)
    verdict = read("0.3", core, lead_spread=0.06)
    assert codes(verdict) == ["under_lead_spread"]
    assert read("0.3", core, lead_spread=0.04).word is GOOD


def test_against_an_upper_limit_alone_the_lead_spread_only_adds_to_the_error() -> None:
    """A fuse of 0.1 ohm, known to 0.1, is whole: nothing asks how low it is.

    u = sqrt(0.175^2 + (0.1 / sqrt 3)^2) = 0.184 ohm (JCGM 100:2008, 4.3.7 and 5.1.2);
    0.5 ohm lies 2.2 u above 0.1 and 1.1 u above 0.3, where 0.95 asks for 1.645.
    """
    assert read("0.3", FUSE, "C", lead_spread=0.1).word is GOOD
    assert read("0.5", FUSE, "C", lead_spread=0.1).word is UNCLEAR
    assert read("0.9", FUSE, "C", lead_spread=0.1).word is UNCLEAR
    assert read("1.5", FUSE, "C", lead_spread=0.1).word is BAD


def test_the_leads_themselves_are_not_less_the_leads() -> None:
    leads = Yardstick("ohm", usual_low=0.0, usual_high=0.5, is_of_leads=True)
    assert read("0.3", leads, leads=None).word is GOOD
    assert read("0.6", leads, leads=0.3).word is WATCH


# --- core rails -------------------------------------------------------------


def test_a_core_rail_is_never_bad_by_two_wires() -> None:
    verdict = read("0.2", CORE)
    assert verdict.word is UNCLEAR
    assert verdict.settle == ("four_wire",)
    assert read("0.02", CORE, four_wire=True).word is BAD


def test_history_keeps_a_core_rail_from_bad() -> None:
    known = own(CORE, 0.01, 0.05)
    verdict = read("0.02", known, four_wire=True)
    assert verdict.word is UNCLEAR
    assert codes(verdict) == ["history_disagrees", "model_reads"]
    assert read("0.07", known, four_wire=True).word is BAD


def test_low_ohms_of_a_core_rail_may_be_good() -> None:
    """Domain 12, case A: core 4.1 Ω is good."""
    assert read("4.1", CORE).word is GOOD
    assert read("4.1", own(CORE, 3.0, 5.0)).word is GOOD


# --- no value ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "code", "settle"),
    [
        ("climbing", "still_climbing", "wait_settled"),
        ("can't reach", "cannot_reach", "other_point"),
        ("not fitted", "is_not_fitted", "mark_not_fitted"),
    ],
)
def test_a_word_instead_of_a_value_is_unclear(
    text: str, code: str, settle: str
) -> None:
    for yardstick in (MAIN, None):
        verdict = read(text, yardstick)
        assert (verdict.word, codes(verdict)) == (UNCLEAR, [code])
        assert verdict.settle == (settle,)


def test_ol_where_nothing_hangs_on_the_net_is_good() -> None:
    verdict = read("OL", JACK)
    assert (verdict.word, codes(verdict)) == (GOOD, ["open_no_short"])
    assert read("OL", Yardstick("ohm", limit_low=500)).word is GOOD


def test_ol_on_a_rail_with_loads_is_unclear() -> None:
    """A probe without contact must not pass the gate of the main rail."""
    verdict = read("OL", MAIN)
    assert (verdict.word, codes(verdict)) == (UNCLEAR, ["open_on_loaded"])
    assert verdict.settle == ("touch_again", "other_point")


def test_ol_beyond_what_this_model_reads_is_watch() -> None:
    verdict = read("OL", own(JACK, 20e3, 60e3))
    assert (verdict.word, codes(verdict)) == (WATCH, ["open_unusual", "model_reads"])


def test_ol_where_a_path_must_be_is_bad() -> None:
    verdict = read("OL", FUSE, "C")
    assert (verdict.word, verdict.p_inside) == (BAD, 0.0)
    assert codes(verdict) == ["open_not_allowed", "touch_first"]


def test_ol_in_volts_only_says_that_the_range_was_too_low() -> None:
    verdict = read("OL", SB33, "V")
    assert (verdict.word, verdict.settle) == (UNCLEAR, ("higher_range",))


# --- diode mode -------------------------------------------------------------


def test_diode_mode_compares_only_like_with_like() -> None:
    """Domain 13.2: red on the rail often shows OL on a healthy net."""
    assert read("0.45", DIODE, "D", polarity=RED_ON_GROUND).word is GOOD
    assert read("0.15", DIODE, "D", polarity=RED_ON_GROUND).word is WATCH
    for text in ("0.45", "OL"):
        for polarity in ("", RED_ON_POINT):
            verdict = read(text, DIODE, "D", polarity=polarity)
            assert (verdict.word, verdict.settle) == (UNCLEAR, ("swap_probes",))


def test_diode_bands_are_red_on_ground_unless_said() -> None:
    unsaid = replace(DIODE, polarity="")
    assert read("0.45", unsaid, "D").word is UNCLEAR
    assert read("0.45", replace(DIODE, polarity=RED_ON_POINT), "D").word is GOOD


def test_ohms_have_a_polarity_where_the_yardstick_says_so() -> None:
    turned = replace(MAIN, polarity=RED_ON_GROUND)
    assert read("41k", turned).word is UNCLEAR
    assert read("41k", turned, polarity=RED_ON_GROUND).word is GOOD
    assert read("41k", MAIN, polarity=RED_ON_GROUND).word is GOOD


def test_ol_in_diode_mode_the_right_way_round() -> None:
    def seen(yardstick: Yardstick) -> Verdict:
        return read("OL", yardstick, "D", polarity=RED_ON_GROUND)

    assert codes(seen(DIODE)) == ["diode_open", "family_reads"]
    assert seen(DIODE).word is WATCH
    assert seen(replace(DIODE, ol_is_usual=True)).word is GOOD
    assert seen(Yardstick("V", limit_high=0.75)).word is BAD


# --- looking ----------------------------------------------------------------


def test_a_category_has_the_word_that_the_family_gives_it() -> None:
    words = {"clean": "good", "residue": "watch", "burnt": "bad", "wet": "unclear"}
    for category, word in words.items():
        seen = Observed(Outcome.CATEGORY, category=category)
        verdict = judge(seen, None, category_words=words)
        assert verdict.word == word
        assert verdict.reasons[0].values == {"category": category}
        assert bool(verdict.settle) is (word == "unclear")


def test_a_category_without_word_is_unclear() -> None:
    verdict = judge(Observed(Outcome.CATEGORY, category="blue"), None)
    assert codes(verdict) == ["seen_unknown"]
    assert verdict.settle == (Settle.LOOK_AGAIN.value,)


def test_a_value_outcome_without_value_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="only a value"):
        judge(Observed(Outcome.VALUE), MAIN)
