"""What the suspects were worth: first ones right, shares held to, words overturned."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from django.utils.translation import gettext as _

from diagnostics import advice_words
from diagnostics.engine.calibration import Said, bins, place_of
from diagnostics.forecasts import MOST, Forecast
from shop.office import told
from shop.office.drawings import Dot, Interval, Intervals, Reliability
from shop.office.quality.names import Names
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.office.shares import NONE, Counted

LIKELY = 0.5


def first_right(found: Sequence[Forecast], names: Names) -> Section:
    groups = _by_family(found, names)
    return Section(
        code="first_suspect",
        title=_("The first suspect was the cause"),
        unit=_("per cent of proven repairs, by board family"),
        says=_first_said(groups[0][1]),
        means=_(
            "Repairs proven in this time of which the suspects had been kept before: "
            "how often the part said last as the likeliest was the cause, whatever its "
            "way of failing. The newest %(most)s repairs at most. The interval is "
            "Wilson’s, at 95 %%."
        )
        % {"most": MOST},
        table=Table(
            [
                Column("family", _("Board family"), Kind.TEXT),
                Column("repairs", _("Repairs"), Kind.COUNT),
                Column("right", _("First was right"), Kind.COUNT),
                Column("percent", _("Right, %"), Kind.PERCENT),
                Column("low", _("From, %"), Kind.PERCENT),
                Column("high", _("To, %"), Kind.PERCENT),
            ],
            [
                [name, one.n, one.k, one.percent, one.low, one.high]
                for name, one in groups
                if one.n
            ],
        ),
        drawing=_first_drawing(groups),
    )


def _by_family(found: Sequence[Forecast], names: Names) -> list[tuple[str, Counted]]:
    by_family: dict[str, Counted] = defaultdict(lambda: NONE)
    for one in found:
        by_family[names.family(one.model)] += Counted(int(one.was_right), 1)
    every = Counted(sum(one.was_right for one in found), len(found))
    each = sorted(by_family.items(), key=lambda pair: (-pair[1].n, pair[0]))
    return [(_("all"), every), *each]


def _first_said(every: Counted) -> str:
    if every.is_few:
        return _(
            "Too few yet: fewer than three repairs were proven with suspects kept."
        )
    low, high = every.interval
    values = {
        "right": every.k,
        "n": every.n,
        "share": told.percent(every.share),
        "low": told.percent(low),
        "high": told.percent(high),
    }
    said = _(
        "The first suspect was the cause in %(right)s of %(n)s repairs, %(share)s "
        "(95 %% sure: %(low)s to %(high)s)."
    )
    return said % values


def _first_drawing(groups: Sequence[tuple[str, Counted]]) -> Intervals | None:
    rows = [
        Interval(name, one.n, one.percent, one.low, one.high)
        for name, one in groups
        if not one.is_few
    ]
    return Intervals(rows, "%") if rows else None


# --- whether the shares hold --------------------------------------------------------


@dataclass(frozen=True)
class Class:
    """Shares that were said alike; ``said`` is their mean, 0 to 100."""

    name: str
    said: float
    right: Counted


def classes_of(found: Sequence[Forecast]) -> list[Class]:
    """The engine's bins, those that hold something."""
    shares: dict[int, list[float]] = defaultdict(list)
    for one in found:
        shares[place_of(one.share)].append(one.share)
    each = bins(Said(one.share, one.was_right) for one in found)
    return [
        Class(
            advice_words.said_about(own),
            round(100 * fmean(shares[n]), 1),
            Counted(own.right, own.said),
        )
        for n, own in enumerate(each)
        if own.said
    ]


def calibration(found: Sequence[Forecast]) -> Section:
    classes = classes_of(found)
    return Section(
        code="calibration",
        title=_("How far shares may be believed"),
        unit=_("per cent said of the first suspect, against how often it was so"),
        says=_calibration_said(classes),
        means=_(
            "Of the same repairs, sorted by the share that was said of the first part: "
            "of what is said at about 80 %, about 80 % should come true. A class "
            "agrees where its mean lies inside the interval (Wilson’s, at 95 %)."
        ),
        table=Table(
            [
                Column("class", _("Said"), Kind.TEXT),
                Column("repairs", _("Repairs"), Kind.COUNT),
                Column("said", _("Said on average, %"), Kind.PERCENT),
                Column("right", _("Came true"), Kind.COUNT),
                Column("percent", _("Came true, %"), Kind.PERCENT),
                Column("low", _("From, %"), Kind.PERCENT),
                Column("high", _("To, %"), Kind.PERCENT),
            ],
            [_class_row(one) for one in classes],
        ),
        drawing=_reliability(classes),
    )


