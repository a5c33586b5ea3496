"""What a verdict says: the engine's reasons, what would settle it, its names.

Message ids for gettext, with {named} fields that ``words.shown`` fills in.
"""

from django.utils.translation import gettext_noop as _

WORDS = {
    # against a limit
    "inside_limits": _("Inside the limits, {span}{source}."),
    "no_short": _("{value} is above {limit}, where a short would begin{source}."),
    "close_to_lower": _(
        "{distance} from the lower limit of {limit}{source}: too close to call."
    ),
    "close_to_upper": _(
        "{distance} from the upper limit of {limit}{source}: too close to call."
    ),
    "under_lower": _("{distance} under the lower limit of {limit}{source}."),
    "over_upper": _("{distance} over the upper limit of {limit}{source}."),
    "is_short": _("{value}: under {limit} it counts as a short{source}."),
    "limit_is_practice": _("That limit is common practice, not a standard’s."),
    "meter_error": _("The meter’s own error here is {error}."),
    "not_the_meter": _(
        "The meter’s own error here is {error}, so it cannot be the meter."
    ),
    "hardly_the_meter": _(
        "The meter’s own error here is up to {error}, so it is hardly the meter."
    ),
    # taken in a way that says nothing
    "taken_with": _(
        "Read with this in the board: {fitted}. Ohms then read 2 to 100 times off."
    ),
    "taken_without": _(
        "Read without this in the board, as far as was said: {fitted}. No volts are "
        "then no fault."
    ),
    "may_be_absent": _(
        "No volts here may be right: not every board or supply has it, or it is only "
        "there when asked for."
    ),
    "unlike_its_twin": _(
        "{distance} from the point it should be like; within {limit} they count as "
        "alike."
    ),
    "supply_off": _("The supply showed {volts}: its output was off."),
    "supply_at_limit": _(
        "The supply showed {volts} of the {set_volts} set: it held its limit, and "
        "the current is the limit’s."
    ),
    "unfed": _(
        "{volts} here, while the rail that feeds it has none: it leaks in from "
        "elsewhere, or the probe missed one of the two."
    ),
    "no_current": _(
        "No current. A supply with its output off looks the same as an open path."
    ),
    # against what is usual
    "model_reads": _("The {boards} good boards of this model read {span}."),
    "family_reads": _("Usual for this family: {span}{source}."),
    "outside_usual": _("{value} is outside what is usual; that alone proves nothing."),
    "under_watch": _("{value} is low here, though no short: under {limit} look twice."),
    "between_bands": _("{value} lies between {low} and {high}, where boards differ."),
    "no_yardstick": _("Nothing to hold it against yet: no limit, no usual range."),
    # low ohms
    "leads_not_known": _(
        "{ohms} decides nothing while the leads’ own ohms are not known."
    ),
    "under_lead_spread": _(
        "Less the leads ({leads}) it leaves {ohms}: the leads alone vary as much."
    ),
    "needs_four_wire": _(
        "{ohms} by two wires decides nothing on this rail, where low is normal."
    ),
    "history_disagrees": _(
        "{value} is past the limit of {limit}, but good boards of this model do so too."
    ),
    # no value
    "still_climbing": _("The value was still climbing: capacitors were filling."),
    "cannot_reach": _("The point could not be reached."),
    "is_not_fitted": _("Not fitted on this board."),
    "other_polarity": _(
        "Taken with red and black the other way round than what it is held against."
    ),
    "over_range": _("Over the range that the meter stood on."),
    "open_no_short": _(
        "OL, over the meter’s range: no short. No contact would look the same."
    ),
    "open_unusual": _("OL, over the meter’s range: no short, but not usual here."),
    "open_on_loaded": _(
        "OL, over the meter’s range: no short. But a rail with loads, good from "
        "{ohms} on, hardly reads so; a probe without contact does."
    ),
    "open_not_allowed": _(
        "OL, over the meter’s range, where at most {ohms} would do: not connected."
    ),
    "diode_open": _("OL in diode mode: an open path, or a probe without contact."),
    "diode_open_usual": _("OL in diode mode is usual here."),
    "diode_open_not_allowed": _("OL in diode mode, where at most {volts} would do."),
    "touch_first": _(
        "No contact would look the same: touch again before any part comes off."
    ),
    # looking
    "seen": _("Seen: {category}."),
    "seen_unknown": _("Seen: {category}; what that means here is not laid down."),
}

SETTLES = {
    "compare_good_board": _("Read the same point on a known-good board."),
    "finer_meter": _("Read it with a finer meter."),
    "four_wire": _("Read it by four wires."),
    "higher_range": _("Set the meter to a higher range."),
    "look_again": _("Look again and choose one of the answers."),
    "mark_not_fitted": _("Mark it as not fitted, if this board has none."),
    "measure_leads": _("Hold the probes together and note what they read."),
    "more_digits": _("Type every digit that the meter shows."),
    "other_point": _("Take another point of the same net."),
    "put_in": _("Put it in, tick it under “In the board now”, and read again."),
    "supply_on": _("Switch the supply’s output on, and type the volts it shows."),
    "swap_probes": _("Swap red and black and read again."),
    "take_out": _("Take it out of the board and read again."),
    "tap_at_limit": _("Tap “at the limit”, and type the volts that are left."),
    "touch_again": _("Touch again: scratch through the coating, press firmly."),
    "wait_settled": _("Hold for 5 to 10 seconds and type the settled value."),
}

# What the tap is called that leads there, with something set beforehand.
TAPS = {
    "compare_good_board": _("To a good board"),
    "finer_meter": _("With another meter"),
    "four_wire": _("Again by four wires"),
    "higher_range": _("Again, higher range"),
    "look_again": _("Look again"),
    "mark_not_fitted": _("Mark as not fitted"),
    "measure_leads": _("Measure the leads"),
    "more_digits": _("Again, every digit"),
    "other_point": _("To another point"),
    "put_in": _("Again, with it in"),
    "supply_on": _("Again, output on"),
    "swap_probes": _("Again, probes swapped"),
    "take_out": _("Again, with it out"),
    "tap_at_limit": _("Again, at the limit"),
    "touch_again": _("Touch again"),
    "wait_settled": _("Again, settled"),
}

NAMES = {
    "good": _("Good"),
    "watch": _("Watch"),
    "bad": _("Bad"),
    "unclear": _("Unclear"),
}
