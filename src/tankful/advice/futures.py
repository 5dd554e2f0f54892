"""Futures: every option under many paired draws of what is uncertain.

Prices, their growth, lives, use, weather and performance are drawn together by a Latin hypercube;
every option meets the same draws, its control set once to what is best at today's prices.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from tankful.advice.along import Costs, Landscape
from tankful.advice.circumstances import TODAY, Circumstances
from tankful.advice.compare import BASE_NAMES, BASES, Progress
from tankful.advice.levers import Reach, reach_of
from tankful.advice.option import Option
from tankful.clock import FloatArray
from tankful.model.home import Home
from tankful.model.whatif import Driver, Futures, OptionFuture

TENTH_Z = 1.2815515655446004
"""Standard normal value that nine tenths lie below."""

FUTURES_STEP_MIN = 30
"""Step of the draws' years; costs are corrected to agree with the answer's at today's values."""

WEATHER_YEARS = 12
"""Orders of the weather's days among which each draw takes one."""

BEARS = 1.0
"""An input that alone moves the saving by less than this, at the far end of what is expected, does
not bear on it [money]."""


@dataclass(frozen=True)
class Uncertain:
    """Something drawn: a lever, or the year's sun and warmth, with its range."""

    key: str
    label: str
    unit: str
    today: float
    reach: Reach
    turn: Callable[[Home, Circumstances, float], tuple[Home, Circumstances]]


def uncertain_of(land: Landscape) -> tuple[Uncertain, ...]:
    """Everything with a range to be expected."""
    found = [
        Uncertain(lever.key, lever.label, lever.unit, lever.today, lever.reach, lever.turn)
        for lever in land.levers
        if lever.reach.p10 is not None
    ]
    for key, label, unit, today, name in (
        ("sun", "sun of the years to come", "times the usual", 1.0, "sun"),
        ("warmth", "warmth of the years to come", "K above the usual", 0.0, "air_k"),
    ):
        reach = reach_of(key, today, unit)
        assert reach is not None
        found.append(Uncertain(key, label, unit, today, reach, _circumstance(name)))
    return tuple(found)


def _circumstance(name: str) -> Callable[..., tuple[Home, Circumstances]]:
    def turn(home: Home, how: Circumstances, value: float) -> tuple[Home, Circumstances]:
        return home, how.with_(name, value)

    return turn


def drawn(uncertain: Sequence[Uncertain], draws: int, seed: int) -> FloatArray:
    """Values of every uncertain input, shape ``(draws, n_uncertain)``: a Latin hypercube.

    Each follows two halves of normal curves that meet at today's value and leave a tenth below
    ``p10`` and above ``p90``, cut at the ends of reason.
    """
    from scipy.special import ndtri
    from scipy.stats import qmc

    sampler = qmc.LatinHypercube(len(uncertain), rng=np.random.default_rng(seed))
    z = ndtri(sampler.random(draws)) / TENTH_Z
    values: FloatArray = np.empty_like(z)
    for i, item in enumerate(uncertain):
        p10, p90 = item.reach.p10, item.reach.p90
        assert p10 is not None
        assert p90 is not None
        width = np.where(z[:, i] < 0.0, item.today - p10, p90 - item.today)
        values[:, i] = np.clip(item.today + z[:, i] * width, item.reach.low, item.reach.high)
    return values


def find_futures(
    land: Landscape,
    *,
    draws: int,
    seed: int,
    progress: Progress = lambda *_: None,
) -> Futures:
    """Cost every option in each draw; savings count against what ``compare.BASES`` names."""
    uncertain = uncertain_of(land)
    values = drawn(uncertain, draws, seed)
    rng = np.random.default_rng(seed)
    weather = rng.integers(1, WEATHER_YEARS + 1, draws)
    rough = land.fine.settled().on_step(FUTURES_STEP_MIN)

    def costs(year: int, turns: Iterable[tuple[Uncertain, float]]) -> Costs:
        home, how = land.fine.home, replace(TODAY, weather=year)
        for item, value in turns:
            home, how = item.turn(home, how, float(value))
        outlook = rough.under(home)
        if how != TODAY:  # else the year at hand will do
            outlook = outlook.simulated(how, FUTURES_STEP_MIN)
        return Costs(outlook.cheapest(outlook.trial_costs()), outlook.usable)

    found = []
    rows = [
        (int(year), list(zip(uncertain, row, strict=True)))
        for year, row in zip(weather, values, strict=True)
    ]
    apart = [(TODAY.weather, [(item, _far_end(item))]) for item in uncertain]
    with ThreadPoolExecutor(max_workers=2) as pool:  # the compiled year lets other threads run
        for i, result in enumerate(pool.map(lambda row: costs(*row), rows)):
            progress(i, draws, "another future")
            found.append(result)
        alone = [item.cheapest for item in pool.map(lambda row: costs(*row), apart)]
    usual = costs(TODAY.weather, ()).cheapest
    progress(draws, draws, "done")
    cheapest = np.stack([item.cheapest for item in found])
    ranked = np.stack([item.ranked for item in found])
    moved = np.stack(alone) - usual
    return _summed(land, uncertain, values, cheapest, ranked, moved, seed=seed)


