"""What a card, a verdict or a hold shows, as plain values for the templates."""

from typing import Any

from django.utils.text import capfirst

from diagnostics import courses, passing, sayings, settling, walk_words, words
from diagnostics.band_strip import strip_of
from diagnostics.bridge import Judged, Known
from diagnostics.engine.family import Check, Point
from diagnostics.engine.gates import Hold
from diagnostics.engine.lore import Like, usual_range
from diagnostics.engine.yardsticks import Settle, Word
from diagnostics.figures import show
from diagnostics.models import Polarity, Reading, ReadingSource
from diagnostics.place import Place
from diagnostics.settling import Goes
from diagnostics.walk import Step, Walk
from diagnostics.words import cautions
from diagnostics.words.values import category_name

Card = dict[str, Any]
OHMS = frozenset("RC")
PROBED = frozenset("VRDC")


def check(known: Known, step: Step, place: Place) -> Card:
    """A check at one of its points: where, with what, and what to expect."""
    check, point = step.check, step.point
    like = known.like_next(check, point)
    yardstick = known.yardstick(like, point.unit)
    return {
        "title": title(known, check, point),
        "name": sayings.family_text(check.name),
        "ids": point.rail or "",
        "check_id": check.id,
        "point_id": point.id,
        "stage": sayings.family_text(step.stage.name),
        "minutes": f"{check.minutes:g}",
        "lines": lines(known, check, point),
        "expect": sayings.should_read(yardstick),
        "expect_source": sayings.whose(yardstick),
        "strip": strip_of(yardstick, goods=known.goods(like)),
        "beside": beside(known, like, point.unit),
        "unit": sayings.unit(point.unit),
        "answers": answers(check),
        "form_kind": check.form,
        "courses": courses.on_card(check, sayings.unit(point.unit)),
        "has_probes": check.mode in PROBED,
        "is_ohms": check.mode in OHMS,
        "is_powered": check.is_powered or check.condition == "J",
        "url": place.url(check=check.id, point=point.id),
    }


def title(known: Known, check: Check, point: Point) -> str:
    """The point in hand; of a check that is ticked as one, its own name."""
    if check.form == "ticks":
        return sayings.family_text(check.name)
    return sayings.point_title(known.board, point)


def beside(known: Known, like: Like, unit: str) -> Card | None:
    """What good boards of this model read there, and what that says of the next."""
    band = known.band(like, unit)
    if band is None:
        return None
    return {
        "values": [show(value, unit) for value in known.goods(like)],
        "boards": band.boards,
        "decides": band.decides,
        "next": words.span(*usual_range(band), unit),
        "tolerance": sayings.tolerance(band),
    }


def lines(known: Known, check: Check, point: Point) -> list[dict[str, Any]]:
    """The labelled lines of a check, in the order in which hands need them."""
    told = [*probes(known, check, point)]
    told += [
        (sayings.METER, str(sayings.MODES[check.mode])),
        (sayings.BOARD, walk_words.stands(known, check)),
    ]
    own = [code for code in check.cautions if code not in cautions.STANDING]
    risk = [sentence(sayings.family_text(check.risk))] if check.risk else []
    if risk or own:
        told.append((sayings.CAUTION, " ".join([*risk, *cautions.said(own)])))
    shown: list[dict[str, Any]] = [
        {"label": str(label), "text": text} for label, text in told
    ]
    if check.cautions:
        standing = cautions.said(code for code in check.cautions if code not in own)
        text = " ".join([*standing, str(cautions.LOCAL_RULES)])
        shown.append({"label": "", "text": text, "is_quiet": True})
    return shown


def cautions_of_bad(one: Judged) -> list[str]:
    """What a bad reading asks for at once: a swollen pack, a shorted high side."""
    codes = [code for code in one.check.cautions if code not in cautions.STANDING]
    if one.verdict.word != Word.BAD or not codes:
        return []
    return [*cautions.said(codes), str(cautions.LOCAL_RULES)]


def sentence(text: str) -> str:
    """A short phrase of a family file, as a sentence among sentences."""
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


def probes(known: Known, check: Check, point: Point) -> list[tuple[object, str]]:
    """Where red and black go; where to look for checks that have no probes."""
    if check.form == "ticks":
        return []
    where = place_of(known, point)
    if check.mode not in PROBED:
        return [(sayings.WHERE, where)]
    if point.pair is not None:
        first, second = (sayings.net_name(known.board, net) for net in point.pair)
        if point.polarity == Polarity.RED_ON_GROUND:
            first, second = second, first
        return [(sayings.RED_ON, first), (sayings.BLACK_ON, f"{second}: {where}")]
    if point.polarity == Polarity.RED_ON_GROUND:
        return [(sayings.RED_ON, str(sayings.GROUND)), (sayings.BLACK_ON, where)]
    return [(sayings.RED_ON, where), (sayings.BLACK_ON, str(sayings.GROUND))]


def place_of(known: Known, point: Point) -> str:
    rail = known.board.rails.get(point.rail or "")
    told = [point.label, point.where or (rail.where if rail else "")]
    return "; ".join(sayings.family_text(text) for text in told if text) or point.id


def answers(check: Check) -> list[dict[str, str]]:
    return [
        {"value": one, "label": category_name(one), "word": word}
        for one, word in check.categories.items()
    ]


def ticks(known: Known, steps: tuple[Step, ...]) -> list[Card]:
    """The points of a ticked check, each with the answer it has if nobody taps."""
    return [
        {
            "point_id": step.point.id,
            "title": sayings.stands_for(known.board, step.point),
            "answers": answers(step.check),
            "as_good": as_good(step.check),
        }
        for step in steps
    ]


