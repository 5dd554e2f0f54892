"""Meter and weather files of a case: brought along, looked into, taken away."""

from __future__ import annotations

import sqlalchemy as sa
from starlette.responses import Response

from tankful.casefile.preview import Preview, preview
from tankful.casefile.typed import Typed
from tankful.desk.check import at_fields
from tankful.desk.form import Source, by_slot, item_at
from tankful.desk.layout import FILE_FIELDS
from tankful.desk.leftovers import files_root
from tankful.desk.pages.cases import look_again, window_of
from tankful.desk.store import saves, works
from tankful.desk.store.record import last, note
from tankful.desk.store.uploads import (
    MOST_BYTES,
    drop_upload,
    get_upload,
    lay_out,
    list_uploads,
    name_beside,
    plain_name,
    put_upload,
)
from tankful.desk.visit import Visit
from tankful.errors import CaseError, Fault, TankfulError

Understood = Preview | TankfulError


def upload(visit: Visit) -> Response:
    """Keep a file, say what it holds, and name it in the case where no file is named yet."""
    file = visit.files.get("file")
    if file is None or not file.filename:
        raise CaseError("No file was chosen.", [Fault("file", "missing", mend="choose a file")])
    content = file.file.read(MOST_BYTES + 1)
    with visit.db() as db:
        works.get_work(db, visit.id(), lock=True)
        name = name_beside(db, visit.id(), file.filename, content, _saw(visit))
        said = _beside(visit, db, plain_name(file.filename), name)
        name = put_upload(db, visit.id(), name, content, visit.who)
    held = _understood(visit, name)
    with visit.db() as db:
        work = works.get_work(db, visit.id(), lock=True)
        if isinstance(held, Preview) and not held.unfit and not work.typed.get(held.field):
            named = {held.field: name}
            saves.save(db, work.id, named, work.number, visit.who, window_of(visit))
        return _files(visit, db, {name: held}, said)


def _saw(visit: Visit) -> dict[str, str]:
    """Digests of the files that a page shows, by name."""
    begins = "saw-"
    named = {name: text for name, text in visit.form.items() if name.startswith(begins)}
    return {name.removeprefix(begins): text for name, text in named.items()}


def _beside(visit: Visit, db: sa.Connection, wanted: str, name: str) -> str:
    """Says that a file lies beside another's, and whose that is; empty when it does not."""
    if wanted == name:
        return ""
    other = _other(visit, db, wanted)
    return f"{other} has brought another “{wanted}” meanwhile: yours is kept as “{name}”."


def _other(visit: Visit, db: sa.Connection, name: str) -> str:
    who, _ = last(db, visit.id(), f"uploaded {name}")
    return "Another window" if who == visit.who else who or "Somebody"


def show(visit: Visit) -> Response:
    """What a file holds."""
    name = visit.asked("name")
    with visit.reads() as db:
        get_upload(db, visit.id(), name)
    held = _understood(visit, name)
    with visit.reads() as db:
        return _files(visit, db, {name: held})


def fetch(visit: Visit) -> Response:
    """A file as it was brought along."""
    name = visit.id("name")
    with visit.reads() as db:
        content = get_upload(db, visit.id(), name)
    headers = {"content-disposition": f'attachment; filename="{plain_name(name)}"'}
    return Response(content, media_type="application/octet-stream", headers=headers)


def drop(visit: Visit) -> Response:
    """Take a file away; a field that names it is then at fault."""
    name = visit.form.get("name", "")
    with visit.db() as db:
        works.get_work(db, visit.id(), lock=True)
        get_upload(db, visit.id(), name)
        if list_uploads(db, visit.id())[name] != _saw(visit).get(name):
            said = f"{_other(visit, db, name)} has replaced “{name}” meanwhile: it is not removed."
            return _files(visit, db, {}, said, status=409)
        drop_upload(db, visit.id(), name)
        note(db, visit.who, f"removed {name}", visit.id())
        return _files(visit, db, {})


def use(visit: Visit) -> Response:
    """Have the case use a file in the place of the one that the page shows as used."""
    name = visit.form.get("name", "")
    with visit.reads() as db:
        get_upload(db, visit.id(), name)
    held = _understood(visit, name)
    with visit.db() as db:
        work = works.get_work(db, visit.id(), lock=True)
        if isinstance(held, TankfulError) or held.unfit:
            return _files(visit, db, {name: held}, f"“{name}” cannot be used.", status=409)
        if work.typed.get(held.field, "") != visit.form.get("instead_of", ""):
            said = "Another file has been chosen meanwhile: nothing was changed."
            return _files(visit, db, {name: held}, said, status=409)
        saves.save(db, work.id, {held.field: name}, work.number, visit.who, window_of(visit))
        return _files(visit, db, {name: held})


def _understood(visit: Visit, name: str) -> Understood:
    """A file as understood, or what is wrong with it. Read outside of any transaction."""
    with visit.reads() as db:
        folder, _ = lay_out(db, visit.id(), files_root())
        typed: Typed = works.get_work(db, visit.id()).typed
    place = {key: typed.get(f"place.{key}", "").strip() for key in ("postcode", "time_zone")}
    try:
        return preview(folder / name, **place)
    except TankfulError as error:
        return at_fields(error)


def _files(
    visit: Visit,
    db: sa.Connection,
    understood: dict[str, Understood],
    said: str = "",
    *,
    status: int = 200,
) -> Response:
    """The list of files, and what else of the page hangs on it."""
    work = works.get_work(db, visit.id())
    seen, files = look_again(visit, db, work)
    slots = by_slot(seen.faults)
    response = visit.page(
        "files_anew.html",
        status,
        work=work,
        files=sorted(files),
        digests=list_uploads(db, work.id),
        files_said=said,
        understood=understood,
        faults=seen.faults,
        loose=slots.get("", ()),
        fields=[item_at(path, Source(work.typed, slots)) for path in FILE_FIELDS],
    )
    if visit.request.method == "POST":
        response.headers["HX-Trigger"] = "case-changed"
    return response
