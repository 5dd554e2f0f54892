"""Values of inputs, flips and futures as people say them."""

from __future__ import annotations

from tankful.advice.money_levers import PERCENT
from tankful.advice.wording import money
from tankful.model.currency import CENTS
from tankful.model.whatif import Crossing, Driver, Flip, Futures, OptionFuture

WEIGHTY = 0.02
"""A share that two hundred draws tell from chance in nineteen cases of twenty, 1.96^2 / 200."""


def amount(value: float, unit: str, currency: str) -> str:
    """A value of an input with its unit: ``4.5 c/kWh``, ``$4,200``, ``50 L``, ``4.0 % a year``."""
    if unit == currency:
        return money(value, currency)
    if unit == PERCENT:
        return f"{value:.0f} % of today's"
    if unit == "a year":
        return f"{100.0 * value:.1f} % a year"
    if unit.startswith(f"{currency}/"):
        per = unit.partition("/")[2]
        if per == "day":
            return f"{value:.2f} {unit}"
        if currency in CENTS:
            digits = 2 if per == "MJ" else 1
            return f"{100.0 * value:.{digits}f} {CENTS[currency]}/{per}"
        return f"{value:.3f} {unit}"
    digits = 0 if unit in ("L", "kWh") or value >= 100.0 else 1
    if unit == "times the usual":
        digits = 2
    return f"{value:,.{digits}f} {unit}"


def flip_sentences(flip: Flip, currency: str) -> tuple[str, ...]:
    """What another value of this input would change; none where nothing flips."""
    today = amount(flip.today, flip.unit, currency)
    now = "" if flip.unit == PERCENT else f" ({today} today)"
    ways = (("below", flip.below), ("above", flip.above))
    return tuple(
        f"{flip.label[0].upper()}{flip.label[1:]} {way} {amount(c.value, flip.unit, currency)}"
        f'{now}: the cheapest is then "{c.option_label}"{_clearly(c, flip, currency)}.'
        for way, c in ways
        if c is not None
    )


def _clearly(crossing: Crossing, flip: Flip, currency: str) -> str:
    if crossing.clear_value is None:
        return ", though by no more than a tie"
    if abs(crossing.clear_value - crossing.value) < 1e-9 * abs(crossing.value):
        return ""
    return f", clearly from {amount(crossing.clear_value, flip.unit, currency)}"


def future_sentences(futures: Futures) -> tuple[str, ...]:
    """How sure the answer is, what it may save, and what that hangs on."""
    best = next(option for option in futures.options if option.id == futures.best_id)
    near = money(futures.tie_margin, futures.currency)
    lines = [
        f'In {_of_hundred(best.best_share)} futures of 100 the cheapest is "{best.label}"; in '
        f"{_of_hundred(best.near_best_share)} it is, or is within {near} of it."
    ]
    rival = next((option for option in futures.options if option.id != best.id), None)
    if rival is not None and rival.best_share > 0.0:
        lines.append(
            f'Next comes "{rival.label}", the cheapest in {_of_hundred(rival.best_share)}.'
        )
    if futures.best_id != futures.base_id:
        lines.append(_saving(best, futures))
    weighty = weighty_drivers(futures)[:4]
    named = ", ".join(f"{driver.label} ({driver.share:.0%})" for driver in weighty)
    if named:
        lines.append(f"The spread comes above all from: {named}.")
    return tuple(lines)


def weighty_drivers(futures: Futures) -> list[Driver]:
    """Those whose share is more than chance may bring in so few draws."""
    return [driver for driver in futures.drivers if driver.share >= WEIGHTY]


def _saving(best: OptionFuture, futures: Futures) -> str:
    low, middle, high = (
        money(value, futures.currency)
        for value in (best.saving_p10, best.saving_p50, best.saving_p90)
    )
    return (
        f"Against {futures.base_words} it saves {middle} in the middle case over "
        f"{futures.horizon_years} years, and between {low} and {high} in eight cases of ten."
    )


def _of_hundred(share: float) -> str:
    return f"{100.0 * share:.0f}"
