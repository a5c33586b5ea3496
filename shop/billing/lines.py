"""Between a document's rows and the pure lines that are reckoned with."""

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from shop.billing.models import InvoiceLine, QuoteDraftLine, QuoteLine
from shop.billing.totals import Line
from shop.records.errors import Refused


def line_of(row: QuoteLine | QuoteDraftLine | InvoiceLine) -> Line:
    return Line(
        code=row.code,
        text=row.text,
        quantity=row.quantity,
        unit=row.unit,
        unit_price=row.unit_price,
        tax_category=row.tax_category,
        tax_percent=row.tax_percent,
        net=row.net,
    )


def columns_of(line: Line, position: int) -> dict[str, Any]:
    """A line as columns; refuses what is finer than the columns are."""
    return {
        "position": position,
        "code": line.code,
        "text": line.text,
        "quantity_thousandths": _scaled(line.quantity, 3),
        "unit": line.unit,
        "unit_price_ten_thousandths": _scaled(line.unit_price, 4),
        "tax_category": line.tax_category,
        "tax_basis_points": _scaled(line.tax_percent, 2),
        "currency": line.net.currency,
        "net_minor": line.net.minor,
    }


def _scaled(value: Decimal, digits: int) -> int:
    scaled = value.scaleb(digits)
    if scaled != scaled.to_integral_value():
        raise Refused(
            _("%(value)s has more than %(digits)s decimals.")
            % {"value": value, "digits": digits},
            field="lines",
        )
    return int(scaled)
