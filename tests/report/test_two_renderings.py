"""Paper and page say the same, are small, and run nothing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pypdf import PdfReader
from reading import (
    ADVISER,
    FRONT_PAGES,
    MEGABYTE,
    bare,
    doubted,
    page,
    shown,
)

from tankful.model.report_facts import ReportFacts
from tankful.report.document import Document, Paragraph, Point, Section, plain
from tankful.report.render import Rendered, render_report


def test_print_and_page_hold_the_same_text_section_by_section(
    document: Document, made: Rendered, reader: PdfReader
) -> None:
    head, foot = bare(document.running_head + ADVISER.name), bare(document.footer)
    pages = (bare(p.extract_text()).removeprefix(head) for p in reader.pages)
    printed = "".join(text[: text.rindex(foot)] for text in pages)
    seen = page(made).sections
    assert [s.id for s in document.sections] == list(seen)[1:]
    for section in document.sections:
        here = bare(seen[section.id])
        for text in (section.title, *shown(section)):
            assert bare(text) in here, (section.id, text)
            assert bare(text) in printed, (section.id, text)
        words = sum(len(bare(text)) for text in (section.title, *shown(section)))
        marks = 2 * len(section.blocks) + here.count(":") + 10
        assert len(here) <= words + marks, section.id  # and nothing besides


def test_the_sections_come_in_the_same_order(document: Document, reader: PdfReader) -> None:
    printed = bare("".join(p.extract_text() for p in reader.pages))
    places = [printed.rindex(bare(s.title)) for s in document.sections[-4:]]
    assert places == sorted(places)


def test_the_pdf_has_title_language_tags_and_bookmarks(
    document: Document, reader: PdfReader
) -> None:
    root = reader.trailer["/Root"]
    assert reader.metadata is not None
    assert reader.metadata.title == document.title
    assert reader.metadata.author == ADVISER.name
    assert str(root["/Lang"]).startswith("en")
    assert root["/MarkInfo"]["/Marked"]
    flat = [item.title for item in flattened(reader.outline)]
    assert [s.title for s in document.sections if s.title not in flat] == []


def flattened(outline: Any) -> Iterator[Any]:
    for item in outline:
        yield from flattened(item) if isinstance(item, list) else [item]


def test_the_front_takes_six_pages_at_most(reader: PdfReader) -> None:
    heads = [i for i, p in enumerate(reader.pages) if "The details" in p.extract_text()]
    assert heads[0] <= FRONT_PAGES + 1  # with what the adviser says


def test_both_files_are_small(made: Rendered) -> None:
    assert made.pdf is not None
    assert made.html is not None
    assert len(made.pdf) < MEGABYTE
    assert len(made.html.encode()) < 3 * MEGABYTE


def test_the_page_needs_and_runs_nothing(made: Rendered) -> None:
    seen = page(made)
    assert not seen.tags & {"script", "link", "iframe", "object", "embed", "form", "foreignobject"}
    for name, value in seen.attributes:
        assert not name.startswith("on"), name
        if name in ("src", "href", "xlink:href"):
            assert (value or "").startswith(("#", "data:")), value
    assert made.html is not None
    assert "@import" not in made.html
    assert "default-src 'none'" in made.html


def test_pictures_have_words_for_those_who_do_not_see_them(
    document: Document, made: Rendered
) -> None:
    labels = [value for name, value in page(made).attributes if name == "aria-label"]
    assert len(document.charts) >= 6
    for chart in document.charts:
        assert len(chart.alt) > 40
        assert chart.alt in labels


def test_the_same_answer_gives_the_same_files(facts: ReportFacts, made: Rendered) -> None:
    again = render_report(doubted(facts), ADVISER)
    assert again.html == made.html
    assert again.pdf == made.pdf


def test_sections_hold_only_known_blocks(document: Document) -> None:
    assert isinstance(document.sections[0], Section)
    assert plain(Paragraph("a"))["kind"] == "paragraph"
    assert plain(Point("a")) == {"kind": "point", "text": "a", "lead": ""}
