"""What an account was sent, on the account's page."""

from typing import Any

from django import template

from shop.intake.models import Customer
from shop.messaging import panels

register = template.Library()


@register.inclusion_tag("messaging/_account.html", takes_context=True)
def account_messages(context: template.Context, customer: Customer) -> dict[str, Any]:
    return {
        "customer": customer,
        "messages": panels.of_account(customer),
        "request": context["request"],
        "csrf_token": context.get("csrf_token"),
    }
