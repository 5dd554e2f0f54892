"""What the home buys: the electricity plan, gas, and what leaving gas would cost."""

from __future__ import annotations

from dataclasses import dataclass

from tankful.casefile.filling import Filling
from tankful.casefile.mends import section
from tankful.casefile.offers import (
    default_electricity_tariff,
    default_gas_tariff,
    default_leaving_cost,
)
from tankful.casefile.words import electricity_words, gas_words
from tankful.errors import CaseError, Fault
from tankful.model.case import BURNS_GAS, BottledGas, Electricity
from tankful.model.tariff import ElectricityTariff, FeedIn, GasBlock, GasTariff, UsageCharge
from tankful.site.place import Place
from tankful.units import DAYS_PER_YEAR


def electricity_tariff_of(filling: Filling, place: Place) -> ElectricityTariff:
    """The case's plan, or the default plan of the state. CaseError outside Australia."""
    power = filling.case.electricity
    if power.tariff is not None:
        return _with_own_feed_in(power.tariff, power.feed_in_price_per_kwh)
    default, _ = default_electricity_tariff(place.state or place.country)
    tariff = with_own_prices(default, power)
    words = "; ".join(electricity_words(tariff, filling.case.wishes.currency))
    filling.work_out("electricity.tariff", tariff.name, "", f"{words}; {tariff.source}")
    filling.notes.append(
        "The electricity prices and switching hours are one default for the whole state, not of "
        "this home's network and plan: take those of a bill."
    )
    return tariff


def _with_own_feed_in(plan: ElectricityTariff, price_per_kwh: float | None) -> ElectricityTariff:
    """The case's plan; one that names no payment for exports takes the single price beside it."""
    if price_per_kwh is None:
        return plan
    return plan.model_copy(update={"feed_in": (FeedIn(price_per_kwh=price_per_kwh),)})


OWN_PRICES = ("usage_price_per_kwh", "off_peak_price_per_kwh", "feed_in_price_per_kwh")
"""Single prices of the case that replace those of the default plan."""


def with_own_prices(tariff: ElectricityTariff, power: Electricity) -> ElectricityTariff:
    """The default plan with the single prices that the case gives. CaseError for a price of
    an off-peak circuit that the plan does not know."""
    changes: dict[str, object] = {}
    if power.usage_price_per_kwh is not None:
        changes["usage"] = (UsageCharge(price_per_kwh=power.usage_price_per_kwh),)
    if power.feed_in_price_per_kwh is not None:
        changes["feed_in"] = (FeedIn(price_per_kwh=power.feed_in_price_per_kwh),)
    if power.off_peak_price_per_kwh is not None:
        if tariff.controlled_load is None:
            fault = Fault(
                "electricity.off_peak_price_per_kwh",
                "the default plan of this place has no off-peak circuit",
                f"{power.off_peak_price_per_kwh:g}",
                mend=f"give the plan with {section('electricity.tariff.controlled_load')}",
            )
            raise CaseError("The off-peak price has no hours.", [fault])
        price = {"price_per_kwh": power.off_peak_price_per_kwh}
        changes["controlled_load"] = tariff.controlled_load.model_copy(update=price)
    if not changes:
        return tariff
    given = " and ".join(name for name in OWN_PRICES if getattr(power, name) is not None)
    changes["name"] = f"{tariff.name} with your own prices"
    changes["source"] = f"{given} as the case gives; the rest by {tariff.source}"
    return tariff.model_copy(update=changes)


def off_peak_circuit_of(filling: Filling, tariff: ElectricityTariff) -> bool:
    """Whether the water heater can have a controlled-load circuit."""
    given = filling.case.electricity.off_peak_circuit
    if given is not None:
        return given
    exists = tariff.controlled_load is not None
    how = "the plan has a controlled load" if exists else "the plan has no controlled load"
    filling.work_out("electricity.off_peak_circuit", exists, "", how)
    return exists


@dataclass(frozen=True)
class GasSupply:
    """Gas at the home; tariff ``None`` and leaving cost 0 where there is none."""

    connected: bool
    tariff: GasTariff | None
    leaving_cost: float


def gas_of(filling: Filling, place: Place) -> GasSupply:
    """Gas as the case gives it, filled in by state. CaseError where no default is known."""
    given = filling.case.gas
    connected = given.connected
    if connected is None:
        connected = _uses_gas(filling)
        how = "gas is used" if connected else "nothing uses gas"
        filling.work_out("gas.connected", connected, "", how)
    if not connected:
        return GasSupply(False, None, 0.0)
    state = place.state or place.country
    currency = filling.case.wishes.currency
    if given.bottles is not None:
        return GasSupply(True, bottled_gas_tariff(given.bottles), 0.0)
    tariff = given.tariff
    if tariff is None:
        tariff, _ = default_gas_tariff(state)
        if given.price_per_mj is not None:
            tariff = _with_own_gas_price(tariff, given.price_per_mj)
        words = "; ".join(gas_words(tariff, currency))
        filling.work_out("gas.tariff", tariff.name, "", f"{words}; {tariff.source}")
    leaving_cost = given.leaving_cost
    if leaving_cost is None:
        leaving_cost, source_id = default_leaving_cost(state)
        filling.assume("gas.leaving_cost", leaving_cost, currency, source_id)
    return GasSupply(True, tariff, leaving_cost)


def _with_own_gas_price(tariff: GasTariff, price_per_mj: float) -> GasTariff:
    """The default plan with the case's price for all gas."""
    return tariff.model_copy(
        update={
            "name": f"{tariff.name} with your own price",
            "source": f"price_per_mj as the case gives; the rest by {tariff.source}",
            "blocks": (GasBlock(price_per_mj=price_per_mj),),
        }
    )


def bottled_gas_tariff(bottles: BottledGas) -> GasTariff:
    """Bottled gas as a plan per MJ, with the rent as its daily charge."""
    return GasTariff(
        name="bottled gas",
        source="the case",
        supply_per_day=bottles.rent_per_year / DAYS_PER_YEAR,
        blocks=(GasBlock(price_per_mj=bottles.price_per_mj),),
    )


def _uses_gas(filling: Filling) -> bool:
    case = filling.case
    return (
        case.heater.kind in BURNS_GAS
        or case.gas.other_use_mj > 0
        or case.gas.tariff is not None
        or case.gas.bottles is not None
        or case.constraints.keep_gas
    )
