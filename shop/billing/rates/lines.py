"""Fixed prices, the minimum charge and the express surcharge, as lines."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from shop.billing.labour import OF_A_FIXED_JOB
from shop.billing.lines import line_of
from shop.billing.models import LabourKind, Quote
from shop.billing.rates.flat import express_on, up_to_minimum
from shop.billing.totals import Line
from shop.billing.work import (
    EXPRESS,
    FIXED,
    FIXED_JOB,
    HANDS_ON,
    LABOUR,
    MINIMUM,
    Prices,
)
from shop.intake.models import Ticket
from shop.money import Money, total
from shop.people.models import FixedJob


def lines_of(accepted: Quote | None) -> list[Line]:
    """What was said yes to; nothing is a list without lines."""
    return [line_of(row) for row in accepted.lines.all()] if accepted else []


def fixed_lines(quoted: Sequence[Line], prices: Prices) -> list[Line]:
    """Lines of the accepted quote that are billed as quoted, its fixed jobs too."""
    lines = [one for one in quoted if one.code == FIXED or is_fixed_job(one)]
    if not prices.free:
        return lines
    return [
        prices.line(one.code, one.text, one.unit_price, quantity=int(one.quantity))
        for one in lines
    ]


def is_fixed_job(line: Line) -> bool:
    return line.code.startswith(f"{FIXED_JOB}.")


def fixed_minutes(quoted: Sequence[Line]) -> int | None:
    """The hands-on minutes that fixed prices pay: all, unless labour is quoted beside.

    With labour beside them, those that the catalogue reckons with for these jobs.
    """
    jobs = [line for line in quoted if is_fixed_job(line)]
    by_time = {f"{LABOUR}.{kind}" for kind in OF_A_FIXED_JOB}
    if not jobs or not by_time & {line.code for line in quoted}:
        return None if jobs else 0
    counts = {int(one.code.rpartition(".")[2]): int(one.quantity) for one in jobs}
    known = FixedJob.objects.in_bulk(list(counts))
    return sum(known[pk].minutes * n for pk, n in counts.items() if pk in known)


def fixed_job_line(job: FixedJob, prices: Prices, quantity: int = 1) -> Line:
    price = Money.from_minor(job.price_minor, prices.currency).amount
    return prices.line(f"{FIXED_JOB}.{job.pk}", job.name, price, quantity=quantity)


def minimum_lines(labour: Sequence[Line], prices: Prices) -> list[Line]:
    """Hands-on labour below the shop's minimum is brought up to it, in a line."""
    hands_on = {f"{LABOUR}.{kind}" for kind in HANDS_ON}
    if not any(line.code in hands_on for line in labour):
        return []
    lacking = up_to_minimum(_labour_net(labour, prices), prices.charges.minimum)
    if not lacking:
        return []
    with prices.speaking():
        text = _("Up to our minimum charge for a repair")
    return [prices.line(MINIMUM, text, lacking.amount)]


def express_lines(labour: Sequence[Line], percent: int, prices: Prices) -> list[Line]:
    """The surcharge on labour, where express was agreed."""
    more = express_on(_labour_net(labour, prices), percent)
    if not more:
        return []
    with prices.speaking():
        text = _("Express, %(percent)s %% on the labour") % {"percent": percent}
    return [prices.line(EXPRESS, text, more.amount)]


def _labour_net(lines: Sequence[Line], prices: Prices) -> Money:
    """Of labour, fixed jobs and what brought them up to the minimum; no diagnosis."""
    diagnosis = f"{LABOUR}.{LabourKind.DIAGNOSIS}"
    return total(
        [
            line.net
            for line in lines
            if line.code.startswith((f"{LABOUR}.", f"{FIXED_JOB}.", MINIMUM))
            and line.code != diagnosis
        ],
        prices.currency,
    )


def express_percent(ticket: Ticket, quoted: Sequence[Line], prices: Prices) -> int:
    """What was agreed at intake, or with a quote that has it in a line."""
    if ticket.express_percent:
        return ticket.express_percent
    is_quoted = any(line.code == EXPRESS for line in quoted)
    return prices.charges.express_percent if is_quoted else 0
