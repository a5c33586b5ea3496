"""The sentences to read out, from their codes, in the language of the moment.

A sentence begins with the thing it speaks of, so that another language needs no case
of it. A later room names its parts in plain words (``faults_named_by``).
"""

from collections import defaultdict
from collections.abc import Callable, Mapping
from datetime import date

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, override

from shop.intake.read_out import AMOUNTS, WAS, Said
from shop.money import Money
from shop.shown import date_format

Text = str | Promise
FaultNamer = Callable[[str, str, bool], str]
NAMERS: list[FaultNamer] = []
MISSING = "…"  # what an event of another version does not say
DAYS = ("part_due", "promise", "valid_until", "given_back", "covered_until")

DEVICES: Mapping[str, Text] = {
    "laptop": gettext_lazy("Your laptop"),
    "desktop": gettext_lazy("Your computer"),
    "bare_board": gettext_lazy("Your board"),
    "other": gettext_lazy("Your device"),
}
STANDS: Mapping[str, Text] = {
    "pack_first": gettext_lazy(
        "%(device)s is with us; before anything else we look at its battery."
    ),
    "board_not_named": gettext_lazy(
        "%(device)s is with us and waits for its first look."
    ),
    "cold_not_started": gettext_lazy(
        "%(device)s is with us and waits for its first look."
    ),
    "readings": gettext_lazy(
        "%(device)s is with us, and we are looking for the fault."
    ),
    "quote_to_write": gettext_lazy(
        "%(device)s is with us, and we are working out what the repair would cost."
    ),
    "new_price_asked": gettext_lazy(
        "%(device)s is with us, and we are working out a new price for you."
    ),
    "cover_to_decide": gettext_lazy(
        "%(device)s is with us, and we are checking whether our warranty covers it."
    ),
    "repair_covered": gettext_lazy(
        "%(device)s is with us; our warranty covers it, and we are repairing it."
    ),
    "repair": gettext_lazy("%(device)s is with us, and we are repairing it as agreed."),
    "part_here": gettext_lazy(
        "%(device)s is with us; the part has come, and we go on with the repair."
    ),
    "proof": gettext_lazy("%(device)s is with us; we are repairing and testing it."),
    "outcome_to_record": gettext_lazy(
        "%(device)s is with us, and we are finishing our work on it."
    ),
    "more_declined": gettext_lazy(
        "%(device)s is with us; after your no to more work "
        "we finish what was agreed before."
    ),
    "give_back_unrepaired": gettext_lazy(
        "%(device)s is with us; after your no we make it ready as it came."
    ),
    "answer_to_quote": gettext_lazy("%(device)s waits for your yes or no."),
    "not_answered": gettext_lazy(
        "%(device)s is with us; we have had no yes or no from you."
    ),
    "parts_without_day": gettext_lazy(
        "%(device)s waits for a part; we have no day for it yet."
    ),
    "parts": gettext_lazy("%(device)s waits for a part, due on %(part_due)s."),
    "parts_late": gettext_lazy(
        "%(device)s waits for a part that was due on %(part_due)s and has not come yet."
    ),
    "parked_owner": gettext_lazy("%(device)s is with us; we have a decision to take."),
    "parked_resting": gettext_lazy("%(device)s is with us and rests for a while."),
    "parked_customer": gettext_lazy("%(device)s is with us; we wait to hear from you."),
    "parked_specialist": gettext_lazy(
        "%(device)s is with a specialist, for work that we don’t do ourselves."
    ),
    "ready_fixed": gettext_lazy("%(device)s is repaired and ready to be collected."),
    "ready_improved": gettext_lazy(
        "%(device)s is ready to be collected: it is better, but we could not prove "
        "that the fault is gone."
    ),
    "ready_no_fault_found": gettext_lazy(
        "%(device)s is ready to be collected: we found no fault."
    ),
    "ready_not_reproduced": gettext_lazy(
        "%(device)s is ready to be collected: the fault did not show itself here."
    ),
    "ready_declined": gettext_lazy(
        "%(device)s is ready to be collected, not repaired, as you decided."
    ),
    "ready_no_fix": gettext_lazy(
        "%(device)s is ready to be collected: we could not repair it."
    ),
    "ready_no_fix_uneconomic": gettext_lazy(
        "%(device)s is ready to be collected: "
        "a repair would cost more than it is worth."
    ),
    "ready_no_fix_no_part": gettext_lazy(
        "%(device)s is ready to be collected: the part that it needs is not to be had."
    ),
    "ready_no_fix_chip_dead": gettext_lazy(
        "%(device)s is ready to be collected: "
        "its main chip is dead, and it can’t be repaired."
    ),
    "ready_no_fix_too_wide": gettext_lazy(
        "%(device)s is ready to be collected: the damage is too wide to be repaired."
    ),
    "ready_data_handed_over": gettext_lazy(
        "%(device)s is ready to be collected, and so is the data from it."
    ),
    "closed_fixed": gettext_lazy(
        "%(device)s went back to you on %(given_back)s, repaired."
    ),
    "closed_improved": gettext_lazy(
        "%(device)s went back to you on %(given_back)s: better, but not proved to be "
        "repaired."
    ),
    "closed_data_handed_over": gettext_lazy(
        "%(device)s went back to you on %(given_back)s, with the data from it."
    ),
    "closed_no_fault_found": gettext_lazy(
        "%(device)s went back to you on %(given_back)s: we had found no fault."
    ),
    "closed_other": gettext_lazy(
        "%(device)s went back to you on %(given_back)s, not repaired."
    ),
    "stays_recycle": gettext_lazy(
        "%(device)s was left with us on %(given_back)s to be recycled, as you wished."
    ),
    "stays_sold": gettext_lazy(
        "%(device)s was sold to us on %(given_back)s, as was signed."
    ),
    "stays_left": gettext_lazy(
        "%(device)s was left to us on %(given_back)s, as was signed."
    ),
}
# Why it is parked, where that is worth a sentence of its own.
BECAUSE: Mapping[str, Text] = {
    "drying": gettext_lazy("%(device)s is with us and dries after cleaning."),
    "soaking": gettext_lazy("%(device)s is with us and is being cleaned."),
    "charging": gettext_lazy("%(device)s is with us; its battery is charging."),
    "running": gettext_lazy("%(device)s is with us and runs under load, as a test."),
    "cold_start": gettext_lazy(
        "%(device)s is with us and rests, to be started cold as a test."
    ),
    "consent": gettext_lazy(
        "%(device)s is with us; for the next step we need your consent."
    ),
    "deposit": gettext_lazy("%(device)s is with us; we wait for your deposit."),
    "found_more": gettext_lazy(
        "%(device)s is with us; we found more than we had quoted, "
        "and work out the new price."
    ),
    "data_work": gettext_lazy("%(device)s is with a specialist who saves its data."),
}
FOUND: Mapping[str, Text] = {
    "found_sure": gettext_lazy("We found the fault: %(fault)s."),
    "found_likely": gettext_lazy("Most likely, %(fault)s."),
    "found_none": gettext_lazy("We looked for the cause and have not found it."),
    WAS: gettext_lazy("This was the fault: %(fault)s."),
}
THEN: Mapping[str, Text] = {
    "price": gettext_lazy(
        "The repair would cost %(total)s, never more than %(cap)s without asking you "
        "again; this price stands until %(valid_until)s."
    ),
    "price_without_more": gettext_lazy(
        "The repair would cost %(total)s, and nothing more without asking you again; "
        "this price stands until %(valid_until)s."
    ),
    "price_options": gettext_lazy(
        "There is more than one way to go, from %(total)s on; these prices stand until "
        "%(valid_until)s."
    ),
    "price_over": gettext_lazy(
        "Our price stood until %(valid_until)s; we can make you a new one."
    ),
    "promised_word": gettext_lazy("You hear from us by %(promise)s."),
    "promised_ready": gettext_lazy("We promised to be ready by %(promise)s."),
    "promise_late": gettext_lazy(
        "We had promised to be ready by %(promise)s: we are late, and we are sorry."
    ),
    "pay_due": gettext_lazy("%(due)s is to be paid."),
    "pay_back": gettext_lazy("You get %(due)s back from us."),
    "paid": gettext_lazy("Nothing is left to be paid."),
    "covered_until": gettext_lazy("The repair is covered until %(covered_until)s."),
    "cover_over": gettext_lazy("The repair was covered until %(covered_until)s."),
}
SENTENCES: Mapping[str, Text] = {**STANDS, **FOUND, **THEN}


