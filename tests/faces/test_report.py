"""The household's report: both renderings say the same, fit, read easily, and run nothing."""

from __future__ import annotations

import io
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
import textstat
from click.testing import CliRunner
from pypdf import PdfReader

from tankful import desk, reporting, service
from tankful.cli.main import cli
from tankful.errors import OutputError
from tankful.model.answer import Answer, OptionResult
from tankful.model.report_facts import ReportFacts
from tankful.model.whatif import Crossing, Driver, Flip, Flips, Futures, OptionFuture
from tankful.report import look
from tankful.report.branding import Branding
from tankful.report.build import build_document
from tankful.report.document import Document, Paragraph, Point, Section, plain
from tankful.report.draw import to_svg
from tankful.report.render import Rendered, render_report, write_report
from tankful.report.say import one_line, round_said, said_money
from tankful.report.sections_doubt import amount_text

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


@pytest.fixture(scope="module")
def facts() -> ReportFacts:
    return reporting.report_facts(service.study(SAMPLE))


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


@pytest.fixture(scope="module")
def document(facts: ReportFacts) -> Document:
    return build_document(doubted(facts), ADVISER)


@pytest.fixture(scope="module")
def made(facts: ReportFacts) -> Rendered:
    return render_report(doubted(facts), ADVISER)


@pytest.fixture(scope="module")
def reader(made: Rendered) -> PdfReader:
    return pdf(made)


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


def texts(value: Any, *, skip: tuple[str, ...] = ("kind", "id", "style", "alt", "spec")) -> Any:
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


# The two renderings


def test_print_and_page_hold_the_same_text_section_by_section(
    document: Document, made: Rendered, reader: PdfReader
) -> None:
    printed = bare("".join(p.extract_text() for p in reader.pages))
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


# What it says


def test_the_first_page_answers_what_and_how_much_and_by_when(reader: PdfReader) -> None:
    text = " ".join(reader.pages[0].extract_text().split())
    for words in ("best choice", "It costs", "It saves", "How sure", "What could change it"):
        assert words in text
    assert re.search(r"Pays back in|Paid back|Hot water costs", text)


def test_the_front_pages_read_easily(document: Document) -> None:
    """Flesch reading ease (Flesch 1948): 60 to 70 is plain English, by textstat."""
    front = [s for s in document.sections if not s.back_matter]
    sentences = " ".join(
        text for s in front for block in s.blocks for text in prose(plain(block)) if "." in text
    )
    assert textstat.flesch_reading_ease(sentences) > 60.0
    first = " ".join(text for b in front[0].blocks for text in prose(plain(b)) if "." in text)
    assert textstat.flesch_reading_ease(first) > 65.0


def prose(block: dict[str, Any]) -> Iterator[str]:
    if block["kind"] == "paragraph":
        yield block["text"]
    if block["kind"] == "points":
        for item in block["items"]:
            yield item["text"]
    if block["kind"] == "pair":
        for part in (*block["left"], *block["right"]):
            yield from prose(part)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (4491, 4500),
        (17227, 17200),
        (389, 390),
        (27, 25),
        (7, 7),
        (104_321, 104_000),
        (-1496, -1500),
    ],
)
def test_numbers_are_rounded_as_people_say_them(value: float, said: float) -> None:
    assert round_said(value) == said


def test_money_is_in_the_currency_of_the_case(facts: ReportFacts) -> None:
    assert said_money(1234.0, "EUR") == "€1,200"
    assert said_money(-1234.0, "CHF") == "-1,200 CHF"
    made = render_report(with_answer(facts, currency="CHF"))
    assert "$" not in "".join(page(made).sections[key] for key in ("answer", "choices"))


def test_exact_numbers_stand_in_the_details(facts: ReportFacts, made: Rendered) -> None:
    best = facts.answer.best
    details = page(made).sections["exact"]
    assert f"{best.net_present_cost:,.2f}" in details
    assert f"{best.upfront.total:,.2f}" in details


def test_the_homes_own_values_and_the_defaults_stand_apart(
    facts: ReportFacts, made: Rendered
) -> None:
    seen = page(made).sections
    assert "invented time-of-use plan" in seen["home"]
    assert len(facts.answer.assumptions) > 50
    for item in facts.answer.assumptions:
        assert bare(one_line(item.source)) in bare(seen["assumed"])


