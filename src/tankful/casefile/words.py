"""Plans, panels, battery and car in words, for people to check what was understood."""

from __future__ import annotations

from tankful.model.case import Battery, BottledGas, CarCharging, Electricity, PvArray
from tankful.model.tariff import (
    Block,
    ControlledLoad,
    DemandCharge,
    ElectricityTariff,
    FeedIn,
    FreeWindow,
    GasTariff,
    UsageCharge,
)
from tankful.model.window import Window, mean_hours_a_day, windows_text

EVERYDAY = Window()

KINDS = {
    "electric_storage": "electric tank",
    "electric_continuous": "electric continuous-flow heater",
    "heat_pump": "heat pump",
    "solar_flat": "flat-plate solar heater with electric boost",
    "solar_tube": "evacuated-tube solar heater with electric boost",
    "solar_gas": "flat-plate solar heater with gas boost after the tank",
    "solar_gas_tank": "flat-plate solar heater with gas boost in the tank",
    "solar_inline": "flat-plate solar heater, electric boost after the tank",
    "gas_storage": "gas storage heater",
    "gas_continuous": "gas continuous-flow heater",
    "none": "no water heater",
}

FAMILIES = {
    **KINDS,
    "diverter": "diverter",
    "dedicated_panels": "panels wired straight to an element",
    "timer": "timer",
    "off_peak_connection": "off-peak connection",
    "surplus_switch": "surplus switch",
    "electric_circuit": "circuit for an electric heater",
}


def electricity_words(tariff: ElectricityTariff, currency: str) -> list[str]:
    """Each charge of an electricity plan in words."""
    lines = [f"supply {tariff.supply_per_day:.4g} {currency} a day"]
    lines += [_usage(charge, currency) for charge in tariff.usage]
    if tariff.controlled_load is not None:
        lines.append(_controlled(tariff.controlled_load, currency))
    lines += [_feed_in(entry, currency) for entry in tariff.feed_in]
    if not tariff.feed_in:
        lines.append("nothing paid for export")
    if tariff.free_window is not None:
        lines.append(_free(tariff.free_window))
    return lines + [_demand(charge, currency) for charge in tariff.demand]


def gas_words(tariff: GasTariff, currency: str) -> list[str]:
    """Each charge of a gas plan in words."""
    lines = [f"supply {tariff.supply_per_day:.4g} {currency} a day"]
    for block in tariff.blocks:
        end = block.up_to_mj_per_day
        limit = f" up to {end:g} MJ a day" if end is not None else ""
        lines.append(f"{block.price_per_mj:.4g} {currency}/MJ{limit}")
    return lines


def bottled_words(bottles: BottledGas, currency: str) -> list[str]:
    """The price and rent of bottled gas in words."""
    per_kg = bottles.price_per_kg is not None
    price, unit = (bottles.price_per_kg, "kg") if per_kg else (bottles.price_per_l, "L")
    lines = [f"bottled gas {price:.4g} {currency}/{unit}"]
    lines.append(f"that is {bottles.price_per_mj:.3g} {currency}/MJ")
    if bottles.rent_per_year:
        lines.append(f"rent of the bottles {bottles.rent_per_year:g} {currency} a year")
    return lines


def panels_words(power: Electricity) -> str:
    """The panels, inverter, export limits and metering in one line."""
    if not power.arrays:
        return "no panels"
    parts = [f"{array.kw:g} kW of panels{_shade(array)}" for array in power.arrays]
    if power.inverter_kw is not None:
        parts.append(f"inverter {power.inverter_kw:g} kW")
    parts += [f"export at most {entry.kw:g} kW {entry.text()}" for entry in power.export_limits]
    if power.export_limit_kw is not None:
        rest = " otherwise" if power.export_limits else ""
        parts.append(f"export at most {power.export_limit_kw:g} kW{rest}")
    if power.metering == "each_phase":
        parts.append("each of three phases metered by itself")
    return ", ".join(parts)


def _shade(array: PvArray) -> str:
    behind = horizon_words(array.horizon_deg or ())
    if array.shading is None:
        return behind
    least, most = min(array.shading), max(array.shading)
    share = f"{least:.0%}" if least == most else f"{least:.0%} to {most:.0%}"
    return f"{behind} ({share} of the light lost to shade)"


def horizon_words(horizon_deg: tuple[float, ...]) -> str:
    """A horizon in words to append; empty where it is open."""
    return f" behind a horizon of up to {max(horizon_deg):g} degrees" if any(horizon_deg) else ""


def battery_words(battery: Battery) -> str:
    """A home battery in one line."""
    second = {"water": "battery", "battery": "water"}[battery.first]
    return (
        f"{battery.capacity_kwh:g} kWh, {battery.reserve_fraction:.0%} of it kept back, "
        f"{battery.power_kw:g} kW, {battery.round_trip_efficiency:.0%} comes back; spare sun goes "
        f"to the {battery.first} first, then to the {second}"
    )


def car_words(car: CarCharging) -> str:
    """Car charging in one line."""
    hours = mean_hours_a_day(car.hours)
    power_kw = car.kwh_per_day / hours
    return f"{car.kwh_per_day:g} kWh a day, {windows_text(car.hours)} at {power_kw:.1f} kW"


def _when(window: Window) -> str:
    same = all(getattr(window, name) == getattr(EVERYDAY, name) for name in Window.model_fields)
    return "" if same else f" {window.text()}"


def _blocks(blocks: tuple[Block, ...], currency: str) -> str:
    return ", ".join(
        f"{block.price_per_kwh:.4g} {currency}/kWh"
        + (
            f" up to {block.up_to_kwh_per_day:g} kWh a day"
            if block.up_to_kwh_per_day is not None
            else " beyond"
        )
        for block in blocks
    )


def _usage(charge: UsageCharge, currency: str) -> str:
    if charge.price_per_kwh is None:
        price = _blocks(charge.blocks, currency)
    else:
        price = f"{charge.price_per_kwh:.4g} {currency}/kWh"
    return f"{charge.name} {price}{_when(charge)}"


def _controlled(load: ControlledLoad, currency: str) -> str:
    hours = windows_text(load.hours)
    supply = f" and {load.supply_per_day:.4g} {currency} a day" if load.supply_per_day else ""
    return f"{load.name} {load.price_per_kwh:.4g} {currency}/kWh{supply}, {hours}"


def _feed_in(entry: FeedIn, currency: str) -> str:
    if entry.price_per_kwh is None:
        price = _blocks(entry.tiers, currency)
    else:
        price = f"{entry.price_per_kwh:.4g} {currency}/kWh"
    words = f"export pays {price}{_when(entry)}"
    if entry.until is None:
        return words
    after = entry.price_after_per_kwh
    then = "nothing" if after is None else f"{after:.4g} {currency}/kWh"
    return f"{words} until {entry.until:%-d %B %Y}, then {then}"


def _free(window: FreeWindow) -> str:
    cap = window.cap_kwh_per_day
    limit = f", at most {cap:g} kWh a day" if cap is not None else ""
    return f"free {window.text()}{limit}"


def _demand(charge: DemandCharge, currency: str) -> str:
    return f"demand {charge.price_per_kw_per_day:.4g} {currency}/kW a day {charge.text()}"
