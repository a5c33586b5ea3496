"""A job told in short, drawn out into the steps that a scenario is told by.

``fixtures/hollin_lane_year.toml`` has the grammar. What a machine reads when it is
well, and what a fault changes of it, stands in ``fixtures/hollin_lane_faults.toml``;
no two boards read quite alike, so every figure is moved a little, by its serial
number.
"""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

Step = dict[str, Any]
Data = Mapping[str, Any]

# Stages in their order, each with the days that it usually comes after the one before.
STAGES = {
    "taken": 0,
    "read": 1,
    "quoted": 0,
    "answered": 1,
    "ordered": 0,
    "arrived": 6,
    "repaired": 1,
    "ended": 0,
    "told": 0,
    "fetched": 2,
}
SUNDAY = 6
SPREAD = Decimal("0.02")
SECOND_PROOF = "sami"
SPARED = 8
HALVES = (("cold", "09:45"), ("port", "10:00"), ("live", "10:05"))
HALVES_AFTER = (("cold", "10:50"), ("port", "11:03"), ("live", "11:05"))


@dataclass
class Job:
    """One job being drawn out: where it is in its days."""

    told: Data
    faults: Data
    today: datetime

    @property
    def fault(self) -> Data:
        found: Data = self.faults["faults"][self.told["fault"]]
        return found

    @property
    def well(self) -> Data:
        found: Data = self.faults["well"][self.fault["like"]]
        return found

    def of_model(self, half: str) -> Data:
        """What boards of this model read otherwise than their family."""
        own: Data = self.well.get("of", {}).get(self.told.get("board", ""), {})
        found: Data = own.get(half, {})
        return found

    @property
    def technician(self) -> str:
        return str(self.told.get("by", "ines"))

    @property
    def desk(self) -> str:
        return str(self.told.get("desk", "tomas"))

    @property
    def is_soaked(self) -> bool:
        """Wet and repaired: it starts once more the next day."""
        told = self.told
        is_wet = told.get("first_look", {}).get("liquid") == "yes"
        is_proved = told.get("is_repaired", True) and told.get("is_proved", True)
        return bool(is_wet and is_proved)

    def reaches(self, stage: str) -> bool:
        last = self.told.get("to", "fetched")
        order = list(STAGES)
        return order.index(stage) <= order.index(last)

    def day_of(self, stage: str) -> int:
        """Days from today; on a Sunday the shop is closed."""
        own = self.told.get("days", {})
        day = int(self.told["day"])
        for name, usual in STAGES.items():
            if name in {"ordered", "arrived"} and "order" not in self.told:
                continue
            day += int(own.get(name, usual))
            if (self.today + timedelta(days=day)).weekday() == SUNDAY:
                day += 1
            if name == stage:
                break
        return min(day, 0)

    def step(self, stage: str, clock: str, do: str, by: str, **more: Any) -> Step:
        return {"do": do, "by": by, "day": self.day_of(stage), "time": clock, **more}


def steps_of(told: Data, faults: Data, today: datetime) -> list[Step]:
    """Every step of a job, up to where it stands."""
    job = Job(told, faults, today)
    work = [*_take_in(job), *_bench(job), *_agree(job), *_repair(job)]
    return [*work, *_soak(job), *_close(job)]


def steps_of_good(told: Data, faults: Data, today: datetime) -> list[Step]:
    """A board of the shop's own that is well, read once."""
    short = {"board_serial": told["serial"], "board": told["board_model"], **told}
    short["fault"] = ""
    job = Job(short, {"well": faults["well"], "faults": {"": told}}, today)
    by, board = job.technician, told["board_model"]
    kept = {"board_model": board, "origin": "known_good", "serial": told["serial"]}
    steps = [job.step("taken", "16:30", "reference", by, **kept)]
    steps += [
        job.step("taken", "16:31", "not fitted", by, what=what)
        for what in job.well.get("not_fitted", ())
    ]
    steps += [
        step | {"meter": "fine"}
        for half, clock in (("cold", "16:35"), ("port", "16:45"), ("live", "16:50"))
        if half in job.well
        for step in _readings(job, "taken", clock, half, {})
    ]
    return [*steps, job.step("taken", "17:00", "put down", by)]


