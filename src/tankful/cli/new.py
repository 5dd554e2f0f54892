"""``tankful new``: a commented case file from a few answers."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tankful.cli.plain_words import (
    amount,
    heater_hours,
    heater_kind,
    price_per_kwh,
)

if TYPE_CHECKING:
    from tankful.casefile.write import Answers

CAPITAL = "2000"
"""Taken when nobody says where the home is, and said so."""

NETWORK = "network"
USUAL_PRICE = "usual of the state"


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--postcode", help="Australian postcode of the home.")
@click.option("--yes", is_flag=True, help="Ask nothing; leave everything to its default.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
def command(file: Path, postcode: str | None, yes: bool, force: bool) -> None:
    """Write a new case to FILE, with every field explained.

    Asks the few things that matter most; Enter takes the default in brackets. Everything
    else stands in the file with its default, ready to be changed.
    """
    from tankful.casefile.write import Answers, new_case_text, refuse_unwritable, write_case

    refuse_unwritable(file, replace=force)
    if yes:
        answers = Answers(postcode=_known_postcode(CAPITAL if postcode is None else postcode))
        if postcode is None:
            click.echo(f"The postcode is {CAPITAL} until you change it in the file.", err=True)
    else:
        answers = _asked(postcode)
    write_case(file, new_case_text(answers), replace=force)
    click.echo(f"{file} is written. Look through it, then: tankful check {file}", err=True)


def _asked(postcode: str | None) -> Answers:
    """The answers of a person at the terminal."""
    from tankful.casefile.words import KINDS
    from tankful.casefile.write import Answers
    from tankful.model.case import BURNS_GAS, HAS_ELEMENT

    if sys.stdin is None:
        raise click.UsageError("there is nobody to ask: add --yes")
    if postcode is None:
        code = click.prompt("Postcode of the home", default=CAPITAL, value_proc=_known_postcode)
    else:
        code = _known_postcode(postcode)
    people = click.prompt("People living there", default="3", value_proc=_people)
    for name, words in KINDS.items():
        click.echo(f"  {name:<20} {words}")
    kind = click.prompt(
        "Water heater today",
        default="electric_storage",
        value_proc=lambda text: heater_kind(text, KINDS),
    )
    age_years = None if kind == "none" else _asked_age()
    hours: str | tuple[str, str] = _asked_hours(code) if kind in HAS_ELEMENT else "always"
    bottled_gas = _asked_gas() if kind in BURNS_GAS else None
    panels_kw, battery_kwh, feed_in = _asked_panels()
    use_kwh = click.prompt(
        "Electricity a year without hot water, before panels: kWh, or the bill as $1800",
        default="usual for the people",
        value_proc=lambda text: _use_kwh(text, code),
    )
    return Answers(
        postcode=code,
        people=people,
        heater_kind=kind,
        heater_age_years=age_years,
        panels_kw=panels_kw,
        annual_use_kwh=use_kwh,
        battery_kwh=battery_kwh,
        bottled_gas=bottled_gas,
        heater_hours=hours,
        feed_in_price_per_kwh=feed_in,
    )


def _asked_age() -> float:
    return click.prompt(
        "Its age in years",
        default="8",
        value_proc=lambda text: amount(text, "years", 0, 60, "11"),
    )


def _asked_hours(postcode: str) -> str | tuple[str, str]:
    return click.prompt(
        "When it may heat: always, off-peak, or hours such as 22:00-07:00",
        default="always",
        value_proc=lambda text: _hours(text, postcode),
    )


def _asked_gas() -> dict[str, float] | None:
    return click.prompt(
        "Gas from the network, or the price of bottled gas such as 4.20/kg or 2.10/L",
        default=NETWORK,
        value_proc=_bottled_gas,
    )


def _asked_panels() -> tuple[float | None, float | None, float | None]:
    """Panels [kW], the battery beside them [kWh] and the export price; ``None`` for what there is
    not, or what is left to the usual."""
    panels_kw = click.prompt(
        "Solar panels, kW", default="0", value_proc=lambda text: _or_none(text, "kW", 100, "6.6")
    )
    if not panels_kw:
        return None, None, None
    battery_kwh = click.prompt(
        "Home battery, kWh",
        default="0",
        value_proc=lambda text: _or_none(text, "kWh", 200, "10"),
    )
    feed_in = click.prompt(
        "Paid for a kWh of exported electricity, such as 5c",
        default=USUAL_PRICE,
        value_proc=lambda text: None if text == USUAL_PRICE else price_per_kwh(text),
    )
    return panels_kw, battery_kwh or None, feed_in


def _people(text: str) -> int:
    number = amount(text, "people", 1, 20, "4")
    if number != int(number):
        raise click.UsageError("write a whole number of people, such as 4")
    return int(number)


def _or_none(text: str, unit: str, high: float, example: str) -> float:
    """An amount, or nought for "none"."""
    if text.strip().lower() in ("", "no", "none"):
        return 0.0
    return amount(text, unit, 0, high, example)


def _hours(text: str, postcode: str) -> str | tuple[str, str]:
    """When the heater may run; off-peak only where the state's default plan has it."""
    from tankful.casefile.offers import default_electricity_tariff
    from tankful.site.place import find_place

    hours = heater_hours(text)
    state = find_place(postcode).state or ""
    if hours == "off_peak" and default_electricity_tariff(state)[0].controlled_load is None:
        raise click.UsageError(
            f"the default plan of {state} has no off-peak circuit: write always or its hours "
            "here, and give your plan in the file"
        )
    return hours


