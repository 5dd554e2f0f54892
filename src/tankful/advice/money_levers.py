"""Prices, interest and lives as inputs to turn: the same home, its meters settled again."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tankful.advice.option import Option
from tankful.model.home import Equipment, Home
from tankful.model.tariff import Block, FeedIn, GasBlock, UsageCharge

PERCENT = "% of today's"
"""Unit of an input that stands for several prices at once."""


@dataclass(frozen=True)
class MoneyLever:
    """One input of money: what it is today and the home with another value.

    The net present cost of a control is linear in a ``linear`` one.
    """

    key: str
    label: str
    unit: str
    today: float
    at: Callable[[Home, float], Home]
    linear: bool = True
    known: bool = False
    """Settled by contract or quote: it may be turned, but is not uncertain."""


def money_levers(home: Home, options: Sequence[Option]) -> Iterator[MoneyLever]:
    """Every input of money that bears on any of ``options``."""
    yield from _power(home)
    if home.gas_tariff is not None and home.gas_connected:
        yield from _gas(home)
    yield from _equipment(home, options)
    yield from _wishes(home, options)


def with_feed_in(home: Home) -> Home:
    """The home with a feed-in entry in its plan, which pays nothing where there was none: meters
    read for it can be settled at any feed-in price."""
    if home.electricity_tariff.feed_in:
        return home
    return _replan(home, feed_in=(FeedIn(price_per_kwh=0.0),))


def _power(home: Home) -> Iterator[MoneyLever]:
    plan, per_kwh = home.electricity_tariff, _per("kWh", home)
    if home.pv_w.any():
        label = "price paid for exports"
        ends = [entry.until for entry in plan.feed_in if entry.until and entry.until > home.as_of]
        until = f" until {max(ends):%-d %B %Y}" if ends else ""
        for lever in _one_price("feed-in", label + until, per_kwh, plan.feed_in, "feed_in"):
            yield replace(lever, known=bool(ends))
        if ends and len(plan.feed_in) == 1:
            after = plan.feed_in[0].price_after_per_kwh or 0.0
            label += f" after {ends[0]:%-d %B %Y}"
            yield MoneyLever("feed-in:after", label, per_kwh, after, _feed_in_after_at)
    yield from _one_price("usage", "price of grid electricity", per_kwh, plan.usage, "usage")
    if plan.controlled_load is not None and home.off_peak_circuit:
        yield MoneyLever(
            "off-peak",
            "price on the off-peak circuit",
            per_kwh,
            plan.controlled_load.price_per_kwh,
            _off_peak_at,
        )


def _feed_in_after_at(home: Home, price: float) -> Home:
    (entry,) = home.electricity_tariff.feed_in
    return _replan(home, feed_in=(entry.model_copy(update={"price_after_per_kwh": price}),))


def _one_price(
    key: str,
    label: str,
    unit: str,
    charges: Sequence[UsageCharge | FeedIn],
    name: str,
) -> Iterator[MoneyLever]:
    """A single flat price by its value; several by a percentage of them all."""
    if len(charges) == 1 and charges[0].price_per_kwh is not None:

        def flat(home: Home, price: float) -> Home:
            (charge,) = getattr(home.electricity_tariff, name)
            return _replan(home, **{name: (charge.model_copy(update={"price_per_kwh": price}),)})

        yield MoneyLever(key, label, unit, charges[0].price_per_kwh, flat)
        return

    def scaled(home: Home, percent: float) -> Home:
        now = getattr(home.electricity_tariff, name)
        return _replan(home, **{name: tuple(_scaled(c, percent / 100.0) for c in now)})

    if any(_scaled(charge, 2.0) != charge for charge in charges):
        yield MoneyLever(key, f"{label}, all hours", PERCENT, 100.0, scaled)


def _scaled(charge: UsageCharge | FeedIn, factor: float) -> UsageCharge | FeedIn:
    if charge.price_per_kwh is not None:
        return charge.model_copy(update={"price_per_kwh": charge.price_per_kwh * factor})
    steps = "blocks" if isinstance(charge, UsageCharge) else "tiers"
    blocks: tuple[Block, ...] = getattr(charge, steps)
    dearer = tuple(
        block.model_copy(update={"price_per_kwh": block.price_per_kwh * factor}) for block in blocks
    )
    return charge.model_copy(update={steps: dearer})


def _off_peak_at(home: Home, price: float) -> Home:
    load = home.electricity_tariff.controlled_load
    assert load is not None  # the lever exists only with one
    return _replan(home, controlled_load=load.model_copy(update={"price_per_kwh": price}))


def _gas(home: Home) -> Iterator[MoneyLever]:
    plan = home.gas_tariff
    assert plan is not None
    blocks = plan.blocks

    def priced(home: Home, priced_blocks: tuple[GasBlock, ...]) -> Home:
        assert home.gas_tariff is not None
        return replace(
            home, gas_tariff=home.gas_tariff.model_copy(update={"blocks": priced_blocks})
        )

    def flat(home: Home, price: float) -> Home:
        return priced(home, (blocks[0].model_copy(update={"price_per_mj": price}),))

    def scaled(home: Home, percent: float) -> Home:
        return priced(
            home,
            tuple(
                block.model_copy(update={"price_per_mj": block.price_per_mj * percent / 100.0})
                for block in blocks
            ),
        )

    def supply(home: Home, price: float) -> Home:
        assert home.gas_tariff is not None
        return replace(
            home, gas_tariff=home.gas_tariff.model_copy(update={"supply_per_day": price})
        )

    if len(blocks) == 1:
        unit, today = _per("MJ", home), blocks[0].price_per_mj
        yield MoneyLever("gas", "price of gas", unit, today, flat)
    else:
        yield MoneyLever("gas", "price of gas, all blocks", PERCENT, 100.0, scaled)
    yield MoneyLever(
        "gas-supply", "gas supply charge", _per("day", home), plan.supply_per_day, supply
    )
    if home.gas_leaving_cost:
        yield MoneyLever(
            "leaving",
            "charge for leaving gas",
            home.case.wishes.currency,
            home.gas_leaving_cost,
            lambda home, charge: replace(home, gas_leaving_cost=charge),
        )


def _equipment(home: Home, options: Sequence[Option]) -> Iterator[MoneyLever]:
    """The price and the life of everything that some option buys or keeps."""
    bought = {name for option in options for name in option.parts}
    owned = {option.family for option in options}
    currency = home.case.wishes.currency
    for name, part in home.equipment.items():
        if name in bought and part.installed_price > 0.0:
            yield MoneyLever(
                f"price:{name}",
                f"price of the {part.words}",
                currency,
                part.installed_price,
                _price_of(name),
                known=part.quote is not None,
            )
        if name in owned:
            yield MoneyLever(
                f"life:{name}",
                f"life of the {part.words}",
                "years",
                part.life_years,
                _life_of(name),
                linear=False,
            )


def _price_of(name: str) -> Callable[[Home, float], Home]:
    """Another price of a part, its renewal dearer or cheaper alike."""

    def at(home: Home, price: float) -> Home:
        part = home.equipment[name]
        renewal = part.replacement_price * price / part.installed_price
        return _with_part(home, replace(part, installed_price=price, replacement_price=renewal))

    return at


def _life_of(name: str) -> Callable[[Home, float], Home]:
    def at(home: Home, years: float) -> Home:
        return _with_part(home, replace(home.equipment[name], life_years=years))

    return at


def _wishes(home: Home, options: Sequence[Option]) -> Iterator[MoneyLever]:
    wishes = home.case.wishes
    if any(home.equipment[name].certificates != 0 for o in options for name in o.parts):
        yield MoneyLever(
            "certificate-price",
            "price of a certificate",
            wishes.currency,
            wishes.certificate_price,
            _wish("certificate_price"),
        )
    rates = [
        ("discount-rate", "interest above inflation", "discount_rate_real"),
        ("electricity-growth", "yearly rise of electricity prices", "electricity_growth_real"),
        ("feed-in-growth", "yearly rise of the export price", "feed_in_growth_real"),
        ("gas-growth", "yearly rise of gas prices", "gas_growth_real"),
    ]
    for key, label, name in rates:
        concerned = {"feed-in-growth": home.pv_w.any(), "gas-growth": home.gas_connected}
        if concerned.get(key, True):
            today = getattr(wishes, name)
            yield MoneyLever(key, label, "a year", today, _wish(name), linear=False)


def _wish(name: str) -> Callable[[Home, float], Home]:
    def at(home: Home, value: float) -> Home:
        wishes = home.case.wishes.model_copy(update={name: value})
        return replace(home, case=home.case.model_copy(update={"wishes": wishes}))

    return at


def _with_part(home: Home, part: Equipment) -> Home:
    return replace(home, equipment={**home.equipment, part.id: part})


def _replan(home: Home, **update: Any) -> Home:
    plan = home.electricity_tariff.model_copy(update=update)
    return replace(home, electricity_tariff=plan)


def _per(unit: str, home: Home) -> str:
    return f"{home.case.wishes.currency}/{unit}"
