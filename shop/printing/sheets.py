"""Test sheets: the paper's own size on it, with a ruler along two edges."""

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop import pdf
from shop.people.models import Shop
from shop.printing import makers
from shop.printing.makers import Made
from shop.printing.models import Paper

WHAT = {paper.value: f"test_{paper.value}" for paper in Paper}
ROLLS_MM = {Paper.TAG: 62, Paper.RECEIPT: 80}


def test_sheet(shop_id: int, paper: Paper) -> Made:
    """A sheet to hold a ruler to: is it printed at its exact size?"""
    shop = Shop.objects.get(pk=shop_id)
    now = timezone.localtime(timezone=shop.zone)
    context = {"shop": shop, "stamp": now, "paper_size": shop.paper_size}
    width_mm = ROLLS_MM.get(paper)
    if width_mm is None:
        html = render_to_string("papers/test_sheet.html", context)
        return Made(pdf.render(html, stamp=now), shop.paper_size)
    context["width_mm"] = width_mm
    html = render_to_string("papers/test_strip.html", context)
    roll = pdf.render_strips([html], width_mm=width_mm, stamp=now)
    return Made(roll.body, roll.media)


def offer() -> None:
    for paper in Paper:
        makers.made_by(WHAT[paper], _("Test sheet"), paper, _maker(paper))


def _maker(paper: Paper) -> makers.Make:
    return lambda shop_id, _part: test_sheet(shop_id, paper)
