"""The pages of part tests: where to begin, one step at a time, and what came of it."""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from django import forms
from django.http import QueryDict
from django.urls import reverse
from django.utils.http import urlencode

from diagnostics import bridge_parts, part_words, queries, sayings
from diagnostics.bridge import Known
from diagnostics.engine.guided import Ask, Mode, Position, Result, Said
from diagnostics.engine.packages import Outline, Setup
from diagnostics.models import PartTest
from diagnostics.part_drawing import Drawing, drawing_of
from diagnostics.part_forms import BackForm, ChipStartForm, MosfetStartForm, StepForm
from diagnostics.place import Place
from diagnostics.words import cautions
from shop.people.models import Shop

POWER_GONE = "k03"
# What the steps in ohms beside the part ask for may stand on the board already.
RAILS_OF = {
    "core_ohms": ("cpu.core", "gfx.core"),
    "main_ohms": ("main",),
    "rail_ohms": ("cpu.core", "gfx.core", "sb.33", "sb.5"),
}


# --- where to begin ---------------------------------------------------------------


def start(
    place: Place, shop: Shop, asked: QueryDict, refused: Mapping[str, forms.Form]
) -> dict[str, Any]:
    """Both forms; the MOSFET's begins with what is known of the part."""
    like = place.board.part_tests.filter(pk=number(asked.get("like", ""))).first()
    first = {"uuid": uuid4(), **start_of(like), **told_of(asked)}
    mosfet = refused.get("mosfet") or MosfetStartForm(shop=shop, initial=first)
    chip = refused.get("chip") or ChipStartForm(initial={"uuid": uuid4()})
    return {
        "place": place,
        "mosfet": mosfet,
        "chip": chip,
        "cautions": said(["esd"]),
        "eight": drawing_of(Outline.EIGHT, None),
        "three": drawing_of(Outline.THREE, None),
    }


def number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else 0


def start_of(like: PartTest | None) -> dict[str, Any]:
    """The same part again: its other die, or lifted this time."""
    if like is None or like.kind != PartTest.Kind.MOSFET:
        return {"label": like.label} if like else {}
    kept = like.setup
    own = {role: list_of(pins) for role, pins in (kept["own"] or {}).items()}
    return {
        "label": like.label,
        "outline": kept["outline"],
        "channel": kept["channel"],
        "mount": "lifted" if kept["is_lifted"] else "in_circuit",
        "seat": kept["seat"],
        "die": kept["die"],
        "meter": like.meter_id,
        **own,
    }


def list_of(pins: list[int]) -> str:
    return ", ".join(str(pin) for pin in pins)


def told_of(asked: QueryDict) -> dict[str, Any]:
    return {key: asked[key] for key in ("outline", "die", "mount") if key in asked}


# --- one test ---------------------------------------------------------------------


def page(place: Place, test: PartTest, refused: forms.Form | None) -> dict[str, Any]:
    """The step in hand or the result, with the steps taken beside it."""
    position = bridge_parts.position_of(test, test.steps.all())
    setup = setup_of(test)
    return {
        "place": place,
        "test": test,
        "about": about(setup),
        "ask": ask_card(place, test, position, refused) if position.next else None,
        "notices": notices(refused, position),
        "result": result_card(place, test, setup, position.result),
        "taken": taken(position, setup),
        "back": BackForm(initial={"uuid": uuid4()}, auto_id="back_%s"),
        "is_stale": test.epoch < queries.epoch_of(test.board),
    }


def setup_of(test: PartTest) -> Setup | None:
    is_mosfet = test.kind == PartTest.Kind.MOSFET
    return bridge_parts.setup_of(test.setup) if is_mosfet else None


def notices(refused: forms.Form | None, position: Position) -> list[str]:
    """What was refused where no step's form is there to say it."""
    if refused is None or (position.next and isinstance(refused, StepForm)):
        return []
    return [str(one) for errors in refused.errors.values() for one in errors]


def about(setup: Setup | None) -> list[str]:
    """The part as it was described, in short phrases."""
    return part_words.described(setup) if setup else []


def ask_card(
    place: Place, test: PartTest, position: Position, refused: forms.Form | None
) -> dict[str, Any]:
    ask, setup = position.next, setup_of(test)
    assert ask is not None
    start = {"step": ask.step, "uuid": uuid4()}
    form = refused if isinstance(refused, StepForm) else StepForm(initial=start)
    is_first = not position.answered
    return {
        "step": ask.step,
        "number": len(position.answered) + 1,
        "title": part_words.title(ask, setup),
        "text": part_words.what_to_do(ask, setup),
        "expect": part_words.expected(ask, setup),
        "drawing": drawing(ask, setup),
        "is_act": ask.mode is Mode.ACT,
        "is_choice": ask.mode is Mode.CHOICE,
        "unit": unit(ask),
        "taps": taps(ask),
        "cautions": step_cautions(setup) if is_first else [],
        "known": known_ohms(place, ask),
        "power_url": place.url(check=POWER_GONE) if ask.step == "power_gone" else "",
        "form": form,
        "url": act_url("part_step", place, test),
    }


