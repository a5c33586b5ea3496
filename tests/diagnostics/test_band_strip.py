"""The band strip: order on the line is order of the values, ends lie past a break."""

from diagnostics.band_strip import END, WIDTH, strip_of
from diagnostics.engine.yardsticks import Yardstick

STANDBY = Yardstick(
    "V", limit_low=3.135, limit_high=3.465, usual_low=3.28, usual_high=3.34
)
MAIN = Yardstick("ohm", limit_low=20.0, usual_low=1000.0, watch_low=300.0)


def test_posts_and_box_lie_in_the_order_of_their_values() -> None:
    strip = strip_of(STANDBY, 3.30, "good")
    assert strip is not None
    assert strip.box is not None
    assert strip.mark is not None
    low, high = strip.posts
    assert END < low.x < strip.box.x < strip.mark.x
    assert strip.mark.x < strip.box.x + strip.box.width < high.x < WIDTH - END
    assert not strip.is_log


def test_readings_off_the_scale_stand_past_the_break() -> None:
    for value, is_low in ((0.41, True), (19.0, False)):
        strip = strip_of(STANDBY, value, "bad")
        assert strip is not None
        assert strip.mark is not None
        assert strip.mark.is_off
        assert (strip.mark.x < END) is is_low
        assert strip.mark.text.startswith(f"{value:g}")


def test_resistances_lie_on_a_log_scale() -> None:
    strip = strip_of(MAIN, 141.4, "watch")
    assert strip is not None
    assert strip.is_log
    assert strip.mark is not None
    assert strip.box is not None
    assert abs(strip.mark.x - (strip.posts[0].x + strip.box.x) / 2) < 1
    assert strip.box.x + strip.box.width == WIDTH - END


def test_nought_ohms_still_has_a_place() -> None:
    strip = strip_of(MAIN, 0.0, "bad")
    assert strip is not None
    assert strip.mark is not None
    assert strip.mark.is_off


def test_a_limit_on_one_side_alone_has_one_post() -> None:
    strip = strip_of(Yardstick("ohm", limit_high=0.5), 0.1, "good")
    assert strip is not None
    assert [post.is_lower for post in strip.posts] == [False]
    assert strip.box is None


def test_without_a_yardstick_there_is_no_strip() -> None:
    assert strip_of(None, 1.0, "unclear") is None
    assert strip_of(Yardstick("V"), 1.0, "unclear") is None