def faults_named_by(namer: FaultNamer) -> None:
    """A later room says what a part and its way of failing are in plain words."""
    NAMERS.append(namer)


def fault(part: str, mode: str, *, is_past: bool = False) -> str:
    """``the main supply has a short``; empty where nobody knows the part."""
    named = (namer(part, mode, is_past) for namer in NAMERS)
    return next(filter(None, named), "")


def sentences(said: Said, language: str | None = None) -> list[str]:
    """Its sentences in their order, in that language, else in the present one."""
    if language is not None:
        with override(language):
            return sentences(said)
    values = _values(said)
    return [text for line in said.lines if (text := _sentence(line, said, values))]


def _sentence(line: str, said: Said, values: Mapping[str, str]) -> str:
    if line in FOUND and line != "found_none":
        named = _fault(line, said)
        return str(FOUND[line]) % {"fault": named} if named else ""
    if line.startswith("parts") and said.values.get("count", 1) != 1:
        return _several_parts(line, said, values)
    if line.startswith("parked_"):
        because = str(said.values.get("because", ""))
        return str(BECAUSE.get(because, STANDS.get(line, ""))) % values
    text = SENTENCES.get(line) or SENTENCES.get(_wider(line), "")
    return str(text) % values


def _wider(line: str) -> str:
    """What stands for a code of a later version, or of no sentence of its own."""
    return "closed_other" if line.startswith("closed_") else ""