def _bottled_gas(text: str) -> dict[str, float] | None:
    """The price of bottled gas by its field; ``None`` for gas from the network."""
    words = text.strip().lower().removeprefix("$")
    if words in ("", NETWORK):
        return None
    price, _, unit = words.partition("/")
    field = {"kg": "price_per_kg", "l": "price_per_l"}.get(unit.strip())
    try:
        number = float(price)
    except ValueError:
        number = 0.0
    if field is None or not 0.0 < number <= 10_000.0:
        raise click.UsageError(f"write {NETWORK}, or a price such as 4.20/kg or 2.10/L")
    return {field: number}


def _known_postcode(text: str) -> str:
    """A postcode that the tables know; otherwise the question comes again."""
    from tankful.errors import PlaceError
    from tankful.site.place import find_place

    try:
        find_place(text.strip())
    except PlaceError as error:
        raise click.UsageError("; ".join(f"{f.problem}, {f.mend}" for f in error.faults)) from None
    return text.strip()


def _use_kwh(text: str, postcode: str) -> float | None:
    """Yearly use from kWh or a bill under the state's default plan; ``None`` for the usual."""
    from tankful.casefile.defaults import annual_use_from_bill
    from tankful.casefile.offers import default_electricity_tariff
    from tankful.site.place import find_place

    words = text.strip().replace(",", "").lower()
    if words in ("", "usual for the people"):
        return None
    try:
        number = float(words.removeprefix("$").removesuffix("kwh"))
    except ValueError:
        raise click.UsageError("write a number such as 4500, or a bill such as $1800") from None
    if words.startswith("$"):
        tariff, _ = default_electricity_tariff(find_place(postcode).state or "")
        price = tariff.usage[0].price_per_kwh
        assert price is not None
        if not number > 365 * tariff.supply_per_day:  # also true of nan
            raise click.UsageError("such a bill would not even pay the daily supply charge")
        number = round(annual_use_from_bill(number, price, tariff.supply_per_day), -1)
        click.echo(f"Under the default plan of the state that is about {number:,.0f} kWh.")
    if not 0 <= number <= 100_000:
        raise click.UsageError("a yearly use lies between 0 and 100000 kWh")
    return number
