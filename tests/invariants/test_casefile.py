"""Laws of case files: no text breaks the reader, and what is written is what is read."""

from __future__ import annotations

import random
import re
import tomllib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from pydantic import BaseModel

from tankful.casefile.lines import line_of, scan_keys
from tankful.casefile.load import check_text
from tankful.casefile.mends import fits
from tankful.casefile.rules_supply import hidden_windows
from tankful.casefile.write import case_text
from tankful.data.store import load_table, sources
from tankful.errors import CaseError, Fault
from tankful.model.case import Case, Quote
from tankful.model.fields import field_table, tables_in
from tankful.model.tariff import uncovered
from tankful.model.window import Window

EXAMPLES = Path(__file__).parents[2] / "examples"
SAMPLE = EXAMPLES / "01-sample-home.toml"
TEXTS = [
    (EXAMPLES / name).read_text(encoding="utf-8")
    for name in ("01-sample-home.toml", "04-solar-battery.toml")
]
PLACE = '[place]\npostcode = "2480"\n'
SWAPS = ["true", "7", "-1e400", '"x"', "[]", "{}", "[[1]]", "2026-01-01", "nan", "'''a\nb'''", ""]


@st.composite
def mutated_samples(draw: st.DrawFn) -> str:
    """A shipped home with lines deleted, values swapped, lines doubled or junk put in."""
    rng = random.Random(draw(st.integers(0, 2**32)))  # noqa: S311
    lines = draw(st.sampled_from(TEXTS)).split("\n")
    for _ in range(draw(st.integers(1, 6))):
        at = rng.randrange(len(lines))
        kind = draw(st.sampled_from(["delete", "swap", "double", "junk", "move", "cut"]))
        if kind == "delete":
            del lines[at]
        elif kind == "swap":
            lines[at] = re.sub(r"=.*", f"= {rng.choice(SWAPS)}", lines[at])
        elif kind == "double":
            lines.insert(at, lines[rng.randrange(len(lines))])
        elif kind == "move":
            lines.insert(at, lines.pop(rng.randrange(len(lines))))
        elif kind == "cut":
            lines[at] = lines[at][: rng.randrange(len(lines[at]) + 1)]
        else:
            lines[at] += draw(st.text(max_size=8))
        if not lines:
            lines = [""]
    return "\n".join(lines)


@settings(max_examples=300)
@given(mutated_samples())
def test_a_mangled_case_is_read_or_refused_with_lines_and_mends(text: str) -> None:
    count = text.count("\n") + 1
    for fault in faults_of(text):
        assert fault.problem
        assert fault.mend
        assert fault.line is None or 1 <= fault.line <= count
        assert str(fault).replace("\n", "").isprintable()


def faults_of(text: str) -> tuple[Fault, ...]:
    """Why a case is refused; empty when it is not."""
    try:
        check_text(text, SAMPLE)
    except CaseError as error:
        return error.faults or (Fault("", ""),)
    return ()


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    with pytest.raises(CaseError):
        check_text(text, SAMPLE)


@given(st.text(alphabet="ab=.[]{},\n\"'# 1", max_size=60))
def test_any_marks_are_scanned_to_an_end(text: str) -> None:
    assert faults_of(PLACE + text) or check_text(PLACE + text, SAMPLE)


