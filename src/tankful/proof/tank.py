"""The stratified tank against closed forms."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache, partial
from math import ceil

import numpy as np

from tankful.casefile.defaults import tank_loss_w_per_k
from tankful.physics.tank import conduct, displace, layer_exchange
from tankful.proof.check import Claim
from tankful.proof.rig import electric_tank, run, steady_drive
from tankful.simulate.kernel import draw
from tankful.units import J_PER_KWH, SECONDS_PER_DAY, WATER_CP_J_PER_KG_K

NEWTON = "Newton's law of cooling, solved in closed form: T = Ta + (T0 - Ta) exp(-UA t / C)"
TANKS_IN_SERIES = (
    "Closed form of N equal mixed zones in series (Poisson sum), derived for this check and "
    "confirmed by a fine numerical run"
)
PORTION = 2e-3
"""Layers moved by one small draw: near the limit in which the closed form holds."""


def claims() -> Iterator[Claim]:
    """Every claim about the tank."""
    yield from _cooling()
    yield from _loss_limits()
    yield from _draw_mixing()
    yield from _outlet()
    yield from _still_water()
    yield from _heat_up()


# Standing loss


@lru_cache(maxsize=1)
def _cooled_day() -> tuple[float, float]:
    """Mean temperature and heat lost after a day: 250 L, 1.5 W/K, from 60 degC in 20 degC."""
    steps = SECONDS_PER_DAY // 300
    done = run(electric_tank(loss_w_per_k=1.5), steady_drive(steps), step_s=300.0, start_c=60.0)
    lost_kwh = float(done.record.loss_w.sum()) * 300.0 / J_PER_KWH
    return float(done.temps_c.mean()), lost_kwh


def _cooling() -> Iterator[Claim]:
    yield Claim(
        id="tank-cooling-temperature",
        claim="250 L at 60 degC losing 1.5 W/K in air of 20 degC: temperature a day later",
        source=NEWTON,
        basis="published",
        expected=55.341,
        tolerance=0.001,
        unit="degC",
        compute=lambda: _cooled_day()[0],
    )
    yield Claim(
        id="tank-cooling-heat",
        claim="The same tank: heat lost in the day",
        source=NEWTON,
        basis="published",
        expected=1.3544,
        tolerance=0.0005,
        unit="kWh",
        compute=lambda: _cooled_day()[1],
    )


def _loss_limits() -> Iterator[Claim]:
    for volume_l, loss_w_per_k in ((160.0, 1.258), (250.0, 1.636), (315.0, 1.864)):
        yield Claim(
            id=f"tank-loss-limit-{volume_l:.0f}-l",
            claim=f"Standing loss assumed for an electric tank of {volume_l:.0f} L",
            source="AS/NZS 4692.2:2005 Table A5, greatest loss at 55 K by capacity, plus "
            "0.12 kWh/day for a relief valve (transcribed by New Zealand's energy agency)",
            basis="published",
            expected=loss_w_per_k,
            tolerance=0.001,
            unit="W/K",
            compute=partial(_assumed_loss, volume_l),
        )


def _assumed_loss(volume_l: float) -> float:
    return tank_loss_w_per_k(volume_l).number


# Mixing by draws


def _delivered_share(layers: int, portion: float = PORTION) -> float:
    """Share of the heat above mains delivered by one tank volume in draws of ``portion`` layers."""
    temps_c = np.full(layers, 60.0)
    for _ in range(round(layers / portion)):
        draw(temps_c, portion, 100.0, 15.0, 1.0, -273.0, 1.0)
    return 1.0 - float((temps_c - 15.0).sum()) / (45.0 * layers)


def _displaced_share(layers: int) -> float:
    """The same where whole layers move."""
    temps_c = np.full(layers, 60.0)
    for _ in range(layers):
        displace(temps_c, 1.0, 15.0, 0.0)
    return 1.0 - float((temps_c - 15.0).sum()) / (45.0 * layers)


def _draw_mixing() -> Iterator[Claim]:
    shares = {1: 0.63212, 2: 0.72933, 5: 0.82453, 10: 0.87489, 20: 0.91116, 50: 0.94367}
    for layers, share in shares.items():
        yield Claim(
            id=f"tank-mixing-{layers}-layers",
            claim=f"{layers} layer(s), one tank volume in small draws: share of the heat delivered",
            source=f"{TANKS_IN_SERIES}: 1 - N^N e^-N / N!",
            basis="published",
            expected=share,
            tolerance=5e-4,
            unit="-",
            compute=partial(_delivered_share, layers),
        )
    yield Claim(
        id="tank-mixing-one-draw",
        claim="12 layers, one tank volume in a single draw: share of the heat delivered",
        source=f"{TANKS_IN_SERIES}: 1 - N^N e^-N / N!; 0.01 allowed for the portions in which "
        "the program moves a draw",
        basis="published",
        expected=0.88563,
        tolerance=0.01,
        unit="-",
        compute=partial(_delivered_share, 12, 12.0),
    )
    yield Claim(
        id="tank-plug-flow",
        claim="12 layers displaced one whole layer at a time: share of the heat handed out",
        source="Plug flow by definition: whole layers move unmixed",
        basis="published",
        expected=1.0,
        tolerance=1e-12,
        unit="-",
        compute=partial(_displaced_share, 12),
    )


def _outlet_ratio(layers: int, volumes: float) -> float:
    """(T - cold) / (start - cold) of the top layer after so many tank volumes."""
    temps_c = np.full(layers, 60.0)
    for _ in range(round(volumes * layers / PORTION)):
        draw(temps_c, PORTION, 100.0, 15.0, 1.0, -273.0, 1.0)
    return float(temps_c[-1] - 15.0) / 45.0


def _outlet() -> Iterator[Claim]:
    ratios = {
        (1, 0.5): 0.6065,
        (5, 0.8): 0.6288,
        (10, 0.8): 0.7166,
        (10, 1.0): 0.4579,
        (50, 0.8): 0.9297,
        (50, 1.2): 0.0844,
    }
    for (layers, volumes), ratio in ratios.items():
        yield Claim(
            id=f"tank-outlet-{layers}-layers-{volumes:g}-volumes",
            claim=f"{layers} layer(s), {volumes:g} tank volumes drawn: what is left of the "
            "outlet's height above mains",
            source=f"{TANKS_IN_SERIES}: P(k <= N - 1; N v)",
            basis="published",
            expected=ratio,
            tolerance=1e-3,
            unit="-",
            compute=partial(_outlet_ratio, layers, volumes),
        )


# Conduction in still water


def _step_profile_c(height_m: float) -> float:
    """Temperature above a 20/60 degC step after a day in a still column of water."""
    volume_l, layers, step_s = 250.0, 400, 20.0
    diffusivity_m2_per_s = 1.52e-7
    exchange = layer_exchange(
        volume_l,
        layers,
        step_s=step_s,
        conductivity_w_per_m_k=diffusivity_m2_per_s * WATER_CP_J_PER_KG_K * 1000.0,
    )
    temps_c = np.where(np.arange(layers) < layers // 2, 20.0, 60.0)
    for _ in range(round(SECONDS_PER_DAY / step_s)):
        conduct(temps_c, exchange)
    # The exchange is diffusivity x step / thickness^2, which gives the thickness back.
    layer_m = (diffusivity_m2_per_s * step_s / exchange) ** 0.5
    centres_m = (np.arange(layers) + 0.5 - layers / 2) * layer_m
    return float(np.interp(height_m, centres_m, temps_c))


def _still_water() -> Iterator[Claim]:
    for height_m, temp_c in {0.05: 44.846, 0.1: 49.256, 0.2: 55.656}.items():
        yield Claim(
            id=f"tank-still-{height_m * 100:.0f}-cm",
            claim=f"Step 20/60 degC in still water: {height_m * 100:.0f} cm above it a day later",
            source="Heat equation, closed form: T = Tm + dT/2 erf(z / 2 sqrt(a t)), "
            "a = 1.52e-7 m2/s for water without the tank's wall",
            basis="published",
            expected=temp_c,
            tolerance=0.02,
            unit="degC",
            compute=partial(_step_profile_c, height_m),
        )


# Heating up


@lru_cache(maxsize=1)
def _heated_up() -> tuple[float, float]:
    """Heat [kWh] and time [h] to lift 250 L from 15 to 60 degC with 3.6 kW, no loss."""
    step_s = 10.0
    steps = ceil(5 * 3600 / step_s)
    done = run(electric_tank(), steady_drive(steps, allowed_w=3600.0), step_s=step_s, start_c=15.0)
    heat_kwh = float(done.record.heat_w.sum()) * step_s / J_PER_KWH
    return heat_kwh, float((done.record.electric_w > 0.0).sum()) * step_s / 3600.0


def _heat_up() -> Iterator[Claim]:
    yield Claim(
        id="tank-heat-up-heat",
        claim="250 L from 15 to 60 degC: heat",
        source="Heat balance Q = m c dT with 4.186 kJ/(kg K) and 1 kg/L",
        basis="published",
        expected=13.081,
        tolerance=0.001,
        unit="kWh",
        compute=lambda: _heated_up()[0],
    )
    yield Claim(
        id="tank-heat-up-time",
        claim="250 L from 15 to 60 degC with 3.6 kW: time until the thermostat opens",
        source="Heat balance t = m c dT / P; tolerance is one step of 10 s",
        basis="published",
        expected=3.634,
        tolerance=0.003,
        unit="h",
        compute=lambda: _heated_up()[1],
    )
