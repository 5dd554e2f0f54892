"""Rules of quotes: what belongs to which kind of equipment, and what belongs together."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from tankful.casefile.cop_test import cop_test, rating_cop
from tankful.casefile.faults import shown
from tankful.casefile.quotes import MOST_OF_A_KIND, numbered_quotes
from tankful.casefile.rule import Rule, rule
from tankful.casefile.words import FAMILIES
from tankful.errors import Fault
from tankful.model.case import ELECTRIC_INLINE, HAS_ELEMENT, ONE_OFF, SOLAR_THERMAL, Case, Quote

CERTIFICATE_TANK_L = 425.0
"""Largest air source heat pump tank with certificates (Clean Energy Regulator)."""

BEST_RATING_COP = 6.0
"""Above the laboratory averages of 2.8 to 5.5 at about 20 degC air (Guo and others, Applied
Energy 2011, abstract): more points to a slip in the test's temperatures (judgement)."""

SOLAR = tuple(sorted(SOLAR_THERMAL))
HEAT_PUMP = ("heat_pump",)
COP_TEST = ("cop_air_c", "cop_wet_bulb_c", "cop_water_from_c", "cop_water_to_c")
COLLECTOR_TEST = ("collector_m2", "collector_eta0", "collector_a1", "collector_a2")

QUOTE_FAMILIES: dict[str, tuple[str, ...]] = {
    "tank_l": tuple(sorted(HAS_ELEMENT | SOLAR_THERMAL | {"gas_storage"})),
    "cop": HEAT_PUMP,
    **dict.fromkeys(COP_TEST, HEAT_PUMP),
    "heat_kw": HEAT_PUMP,
    "grade": HEAT_PUMP,
    "cop_model": HEAT_PUMP,
    "variable_speed": HEAT_PUMP,
    "backup_element": HEAT_PUMP,
    "two_elements": ("electric_storage",),
    "element_kw": tuple(sorted(HAS_ELEMENT | ELECTRIC_INLINE)),
    "includes_wiring": tuple(sorted(HAS_ELEMENT | ELECTRIC_INLINE)),
    "certificates": (*HEAT_PUMP, *SOLAR),
    **dict.fromkeys(COLLECTOR_TEST, SOLAR),
    "circulation": SOLAR,
    "frost_protection": SOLAR,
}
"""Families that a field of a quote says something about; fields not named here fit all."""


@rule("quotes")
def quotes_fit_their_family(case: Case, folder: Path) -> Iterator[Fault]:
    for path, quote in _quotes(case):
        for name, families in QUOTE_FAMILIES.items():
            value = getattr(quote, name)
            if value is not None and quote.family not in families:
                yield Fault(
                    f"{path}.{name}",
                    f"a quote for {_words(quote.family)} has no `{name}`",
                    shown(value),
                    f"`only for {', '.join(families)}|`",
                    f"`remove {name}`, or correct `family`",
                )


@rule("quotes")
def quotes_of_a_kind_are_told_apart(case: Case, folder: Path) -> Iterator[Fault]:
    """By their names, and no more of them than are weighed; wiring comes with many heaters."""
    told: set[tuple[str, str]] = set()
    for each in numbered_quotes(case):
        family, words = each.quote.family, f'`"{each.quote.family}"`'
        if family in ONE_OFF and each.number > 1:
            mend = "keep the one you would take"
            yield Fault(f"{each.path}.family", "a second quote for the wiring", words, mend=mend)
        elif each.number > MOST_OF_A_KIND:
            mend = f"keep the {MOST_OF_A_KIND} that are most worth comparing"
            problem = f"more than {MOST_OF_A_KIND} quotes for {_words(family)}"
            yield Fault(f"{each.path}.family", problem, words, mend=mend)
        name = family, " ".join(each.name.split()).casefold()
        if name in told:
            problem = f"an earlier quote for {_words(family)} has this name"
            mend = (
                'give each a name of its own, such as `"Quote A" and "Quote B"|Quote A and Quote B`'
            )
            yield Fault(f"{each.path}.label", problem, shown(each.name), mend=mend)
        told.add(name)


@rule("quotes")
def rebate_is_below_the_price(case: Case, folder: Path) -> Iterator[Fault]:
    for path, quote in _quotes(case):
        if quote.installed_price is not None and quote.rebate > quote.installed_price:
            yield Fault(
                f"{path}.rebate",
                "the rebate is larger than the price",
                f"{quote.rebate:g}",
                f"at most {quote.installed_price:g}",
                "give the price before rebates and certificates as `installed_price`",
            )