def _class_row(one: Class) -> list[Cell]:
    right = one.right
    shares = [right.percent, right.low, right.high]
    return [one.name, right.n, one.said, right.k, *shares]


def _calibration_said(classes: Sequence[Class]) -> str:
    telling = [one for one in classes if not one.right.is_few]
    if not telling:
        return _("Too few yet: no class of shares has three repairs.")
    off = [one for one in telling if not _agrees(one)]
    if not off:
        return _(
            "What was said agrees with what came true in every class that can tell."
        )
    worst = max(off, key=lambda one: abs(one.said / 100 - one.right.share))
    values = {
        "said": told.percent(worst.said / 100),
        "k": worst.right.k,
        "n": worst.right.n,
        "share": told.percent(worst.right.share),
    }
    is_bold = worst.said / 100 > worst.right.share
    said = (
        _(
            "Too sure: of what was said at %(said)s, %(k)s of %(n)s came true, "
            "%(share)s."
        )
        if is_bold
        else _(
            "Too careful: of what was said at %(said)s, %(k)s of %(n)s came true, "
            "%(share)s."
        )
    )
    return said % values


def _agrees(one: Class) -> bool:
    low, high = one.right.interval
    return low <= one.said / 100 <= high


def _reliability(classes: Sequence[Class]) -> Reliability | None:
    """A class under three has no dot, only its row in the table."""
    shown = [one for one in classes if not one.right.is_few]
    if not shown:
        return None
    dots = [Dot(one.name, one.right.percent, one.right.n) for one in shown]
    return Reliability(dots, [one.said for one in shown])


# --- words that a repair overturned -------------------------------------------------


def overturned(found: Sequence[Forecast]) -> Section:
    likely = [one for one in found if one.share >= LIKELY]
    rows = [
        (
            _("first suspect at 50 % or more, and another part was it"),
            Counted(sum(not one.was_right for one in likely), len(likely)),
        ),
        (
            _("struck by a technician, and it was the cause"),
            Counted(
                sum(one.proven in one.struck for one in found),
                sum(len(one.struck) for one in found),
            ),
        ),
        (
            _("added by a technician, and it was not the cause"),
            Counted(
                sum(len(one.added - {one.proven}) for one in found),
                sum(len(one.added) for one in found),
            ),
        ),
    ]
    return Section(
        code="overturned",
        title=_("Overturned by the repair"),
        unit=_("what was held before it"),
        says=_overturned_said(rows[0][1], rows[1][1]),
        means=_(
            "Of the same repairs: what the suspects, or a technician’s own word on "
            "them, held before the repair, and the proof showed otherwise."
        ),
        table=Table(
            [
                Column("word", _("What was held"), Kind.TEXT),
                Column("overturned", _("Overturned"), Kind.COUNT),
                Column("of", _("Of how many"), Kind.COUNT),
                Column("percent", _("Overturned, %"), Kind.PERCENT),
                Column("low", _("From, %"), Kind.PERCENT),
                Column("high", _("To, %"), Kind.PERCENT),
            ],
            [
                [name, one.k, one.n, one.percent, one.low, one.high]
                for name, one in rows
            ],
        ),
    )


def _overturned_said(likely: Counted, struck: Counted) -> str:
    if likely.is_few:
        return _("Too few yet: fewer than three repairs had a suspect at 50 % or more.")
    values = {"k": likely.k, "n": likely.n, "struck": struck.k, "words": struck.n}
    if not struck.n:
        said = _(
            "%(k)s of %(n)s first suspects held at 50 %% or more were not the cause; "
            "no technician had struck a suspect."
        )
    else:
        said = _(
            "%(k)s of %(n)s first suspects held at 50 %% or more were not the cause; "
            "of %(words)s suspects that technicians had struck, %(struck)s were."
        )
    return said % values
