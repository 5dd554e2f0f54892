"""The household's report: its facts gathered from a study, and its files written."""

from __future__ import annotations

from pathlib import Path

from tankful.advice.cautions import TAP_LIMIT_C, TAP_LIMIT_VULNERABLE_C
from tankful.advice.why import behind_text, option_sentences
from tankful.casefile.given import field_words, list_given
from tankful.model.report_facts import ReportFacts
from tankful.model.whatif import DecisionMap
from tankful.report.branding import Branding, load_branding
from tankful.service import Study
from tankful.simulate.picture import day_pictures, year_picture
from tankful.simulate.run import simulate

OTHERS_TOLD = 3
"""So many options behind the best are told about."""


def report_facts(found: Study) -> ReportFacts:
    """What the household's report is made from."""
    answer, home, year = found.answer, found.home, found.comparison.year
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
        given=list_given(found.loaded.case),
        about=field_words(tuple(item.path for item in answer.assumptions)),
        days=day_pictures(flows, home, year),
        year=year_picture(flows, year),
    )


def read_branding(path: Path | None) -> Branding:
    """The adviser's name, logo and words. FileError with every fault; none without a file."""
    return load_branding(path) if path is not None else Branding()


def write_report(
    found: Study,
    *,
    pdf: Path | None = None,
    html: Path | None = None,
    branding: Branding | None = None,
) -> None:
    """Write the report, each file whole or not at all. OutputError when that fails."""
    from tankful.report.render import write_report as write

    write(report_facts(found), branding or Branding(), pdf=pdf, html=html)


def check_picture(path: Path) -> None:
    """OutputError when a file's name says no kind of picture that can be drawn."""
    from tankful.report.render import picture_kind

    picture_kind(path)


def draw_map(found: DecisionMap, path: Path) -> None:
    """Draw a decision map to a file. OutputError when that fails."""
    from tankful.report.charts_map import map_chart
    from tankful.report.render import write_picture

    write_picture(path, map_chart(found))
