"""The desk's application: addresses and what answers them."""

from __future__ import annotations

from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from tankful.desk.doors.guard import guard
from tankful.desk.pages import (
    answers,
    branding,
    cases,
    clients,
    compare,
    entry,
    files,
    jottings,
    pictures,
    removal,
    reports,
    whole,
)
from tankful.desk.visit import Desk, Handler, missing, refuse, serve
from tankful.report.look import fonts_folder

STATIC = Path(__file__).parent / "static"

PAGES: tuple[tuple[str, str, Handler], ...] = (
    ("GET", "/", clients.show_list),
    ("POST", "/clients", clients.add),
    ("POST", "/clients/import", clients.take_in_anew),
    ("GET", "/clients/{id}", clients.show),
    ("POST", "/clients/{id}/rename", clients.rename),
    ("POST", "/clients/{id}/archive", clients.archive),
    ("POST", "/clients/{id}/jot", jottings.save),
    ("GET", "/clients/{id}/jotting", jottings.show),
    ("GET", "/clients/{id}/news", jottings.news),
    ("GET", "/clients/{id}/delete", removal.show),
    ("POST", "/clients/{id}/delete", removal.delete),
    ("POST", "/clients/{id}/cases", clients.add_case),
    ("POST", "/clients/{id}/import", clients.take_in),
    ("GET", "/clients/{id}/compare", compare.show),
    ("GET", "/clients/{id}/compare/part", compare.show_part),
    ("GET", "/cases/{id}", cases.show),
    ("POST", "/cases/{id}/save", cases.save),
    ("POST", "/cases/{id}/undo", cases.undo),
    ("POST", "/cases/{id}/redo", cases.redo),
    ("GET", "/cases/{id}/row", cases.open_row),
    ("POST", "/cases/{id}/remove", cases.remove_row),
    ("GET", "/cases/{id}/field", cases.show_field),
    ("POST", "/cases/{id}/state", whole.set_state),
    ("POST", "/cases/{id}/title", whole.set_title),
    ("POST", "/cases/{id}/archive", whole.archive),
    ("GET", "/cases/{id}/answer", answers.show),
    ("POST", "/cases/{id}/upload", files.upload),
    ("POST", "/cases/{id}/drop", files.drop),
    ("POST", "/cases/{id}/use", files.use),
    ("GET", "/cases/{id}/preview", files.show),
    ("GET", "/cases/{id}/files/{name}", files.fetch),
    ("GET", "/cases/{id}/pictures", pictures.show),
    ("GET", "/cases/{id}/pictures/{kind}", pictures.show_part),
    ("GET", "/cases/{id}/news", cases.news),
    ("GET", "/cases/{id}/history", cases.history),
    ("GET", "/cases/{id}/file", cases.download),
    ("GET", "/cases/{id}/report", reports.show),
    ("GET", "/cases/{id}/report/part", reports.show_part),
    ("GET", "/cases/{id}/report/{kind}", reports.file),
    ("GET", "/settings", branding.show),
    ("POST", "/settings", branding.change),
    ("POST", "/leave", entry.leave),
)
"""Pages for people with a session. ``POST`` also asks for the role and the session's token."""

DOORS: tuple[tuple[str, str, Handler], ...] = (
    ("GET", "/enter", entry.enter),
    ("GET", "/login", entry.show_login),
    ("POST", "/login", entry.login),
)
"""Pages for anybody."""


def build_app(desk: Desk) -> ASGIApp:
    """The whole application behind its guard."""
    routes: list[Route | Mount] = [
        Route(path, serve(desk, handler), methods=[method]) for method, path, handler in PAGES
    ]
    routes += [
        Route(path, serve(desk, handler, anybody=True), methods=[method])
        for method, path, handler in DOORS
    ]
    routes.append(Route("/favicon.ico", _favicon))
    routes.append(Mount("/static/fonts", StaticFiles(directory=fonts_folder())))
    routes.append(Mount("/static", StaticFiles(directory=STATIC)))
    routes.append(Route("/{rest:path}", serve(desk, missing), methods=["GET", "POST"]))
    app = Starlette(routes=routes, exception_handlers={HTTPException: refuse(desk)})
    app.router.redirect_slashes = False
    return guard(app, desk.settings)


async def _favicon(_request: Request) -> Response:
    return RedirectResponse("/static/sun.svg", status_code=308)