def as_good(check: Check) -> str:
    """The answer that a ticked point has if nobody taps another."""
    good = (one for one, word in check.categories.items() if word == Word.GOOD)
    return next(good, next(iter(check.categories)))


def ticked(known: Known, one: Judged) -> list[str]:
    """What was ticked of every point of such a check, as it stands now."""
    if one.check.form != "ticks":
        return []
    return [
        f"{sayings.stands_for(known.board, each.point)}: "
        + sayings.reading_value(each.reading)
        for each in known.newest().values()
        if each.check.id == one.check.id
    ]


def points(
    known: Known, steps: tuple[Step, ...], here: str, place: Place
) -> list[Card]:
    """The points of one check, one after another."""
    return [
        {
            "title": sayings.stands_for(known.board, step.point),
            "is_read": step.is_read,
            "is_here": step.point.id == here,
            "url": place.url(check=step.check.id, point=step.point.id),
        }
        for step in steps
    ]


def verdict(known: Known, one: Judged) -> Card:
    """A reading that was just taken: the word, the value, and why."""
    reading, verdict = one.reading, one.verdict
    title = sayings.point_title(known.board, one.point)
    return {
        "word": verdict.word.value,
        "word_name": words.verdict_name(verdict.word.value),
        "title": title,
        "value": sayings.reading_value(reading),
        "ticked": ticked(known, one),
        "typed": reading.typed,
        "leads": leads_taken_off(reading),
        "reasons": [words.sentence(reason) for reason in verdict.reasons],
        "cautions": cautions_of_bad(one),
        "reading_id": reading.pk,
        "is_told": reading.source == ReadingSource.TOLD,
        "by": reading.by.name,
        "at": reading.taken_at,
        "arrival": sayings.arrival(reading),
        "meter": sayings.meter_name(reading.meter),
        "calibration": sayings.calibration_missed(reading),
    }


def settle(known: Known, one: Judged, place: Place, good_board: str) -> list[Card]:
    """What would settle an unclear verdict, each with its tap."""
    return [_settle(known, one, place, code, good_board) for code in one.verdict.settle]


def _settle(
    known: Known, one: Judged, place: Place, code: str, good_board: str
) -> Card:
    tap, point = settling.TAPS[Settle(code)], one.point
    card = {"sentence": words.settle_sentence(code), "tap": words.settle_tap(code)}
    if tap.goes is Goes.GOOD_BOARD:
        return {**card, "elsewhere": good_board}
    if tap.goes is Goes.MARK:
        net = settling.net_of(point)
        return {**card, "mark": net, "is_marked": not known.board.is_fitted(net)}
    aim = settling.goal(known.board, point, tap)
    back = point.id if tap.goes is Goes.LEADS_AND_BACK else ""
    polarity = settling.swapped(one.reading.polarity) if tap.is_swapped else ""
    state = {"settle": code, "back": back, "polarity": polarity}
    return {**card, "url": place.url(check=aim.check, point=aim.id, **state)}


def told(known: Known, point: Point, place: Place) -> list[Card]:
    """What another repairer told of a point, oldest first."""
    return [
        {
            "value": sayings.reading_value(one.reading),
            "url": place.url(reading=one.reading.pk),
        }
        for one in known.judged
        if one.point.id == point.id and one.reading.source == ReadingSource.TOLD
    ]


def leads_taken_off(reading: Reading) -> str:
    """The leads' own ohms, where the verdict is of the value less them."""
    if reading.unit != "ohm" or reading.is_four_wire or reading.lead_ohms is None:
        return ""
    return show(reading.lead_ohms, "ohm")


def has_leads_in_it(check: Check) -> bool:
    """Whether the leads' own ohms are part of what the check reads."""
    return check.mode in OHMS and check.id != settling.LEADS


def leads(known: Known, point: Point, ohms: float | None, place: Place) -> Card:
    """The leads' ohms of today, or the way to measure them and back to the point."""
    measure = known.board.check(settling.LEADS)
    state = {"settle": Settle.MEASURE_LEADS.value, "back": point.id}
    return {
        "ohms": None if ohms is None else show(ohms, "ohm"),
        "url": place.url(check=measure.id, point=measure.points[0].id, **state),
        "minutes": f"{measure.minutes:g}",
    }


def hold(known: Known, hold: Hold, place: Place) -> Card:
    """Why a check must wait, and the check that would free it."""
    frees = known.board.checks.get(hold.frees)
    return {
        "check_id": hold.check_id,
        "gate_id": hold.gate_id,
        "why": passing.why(known, hold),
        "frees": place.url(check=hold.frees) if frees else "",
        "frees_label": capfirst(sayings.family_text(frees.name)) if frees else "",
        "frees_minutes": f"{frees.minutes:g}" if frees else "",
    }


def walked(walk: Walk, check: Check, place: Place, *, is_here: bool) -> Card:
    """One line of the walk's checklist."""
    steps = walk.of_check(check.id)
    read = sum(step.is_read for step in steps)
    return {
        "id": check.id,
        "name": sayings.family_text(check.name),
        "read": read,
        "all": len(steps),
        "is_read": read == len(steps),
        "is_here": is_here,
        "is_held": read < len(steps) and bool(walk.holds(check.id)),
        "is_on_request": check.is_on_request,
        "url": place.url(check=check.id),
    }
