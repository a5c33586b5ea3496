"""A section of each kind of picture, with figures of our own invention."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

from shop.office.asked import Asked
from shop.office.drawings import (
    Control,
    Curve,
    Curves,
    Dot,
    Drawing,
    Interval,
    Intervals,
    Part,
    Reliability,
    Share,
    Shares,
    Step,
    Tally,
    Trend,
    Trends,
    TurnBar,
    TurnBars,
)
from shop.office.sections import Column, Kind, Section, Table
from shop.people.models import Shop

MONTHS = ("Apr", "May", "Jun", "Jul", "Aug", "Sep")
DAYS = (
    (4.6, 3.1, 3.4, 1.5, "12.6", "31", "31"),
    (4.2, 3.3, 2.6, 1.6, "11.7", "27", "38"),
    (3.4, 3.6, 2.9, 1.4, "11.3", "29", "35"),
    (3.1, 3.2, 2.2, 1.7, "10.2", "24", "41"),
    (2.9, 3.9, 2.4, 1.3, "10.5", "25", "33"),
    (2.6, 3.4, 1.8, 1.2, "9.0", "21", "44"),
)
TURNS = ("ours", "customer", "supplier", "handover")


def turn_bars() -> TurnBars:
    bars = [
        TurnBar(
            month,
            [Part(turn, days) for turn, days in zip(TURNS, row[:4], strict=True)],
            row[4:],
            now=month == "Sep",
        )
        for month, row in zip(MONTHS, DAYS, strict=True)
    ]
    return TurnBars(bars, ("mean", "9 in 10", "closed"))


def tally() -> Tally:
    rows = [
        ("ours", "Ours"),
        ("customer", "The customer’s"),
        ("supplier", "A supplier’s"),
        ("handover", "The handover’s"),
    ]
    cells = [[5, 3, 1, 0, 0], [2, 3, 2, 1, 0], [1, 1, 2, 1, 0], [3, 1, 1, 0, 1]]
    return Tally(("0–3", "4–7", "8–14", "15–30", "over 30"), rows, cells)


def trends() -> Trends:
    told = {
        "Ines": (64, (68, 76, 80, 88, 92, 96)),
        "Sami": (51, (84, 80, 86, 83, 88, 86)),
        "After liquid": (37, (52, 58, 55, 70, 74, 84)),
        "Orrin 14": (29, (70, 82, 87, None, 93, 95)),
    }
    return Trends(
        [
            Trend(
                label,
                n,
                [
                    Dot(month, value, 9, hollow=month == "Sep")
                    for month, value in zip(MONTHS, values, strict=True)
                ],
            )
            for label, (n, values) in told.items()
        ],
        "%",
        reference=90.0,
        floor=40.0,
    )


def shares() -> Shares:
    return Shares(
        [
            Share("Diagnosis", 121, 148, "121 of 148 h"),
            Share("Repair", 176, 182, "176 of 182 h"),
            Share("Proof", 31, 64, "31 of 64 h"),
            Share("Warranty", 0, 22, "0 of 22 h"),
        ]
    )


def control() -> Control:
    values = (3.1, 2.6, 3.4, 2.2, 2.9, None, 3.0, 6.8, 2.4, 2.7, 1.9, 2.5, 2.1)
    dots = [
        Dot(f"W{week}", value, 5 + week % 4, hollow=week == 47, out=value == 6.8)
        for week, value in enumerate(values, start=35)
    ]
    return Control(dots, "days", 2.8, 0.4, 5.2)


def curves(count: int = 1) -> Curves:
    steps = [
        Step(day, share, max(0, share - 0.08), min(1, share + 0.09))
        for day, share in (
            (0.5, 0.05),
            (1, 0.12),
            (2, 0.25),
            (4, 0.41),
            (6, 0.5),
            (9, 0.66),
            (14, 0.8),
            (21, 0.9),
            (33, 0.95),
        )
    ]
    labels = ("All tickets", "After liquid", "Board alone", "Sent by parcel")
    told = [
        Curve(label, 58 - 9 * place, steps[place:], (3, 12, 28))
        for place, label in enumerate(labels[:count])
    ]
    return Curves(told, "days", ((6, 0.5), (21, 0.9)))


def intervals() -> Intervals:
    rows = [
        Interval("Orrin 14, OR-14B-MB", 29, 93, 78, 98),
        Interval("Calder S, CS-7", 22, 88, 67, 96),
        Interval("Helm K2, HK2-ATX", 17, 71, 47, 87),
        Interval("Marten P, MP-220", 2, None, None, None),
    ]
    return Intervals(rows, "%", reference=90.0)


def reliability() -> Reliability:
    said = [
        Dot("0–20", 5, 31),
        Dot("20–40", 28, 18),
        Dot("40–60", 61, 14),
        Dot("60–80", 74, 9, hollow=True),
        Dot("80–100", 94, 40),
    ]
    return Reliability(said, (8, 31, 52, 69, 91))


DRAWINGS: dict[str, Callable[[], Drawing]] = {
    "turns": turn_bars,
    "open": tally,
    "first": trends,
    "hours": shares,
    "weeks": control,
    "finished": curves,
    "groups": lambda: curves(4),
    "models": intervals,
    "reliability": reliability,
}
SAYS = {
    "turns": ("Where the days went", "days a closed ticket took, by whose turn"),
    "open": ("Open now, by age in days", ""),
    "first": ("Fixed the first time", "per cent with no return inside the warranty"),
    "hours": ("Hours billed of hours logged", "September"),
    "weeks": ("Our own days, week by week", "mean days"),
    "finished": ("How soon a ticket is finished", "per cent by day"),
    "groups": ("How soon, by kind", "per cent by day"),
    "models": ("Fixed, by board model", "per cent"),
    "reliability": ("What we said, and what was so", "suspects named before a repair"),
}


def table() -> Table:
    return Table(
        [
            Column("board_model", "Board model", Kind.TEXT),
            Column("ticket", "Ticket", Kind.TICKET),
            Column("closed", "Closed", Kind.COUNT),
            Column("days", "Days", Kind.DAYS),
            Column("hours", "Hours", Kind.HOURS),
            Column("minutes", "Minutes", Kind.MINUTES),
            Column("fixed", "Fixed", Kind.PERCENT),
            Column("margin", "Margin", Kind.AMOUNT),
            Column("day", "Day", Kind.DATE),
        ],
        [
            ("Orrin 14", "24178", 29, 9.04, 1.5, 42, 94.1, Decimal("61.20"), D),
            ("=1+1", "24194", 22, -1.5, None, 7, None, Decimal("-8.00"), None),
        ],
    )


D = date(2026, 9, 30)


def sections(_shop: Shop, _asked: Asked) -> list[Section]:
    return [
        Section(
            code,
            *SAYS[code],
            "A ticket took 9.0 days, 2.6 of them ours. Since April we have cut our"
            " own share by two days; the customer’s answer is now the longest wait.",
            "Days from intake to handover of tickets that were closed in the month.",
            table(),
            make(),
        )
        for code, make in DRAWINGS.items()
    ]