def _far_end(item: Uncertain) -> float:
    """The end of the expected range that lies further from today's value."""
    ends = (item.reach.p10 or 0.0, item.reach.p90 or 0.0)
    return max(ends, key=lambda value: abs(value - item.today))


def _summed(
    land: Landscape,
    uncertain: Sequence[Uncertain],
    values: FloatArray,
    cheapest: FloatArray,
    ranked: FloatArray,
    moved: FloatArray,
    *,
    seed: int,
) -> Futures:
    """``moved`` is what each input alone changes of each option's cost, shape
    ``(n_uncertain, n_options)``: what leaves the best option's saving alone is no driver of it,
    however it happens to fall beside it in the draws."""
    ids = [option.id for option in land.fine.options]
    base_id = next(name for name in BASES if name in ids)
    base = ids.index(base_id)
    wishes = land.fine.home.case.wishes
    saving = cheapest[:, [base]] - cheapest
    best = land.best
    bearing = np.abs(_driven(moved[:, [base]] - moved, best, base, moved)) >= BEARS
    regret = ranked - ranked.min(axis=1, keepdims=True)
    options = [
        _future_of(option, saving[:, i], regret[:, i], wishes.tie_margin)
        for i, option in enumerate(land.fine.options)
    ]
    options.sort(key=lambda o: (-o.best_share, o.regret_mean))
    return Futures(
        case_name=land.fine.home.case.name,
        currency=wishes.currency,
        horizon_years=wishes.horizon_years,
        draws=len(values),
        seed=seed,
        step_min=FUTURES_STEP_MIN,
        best_id=ids[best],
        base_id=base_id,
        base_words=BASE_NAMES[base_id],
        tie_margin=wishes.tie_margin,
        options=tuple(options),
        drivers=_drivers(
            [item for item, bears in zip(uncertain, bearing, strict=True) if bears],
            values[:, bearing],
            _driven(saving, best, base, cheapest),
        ),
    )


def _future_of(
    option: Option, saving: FloatArray, regret: FloatArray, tie_margin: float
) -> OptionFuture:
    """An option over all draws: what it saves in each, and how far it is behind the cheapest."""
    return OptionFuture(
        id=option.id,
        label=option.label,
        best_share=float((regret <= 0.0).mean()),
        near_best_share=float((regret <= tie_margin).mean()),
        unusable_share=float(np.isinf(regret).mean()),
        saving_p10=float(np.quantile(saving, 0.1)),
        saving_p50=float(np.quantile(saving, 0.5)),
        saving_p90=float(np.quantile(saving, 0.9)),
        regret_mean=_mean_finite(regret),
    )


def _driven(saving: FloatArray, best: int, base: int, cheapest: FloatArray) -> FloatArray:
    """What the drivers explain: the best option's saving, or its cost where it is the base."""
    return -cheapest[:, best] if best == base else saving[:, best]


def _mean_finite(regret: FloatArray) -> float:
    finite = regret[np.isfinite(regret)]
    return float(finite.mean()) if finite.size else float("inf")


def _drivers(
    uncertain: Sequence[Uncertain], values: FloatArray, result: FloatArray
) -> tuple[Driver, ...]:
    """Squared rank correlation of each input with the result, strongest first; 0 for what never
    moves."""
    from scipy.stats import rankdata

    x = rankdata(values, axis=0) - (len(values) + 1) / 2.0
    y = rankdata(result) - (len(result) + 1) / 2.0
    spread = np.sqrt((x**2).sum(axis=0) * (y**2).sum())
    correlation = np.divide(y @ x, spread, out=np.zeros(x.shape[1]), where=spread > 0.0)
    drivers = [
        Driver(
            key=item.key,
            label=item.label,
            unit=item.unit,
            p10=float(item.reach.p10 or 0.0),
            p90=float(item.reach.p90 or 0.0),
            basis=item.reach.basis,
            share=float(r * r),
            rises=bool(r > 0.0),
        )
        for item, r in zip(uncertain, correlation, strict=True)
    ]
    return tuple(sorted(drivers, key=lambda driver: -driver.share))