def test_the_settings_sheet_holds_the_clock_and_the_limits(
    facts: ReportFacts, made: Rendered
) -> None:
    sheet = page(made).sections["settings"]
    control = facts.answer.best.choice.control
    for window in control.windows:
        assert window.hours_text() in sheet
    assert f"{facts.answer.best.heater.setpoint_c:.0f} °C" in sheet
    assert f"at most {facts.tap_limit_c:.0f} °C" in sheet


def test_flips_and_futures_are_told_in_words_and_on_the_first_page(made: Rendered) -> None:
    seen = page(made).sections
    assert "it is 4.5 c a kWh now. Below 2.6 c a kWh the best choice becomes" in seen["flips"]
    assert "it is 100 % of today's now. Above 123 % of today's" in seen["flips"]
    assert "it is $3,800 now. Above $4,400" in seen["flips"]
    assert "we tried 200 futures" in seen["futures"]
    assert "What moves the saving most: gas price." in seen["futures"]
    assert "It came out best in 60 of 100" in seen["answer"]
    assert "Below 2.6 c a kWh" in seen["answer"]


# Stress


def with_answer(facts: ReportFacts, **changes: Any) -> ReportFacts:
    return replace(facts, answer=replace(facts.answer, **changes))


def renamed(answer: Answer, label: str) -> tuple[OptionResult, ...]:
    return tuple(replace(option, label=f"{label} {option.rank}") for option in answer.options)


@pytest.mark.parametrize("count", [1, 2, 3, 12, 17])
def test_any_number_of_options_fits(count: int, facts: ReportFacts) -> None:
    options = facts.answer.options
    kept = tuple(o for o in options if o.id == "keep")
    chosen = (*(o for o in options if o.id != "keep"), *kept)[-count:]
    made = render_report(with_answer(facts, options=chosen))
    heads = [i for i, p in enumerate(pdf(made).pages) if "The details" in p.extract_text()]
    assert heads[0] <= FRONT_PAGES


def test_every_option_can_be_the_best(facts: ReportFacts) -> None:
    for option in facts.answer.options[::4]:
        first = replace(option, rank=1)
        others = tuple(o for o in facts.answer.options if o.id != option.id)
        document = build_document(with_answer(facts, options=(first, *others)), Branding())
        assert len(document.sections) >= 10
        for chart in document.charts:
            assert "<svg" in to_svg(chart.spec)


def test_ties_are_called_ties(facts: ReportFacts) -> None:
    first, second, *rest = facts.answer.options
    tied = (
        replace(first, tied_with_best=True),
        replace(second, tied_with_best=True, rank=1),
        *rest,
    )
    seen = page(render_report(with_answer(facts, options=tied)))
    assert "cannot tell them apart" in seen.sections["answer"]
    assert second.label in seen.sections["answer"]


def test_the_price_that_turns_the_answer_is_not_that_of_what_gets_dearer_too(
    facts: ReportFacts,
) -> None:
    """The first two of the sample home are heat pumps of one price."""
    turn = facts.price_turn
    assert turn is not None
    assert turn.above is not None
    first = page(render_report(facts, pdf=False)).sections["answer"]
    assert "Price of the heat pump, before rebates: it is $3,800 now. Above" in first
    assert f"the best choice becomes: {turn.above.option_label}." in first
    assert not turn.above.option_label.startswith("Heat pump")
    steady = replace(doubted(facts).flips, flips=())
    first = page(render_report(replace(facts, flips=steady), pdf=False)).sections["answer"]
    assert "Nothing we changed within reason" in first  # where all was tried, that is told
    assert "the best choice becomes" not in first


def test_a_tie_of_unlike_prices_is_not_left_to_the_cheaper_quote(facts: ReportFacts) -> None:
    first, second, third, *rest = facts.answer.options
    assert (first.heater.kind, third.heater.kind) == ("heat_pump", "electric_storage")
    alike = replace(second, upfront=first.upfront)
    for other, words in (
        (third, f"{third.label} ${third.upfront.total:,.0f}. What a quote differs from that"),
        (alike, "Not the price. Each of them buys the same for"),
    ):
        tied = (replace(first, tied_with_best=True), replace(other, tied_with_best=True))
        made = render_report(with_answer(facts, options=(*tied, *rest)), pdf=False)
        assert words in page(made).sections["answer"]