@rule("quotes")
def collector_values_come_together(case: Case, folder: Path) -> Iterator[Fault]:
    """The coefficients hold for the area they were measured for: gross, aperture or absorber."""
    for path, quote in _quotes(case):
        given = [name for name in COLLECTOR_TEST if getattr(quote, name) is not None]
        missing = [name for name in COLLECTOR_TEST if name not in given]
        if given and missing:
            yield Fault(
                f"{path}.{given[0]}",
                f"given without {', '.join(f'`{name}`' for name in missing)}",
                mend="the four values of one test certificate belong together: give all, or none",
            )


@rule("quotes")
def cop_test_has_its_cop(case: Case, folder: Path) -> Iterator[Fault]:
    for path, quote in _quotes(case):
        given = [name for name in COP_TEST if getattr(quote, name) is not None]
        if given and quote.cop is None and quote.family == "heat_pump":
            yield Fault(
                f"{path}.{given[0]}",
                "the temperatures of a test say nothing without its `cop`",
                mend="`add cop = ...|fill in <cop>`, or remove the temperatures",
            )


@rule("quotes")
def cop_test_is_possible(case: Case, folder: Path) -> Iterator[Fault]:
    for path, quote in _quotes(case):
        air_c, wet_bulb_c, from_c, to_c = cop_test(quote)
        if wet_bulb_c > air_c:
            yield Fault(
                f"{path}.cop_wet_bulb_c",
                "the wet bulb is never warmer than the air",
                f"{wet_bulb_c:g} in air of {air_c:g} degC",
                mend="check that `cop_air_c` and `cop_wet_bulb_c` are not swapped",
            )
        if from_c > to_c:
            yield Fault(
                f"{path}.cop_water_from_c",
                "a test heats the water up",
                f"from {from_c:g} to {to_c:g} degC",
                mend="check that `cop_water_from_c` and `cop_water_to_c` are not swapped",
            )


@rule("quotes")
def no_element_has_no_power(case: Case, folder: Path) -> Iterator[Fault]:
    for path, quote in _quotes(case):
        if quote.backup_element == "none" and quote.element_kw is not None:
            yield Fault(
                f"{path}.element_kw",
                "power of an element that the heat pump does not have",
                f'{quote.element_kw:g}` with backup_element = "none"|`',
                mend="`remove element_kw`, or correct `backup_element`",
            )


@rule("quotes")
def circulating_takes_a_pump(case: Case, folder: Path) -> Iterator[Fault]:
    for path, quote in _quotes(case):
        if quote.circulation == "thermosiphon" and quote.frost_protection == "circulate":
            yield Fault(
                f"{path}.frost_protection",
                "without a pump no water is circulated on frosty nights",
                '`"circulate"` with `circulation "thermosiphon"`',
                mend='`write frost_protection = "antifreeze"`, or correct `circulation`',
            )


@rule("quotes")
def certificates_fit_the_tank(case: Case, folder: Path) -> Iterator[Fault]:
    for path, quote in _quotes(case):
        if (quote.certificates or 0) > 0 and _over_limit(quote):
            yield Fault(
                f"{path}.certificates",
                "heat pumps with so large a tank earn no certificates",
                f"{quote.certificates} with `tank_l = |a tank of `{quote.tank_l:g}`| L`",
                f"tanks up to {CERTIFICATE_TANK_L:g} L",
                "ask the installer for the model's entry in the regulator's register",
            )


@rule("quotes")
def quoted_cop_is_believable(case: Case, folder: Path) -> Iterator[Fault]:
    for path, quote in _quotes(case):
        if quote.family != "heat_pump" or quote.cop is None:
            continue
        cop = rating_cop(quote, frost_penalty=0.0)
        if cop > BEST_RATING_COP:
            yield Fault(
                f"{path}.cop",
                f"at {cop_test(quote).text()} it means {cop:.1f} at the rating point, more than "
                "small heat pumps reach",
                f"{quote.cop:g}",
                mend="check the temperatures of the test report",
            )


def _words(family: str) -> str:
    """A kind of equipment, in words with marks."""
    return f"`{family}|“{FAMILIES[family]}”`"


def _quotes(case: Case) -> Iterator[tuple[str, Quote]]:
    """Each quote with its path."""
    for each in numbered_quotes(case):
        yield each.path, each.quote


def _over_limit(quote: Quote) -> bool:
    too_large = quote.tank_l is not None and quote.tank_l > CERTIFICATE_TANK_L
    return quote.family == "heat_pump" and too_large


QUOTE_RULES: tuple[Rule, ...] = (
    quotes_of_a_kind_are_told_apart,
    quotes_fit_their_family,
    rebate_is_below_the_price,
    collector_values_come_together,
    cop_test_has_its_cop,
    cop_test_is_possible,
    no_element_has_no_power,
    circulating_takes_a_pump,
)
QUOTE_WARNINGS: tuple[Rule, ...] = (certificates_fit_the_tank, quoted_cop_is_believable)
