"""What people type for a number, a day or an hour is read as a reader would, or not at all."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tankful.casefile import mends, moments
from tankful.casefile.quantities import quantity
from tankful.casefile.syntax import parse_text
from tankful.casefile.typed import field_at, read_as, typed_toml
from tankful.marked import Marked
from tankful.model.fields import FieldRow, field_row

PANELS = "electricity.arrays[1].kw"
LITRES = "heater.tank_l"
YEARS = "heater.age_years"
POWER = "electricity.usage_price_per_kwh"
GAS = "gas.price_per_mj"
USED = "gas.bills[1].mj"
PAID = "quotes[1].installed_price"
AZIMUTH = "roof.azimuth_deg"
SHARE = "electricity.arrays[1].loss_fraction"
MONTHS = "electricity.tariff.usage[1].months"
HOURS = "constraints.quiet_hours"
SIZES = "more_panels.sizes_kw"
CLOCK = "electricity.tariff.usage[1].start"


PLAIN = "write a plain number, without quotes"


def row(path: str) -> FieldRow:
    info = field_at(path)
    assert info is not None
    return field_row(path, info)


def taken(path: str, text: str) -> Any:
    """The value that a case file has after a text was typed into a field."""
    value: Any = parse_text(typed_toml({path: text}), "case.toml")
    for name in path.split("."):
        value = value[name.partition("[")[0]]
        value = value[0] if "[" in name else value
    return value


def in_file(mend: str) -> str:
    """A mend as it is said of a case file."""
    return str(Marked(mend))


def words(path: str, text: str) -> str:
    info = field_at(path)
    assert info is not None
    return read_as(text, info)


@pytest.mark.parametrize(
    ("path", "typed", "value"),
    [
        *((PANELS, "10 kW", 10), (PANELS, "6.6kW", 6.6), (PANELS, "6,6 kWp", 6.6)),
        *((PANELS, "6600 W", 6.6), (PANELS, "6 600W", 6.6), (PANELS, "0,25", 0.25)),
        *((LITRES, "315L", 315), (LITRES, "270 litres", 270), (LITRES, "270 l.", 270)),
        *((YEARS, "9yrs", 9), (YEARS, "9 years", 9), (YEARS, "9 years old", 9)),
        *((POWER, "38c", 0.38), (POWER, "38 c/kWh", 0.38), (POWER, "$0.38", 0.38)),
        *((POWER, "38 cents", 0.38), (POWER, "38.5c per kWh", 0.385), (POWER, "$0.38/kWh", 0.38)),
        *((POWER, "0.38 $/kWh", 0.38), (POWER, "38 cents per kilowatt-hour", 0.38)),
        *((GAS, "3.9c", 0.039), (GAS, "3,9 c/MJ", 0.039), (GAS, "4.25¢", 0.0425)),
        *((USED, "7 400", 7400), (USED, "7 400 MJ", 7400), (USED, "7'400", 7400)),
        *((USED, "7\u00a0400 MJ", 7400), (USED, "7.4 GJ", 7400), (USED, "1000 kWh", 3600)),
        *((USED, "1,234", 1234), (USED, "1.234,5", 1234.5), (USED, "7 400,5", 7400.5)),
        *((PAID, "$3,950", 3950), (PAID, "-$40", -40), (PAID, "3950 dollars", 3950)),
        *((PAID, "€12", 12), (PAID, "$ 0.33", 0.33), (PAID, "A$3,950.50", 3950.5)),
        ("electricity.tariff.supply_per_day", "118.5c", 1.185),
        ("electricity.tariff.supply_per_day", "$1.185 a day", 1.185),
        ("electricity.tariff.demand[1].price_per_kw_per_day", "33 c/kW/day", 0.33),
        ("gas.other_use_mj", "1,000 kWh per year", 3600),
        ("people.hot_litres_per_person_per_day", "50 L", 50),
        *((SHARE, "14%", 0.14), (SHARE, "14 per cent", 0.14), (SHARE, "0,14", 0.14)),
        ("wishes.discount_rate_real", "-2.5 %", -0.025),
        *((AZIMUTH, "NE", 45), (AZIMUTH, "north-east", 45), (AZIMUTH, "due north", 0)),
        *((AZIMUTH, "WNW", 292.5), (AZIMUTH, "270°", 270), (AZIMUTH, "south west", 225)),
        *((AZIMUTH, "north facing", 0), (AZIMUTH, "north-west-facing", 315)),
        *((PAID, "$4.5k", 4500), (PAID, "4k", 4000), ("people.count", "4 people", 4)),
        *(("place.latitude", "33.9°S", -33.9), ("place.latitude", "52 N", 52)),
        *(("place.longitude", "151.2 E", 151.2), ("place.longitude", "70 deg W", -70)),
        *((MONTHS, "6-8", [6, 7, 8]), (MONTHS, "Nov to Feb, may", [11, 12, 1, 2, 5])),
        *((MONTHS, "June and July", [6, 7]), (MONTHS, "6 7, 8", [6, 7, 8])),
        ("heater.setpoint_c", "60 °C", 60),
        ("place.elevation_m", "−5 m", -5),
        ("quotes[1].collector_m2", "4 m²", 4),
        ("more_panels.sizes_kw", "6.6 kW, 10 kW", [6.6, 10]),
        ("more_panels.sizes_kw", "6,6; 10", [6.6, 10]),
        *((CLOCK, "3pm", "15:00"), (CLOCK, "9 pm", "21:00"), (CLOCK, "12am", "00:00")),
        *((CLOCK, "7.30 a.m.", "07:30"), (CLOCK, "2200", "22:00"), (CLOCK, "noon", "12:00")),
        (HOURS, "10pm-7am", [{"start": "22:00", "end": "07:00"}]),
        (HOURS, "22-7 weekdays", [{"start": "22:00", "end": "07:00", "days": "weekday"}]),
        *(("as_of", "3 Jul 2026", date(2026, 7, 3)), ("as_of", "1/9/26", date(2026, 9, 1))),
        *(("as_of", "3rd July, 2026", date(2026, 7, 3)), ("as_of", "3-Jul-26", date(2026, 7, 3))),
        *(("as_of", "Sept 3, 2026", date(2026, 9, 3)), ("as_of", "2026/7/3", date(2026, 7, 3))),
    ],
)  # fmt: skip
def test_what_has_one_meaning_is_taken(path: str, typed: str, value: Any) -> None:
    assert taken(path, typed) == value


@pytest.mark.parametrize(
    ("path", "typed"),
    [
        *((YEARS, "about 4"), (YEARS, "3/5"), (YEARS, "4-5"), (YEARS, "4 5"), (YEARS, "9 months")),
        *((PAID, "12,34,567"), (PAID, "$"), (PAID, "3,950,"), (PAID, "1,234 567"), (PAID, "4m")),
        *((PAID, "$38c"), (PAID, "1234,567"), (PAID, "7 400,500"), (PAID, "0.1.2"), (PAID, "40%")),
        *((PANELS, "$40"), (PANELS, "10 MW"), (PANELS, "10 kWh"), (PANELS, "10²"), (PANELS, "½")),
        *((POWER, "38 c/MJ"), (POWER, "38 c/day"), (POWER, "$0.38/"), (POWER, "38 kWh")),
        ("gas.tariff.blocks[1].up_to_mj_per_day", "3000 MJ"),
        ("gas.tariff.blocks[1].up_to_mj_per_day", "3000 MJ/year"),
        *(
            (AZIMUTH, "northern"),
            ("place.longitude", "E"),
            ("place.latitude", "-33 S"),
            ("heater.setpoint_c", "140F"),
        ),
        *(("place.latitude", "33 E"), (MONTHS, "6-7-8"), (MONTHS, "0-3"), (MONTHS, "Ju")),
        *((POWER, "4k"), ("people.count", "4 cats"), (PANELS, "4 kwp k")),
        *((CLOCK, "7"), (CLOCK, "13pm"), (CLOCK, "2560"), (CLOCK, "at night")),
        *((HOURS, "10-3"), (HOURS, "7-10pm"), (HOURS, "10:00-3"), (HOURS, "10pm")),
        *((HOURS, "6:30-9.30 pm"), (HOURS, "7:30 to 10pm"), (HOURS, "6.30-9.30pm")),
        *((SIZES, "3,3 6,6"), (SIZES, "1,234 2,345"), (SIZES, "3 3,5")),
        *(("as_of", "3/5"), ("as_of", "Jul 2026"), ("as_of", "11/25/2026"), ("as_of", "31/2/2026")),
        *(("as_of", "1-9-26"), ("as_of", "3 Ju 2026"), ("as_of", "2026-W48-3")),
    ],
)
def test_what_has_several_meanings_or_none_is_left_as_typed(path: str, typed: str) -> None:
    assert taken(path, typed) == typed


@pytest.mark.parametrize(
    ("path", "typed", "told"),
    [
        *((GAS, "3.9c", "0.039 money/MJ"), (SHARE, "14%", "0.14"), (AZIMUTH, "NE", "45 degrees")),
        *((PAID, "$3,950", "3950 money"), (USED, "7 400", "7400 MJ"), (PANELS, "0,25", "0.25 kW")),
        *(("more_panels.sizes_kw", "6,6", "6, 6 kW"), ("more_panels.sizes_kw", "6, 10", "")),
        *((PANELS, "10 kW", ""), (PANELS, "10", ""), (PAID, "$40", ""), (PANELS, "ten", "")),
        *(
            ("as_of", "3/5/26", "3 May 2026"),
            ("as_of", "3 may 2026", ""),
            ("as_of", "2026-05-03", ""),
            (CLOCK, "3pm", "15:00"),
        ),
        *(
            (HOURS, "10pm-7am", "22:00 to 07:00"),
            (HOURS, "22:00 - 07:00", ""),
            ("name", "3.9c", ""),
        ),
    ],
)
def test_what_was_turned_into_something_else_is_told(path: str, typed: str, told: str) -> None:
    assert words(path, typed) == told


SPELLED = {
    PANELS: ("", " kW", "kw", " kWp"),
    LITRES: ("", "L", " litres"),
    PAID: ("", "$", " dollars"),
    USED: ("", " MJ", "mj"),
    POWER: ("", " $/kWh", "/kWh", " per kWh"),
}


@given(
    st.sampled_from(sorted(SPELLED)),
    st.decimals(0, 9_999_999, places=2) | st.integers(0, 10**9).map(Decimal),
    st.sampled_from(["", ",", " ", "'", "\u202f"]),
    st.booleans(),
    st.data(),
)
def test_a_number_however_spelt_is_that_number(
    path: str, number: Decimal, mark: str, comma: bool, data: st.DataObject
) -> None:
    text = f"{number:,}".replace(",", mark)
    if comma and mark != "," and "." in text:
        text = text.replace(".", ",")
    unit = data.draw(st.sampled_from(SPELLED[path]))
    text = f"{unit}{text}" if unit == "$" else f"{text}{unit}"
    assert taken(path, text) == float(number)


@given(st.sampled_from([POWER, GAS]), st.decimals(0, 9999, places=3), st.sampled_from("c¢"))
def test_cents_are_a_hundredth_to_the_last_digit(path: str, cents: Decimal, sign: str) -> None:
    assert taken(path, f"{cents}{sign}") == float(cents / 100)


FACTORS = {
    "w": 1e-3,
    "wh": 1e-3,
    "c": 1e-2,
    "¢": 1e-2,
    "cents": 1e-2,
    "%": 1e-2,
    "gj": 1e3,
    "k": 1e3,
}
CONVERTED = {(USED, "kwh"): 3.6}


def as_read_aloud(path: str, text: str) -> float:
    """What the text comes to by a simple rule: the last mark parts the decimals if it is a point,
    or a comma with other than three digits behind it or a lone nought in front."""
    found = re.search(r"[0-9.][0-9 ,.']*", text)
    assert found is not None
    numeral = found[0].strip()
    whole, mark, part = re.fullmatch(r"(.*?)(?:([.,])([0-9]*))?", numeral).groups()  # type: ignore[union-attr]
    if mark == "," and len(part) == 3 and whole != "0":
        whole, part = whole + part, ""
    value = float(f"{re.sub('[^0-9]', '', whole) or 0}.{part or 0}")
    unit = re.sub(r"[^a-z%¢]", "", text[found.end() :].lower().partition("/")[0])
    factor = CONVERTED.get((path, unit), FACTORS.get(unit, 1.0))
    return (-value if text.startswith("-") else value) * factor


NUMERALS = st.text("0123456789,.' ", min_size=1, max_size=12)
UNITS = st.sampled_from(
    ["", "kW", "W", "L", "kWh", "MJ", "GJ", "c", "%", "c/MJ", " c/kWh", "k", "m2", "days", "/kWh"]
)


@given(
    st.sampled_from([PANELS, LITRES, POWER, GAS, USED, PAID, SHARE, YEARS]),
    st.sampled_from(["", "-", "$", "about "]),
    NUMERALS,
    UNITS,
)
@example(USED, "", "7 400", " MJ")
@example(GAS, "", "3.9", "c")
@example(PAID, "", "1,234", "")
@example(PAID, "", "0,400", "")
def test_no_number_is_taken_that_a_reader_would_not_read(
    path: str, before: str, numeral: str, unit: str
) -> None:
    text = f"{before}{numeral}{unit}".strip()
    read = quantity(text, row(path))
    if read is not None:
        assert float(read.number) == pytest.approx(as_read_aloud(path, text), rel=1e-12)


@given(
    st.sampled_from([PANELS, LITRES, POWER, GAS, USED, PAID, SHARE, YEARS]),
    st.sampled_from(["", "about ", "~", "x"]),
    NUMERALS,
    UNITS,
    st.sampled_from(["", " or so", " maybe", "?"]),
)
@example(GAS, "about ", "3.9", "c", "")
@example(USED, "~", "7 400", " MJ", "")
def test_a_hint_never_leads_to_another_number_or_the_next_error(
    path: str, before: str, numeral: str, unit: str, behind: str
) -> None:
    text = f"{before}{numeral}{unit}{behind}".strip()
    hint = re.search(r": (\S+)$", in_file(mends.number(text, row(path), whole=False)))
    if hint is not None:
        plain = f"{numeral}{unit}".strip()
        assert float(hint[1]) == pytest.approx(as_read_aloud(path, plain), rel=1e-12)
        assert taken(path, hint[1]) == float(hint[1])


@pytest.mark.parametrize(
    ("path", "found", "mend"),
    [
        (GAS, "3.9c", "write only the number, without quotes: 0.039"),
        (GAS, "about 3.9c", "write only the number, without quotes: 0.039"),
        (USED, "7 400 MJ", "write only the number, without quotes: 7400"),
        (SHARE, "14%", "write it as a fraction, without quotes: 0.14"),
        (PAID, "about $4k", "write only the number, without quotes: 4000"),
        *((PAID, "4m", PLAIN), (YEARS, "3/5", PLAIN)),
        (YEARS, "roughly 11 years", "write only the number, without quotes: 11"),
        *((YEARS, "18 months", PLAIN), (PAID, "40 dozen", PLAIN), (LITRES, "60 gal", PLAIN)),
        ("heater.setpoint_c", "140F", "140 degF is 60 degC"),
        (PANELS, "none", "remove this section if there are none"),
        ("electricity.battery.capacity_kwh", "none", "remove it if there is none"),
        ("gas.other_use_mj", "none", "write 0 for nothing, or remove the line"),
    ],
)
def test_a_mend_in_a_file_is_the_number_that_was_meant(path: str, found: str, mend: str) -> None:
    assert in_file(mends.number(found, row(path), whole=False)) == mend


def test_no_panels_are_no_row_and_the_mend_says_so() -> None:
    told = in_file(mends.in_range(0.0, row(PANELS), "kw"))
    assert told == "remove this section if there are none"
    told = in_file(mends.in_range(0.0, row("electricity.battery.capacity_kwh"), "capacity_kwh"))
    assert told == "remove it if there is none"
    for path in ("electricity.bills[1].kwh", LITRES):
        assert "allowed range" in mends.in_range(0.0, row(path), "")


def test_hours_in_a_file_are_mended_to_those_that_were_meant() -> None:
    told = in_file(mends.hours("9pm-6am", "hours"))
    assert told == 'write hours = [{ start = "21:00", end = "06:00" }]'
    assert "such as" in mends.hours("10-3", "hours")
    assert in_file(mends.day("3 Jul 2026")) == "write it without quotes: 2026-07-03"


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)))
def test_every_day_of_the_century_is_read_from_all_its_spellings(day: date) -> None:
    month = moments.MONTHS[day.month - 1]
    for text in (
        day.isoformat(),
        f"{day.day}/{day.month}/{day.year}",
        f"{day:%d/%m/%y}",
        moments.day_words(day),
        f"{day.day} {month[:3]} {day.year % 100:02d}",
        f"{month} {day.day}, {day.year}",
    ):
        assert moments.day(text) == day, text


@given(st.integers(0, 1439))
def test_every_minute_is_read_by_a_clock_of_12_and_of_24_hours(minute: int) -> None:
    hour, rest = divmod(minute, 60)
    told = f"{hour:02d}:{rest:02d}"
    of_12 = f"{(hour - 1) % 12 + 1}:{rest:02d}{'am' if hour < 12 else 'pm'}"
    assert [moments.clock(text) for text in (told, of_12, f"{hour:02d}{rest:02d}")] == [told] * 3


@given(st.text(max_size=40))
def test_any_text_at_all_is_read_or_refused_without_a_bug(text: str) -> None:
    for path in (PANELS, POWER, SHARE, AZIMUTH):
        quantity(text, row(path))
        mends.number(text, row(path), whole=False)
    moments.day(text)
    moments.clock(text)
    moments.spans(text)
