"""What gates, rungs, suspects and family files say.

Templates for the codes of ``engine.gates``, ``rungs``, ``suspects``, ``boards`` and
the reading of family files.
"""

from django.utils.translation import gettext_noop

GATES: dict[str, str] = {
    "gate_unread": gettext_noop("{gate} has not been read yet."),
    "gate_stale": gettext_noop(
        "{gate} was read before something was done to its rail: read it again."
    ),
    "gate_bad": gettext_noop("{gate} is bad: no power until the fault is cured."),
    "gate_unclear": gettext_noop("{gate} is unclear: settle it, or limit the power."),
    "gate_watch": gettext_noop(
        "{gate} is outside its usual range: settle it, or limit the power."
    ),
    "gate_good": gettext_noop("{gate} is good."),
    "gate_not_fitted": gettext_noop("{gate} has nothing to read on this board."),
    "gate_limited_power": gettext_noop("{gate} was passed over, with limited power."),
    "gate_by_arithmetic": gettext_noop(
        "{gate} passes by arithmetic: main has {ohms} more than the rail, at least"
        " {asked_ohms} are asked, so no high side can be shorted."
    ),
}

RUNGS: dict[str, str] = {
    "rung_shorted": gettext_noop("down, shorted"),
    "rung_shorted_yet_up": gettext_noop("down, shorted, yet volts"),
    "rung_resting": gettext_noop("resting, rightly off"),
    "rung_live_unclear": gettext_noop("unread, unclear"),
    "rung_no_volts": gettext_noop("odd, no volts"),
    "rung_cold_good": gettext_noop("unread, cold good"),
    "rung_cold_watch": gettext_noop("unread, cold watch"),
    "rung_cold_unclear": gettext_noop("unread, cold unclear"),
}

FAMILIES: dict[str, str] = {
    "unknown_family": gettext_noop("There is no board family “{family}”."),
    "unknown_check": gettext_noop("This board has no check “{id}”."),
    "unknown_point": gettext_noop("This board has no point “{id}”."),
    "unknown_rail": gettext_noop("This board has no rail “{id}”."),
    "unknown_patch": gettext_noop("“{key}” leads to nothing in this family."),
    "not_toml": gettext_noop("{file}, line {line}: {message}"),
    "duplicate_id": gettext_noop("{file}, line {line}: “{key}” stands there twice."),
    "unknown_key": gettext_noop("{file}, line {line}: “{key}” is not known here."),
    "missing_key": gettext_noop("{file}, line {line}: “{key}” is missing."),
    "wrong_type": gettext_noop("{file}, line {line}: “{key}” should be a {wanted}."),
    "unknown_value": gettext_noop(
        "{file}, line {line}: “{key}” can’t be “{value}”, only one of: {among}."
    ),
    "unknown_reference": gettext_noop(
        "{file}, line {line}: “{key}” names “{to}”, which doesn’t exist."
    ),
    "empty_span": gettext_noop(
        "{file}, line {line}: “{key}” begins at {first}, above its end {second}."
    ),
    "bands_out_of_order": gettext_noop(
        "{file}, line {line}: short ({short}), watch ({watch}) and ok ({ok}) must rise."
    ),
    "weight_not_positive": gettext_noop(
        "{file}, line {line}: a weight must be above 0, not {weight}."
    ),
    "minutes_not_positive": gettext_noop(
        "{file}, line {line}: a check takes time, not {minutes} minutes."
    ),
    "count_out_of_range": gettext_noop(
        "{file}, line {line}: {count} is not between {least} and {most}."
    ),
    "effect_without_place": gettext_noop(
        "{file}, line {line}: “{effect}” must say in one way where it is."
    ),
    "form_without_answers": gettext_noop(
        "{file}, line {line}: form “{form}” and categories don’t fit together."
    ),
    "no_such_file": gettext_noop(
        "{file}, line {line}: the file “{name}” can’t be read."
    ),
    "not_left_out": gettext_noop(
        "{file}, line {line}: “{key}” is taken over already. To write it anew, name it"
        " in leaves_out."
    ),
    "alike_to_nothing": gettext_noop(
        "{file}, line {line}: alike needs two points or more and a distance above 0."
    ),
    "two_places": gettext_noop(
        "{file}, line {line}: a point is on a rail, on a signal or across a pair."
    ),
    "loop_of_needs": gettext_noop("{file}, line {line}: needs go round: {loop}."),
    "not_in_a_walk": gettext_noop("{file}, line {line}: “{key}” is in no walk."),
    "walked_twice": gettext_noop("{file}, line {line}: “{key}” has a check twice."),
    "id_reused": gettext_noop(
        "{file}, line {line}: the old id “{id}” is in use again; ids are for ever."
    ),
}

WORDS: dict[str, str] = {**GATES, **RUNGS, **FAMILIES}
