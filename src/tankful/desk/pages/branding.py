"""The adviser's name and looks on every report."""

from __future__ import annotations

import base64
from collections.abc import Iterable
from pathlib import Path
from tempfile import TemporaryDirectory

from starlette.responses import Response

from tankful.desk.store.settings import (
    PARTS,
    Brand,
    Merged,
    brand_file,
    digests,
    get_brand,
    merged,
    put_brand,
)
from tankful.desk.visit import Visit
from tankful.errors import CaseError, Fault, TankfulError
from tankful.reporting import read_branding

MOST_LOGO = 500_000
MOST_TEXT = 5_000
TYPED = tuple(part for part in PARTS if part != "logo")


def show(visit: Visit) -> Response:
    """What stands on every report."""
    with visit.reads() as db:
        brand = get_brand(db)
    return _page(visit, Merged(brand, brand))


def change(visit: Visit) -> Response:
    """Take over a branding that the report can read. Where another has changed the same part
    meanwhile, or where there are faults, nothing is kept: what was typed stands there still, with
    what the other entered or the fault at its field."""
    form = visit.form
    typed = {name: form.get(name, "").replace("\r\n", "\n")[:MOST_TEXT] for name in TYPED}
    faults: tuple[Fault, ...] = ()
    try:
        typed |= _logo(visit)
    except TankfulError as error:
        faults = error.faults
    seen = {part: form.get(f"saw-{part}", "") for part in PARTS}
    taken = [part for part in PARTS if form.get(f"take-{part}") == "theirs"]
    typed = {name: text for name, text in typed.items() if _part(name) not in taken}
    with visit.db() as db:
        found = merged(db, typed, seen)
        if not faults:
            faults = _faults(found.brand)
        if not faults and not found.conflicts:
            put_brand(db, found.brand, visit.who)
            return _page(visit, Merged(found.brand, found.brand), done=True)
    return _page(visit, found, faults, status=422 if faults else 409)


def _page(
    visit: Visit,
    found: Merged,
    faults: Iterable[Fault] = (),
    *,
    done: bool = False,
    status: int = 200,
) -> Response:
    """The form as typed. What it saw is what is kept now: the other's text stands beside it."""
    at = {part: [fault for fault in faults if _part(fault.field) == part] for part in PARTS}
    loose = [fault for fault in faults if _part(fault.field) not in PARTS]
    fresh = found.brand.logo != found.kept.logo and not at["logo"]
    values = {"found": found, "saw": digests(found.kept), "fresh": fresh}
    return visit.page("settings.html", status, done=done, at=at, loose=loose, **values)


def _part(field: str) -> str:
    """The part of a branding that a field of it or of its file belongs to."""
    return "logo" if field == "logo_name" else field.partition(".")[0]


def _faults(brand: Brand) -> tuple[Fault, ...]:
    """What the report would find wrong with a branding."""
    try:
        with TemporaryDirectory(prefix="desk-") as folder:
            read_branding(brand_file(brand, Path(folder)))
    except TankfulError as error:
        return error.faults
    return ()


def _logo(visit: Visit) -> dict[str, str]:
    """The picture that came along, or came along before and was not kept, or none; empty where
    it stays as it is. CaseError when it is too large or no picture."""
    if visit.form.get("no_logo"):
        return {"logo": "", "logo_name": ""}
    file = visit.files.get("logo")
    if file is not None and file.filename:
        content, name = file.file.read(MOST_LOGO + 1), file.filename
    elif visit.form.get("logo_before"):
        try:
            content = base64.b64decode(visit.form["logo_before"], validate=True)
        except ValueError:
            fault = Fault("logo", "was not understood", mend="choose it again")
            raise CaseError("The logo was not taken.", [fault]) from None
        name = visit.form.get("logo_before_name", "")
    else:
        return {}
    if len(content) > MOST_LOGO:
        fault = Fault("logo", "too large", allowed=f"at most {MOST_LOGO:,} bytes")
        raise CaseError("The logo was not taken.", [fault])
    return {"logo": base64.b64encode(content).decode(), "logo_name": name}
