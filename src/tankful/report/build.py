"""The whole document from the facts: each section stands only where there is something to say."""

from __future__ import annotations

from dataclasses import replace
from textwrap import shorten

from tankful.model.report_facts import ReportFacts
from tankful.report.branding import Branding
from tankful.report.document import Block, Document, Paragraph, Section
from tankful.report.look import DEFAULT_ACCENT
from tankful.report.say import one_line
from tankful.report.sections_annex import annex_sections, short_assumed_section
from tankful.report.sections_answer import answer_section
from tankful.report.sections_choices import choices_section, money_section, reasons_section
from tankful.report.sections_doing import ask_section, care_section, settings_section
from tankful.report.sections_doubt import flips_section, futures_section
from tankful.report.sections_system import days_section, year_section
from tankful.report.subject import Subject
from tankful.report.words_of import LANGUAGE, day_text, say, section_words


def build_document(facts: ReportFacts, branding: Branding, *, short: bool = False) -> Document:
    """The report of one answer, ready to be rendered; ``short``: what to do, without pictures of
    the year and without the details."""
    answer = facts.answer
    subject = Subject(facts, branding.accent or DEFAULT_ACCENT)
    name = one_line(answer.case_name)
    found = (
        answer_section(subject),
        _foreword(branding),
        *(_short_middle(subject) if short else _middle(subject)),
        ask_section(subject),
        settings_section(subject),
        care_section(subject),
        _closing(branding),
        *((short_assumed_section(subject),) if short else annex_sections(subject)),
    )
    day = day_text(answer.as_of)
    place = one_line(answer.place_text.partition(";")[0])
    return Document(
        title=say("page.title", name=name),
        subtitle=f"{place} · {day}",
        lang=LANGUAGE,
        day=answer.as_of,
        day_text=day,
        running_head=say("page.running_head", name=shorten(name, 70, placeholder="…")),
        footer=say("page.made_for", day=day),
        sections=_on_pages([section for section in found if section is not None]),
        words=section_words("page"),
    )


def _on_pages(sections: list[Section]) -> tuple[Section, ...]:
    """The answer alone on its page; what comes next begins another, whatever it is."""
    first, second, *others = sections
    return (first, replace(second, new_page=True), *others)


def _middle(subject: Subject) -> tuple[Section | None, ...]:
    return (
        choices_section(subject),
        days_section(subject),
        year_section(subject),
        money_section(subject),
        flips_section(subject),
        futures_section(subject),
    )


def _short_middle(subject: Subject) -> tuple[Section | None, ...]:
    return (choices_section(subject, short=True), reasons_section(subject))


def _foreword(branding: Branding) -> Section | None:
    if not branding.foreword:
        return None
    name = branding.name
    title = say("adviser.foreword", name=name) if name else say("adviser.foreword_plain")
    return Section("foreword", title, _paragraphs(branding.foreword))


def _closing(branding: Branding) -> Section | None:
    if not branding.closing:
        return None
    return Section("closing", say("adviser.closing"), _paragraphs(branding.closing))


def _paragraphs(text: str) -> tuple[Block, ...]:
    """User text as plain paragraphs, parted where it has empty lines."""
    parts = (one_line(part) for part in text.replace("\r\n", "\n").split("\n\n"))
    return tuple(Paragraph(part) for part in parts if part)
