"""Template tags of the records: the key that makes a form safe to send twice."""

import uuid

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from shop.records.idempotency import FIELD

register = template.Library()


@register.simple_tag(takes_context=True)
def idempotency_key(context: template.Context) -> SafeString:
    """The hidden key of a form; a form shown again after an error keeps its own."""
    request = context.get("request")
    typed = request.POST.get(FIELD, "") if request is not None else ""
    return format_html(
        '<input type="hidden" name="{}" value="{}">', FIELD, typed or uuid.uuid4()
    )
