"""Bringing old data in: upload, match the columns, check, bring in, take back."""

import hashlib
from collections.abc import Callable

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.intake.forms_shown import typed
from shop.opening.import_forms import COLUMN_LABELS, ReadForm, UploadForm
from shop.opening.imports import bringing, checking, columns, reading
from shop.opening.imports.reading import MOST_BYTES, MOST_ROWS, NotATable
from shop.opening.models import ImportRow, ImportRun
from shop.people.access import OWNER, AtWork, roles
from shop.records.cells import table
from shop.records.errors import Refused
from shop.records.idempotency import once

State = ImportRow.State
SHOWN = 50
SAMPLE = 5
NOT_TABLES: dict[str, str | Promise] = {
    "empty": gettext_lazy("The file is empty."),
    "too_large": gettext_lazy("The file is larger than 20 MB: split it."),
    "workbook": gettext_lazy(
        "This is a workbook, whatever its name says. Open it in your spreadsheet and "
        "save it as CSV."
    ),
    "not_text": gettext_lazy("This is no file of text. Save your data as CSV."),
    "encoding": gettext_lazy("In this encoding the file makes no sense: try another."),
    "too_wide": gettext_lazy("Line %(line)s has more than 200 columns."),
    "cell_too_long": gettext_lazy(
        "Line %(line)s can’t be read: a cell is far too long, perhaps a quotation mark "
        "is missing."
    ),
    "too_many": gettext_lazy("More than %(most)s rows: split the file."),
    "header_only": gettext_lazy("There is no row under the first line."),
}


def why(error: NotATable) -> str:
    return str(NOT_TABLES[error.code]) % error.values


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def imports(request: AtWork) -> HttpResponse:
    """The files so far, and a new one."""
    form = UploadForm(typed(request), request.FILES or None)
    if form.is_bound and form.is_valid():
        try:
            run = _uploaded(request, form)
            return redirect("opening:import_run", run_id=run.pk)
        except NotATable as error:
            form.add_error("file", why(error))
    context = {
        "form": form,
        "runs": request.shop.imports.defer("body").select_related("by")[:SHOWN],
        "most_rows": MOST_ROWS,
    }
    status = 422 if form.is_bound else 200
    return render(request, "opening/imports.html", context, status=status)


def _uploaded(request: AtWork, form: UploadForm) -> ImportRun:
    file: UploadedFile[bytes] = form.cleaned_data["file"]
    if (file.size or 0) > MOST_BYTES:
        raise NotATable("too_large")
    body = file.read()
    reading.refuse_others(body)
    encoding = reading.encoding_of(body)
    text = reading.text_of(body, encoding)
    separator = reading.separator_of(text)
    rows = reading.counted(text, separator)
    header = next(reading.records(text, separator)).cells
    what = form.cleaned_data["what"]
    return bringing.import_upload(
        shop=request.shop,
        by=request.user,
        body=body,
        digest=hashlib.sha256(body).hexdigest(),
        what=what,
        file_name=(file.name or "")[-200:].replace("\0", ""),
        encoding=encoding,
        separator=separator,
        rows=rows,
        columns=columns.guessed(header, what),
    )


@roles(OWNER)
@require_GET
def import_run(request: AtWork, run_id: int) -> HttpResponse:
    return _page(request, _run_of(request, run_id))


@roles(OWNER)
@require_POST
@once
def import_read(request: AtWork, run_id: int) -> HttpResponse:
    """How the file is read: encoding, separator, which column is what."""
    run = _run_of(request, run_id)
    try:
        form = ReadForm(request.POST, run=run, header=_header_of(run))
        if not form.is_valid():
            return _page(request, run, form=form)
        wanted = form.reading()
        text = reading.text_of(bytes(run.body), wanted["encoding"])
        wanted["rows"] = reading.counted(text, wanted["separator"])
        header = next(reading.records(text, wanted["separator"])).cells
        if form.is_read_otherwise():
            wanted["columns"] = columns.guessed(header, run.what)
        anew = bringing.import_read_anew(run=run, **wanted)
    except NotATable as error:
        return _page(request, run, refused=why(error))
    except Refused as refused:
        return _page(request, run, refused=str(refused))
    if form.is_read_otherwise():
        return redirect("opening:import_run", run_id=run.pk)
    return _check(request, anew)


