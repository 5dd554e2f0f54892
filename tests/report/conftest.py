"""The sample home's report, made once."""

from __future__ import annotations

import pytest
from pypdf import PdfReader
from reading import (
    ADVISER,
    SAMPLE,
    doubted,
    pdf,
)

from tankful import reporting, service
from tankful.model.report_facts import ReportFacts
from tankful.report.build import build_document
from tankful.report.document import Document
from tankful.report.render import Rendered, render_report


@pytest.fixture(scope="session")
def facts() -> ReportFacts:
    return reporting.report_facts(service.study(SAMPLE))


@pytest.fixture(scope="session")
def document(facts: ReportFacts) -> Document:
    return build_document(doubted(facts), ADVISER)


@pytest.fixture(scope="session")
def made(facts: ReportFacts) -> Rendered:
    return render_report(doubted(facts), ADVISER)


@pytest.fixture(scope="session")
def reader(made: Rendered) -> PdfReader:
    return pdf(made)