def test_a_short_bar_at_the_end_says_why_it_stands_there(facts: ReportFacts) -> None:
    *others, last = facts.answer.options
    choice = replace(last.choice, usable=False)
    cheap = replace(last, choice=choice, net_present_cost=5000.0)
    made = render_report(with_answer(facts, options=(*others, cheap)), pdf=False)
    assert made.html is not None
    assert made.html.count("$5,000, last: cold showers") >= 2  # in the picture and in its words
    assert "They stand last, whatever they cost." in page(made).sections["choices"]
    assert "last: cold" not in (render_report(facts, pdf=False).html or "")


def test_the_payback_is_one_number_wherever_it_is_told(document: Document, made: Rendered) -> None:
    figures = plain(document.sections[0].blocks[1])["items"]
    (told,) = (item["value"] for item in figures if item["label"] == "Pays back in")
    assert f"paid back after {told}" in (made.html or "")


def test_the_details_name_things_in_words(made: Rendered) -> None:
    seen = page(made).sections
    for name in ("cold_air", "lab_curve", "heat_kw", "iam b0", "in quotes"):
        assert name not in seen["assumed"] + seen["home"], name
    assert not re.findall(r"\b[a-z]+_[a-z]+", seen["home"] + seen["assumed"])


def test_without_pictures_of_days_and_year_their_sections_are_left_out(facts: ReportFacts) -> None:
    few = with_answer(facts, cautions=(), notes=())
    bare_facts = replace(few, days=(), year=None, given=(), about=None)
    document = build_document(bare_facts, Branding())
    ids = {section.id for section in document.sections}
    assert not ids & {"days", "year", "home", "care", "notes", "foreword", "closing"}
    assert {"answer", "choices", "money", "ask", "settings", "assumed", "method"} <= ids


def test_text_of_others_is_shown_and_never_obeyed(facts: ReportFacts) -> None:
    nasty = (
        '<script>alert(1)</script> #read("/etc/passwd") *b* _i_ $x^2$ @ref <lbl> '
        "{{ 7*7 }} {name} ${x} &amp; \\u{1F}"
    )
    named = with_answer(
        facts, case_name=nasty, notes=(nasty,), options=renamed(facts.answer, nasty)
    )
    brand = Branding(name=nasty[:80], contact=(nasty,), foreword=nasty, closing=nasty)
    made = render_report(named, brand)
    assert "script" not in page(made).tags
    for section in ("notes", "foreword", "closing", "exact"):
        assert bare(nasty) in bare(page(made).sections[section]), section
    printed = bare("".join(p.extract_text() for p in pdf(made).pages))
    assert printed.count(bare(nasty)) >= 4
    assert "root:" not in printed


def test_long_words_lose_nothing(facts: ReportFacts) -> None:
    word = "Wagga" * 24
    made = render_report(with_answer(facts, case_name=word, options=renamed(facts.answer, word)))
    printed = bare("".join(p.extract_text() for p in pdf(made).pages))
    assert printed.count(word) > len(facts.answer.options)


# Colours


def test_colours_of_energy_part_company_in_grey() -> None:
    shades = sorted(look.luminance(c) for c in (look.SUN, look.ROOF, look.GAS, look.GRID))
    assert shades[0] < 0.1 < shades[-1]
    assert look.luminance(look.SUN) - look.luminance(look.GAS) > 0.2
    assert look.luminance(look.GAS) - look.luminance(look.GRID) > 0.2


def test_text_keeps_its_contrast_on_white() -> None:
    """At least 4.5 to 1 (WCAG 2.1, success criterion 1.4.3, from memory)."""
    for colour in (look.INK, look.SOFT, look.DEFAULT_ACCENT):
        assert look.contrast_on_white(colour) >= 4.5
    assert look.contrast_on_white("#000000") == pytest.approx(21.0)
    assert look.contrast_on_white("#ffffff") == pytest.approx(1.0)


# Files


def test_a_letter_that_no_font_has_is_named(facts: ReportFacts, tmp_path: Path) -> None:
    odd = with_answer(facts, case_name="Home \U0001f9ff\U000131d0")
    with pytest.raises(OutputError) as caught:
        write_report(odd, pdf=tmp_path / "r.pdf", html=tmp_path / "r.html")
    assert caught.value.faults[0].value in "\U0001f9ff\U000131d0"
    assert list(tmp_path.iterdir()) == []
    write_report(odd, html=tmp_path / "r.html")  # a browser has its own fonts