@roles(OWNER)
@require_POST
@once
def import_check(request: AtWork, run_id: int) -> HttpResponse:
    """Check the next rows; the page asks again until all are checked."""
    return _check(request, _run_of(request, run_id))


def _check(request: AtWork, run: ImportRun) -> HttpResponse:
    if lacking := columns.missing(run.columns, run.what):
        named = ", ".join(str(COLUMN_LABELS[name]) for name in lacking)
        said = _("Say which column is: %(names)s.") % {"names": named}
        return _page(request, run, refused=said)
    try:
        checking.check_some(run)
    except NotATable as error:
        return _page(request, run, refused=why(error))
    return redirect("opening:import_run", run_id=run.pk)


@roles(OWNER)
@require_POST
@once
def import_do(request: AtWork, run_id: int) -> HttpResponse:
    return _act(request, run_id, bringing.import_do)


@roles(OWNER)
@require_POST
@once
def import_undo(request: AtWork, run_id: int) -> HttpResponse:
    return _act(request, run_id, bringing.import_undo)


def _act(request: AtWork, run_id: int, act: Callable[..., ImportRun]) -> HttpResponse:
    run = _run_of(request, run_id)
    try:
        act(run=run, by=request.user)
    except Refused as refused:
        return _page(request, run, refused=str(refused))
    return redirect("opening:import_run", run_id=run.pk)


@roles(OWNER)
@require_GET
def import_left_out(request: AtWork, run_id: int) -> HttpResponse:
    """Every row that was not brought in, and why, as a file that does no harm."""
    run = _run_of(request, run_id)
    rows = run.lines.filter(state__in=(State.BAD, State.TWIN, State.KEPT))
    head = [(_("line"), _("column"), _("what is wrong"))]
    told = ((row.line, _label(row.column), _said(row)) for row in rows.iterator())
    response = HttpResponse(
        "\ufeff" + table([*head, *told]), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = f'attachment; filename="left-out-{run.pk}.csv"'
    return response


def _run_of(request: AtWork, run_id: int) -> ImportRun:
    return get_object_or_404(ImportRun, shop=request.shop, pk=run_id)


def _header_of(run: ImportRun) -> list[str]:
    return checking.sample(run, 0)[0].cells


def _page(
    request: AtWork,
    run: ImportRun,
    *,
    form: ReadForm | None = None,
    refused: str = "",
) -> HttpResponse:
    count = {
        state: run.lines.filter(state=state).count()
        for state in (State.GOOD, State.BAD, State.TWIN, State.MADE, State.UNDONE)
    } | {"kept": run.lines.filter(state=State.KEPT).count()}
    left_out = run.lines.filter(state__in=(State.BAD, State.TWIN, State.KEPT))
    context = {
        "run": run,
        "refused": refused,
        "count": {str(state): n for state, n in count.items()},
        "left_out": [
            (row.line, _label(row.column), _said(row)) for row in left_out[:SHOWN]
        ],
        "shown": SHOWN,
        "is_ticket": run.what == columns.TICKETS,
        "is_stock": run.what == columns.STOCK,
        "has_more": run.is_checked and sum(count.values()) > SHOWN,
    }
    if run.done_at is None:
        context |= _reading(run, form)
    status = 422 if refused or (form is not None and form.errors) else 200
    return render(request, "opening/import_run.html", context, status=status)


def _reading(run: ImportRun, form: ReadForm | None) -> dict[str, object]:
    """How the file is read now, with its first rows."""
    head, *rows = checking.sample(run, SAMPLE)
    return {
        "form": form or ReadForm(run=run, header=head.cells),
        "head": head.cells,
        "rows": [row.cells for row in rows],
        "is_begun": 0 < run.checked_rows < run.rows,
    }


def _label(name: str) -> str:
    return str(COLUMN_LABELS.get(name, name))


def _said(row: ImportRow) -> str:
    if row.state == State.TWIN and row.problem.startswith("#"):
        return _("The same as line %(line)s.") % {"line": row.problem[1:]}
    if row.state == State.TWIN:
        return _("Is here already: %(what)s.") % {"what": row.problem}
    if row.state == State.KEPT:
        return _("Kept: something was built on it since.")
    return row.problem