def _fault(line: str, said: Said) -> str:
    part, mode = (str(said.values.get(name, "")) for name in ("part", "mode"))
    return fault(part, mode, is_past=line == WAS)


def _several_parts(line: str, said: Said, values: Mapping[str, str]) -> str:
    count = int(said.values["count"])
    text = ngettext(
        "%(device)s waits for %(n)d part", "%(device)s waits for %(n)d parts", count
    )
    text = text % {**values, "n": count}
    if line == "parts_without_day":
        return f"{text}."
    day = _("the first is due on %(part_due)s") % values
    if line == "parts_late":
        day = _("the first was due on %(part_due)s and has not come yet") % values
    return f"{text}; {day}."


def _values(said: Said) -> dict[str, str]:
    """What stands in the sentences, each as it is read."""
    values = defaultdict[str, str](lambda: MISSING)
    values |= {name: str(value) for name, value in said.values.items()}
    currency = values.get("currency", "")
    device = values.get("device", "")
    values["device"] = str(DEVICES.get(device, DEVICES["other"]))
    for name in AMOUNTS:
        if name in said.values:
            amount = Money.from_minor(int(said.values[name]), currency)
            values[name] = f"{amount}\N{NO-BREAK SPACE}{currency}"
    for name in DAYS:
        if name in said.values:
            day = date.fromisoformat(str(said.values[name]))
            values[name] = day_words(day, has_year=name == "covered_until")
    return values


def day_words(day: date, *, has_year: bool = False) -> str:
    """``Tuesday 1 December``."""
    return date_format(day, "l j F Y" if has_year else "l j F")