NAMES = {
    "Vietnamese": "Nguyễn Thị Hương",
    "Polish": "Łukasz Żółć",
    "Turkish": "Çağrı Işık",
    "Māori": "Tāmaki Ōtautahi",
    "Greek": "Παπαδόπουλος",
    "Cyrillic": "Щукина Їжак",
}


def test_names_of_many_scripts_print_in_whole_letters(facts: ReportFacts) -> None:
    """Also where they were typed as letters and accents apart, as some systems do."""
    names = ", ".join(NAMES.values())
    apart = unicodedata.normalize("NFD", names)
    assert apart != names
    for typed in (names, apart):
        first = pdf(render_report(with_answer(facts, case_name=typed), html=False)).pages[0]
        fonts: dict[str, str] = {}

        def note(text: str, _cm: Any, _tm: Any, font: Any, _size: Any, seen: Any = fonts) -> None:
            seen.update(dict.fromkeys(text.split(), str((font or {}).get("/BaseFont", ""))))

        shown = first.extract_text(visitor_text=note)
        for name in NAMES.values():
            for word in name.split():
                assert word in shown
        # Figtree would piece these together from accents
        assert "NotoSans" in fonts["Nguyễn"]
        assert "Figtree" in fonts["Hot"]


def test_the_page_leaves_letters_that_its_font_has_not_to_others(made: Rendered) -> None:
    assert made.html is not None
    (spans,) = set(re.findall(r"unicode-range: ([^;]+);", made.html))
    ranges = [tuple(int(end, 16) for end in span[2:].split("-")) for span in spans.split(", ")]
    assert not any(low <= ord("ễ") <= high for low, high in ranges)
    assert all(any(low <= ord(c) <= high for low, high in ranges) for c in "Aéłşā°–")
    style = Path(desk.__file__).with_name("static").joinpath("pictures.css").read_text("utf-8")
    assert style.count(f"unicode-range: {spans};") == 2


@pytest.mark.parametrize("place", ["missing/r.pdf", "folder"])
def test_a_report_that_cannot_be_written_leaves_nothing(
    place: str, facts: ReportFacts, tmp_path: Path
) -> None:
    (tmp_path / "folder").mkdir()
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(OutputError, match="could not be written"):
        write_report(facts, html=tmp_path / place)
    assert sorted(tmp_path.rglob("*")) == before


def test_the_command_writes_both(tmp_path: Path) -> None:
    case = tmp_path / "home.toml"
    case.write_text(
        'as_of = 2026-11-25\n[simulation]\nstep_min = 60\n[place]\npostcode = "2480"\n'
        "[constraints]\nno_heat_pump = true\n",
        encoding="utf-8",
    )
    brand = tmp_path / "brand.toml"
    brand.write_text('name = "Adviser of our own"\n', encoding="utf-8")
    args = ["advise", case, "--quick", "--pdf", tmp_path / "r.pdf", "--html", tmp_path / "r.html"]
    done = CliRunner().invoke(
        cli, [str(a) for a in (*args, "--branding", brand)], catch_exceptions=False
    )
    assert done.exit_code == 0, done.output
    assert (tmp_path / "r.pdf").read_bytes().startswith(b"%PDF")
    assert "Adviser of our own" in (tmp_path / "r.html").read_text(encoding="utf-8")


def test_prices_and_rates_are_said_as_people_say_them() -> None:
    assert amount_text(0.29, "AUD/kWh", "AUD") == "29 c a kWh"
    assert amount_text(1.45, "AUD/day", "AUD") == "$1.45 a day"
    assert amount_text(0.29, "CHF/kWh", "CHF") == "0.29 CHF a kWh"
    assert amount_text(0.041, "a year", "AUD") == "4.1 % a year"
    assert amount_text(2634.0, "kWh", "AUD") == "2,600 kWh"


def test_sections_hold_only_known_blocks(document: Document) -> None:
    assert isinstance(document.sections[0], Section)
    assert plain(Paragraph("a"))["kind"] == "paragraph"
    assert plain(Point("a")) == {"kind": "point", "text": "a", "lead": ""}
