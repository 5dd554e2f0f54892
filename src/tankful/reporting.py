"""The household's report and the picture of a table: facts gathered, files written."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from tankful.advice.cautions import TAP_LIMIT_C, TAP_LIMIT_VULNERABLE_C
from tankful.advice.compare import Progress
from tankful.advice.option import KEEP
from tankful.advice.panel_words import panel_sentences
from tankful.advice.price_turn import price_turn
from tankful.advice.size_words import size_sentence, week_sentence
from tankful.advice.why import behind_text, option_sentences
from tankful.casefile.bill_words import bill_sentences
from tankful.casefile.given import list_given, plain_words, value_words
from tankful.errors import Fault, OutputError
from tankful.model.answer import Answer
from tankful.model.case import Case
from tankful.model.report_facts import Aside, ReportFacts
from tankful.model.table import HomesTable
from tankful.model.whatif import DecisionMap, Flips, Futures
from tankful.report.branding import Branding, load_branding
from tankful.service import Study
from tankful.service.homes import silent
from tankful.service.scene import Scene, scene_of
from tankful.service.what_if import landscape
from tankful.simulate.picture import day_pictures, top_up_share, year_picture
from tankful.simulate.run import simulate

OTHERS_TOLD = 3
"""So many options behind the best are told about."""

DRAWS = 100
"""Futures that a report tries: a share of one half is then good to a tenth (two standard
errors of independent draws)."""

SEED = 1


def report_facts(found: Study) -> ReportFacts:
    """What the report is made from, without what would change the answer (``with_doubt``)."""
    return facts_of(scene_of(found), found.loaded.case)


def facts_of(scene: Scene, case: Case) -> ReportFacts:
    """The same of an answered home; ``case`` as it was given."""
    answer, home, year = scene.answer, scene.home, scene.year
    flows = simulate(answer.best.heater, year)
    vulnerable = home.case.people.vulnerable
    return ReportFacts(
        answer=answer,
        why=option_sentences(answer.best, answer.horizon_years, answer.currency),
        why_not=tuple(
            (option.label, behind_text(option, answer.currency) + ".")
            for option in answer.options
            if option.rank > 1
        )[:OTHERS_TOLD],
        tap_limit_c=TAP_LIMIT_VULNERABLE_C if vulnerable else TAP_LIMIT_C,
        given=list_given(case),
        about=plain_words(tuple(item.path for item in answer.assumptions)),
        said={
            item.path: value_words(item.path, item.value)
            for item in answer.assumptions
            if isinstance(item.value, str)
        },
        days=day_pictures(flows, home, year),
        year=year_picture(flows, year),
        top_up_share=top_up_share(answer.best.heater, flows, year),
        price_turn=price_turn(home, scene.fitting, answer.options),
        asides=tuple(_asides(answer)),
    )


def _asides(answer: Answer) -> Iterator[Aside]:
    """Studies beside the ranking, in sentences."""
    sizing = answer.best.sizing
    if sizing is not None:
        size = size_sentence(answer.best, answer.currency)
        yield Aside("sizing", (week_sentence(sizing.week), size[:1].upper() + size[1:]))
    if answer.calibration is not None:
        yield Aside("calibration", bill_sentences(answer.calibration))
    if answer.panels is not None:
        yield Aside("panels", panel_sentences(answer.panels))


def with_doubt(facts: ReportFacts, found: Study, progress: Progress = silent) -> ReportFacts:
    """The facts with what would change the answer and with many futures; takes a while."""
    flips, futures = _doubt(found, progress)
    return replace(facts, flips=flips, futures=futures)


def _doubt(found: Study, progress: Progress) -> tuple[Flips, Futures]:
    from tankful.advice.flips import find_flips
    from tankful.advice.futures import find_futures

    land = landscape(found.comparison, found.fitting, progress)
    flips = find_flips(land, progress)
    return flips, find_futures(land, draws=DRAWS, seed=SEED, progress=progress)


def read_branding(path: Path | None) -> Branding:
    """The adviser's name, logo and words. FileError with every fault; none without a file."""
    return load_branding(path) if path is not None else Branding()


def write_report(
    found: Study,
    *,
    pdf: Path | None = None,
    html: Path | None = None,
    branding: Branding | None = None,
    quick: bool = False,
    short: bool = False,
    progress: Progress = silent,
) -> None:
    """Write the report, each file whole or not at all. OutputError when that fails.

    ``quick`` leaves out what takes long: what would change the answer, and futures. ``short``
    does too, and leaves out the pictures of the year and the details.
    """
    from tankful.report.render import write_report as write

    facts = report_facts(found)
    if not (quick or short):
        facts = with_doubt(facts, found, progress)
    write(facts, branding or Branding(), pdf=pdf, html=html, short=short)


def check_picture(path: Path) -> None:
    """OutputError when a file's name says no kind of picture that can be drawn."""
    from tankful.report.render import picture_kind

    picture_kind(path)


def draw_map(found: DecisionMap, path: Path) -> None:
    """Draw a decision map to a file. OutputError when that fails."""
    from tankful.report.charts_map import map_chart
    from tankful.report.render import write_picture

    write_picture(path, map_chart(found))


MOST_IN_PICTURE = 60
"""Homes that a picture still shows readably."""


def check_homes_picture(path: Path, homes: int) -> None:
    """OutputError, before the long work, when a picture of so many homes cannot be drawn."""
    check_picture(path)
    if homes > MOST_IN_PICTURE:
        allowed = f"at most {MOST_IN_PICTURE} homes"
        mend = "leave --picture out, or vary fewer things"
        fault = Fault("--picture", "too many homes to read", str(homes), allowed, mend)
        raise OutputError("The picture cannot be drawn.", [fault])


def _told(head: str, label: str) -> str:
    """How a home differs; a bare number says of what."""
    return f"{head.lower()} {label}" if label[:1].isdigit() and " " not in label else label


def write_homes_picture(table: HomesTable, path: Path) -> None:
    """Draw the costs of today's heater and of the best option in each home of a table.

    OutputError when the file cannot be written.
    """
    from tankful.report.charts_homes import homes_chart
    from tankful.report.look import DEFAULT_ACCENT
    from tankful.report.render import write_picture

    homes = [
        (
            ", ".join(map(_told, table.heads, home.labels)) or table.name,
            home.best.cost,
            next((option.cost for option in home.options if option.id == KEEP), None),
            f"{home.best.label}{' (tied)' if home.best.tied else ''}",
        )
        for home in table.homes
    ]
    span = f"Cost over {table.horizon_years} years" if table.horizon_years else "Cost"
    spec = homes_chart(
        homes,
        currency=table.currency,
        accent=DEFAULT_ACCENT,
        title=table.name,
        axis_title=f"{span}, in today's money",
    )
    write_picture(path, spec)
