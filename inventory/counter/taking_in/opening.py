"""The opening shelf: a file is checked, what it would bring is shown, and then it is put on the shelf at once."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils.datastructures import MultiValueDict

from inventory.catalogue.kinds.registry import KINDS
from inventory.common.errors import DomainError
from inventory.counter.commands import carry_out, go
from inventory.counter.forms import CommandSheet, Sheet
from inventory.counter.pages import actor_of, page
from inventory.counter.taking_in import opening_files
from inventory.people.roles import DESK
from inventory.receiving.opening.loading import Loaded, write
from inventory.receiving.opening.reading import Fault
from inventory.receiving.selectors import CheckedOpening, check_opening

MOST_BYTES = 20_000_000
# Written in one transaction, during which nobody else writes: some seconds.
MOST_ROWS = 50_000
MOST_FAULTS = 200
SESSION = "opening"
# (column, needed, what it holds): the columns that every kind has; sizes follow by kind.
COLUMNS = (
    ("part", True, "part number; on many rows, described alike on each"),
    ("kind", True, ", ".join(KINDS)),
    ("name", True, "what people call it"),
    ("lot", True, "lot number, once in the file and new to the shelf"),
    ("drawer", True, "the code on the drawer; a new one is made"),
    ("quantity", True, "whole number, 1 to 1,000,000"),
    ("unit", False, "piece (when empty); ml or g for a fluid"),
    ("condition", False, "new (when empty) or take_off"),
    ("received_on", False, "a date as in 2026-03-31; today when empty"),
    ("source", False, "where it came from"),
    ("cure_date", False, "a quarter as in 2026-Q3, for seals"),
    ("readings_mm", False, "thickness readings, separated by blanks"),
)
EXAMPLE = (
    "part;kind;name;od_mm;thickness_mm;bore_mm;thread;height_mm;lot;drawer;quantity;condition;received_on;readings_mm\r\n"
    "SH-34-015-12;shim;Shim 34 x 0,15, bore 12;34;0,15;12;;;L-1001;B-03;40;new;2026-03-31;0,151 0,149 0,150\r\n"
    "NU-12-125;nut;Nut M12x1.25;;;;M12x1.25;10;L-1002;C-01;8;new;2026-03-31;\r\n"
)


class Upload(Sheet):
    """A file to be checked."""

    file = forms.FileField(
        label="CSV file",
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
        error_messages={"required": "Choose a file.", "invalid": "Choose a file."},
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            size, most = file.size / 1_000_000, MOST_BYTES // 1_000_000
            text = f"It has {size:.1f} MB, and this page takes {most}. Load it with the command load_shelf."
            raise forms.ValidationError(text)
        return file


class PutOnShelf(CommandSheet):
    """The file that was checked, by its digest."""

    file = forms.CharField(widget=forms.HiddenInput)


@page(see=DESK, send=DESK)
def opening(request: HttpRequest) -> HttpResponse:
    """Checks a file, then loads it. Larger files are loaded by the command load_shelf."""
    if request.method == "POST":
        if "other" in request.POST:
            _forget(request)
            return go(request, reverse("opening"))
        return _load(request) if "once" in request.POST else _check(request)
    if "template" in request.GET:
        name = "opening-shelf.csv"
        # With a byte order mark, so that a spreadsheet reads it as UTF-8.
        content = b"\xef\xbb\xbf" + EXAMPLE.encode()
        disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
        return HttpResponse(content, content_type="text/csv; charset=utf-8", headers=disposition)
    brings = request.session.get(SESSION)
    if brings and opening_files.kept(request, brings["digest"]) is None:
        _forget(request)
        brings = None
    put = PutOnShelf(initial={"file": brings["digest"]}) if brings else None
    return _show(request, form=Upload(), brings=brings, put=put)


def _check(request: HttpRequest) -> HttpResponse:
    """Shows every fault of the file, or keeps it and goes on to what it would bring."""
    form = Upload(request.POST, request.FILES)
    if not form.is_valid():
        form.focus()
        return _show(request, form=form, status=422)
    file = form.cleaned_data["file"]
    content = file.read()
    try:
        checked = check_opening(content, most_rows=MOST_ROWS)
    except DomainError as error:
        return _show(request, form=_refused(str(error.data.get("reason", error.text))), status=422)
    if checked.faults:
        return _faulty(request, checked, name=file.name)
    _forget(request)
    request.session[SESSION] = {
        "digest": opening_files.keep(request, content),
        "name": file.name[:120],
        "lots": len(checked.rows),
        "pieces": checked.pieces,
        "parts": checked.parts,
        "drawers": checked.drawers,
    }
    return go(request, reverse("opening"))


def _load(request: HttpRequest) -> HttpResponse:
    """Checks the kept file once more, outside the transaction, and writes it in one short one.

    What is found wrong is raised inside: a form that was sent before goes where it went then, although its file is
    gone and its lots are on the shelf.
    """
    digest = request.POST.get("file", "")
    content = opening_files.kept(request, digest)
    checked = check_opening(content) if content is not None else None
    loaded: list[Loaded] = []

    def work() -> str:
        if checked is None:
            raise DomainError("bad_file", reason="It is not kept any more; choose it again.")
        if checked.faults:
            raise DomainError("conflict", what="Something", which="of this file")
        loaded.append(write(checked.rows, actor_of(request)))
        return reverse("take-in")

    try:
        gone = carry_out(request, work)
    except DomainError as error:
        if error.code == "conflict" and content is not None:
            # What the shelf says against it now, a change between the check and the writing included.
            checked = check_opening(content)
        if checked is not None and checked.faults:
            name = request.session.get(SESSION, {}).get("name", "")
            _forget(request)
            return _faulty(request, checked, name=name)
        brings = request.session.get(SESSION)
        if checked is not None and brings and brings["digest"] == digest:
            # Too busy: the file is still there to be sent again.
            put = PutOnShelf(request.POST)
            put.add_error(None, error.text)
            return _show(request, brings=brings, put=put, status=422)
        return _show(request, form=_refused(str(error.data.get("reason", error.text))), status=422)
    opening_files.forget(request, digest)
    _forget(request)
    for one in loaded[-1:]:
        text = f"{one.lots} lots with {one.pieces} pieces are on the shelf"
        messages.success(request, f"{text} ({one.parts} new parts, {one.drawers} new drawers).")
    return gone


def _forget(request: HttpRequest) -> None:
    """Forgets the file that waits in this session."""
    waiting = request.session.pop(SESSION, None)
    if waiting:
        opening_files.forget(request, waiting["digest"])


def _faulty(request: HttpRequest, checked: CheckedOpening, *, name: str) -> HttpResponse:
    """The first faults, and how many more there are."""
    faults: list[Fault] = checked.faults
    count = len(faults)
    form = _refused(f"{count} fault{'' if count == 1 else 's'}. Mend the file and choose it again.")
    shown = {"faults": faults[:MOST_FAULTS], "more_faults": max(0, count - MOST_FAULTS), "name": name, "count": count}
    return _show(request, form=form, status=422, **shown)


def _refused(text: str) -> Upload:
    """The form for a file, with what was wrong with the last one; a browser never fills a file in again."""
    form = Upload(QueryDict(), MultiValueDict())
    form.errors.clear()
    form.add_error("file", text)
    form.focus()
    return form


def _show(request: HttpRequest, *, status: int = 200, **shown: Any) -> HttpResponse:
    known = {
        "columns": COLUMNS,
        "kinds": [
            (kind.title, kind.code, [(size.name, size.required) for size in kind.sizes]) for kind in KINDS.values()
        ],
        "example": EXAMPLE.replace("\r\n", "\n"),
        "most_mb": MOST_BYTES // 1_000_000,
        "most_rows": MOST_ROWS,
    }
    return render(request, "counter/opening.html", {**known, **shown}, status=status)
