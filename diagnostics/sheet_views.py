"""A bench sheet that was written by pen is typed in: traffic only."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from diagnostics import queries, sayings, services, sheet_forms
from diagnostics.bridge import check_id_of
from diagnostics.engine.boards import Board
from diagnostics.place import Place, at_board
from diagnostics.sheet_forms import LineFormSet, Rows, SheetForm
from shop.intake.forms_shown import typed
from shop.people.access import TECHNICIAN, AtWork, roles
from shop.records.idempotency import once

UNITS = ("V", "mV", "A", "mA", "ohm", "kohm", "Mohm")


@roles(TECHNICIAN)
@require_http_methods(["GET", "POST"])
@at_board
@once
def sheet(request: AtWork, place: Place) -> HttpResponse:
    """Each line lands by itself; what is refused stays, with what was typed."""
    board = queries.known_of(place.board).board
    today = timezone.localdate(timezone=place.board.shop.zone)
    first = {"read_by": request.user.pk, "day": today}
    head = SheetForm(typed(request), place=place, initial=first)
    rows = LineFormSet(typed(request), prefix="line", initial=sheet_forms.blank())
    kept = 0
    if request.method == "POST" and head.is_valid() and rows.is_valid():
        kept = _type_in(request, place, head, rows, board)
        left = [row for row in rows if row.errors]
        if kept:
            messages.success(request, _kept_words(kept))
        if kept and not left:
            return redirect(place.url())
    context = {
        "place": place,
        "head": head,
        "rows": [row for row in rows if row.errors or not kept],
        "total": rows.total_form_count(),
        "points": points(board),
        "units": UNITS,
    }
    status = 422 if head.is_bound else 200
    return render(request, "diagnostics/sheet.html", context, status=status)


def points(board: Board) -> list[tuple[str, str]]:
    """What may be named on a line, each with what is read there."""
    return [
        (one.id, sayings.row_title(board, board.check(check_id_of(one.id)), one))
        for one in sheet_forms.readable(board)
    ]


def _type_in(
    request: AtWork, place: Place, head: SheetForm, rows: Rows, board: Board
) -> int:
    """How many lines are kept; the others say why not."""
    asked = [row for row in rows if not row.is_empty]
    lines = [row.line(head, place, board) for row in asked]
    refused = services.sheet_type_in(
        board=place.board,
        ticket=place.ticket,
        by=request.user,
        read_by=head.reader,
        lines=[line for line in lines if line is not None],
        meter=head.cleaned_data["meter"],
        lead_ohms=head.cleaned_data["lead_ohms"],
    )
    for row, line in zip(asked, lines, strict=True):
        if line is not None and line.uuid in refused:
            row.add_error(None, refused[line.uuid])
    if not asked:
        head.add_error(None, _("Nothing is written on any line yet."))
    return sum(not row.errors for row in asked)


def _kept_words(count: int) -> str:
    text = ngettext("%(n)d reading is kept.", "%(n)d readings are kept.", count)
    return text % {"n": count}