def _take_in(job: Job) -> Iterator[Step]:
    told = job.told
    clock = told.get("time", "10:15")
    keys = ("things", "consents", "promise", "pre_approved", "brought", "rest")
    more = {key: told[key] for key in keys if key in told}
    first_look = {"liquid": "no", "dropped": "no", "hot_or_swollen": "no"}
    yield job.step(
        "taken",
        clock,
        "take in",
        job.desk,
        customer=told["customer"],
        device=told["device"],
        told=told["told"],
        first_look=first_look | dict(told.get("first_look", {})),
        **({"things": ["machine", "adapter"]} | more),
    )
    if told.get("pays_fee", False):
        amount, how = "42.00", told.get("method", "card")
        yield job.step("taken", clock, "pay", job.desk, amount=amount, method=how)
    for name in ("finish", "unpack"):
        if name in told:
            yield job.step("read", "09:05", name, job.desk, **told[name])


def _bench(job: Job) -> Iterator[Step]:
    if not job.reaches("read"):
        return
    by, fault = job.technician, job.fault
    board = {"board_model": job.told["board"], "serial": job.told["board_serial"]}
    yield job.step("read", "09:40", "join", by, **board)
    for what in job.well.get("not_fitted", ()):
        yield job.step("read", "09:41", "not fitted", by, what=what)
    before = fault.get("before", {})
    for half, clock in HALVES:
        if half in fault.get("reads", ("cold",)):
            yield from _readings(job, "read", clock, half, before.get(half, {}))
    yield from _judged(job, by)
    yield job.step("read", "12:10", "put down", by)


def _judged(job: Job, by: str) -> Iterator[Step]:
    """What is seen, suspected and decided before any price."""
    told, fault = job.told, job.fault
    for one in fault.get("more", ()):
        yield job.step("read", "10:25", "read", by, **one)
    for name, clock in (("see", "10:30"), ("suspect", "10:34")):
        if name in fault:
            yield job.step("read", clock, name, by, **fault[name])
    if "decide" in told:
        yield job.step("read", "10:40", "decide", by, **told["decide"])
    if "safe" in told:
        yield job.step("read", "11:50", "data safe", by, how=told["safe"])


def _readings(
    job: Job, stage: str, clock: str, half: str, changed: Data
) -> Iterator[Step]:
    """What the well board reads, but for what the fault changes or leaves out."""
    points = {**job.well[half]["points"], **job.of_model(half), **changed}
    stops = job.fault.get("stops", {}).get(half) if changed else None
    names = list(points)[: list(points).index(stops) + 1] if stops else list(points)
    typed = {
        name: points[name] if name in changed else _moved(job, name, points[name])
        for name in names
    }
    more = {"with": job.well[half]["with"]} if "with" in job.well[half] else {}
    yield job.step(stage, clock, "read", job.technician, points=typed, **more)


def _moved(job: Job, name: str, typed: str) -> str:
    """The figure of another board of the kind: some per cent aside, as exact.

    >>> _moved(Job({"board_serial": "1"}, {}, datetime.now()), "k01/top", "=clean")
    '=clean'
    """
    number, unit = typed.rstrip("kMm"), typed[len(typed.rstrip("kMm")) :]
    if typed.startswith("=") or not Decimal(number):
        return typed
    digest = hashlib.sha256(f"{job.told['board_serial']} {name}".encode()).digest()
    share = Decimal(digest[0] - 127) / 127
    kept = SPREAD / 4 if name.split("/", maxsplit=1)[0] in STEADY else SPREAD
    value = Decimal(number) * (1 + kept * share)
    return f"{value.quantize(Decimal(number))}{unit}"


# Regulated volts lie closer together than ohms do.
STEADY = {"k27", "k31", "k32", "k44", "k45"}


def _agree(job: Job) -> Iterator[Step]:
    told, fault = job.told, job.fault
    quoted = told.get("quote", fault.get("quote"))
    if not job.reaches("quoted") or not quoted or told.get("is_agreed"):
        return
    versions = [*told.get("earlier_quotes", ()), quoted]
    for number, version in enumerate(versions):
        clock = f"{14 + number}:20"
        yield job.step("quoted", clock, "quote", job.technician, **_quote(job, version))
    if "says" in told and job.reaches("answered"):
        answer = {"answered_by": told["customer"]["name"], "channel": "phone"}
        answer |= told["says"]
        yield job.step("answered", "11:10", "answer", job.desk, **answer)
    if "ready" in told and job.reaches("answered"):
        yield job.step("answered", "11:15", "promise", job.desk, ready=told["ready"])