def drawing(ask: Ask, setup: Setup | None) -> Drawing | None:
    outline = setup.outline if setup else Outline.EIGHT
    return drawing_of(outline, setup.pins if setup else None, ask)


def unit(ask: Ask) -> str:
    """The unit beside the entry; none where both may be typed."""
    return {Mode.DIODE: "V", Mode.DIODE_OR_OHMS: "V", Mode.OHMS: "Ω"}.get(ask.mode, "")


def taps(ask: Ask) -> list[dict[str, str]]:
    if ask.mode is Mode.ACT:
        return []
    values = list(ask.choices)
    if ask.mode is not Mode.CHOICE:
        values = [Said.OPEN, *values]
        values += [Said.CLIMBING] if ask.may_climb else []
        values += [Said.NOT_FITTED] if ask.may_be_absent else []
        values += [Said.CANT_REACH]
    return [{"value": tap_of(one), "label": part_words.choice(one)} for one in values]


TYPED: Mapping[str, str] = {
    Said.OPEN: "OL",
    Said.CLIMBING: "climbing",
    Said.NOT_FITTED: "not fitted",
    Said.CANT_REACH: "can't reach",
}


def tap_of(value: str) -> str:
    """What the tap stands for, as it would be typed."""
    return TYPED.get(value, value)


def step_cautions(setup: Setup | None) -> list[str]:
    return said(["eyes", "esd"] if setup and setup.is_lifted else ["esd"])


def said(codes: list[str]) -> list[str]:
    return [*cautions.said(codes), str(cautions.LOCAL_RULES)]


def known_ohms(place: Place, ask: Ask) -> list[dict[str, str]]:
    """What the board's own readings say of the rails that a step asks about."""
    rails = RAILS_OF.get(ask.step)
    if not rails:
        return []
    known = queries.known_of(place.board)
    return [
        {
            "title": sayings.point_title(known.board, one.point),
            "value": sayings.reading_value(one.reading),
            "check": one.check.id,
        }
        for one in known.newest().values()
        if one.point.rail in rails and one.check.mode == "R"
    ]


def taken(position: Position, setup: Setup | None) -> list[dict[str, str]]:
    return [
        {
            "title": part_words.title(ask, setup),
            "answer": part_words.answered(answer),
        }
        for ask, answer in position.answered
    ]


# --- what came of it --------------------------------------------------------------


def result_card(
    place: Place, test: PartTest, setup: Setup | None, found: Result | None
) -> dict[str, Any] | None:
    if found is None:
        return None
    is_to_lift = "lift_part" in found.settle
    return {
        **part_words.result(found),
        "links": links(place, test, setup, found),
        "cautions": said(["eyes", "hot_air", "esd"]) if is_to_lift else [],
    }


def links(
    place: Place, test: PartTest, setup: Setup | None, found: Result
) -> list[dict[str, str]]:
    """What may be tested next of the same part."""
    asked: list[tuple[str, dict[str, str]]] = []
    if setup is None and found.word in {"mosfet", "dual_mosfet"}:
        outline = Outline.DUAL if found.word == "dual_mosfet" else Outline.EIGHT
        asked.append(("test_mosfet", {"outline": outline.value}))
    if setup is None and "own_map" in found.settle:
        asked.append(("own_map", {"outline": Outline.OWN.value}))
    if setup is not None and setup.outline is Outline.DUAL:
        asked.append(("other_die", {"die": str(3 - setup.die)}))
    if setup is not None and "lift_part" in found.settle:
        asked.append(("lifted", {"mount": "lifted"}))
    if setup is not None and not asked:
        asked.append(("again", {}))
    return [
        {
            "label": part_words.link(name),
            "url": start_url(place, like=str(test.pk), **query),
        }
        for name, query in asked
    ]


def start_url(place: Place, **asked: str) -> str:
    page = act_url("part_test_new", place)
    return f"{page}?{urlencode(asked)}" if asked else page


def act_url(name: str, place: Place, test: PartTest | None = None) -> str:
    ids = [test.pk] if test else []
    return reverse(f"diagnostics:{name}", args=[place.number, place.board.pk, *ids])


# --- on the bench page --------------------------------------------------------------


def beside(place: Place, known: Known) -> dict[str, Any]:
    """The part tests made on a board, newest first, and the ways to more."""
    return {
        "new_url": start_url(place),
        "controller_url": act_url("controller", place),
        "tests": [
            line(place, test, known) for test in queries.part_tests_of(known.row)
        ],
    }


def line(place: Place, test: PartTest, known: Known) -> dict[str, Any]:
    found = bridge_parts.position_of(test, test.steps.all()).result
    return {
        "label": test.label,
        "url": act_url("part_test", place, test),
        "word": part_words.result(found)["word"] if found else part_words.unfinished(),
        "mark": part_words.MARKS.get(found.word, "") if found else "",
        "is_stale": test.epoch < known.epoch,
    }
