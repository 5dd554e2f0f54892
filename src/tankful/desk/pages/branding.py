"""The adviser's name and looks on every report."""

from __future__ import annotations

import base64
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from starlette.responses import Response

from tankful.desk.store.settings import Brand, brand_file, get_brand, put_brand
from tankful.desk.visit import Visit
from tankful.errors import CaseError, Fault, TankfulError
from tankful.reporting import read_branding

MOST_LOGO = 500_000
TYPED = ("name", "contact", "accent", "foreword", "closing")
FIELDS = (*TYPED, "logo")


def show(visit: Visit) -> Response:
    """What stands on every report."""
    with visit.reads() as db:
        brand = get_brand(db)
    return _page(visit, brand)


def change(visit: Visit) -> Response:
    """Take over a branding that the report can read; else what was typed stands there still,
    with each fault at its field. Of a logo that does not fit the one before stays."""
    with visit.reads() as db:
        before = get_brand(db)
    brand = replace(before, **{name: visit.form.get(name, "")[:5000] for name in TYPED})
    if visit.form.get("no_logo"):
        brand = replace(brand, logo="", logo_name="")
    try:
        wanted = _with_logo(visit, brand)
        _read(wanted)
    except TankfulError as error:
        return _page(visit, brand, error.faults, status=error.http_status)
    with visit.db() as db:
        put_brand(db, wanted, visit.who)
    return _page(visit, wanted, kept=True)


def _page(
    visit: Visit,
    brand: Brand,
    faults: Iterable[Fault] = (),
    *,
    kept: bool = False,
    status: int = 200,
) -> Response:
    at = {field: [fault for fault in faults if _field(fault) == field] for field in FIELDS}
    loose = [fault for fault in faults if _field(fault) not in FIELDS]
    return visit.page("settings.html", status, brand=brand, kept=kept, at=at, loose=loose)


def _field(fault: Fault) -> str:
    return fault.field.partition(".")[0]


def _read(brand: Brand) -> None:
    """Read a branding as the report will. FileError with every fault in it."""
    with TemporaryDirectory(prefix="desk-") as folder:
        read_branding(brand_file(brand, Path(folder)))


def _with_logo(visit: Visit, brand: Brand) -> Brand:
    """The branding with the picture that came along."""
    file = visit.files.get("logo")
    if file is None or not file.filename:
        return brand
    content = file.file.read(MOST_LOGO + 1)
    if len(content) > MOST_LOGO:
        fault = Fault("logo", "too large", allowed=f"at most {MOST_LOGO:,} bytes")
        raise CaseError("The logo was not taken.", [fault])
    return replace(brand, logo=base64.b64encode(content).decode(), logo_name=file.filename)