@given(st.integers(1, 400))
def test_deep_nesting_is_refused(depth: int) -> None:
    with pytest.raises(CaseError):
        check_text("x = " + "[" * depth * 10, SAMPLE)


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_key_of_a_sound_file_has_the_line_it_stands_on(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines, rows = scan_keys(text).lines, text.split("\n")
    for key, value in keys_of(tomllib.loads(text)):
        assert key in lines
        if not isinstance(value, dict | list):
            assert re.sub(r"\[\d+\]", "", key).rsplit(".", 1)[-1] in rows[lines[key] - 1]


def keys_of(data: object, path: str = "") -> list[tuple[str, object]]:
    found = [(path, data)] if path else []
    if isinstance(data, dict):
        for name, value in data.items():
            found += keys_of(value, f"{path}.{name}" if path else name)
    elif isinstance(data, list):
        for i, value in enumerate(data, start=1):
            found += keys_of(value, f"{path}[{i}]")
    return found


def test_a_key_without_a_line_takes_that_of_the_table_around_it() -> None:
    lines = {"quotes": 3, "quotes[1]": 3, "place": 1}
    assert line_of(lines, "quotes[1].cop") == 3
    assert line_of(lines, "quotes[2].cop") == 3
    assert line_of(lines, "wishes.currency") is None


TIMES = st.integers(0, 1439).map(lambda minute: f"{minute // 60:02d}:{minute % 60:02d}")
WINDOWS = st.fixed_dictionaries(
    {"start": TIMES, "end": TIMES},
    optional={
        "days": st.sampled_from(["all", "weekday", "weekend"]),
        "months": st.lists(st.integers(1, 12), max_size=4),
    },
)
MONEY = st.floats(0, 4, allow_nan=False)
BLOCKS = st.floats(0.5, 20).flatmap(
    lambda end: st.just(
        [{"up_to_kwh_per_day": end, "price_per_kwh": 0.3}, {"price_per_kwh": end / 100}]
    )
)
USAGE = st.tuples(WINDOWS, st.one_of(MONEY, BLOCKS)).map(
    lambda pair: {
        **pair[0],
        "name": "day",
        ("blocks" if isinstance(pair[1], list) else "price_per_kwh"): pair[1],
    }
)
QUOTES: dict[str, dict[str, object]] = {
    "diverter": {},
    "timer": {},
    "heat_pump": {"cop": 3.1, "cop_air_c": 7.0, "cop_model": "carnot", "variable_speed": True},
    "electric_storage": {"two_elements": True},
    "solar_tube": {
        "collector_m2": 2.5,
        "collector_eta0": 0.7,
        "collector_a1": 1.5,
        "collector_a2": 0.0,
    },
    "solar_gas": {"circulation": "thermosiphon", "frost_protection": "antifreeze"},
}
CASES = st.fixed_dictionaries(
    {
        "place": st.fixed_dictionaries(
            {"postcode": st.just("2480")},
            optional={"cold_water_c": st.lists(st.floats(1, 30), min_size=12, max_size=12)},
        ),
    },
    optional={
        "name": st.text(
            st.characters(exclude_categories=["Cc", "Cf", "Cs", "Zl", "Zp"]), max_size=100
        ).filter(str.strip),
        "as_of": st.dates(date(2020, 1, 1), date(2035, 1, 1)),
        "electricity": st.fixed_dictionaries(
            {},
            optional={
                "arrays": st.lists(
                    st.fixed_dictionaries(
                        {"kw": st.floats(0.5, 20)},
                        optional={
                            "azimuth_deg": st.floats(0, 360),
                            "shading": st.lists(st.floats(0, 1), min_size=12, max_size=12),
                        },
                    ),
                    max_size=3,
                ),
                "battery": st.fixed_dictionaries(
                    {"capacity_kwh": st.floats(1, 20)},
                    optional={"first": st.sampled_from(["water", "battery"])},
                ),
                "car": st.fixed_dictionaries(
                    {"kwh_per_day": st.floats(1e-4, 8e-3), "hours": st.lists(WINDOWS, min_size=1)}
                ),
                "export_limits": st.lists(
                    st.tuples(WINDOWS, st.floats(0, 10)).map(lambda p: {**p[0], "kw": p[1]}),
                    max_size=3,
                ),
                "metering": st.sampled_from(["net", "each_phase"]),
                "tariff": st.fixed_dictionaries(
                    {
                        "supply_per_day": MONEY,
                        "usage": st.lists(USAGE, max_size=3).map(
                            lambda rows: [*rows, {"price_per_kwh": 0.25}]
                        ),
                    },
                    optional={
                        "free_window": WINDOWS,
                        "controlled_load": st.fixed_dictionaries(
                            {"price_per_kwh": MONEY, "hours": st.lists(WINDOWS, min_size=1)}
                        ),
                    },
                ),
            },
        ),
        "gas": st.fixed_dictionaries(
            {
                "bottles": st.tuples(st.sampled_from(["price_per_kg", "price_per_l"]), MONEY).map(
                    lambda pair: {pair[0]: pair[1] + 0.1}
                )
            }
        ),
        "roof": st.fixed_dictionaries({"tilt_deg": st.floats(0, 90)}),
        "quotes": st.lists(st.sampled_from(list(QUOTES)), unique=True, max_size=4).map(
            lambda names: [
                {"family": name, "installed_price": 1234.5, **QUOTES[name]} for name in names
            ]
        ),
        "constraints": st.fixed_dictionaries({}, optional={"quiet_hours": st.lists(WINDOWS)}),
    },
)


@settings(max_examples=150)
@given(CASES)
def test_any_case_survives_being_written_and_read(data: dict[str, object]) -> None:
    case = Case.model_validate(data)
    quiet = case.constraints.quiet_hours
    assume(not quiet or uncovered(quiet))  # without end they are refused
    assert check_text(case_text(case), SAMPLE).case == case


def test_every_default_of_the_field_table_that_counts_has_a_known_source() -> None:
    free_of_source = {"name", "source", "country", "currency", "start", "end", "days", "months"}
    for row in field_table(Case):
        if row.source:
            assert row.source in sources(), row.path
        elif not row.required and row.default not in (None, ()):
            name = row.path.rsplit(".", 1)[-1]
            inside_plan = ".tariff." in row.path
            assert name in free_of_source or inside_plan, row.path
        elif not row.required and row.default is None:
            inside_plan = ".tariff." in row.path
            assert row.when_absent or inside_plan, row.path


@pytest.mark.parametrize(
    "table", ["equipment", "tank_loss", "tank_volume", "house_use", "currency_rates"]
)
def test_every_shipped_number_has_a_known_source(table: str) -> None:
    for row in load_table(table):
        assert row["source_id"] in sources()


def test_every_field_says_what_it_is() -> None:
    for row in field_table(Case):
        assert row.about, row.path
    assert {inner for info in Case.model_fields.values() for inner in tables_in(info.annotation)}
    assert issubclass(Quote, BaseModel)


@given(st.floats(-1e6, 1e6))
def test_limits_in_words_mean_what_they_say(value: float) -> None:
    assert fits(value, "at least -5, at most 80.5") == (-5 <= value <= 80.5)
    assert fits(value, "more than 0, less than 1") == (0 < value < 1)


def test_a_window_is_hidden_only_when_those_before_it_cover_it_all() -> None:
    day = Window(start="07:00", end="22:00")
    noon = Window(start="11:00", end="14:00")
    assert hidden_windows((day, noon, Window())) == [False, True, False]
    assert hidden_windows((Window(months=(1,)), Window(months=(1, 2)))) == [False, False]
    assert hidden_windows((Window(days="weekday"), Window(days="weekend"), noon))[2]