def _quote(job: Job, quote: Data) -> Step:
    lines = [
        {"code": "fee", "text": "Diagnosis, as agreed", "quantity": "1"}
        | {"price": "35.00"},
        {"code": "labour.repair", "text": "Repair", "unit": "MIN"}
        | {"quantity": str(quote["minutes"]), "price": "60.00"},
        *(
            {"code": "part", "text": name, "quantity": "1", "price": price}
            for name, price in quote.get("parts", {}).items()
        ),
        {"code": "consumables", "text": "Consumables", "quantity": "1"}
        | {"price": "4.00"},
    ]
    fault = job.fault
    return {
        "cause": quote.get("cause", fault.get("cause", "")),
        "risk": quote.get("risk", fault.get("risk", "")),
        "tax_percent": "20",
        "lines": lines,
    }


def _repair(job: Job) -> Iterator[Step]:
    told, by = job.told, job.technician
    yield from _ordered(job)
    if not job.reaches("repaired") or not told.get("is_repaired", True):
        return
    yield from _done(job)
    spent = {"kind": told.get("labour", "repair"), "minutes": _minutes(job)}
    yield job.step("repaired", "10:10", "work", by, **spent)
    if "park" in told:
        yield job.step("repaired", "11:40", "park", by, **told["park"])
        if not job.reaches("ended"):
            return
    if told.get("is_proved", True):
        stage = "ended" if "park" in told else "repaired"
        items = job.well["proof"]
        yield job.step(stage, "15:30", "prove", SECOND_PROOF, items=items)
    if "park" not in told:
        yield job.step("repaired", "16:00", "put down", by)


def _soak(job: Job) -> Iterator[Step]:
    if job.is_soaked and job.reaches("ended"):
        items: Data = {"soak": {}}
        yield job.step("ended", "16:10", "prove", SECOND_PROOF, items=items)


def _ordered(job: Job) -> Iterator[Step]:
    if "order" not in job.told or not job.reaches("ordered"):
        return
    order = job.told["order"]
    yield job.step("ordered", "11:40", "order", job.technician, **order)
    if job.reaches("arrived"):
        yield job.step("arrived", "09:20", "arrive", job.desk)
    if job.reaches("repaired"):
        part = {"name": order["name"], "cost": order["price"]}
        yield job.step("repaired", "10:35", "use part", job.technician, **part)


def _done(job: Job) -> Iterator[Step]:
    """Interventions, parts from the shelf, readings after it, the finding."""
    fault, by = job.fault, job.technician
    for one in fault.get("does", ()):
        yield job.step("repaired", "10:20", "intervene", by, **one)
    for stock in fault.get("uses", ()):
        yield job.step("repaired", "10:40", "use part", by, stock=stock)
    after = fault.get("after", {})
    for half, clock in HALVES_AFTER:
        if half in fault.get("reads_after", job.well):
            yield from _readings(job, "repaired", clock, half, after.get(half, {}))
    if "finding" in fault:
        yield job.step("repaired", "11:30", "find", by, **fault["finding"])


def _minutes(job: Job) -> int:
    """Somewhat less than was quoted, unless the job says otherwise."""
    quoted = job.fault.get("quote", {"minutes": 50})["minutes"]
    return int(job.told.get("minutes", quoted - SPARED))


def _close(job: Job) -> Iterator[Step]:
    told, by = job.told, job.technician
    if not job.reaches("ended"):
        return
    story = dict(job.fault.get("story", {})) | dict(told.get("story", {}))
    if story:
        yield job.step("ended", "16:20", "write", by, story=story)
    if "not_found" in told:
        yield job.step("ended", "16:25", "find", by, cause="not_found")
    ended = told.get("ended", {"kind": "fixed"})
    yield job.step("ended", "16:30", "end", by, **ended)
    if told.get("is_billed", True):
        yield job.step("ended", "16:50", "invoice", job.desk)
    if job.reaches("told"):
        yield job.step("told", "17:10", "tell customer", job.desk, channel="phone")
    for paid in told.get("pays", ()):
        yield job.step("told", "17:20", "pay", job.desk, **paid)
    if told.get("is_credited"):
        yield job.step("told", "17:25", "credit", "marit")
        yield job.step("told", "17:28", "invoice", job.desk)
    if job.reaches("fetched"):
        yield job.step(
            "fetched", "12:15", "settle", job.desk, **told.get("settles", {})
        )
        yield job.step("fetched", "12:20", "hand over", job.desk, **_to(job))
    if "transfer_after" in told:
        day = min(job.day_of("fetched") + told["transfer_after"], 0)
        paid = {"do": "settle", "by": job.desk, "day": day, "time": "09:30"}
        yield paid | {"method": "transfer"}


def _to(job: Job) -> Step:
    told = job.told
    owing = {"owing": told["owing"]} if "owing" in told else {}
    return {"to": told.get("given_to", told["customer"]["name"]), **owing}
