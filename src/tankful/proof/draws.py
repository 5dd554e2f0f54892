"""Standard draw patterns and household draws against laws and published statistics."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache, partial

from tankful.clock import YearClock, year_clock
from tankful.model.case import People
from tankful.proof.check import Claim
from tankful.units import DAYS_PER_YEAR, J_PER_KWH, WATER_CP_J_PER_KG_K
from tankful.use.draws import Draws
from tankful.use.household import household_draws, season_factor
from tankful.use.patterns import LITRES_PER_GALLON, standard_draws

EU = (
    "Commission Delegated Regulation (EU) 812/2013, Annex VII Table 3; Commission Regulation "
    "(EU) 814/2013, Annex III Table 1"
)
US = "10 CFR 430 subpart B appendix E, Tables III.1 to III.4 (volumes transcribed)"
STATISTICS = "Jordan and Vajen, IEA Solar Heating and Cooling Task 26, 2001 (transcribed)"


def claims() -> Iterator[Claim]:
    """Every claim about draws."""
    yield from _european()
    yield from _american()
    yield from _household()


def _clock() -> YearClock:
    return year_clock(2027, "Australia/Sydney", 5, "AU", "NSW")


@lru_cache(maxsize=16)
def _standard(name: str) -> Draws:
    return standard_draws(_clock(), name)


def _per_day(name: str, quantity: Callable[[Draws], float]) -> float:
    return quantity(_standard(name)) / DAYS_PER_YEAR


def _heat_kwh(draws: Draws) -> float:
    return float(draws.heat_kwh().sum())


def _count(draws: Draws) -> float:
    return float(draws.start_s.size)


def _litres(draws: Draws) -> float:
    return float(draws.mixed_l.sum())


def _litres_at_60(draws: Draws) -> float:
    """Litres at 60 degC from 10 degC with the same heat."""
    return _heat_kwh(draws) * J_PER_KWH / (WATER_CP_J_PER_KG_K * 50.0)


Row = tuple[str, str, float, float, str, Callable[[Draws], float], str]
"""Key, words, expected, tolerance, unit, quantity and source of one claim of a pattern."""


def _quantities(prefix: str, title: str, name: str, rows: Sequence[Row]) -> Iterator[Claim]:
    """One claim a row about a standard pattern."""
    for key, text, expected, tolerance, unit, quantity, source in rows:
        yield Claim(
            id=f"{prefix}-{key}",
            claim=f"{title}: {text}",
            source=source,
            basis="published",
            expected=expected,
            tolerance=tolerance,
            unit=unit,
            compute=partial(_per_day, name, quantity),
        )


def _european() -> Iterator[Claim]:
    totals = {
        "S": (2.100, 11, 36.1),
        "M": (5.845, 23, 100.5),
        "L": (11.655, 24, 200.5),
        "XL": (19.07, 30, 328.0),
        "XXL": (24.53, 30, None),
    }
    for profile, (heat_kwh, count, litres) in totals.items():
        name = f"EU-{profile}"
        rows: list[Row] = [
            ("heat", "useful heat", heat_kwh, 1e-6, "kWh/day", _heat_kwh, EU),
            ("count", "draws", float(count), 0.0, "a day", _count, EU),
        ]
        if litres is not None:
            source = f"{EU}; arithmetic with 4.186 kJ/(kg K) and 1 kg/L"
            text = "volume at 60 degC from 10 degC"
            rows.append(("litres", text, litres, 0.2, "L/day", _litres_at_60, source))
        title = f"European tapping pattern {profile}"
        yield from _quantities(f"draws-eu-{profile.lower()}", title, name, rows)


def _american() -> Iterator[Claim]:
    totals = {
        "very-small": (10, 9, 1.598),
        "low": (38, 11, 6.072),
        "medium": (55, 12, 8.788),
        "high": (84, 14, 13.422),
    }
    for pattern, (gallons, count, heat_kwh) in totals.items():
        name = f"US-{pattern}"
        rows: list[Row] = [
            ("litres", "volume", gallons * LITRES_PER_GALLON, 0.01, "L/day", _litres, US),
            ("count", "draws", float(count), 0.0, "a day", _count, US),
            (
                "heat",
                "useful heat at 67 degF rise",
                heat_kwh,
                0.026 * heat_kwh,
                "kWh/day",
                _heat_kwh,
                f"{US}; a researcher's file agrees. 2.6 % allowed: the test counts hot-water "
                "density, the program 1 kg/L",
            ),
        ]
        title = f"American test day, {pattern.replace('-', ' ')} use"
        yield from _quantities(f"draws-us-{pattern}", title, name, rows)


@lru_cache(maxsize=1)
def _family() -> Draws:
    litres = People().hot_litres_per_person_per_day
    return household_draws(_clock(), 4, hot_litres_per_person_per_day=litres)


def _heaviest_over_lightest_month() -> float:
    factor = season_factor(_clock(), southern=True)
    return float(factor.max() / factor.min())


def _share(fixture: str) -> float:
    draws = _family()
    of_fixture = draws.fixture == draws.fixture_names.index(fixture)
    return float(draws.mixed_l[of_fixture].sum() / draws.mixed_l.sum())


def _household() -> Iterator[Claim]:
    yield Claim(
        id="draws-household-litres",
        claim="Hot water of a person at 60 degC when the case gives none",
        source="YourHome, hot water, Australian Government: 50 L a person and day (as cited in "
        "a public source list)",
        basis="published",
        expected=50.0,
        tolerance=0.01,
        unit="L/day",
        compute=lambda: (
            _heat_kwh(_family()) * J_PER_KWH / (WATER_CP_J_PER_KG_K * 45.0 * 4 * DAYS_PER_YEAR)
        ),
    )
    for fixture, share in {"short": 0.14, "medium": 0.36, "bath": 0.10, "shower": 0.40}.items():
        yield Claim(
            id=f"draws-household-{fixture}",
            claim=f"Share of a family's hot water drawn as {fixture}",
            source=STATISTICS,
            basis="published",
            expected=share,
            tolerance=0.005,
            unit="-",
            compute=partial(_share, fixture),
        )
    yield Claim(
        id="draws-household-season",
        claim="Hot water drawn in the heaviest month over the lightest, southern hemisphere",
        source="SAP 2012 Table 1c, BRE for the UK government: 1.10 in winter, 0.90 in summer",
        basis="published",
        expected=1.10 / 0.90,
        tolerance=1e-6,
        unit="-",
        compute=_heaviest_over_lightest_month,
    )
