"""The report as a person sees it: what stands on paper and on the page."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from pypdf import PdfReader

from tankful.model.answer import Answer, OptionResult
from tankful.model.report_facts import ReportFacts
from tankful.model.whatif import Crossing, Driver, Flip, Flips, Futures, OptionFuture
from tankful.report.branding import Branding
from tankful.report.document import Section, plain
from tankful.report.render import Rendered

EXAMPLES = Path(__file__).parents[2] / "examples"
SAMPLE = EXAMPLES / "01-sample-home.toml"
FRONT_PAGES = 6
MEGABYTE = 1_000_000
ADVISER = Branding(
    name="Adviser of our own",
    contact=("1 Example Street", "adviser@example.org"),
    accent="#6b2d5c",
    foreword="Thank you for asking.\n\nHere is what we found.",
    closing="Call us when the quotes are in.",
)


def doubted(facts: ReportFacts) -> ReportFacts:
    """The facts with made-up flips and futures."""
    answer = facts.answer
    first, second, *rest = answer.options

    def flip(key: str, unit: str, today: float, value: float) -> Flip:
        crossing = Crossing(value, second.id, second.label, None)
        below, above = (crossing, None) if value < today else (None, crossing)
        return Flip(key, f"the {key}", unit, today, 0.0, 100.0, "made up", False, below, above)

    flips = Flips(
        answer.case_name,
        answer.currency,
        first.id,
        first.label,
        answer.tie_margin,
        (
            flip("export price", "AUD/kWh", 0.045, 0.0256),
            flip("hot water a person", "L", 50.0, 58.6),
            flip("price of the heater", "AUD", 3800.0, 4412.0),
            flip("plan", "% of today's", 100.0, 123.4),
        ),
    )
    shares = (0.6, 0.3, 0.1, 0.0, 0.0, 0.0, 0.0)
    options = tuple(
        OptionFuture(o.id, o.label, share, share, 0.0, -2e3, 5e3, 1e4, 100.0)
        for o, share in zip((first, second, *rest[:5]), shares, strict=True)
    )
    drivers = (Driver("gas", "gas price", "", 0.9, 1.4, "made up", 0.5, True),)
    futures = Futures(
        answer.case_name,
        answer.currency,
        15,
        200,
        1,
        30,
        first.id,
        "keep",
        "today's heater",
        300.0,
        options,
        drivers,
    )
    return replace(facts, flips=flips, futures=futures)


def pdf(made: Rendered) -> PdfReader:
    assert made.pdf is not None
    return PdfReader(io.BytesIO(made.pdf))


class Page(HTMLParser):
    """What a person sees of a page by section, and every tag in it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.sections: dict[str, str] = {"": ""}
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str | None]] = []
        self._section = ""
        self._hidden = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += attrs
        if tag == "section":
            self._section = dict(attrs)["id"] or ""
            self.sections[self._section] = ""
        self._hidden += tag in ("svg", "style", "head")

    def handle_endtag(self, tag: str) -> None:
        self._hidden -= tag in ("svg", "style", "head")
        if tag == "section":
            self._section = ""

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.sections[self._section] += data


def page(made: Rendered) -> Page:
    assert made.html is not None
    return Page(made.html)


def bare(text: str) -> str:
    """Text without spaces, breaks and places to break: what is left must agree."""
    return re.sub(r"[\s\u200b\u00ad]+", "", text)


def texts(
    value: Any, *, skip: tuple[str, ...] = ("kind", "id", "style", "alt", "spec", "low_spec")
) -> Any:
    """Every text of a document's part that both renderings show, in order."""
    if isinstance(value, dict):
        for key, item in value.items():
            if key not in skip and key not in ("align", "bold"):
                yield from texts(item)
    elif isinstance(value, list):
        for item in value:
            yield from texts(item)
    elif isinstance(value, str) and value:
        yield value


def shown(section: Section) -> Iterator[str]:
    for block in section.blocks:
        data = plain(block)
        if data["kind"] == "chart":
            data = {"title": data["title"], "caption": data["caption"]}
        yield from texts(data)


def with_answer(facts: ReportFacts, **changes: Any) -> ReportFacts:
    return replace(facts, answer=replace(facts.answer, **changes))


def renamed(answer: Answer, label: str) -> tuple[OptionResult, ...]:
    return tuple(replace(option, label=f"{label} {option.rank}") for option in answer.options)
