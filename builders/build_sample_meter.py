"""Make examples/sample-home-meter.csv: a year of an invented home's meter in NEM12 format.

Everything here is invented: a family of four on the north coast of New South Wales, 6.6 kW
of panels facing north behind a 5 kW inverter, gas hot water (so none in the meter), two
people at home in office hours on some days, a fortnight away in January. The house is
built up from appliances in five-minute steps and netted against a clear sky with random
clouds, then summed to half hours. Run: ``python builders/build_sample_meter.py``.
"""

from __future__ import annotations

import sys
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parent))
from nem12_writer import nem12_text

Array = NDArray[np.float64]

OUT = Path(__file__).parents[1] / "examples" / "sample-home-meter.csv"
SEED = 20260630
FIRST, DAYS = date(2025, 7, 1), 365
LATITUDE, LONGITUDE, TILT, AZIMUTH = -28.8, 153.3, 20.0, 0.0
PANELS_KW, INVERTER_KW = 6.6, 5.0
OWN_USE_KWH_PER_DAY = 14.0
STEPS = 288
AWAY = range(190, 204)
"""Days of the file on which nobody is home (from 7 January)."""


def main() -> None:
    """Write the file."""
    rng = np.random.default_rng(SEED)
    times = pd.date_range(str(FIRST), periods=DAYS * STEPS, freq="5min", tz="Etc/GMT-10")
    clouds = daily_clearness(rng)
    air_c = air_temperature(rng, clouds)
    pv_kw = panels(times, sky_factor(rng, clouds), air_c)
    load_kw = house(rng, times, air_c, clouds)
    load_kw *= OWN_USE_KWH_PER_DAY * DAYS / (load_kw.sum() / 12.0)
    net = (load_kw - pv_kw).reshape(DAYS, 48, 6) / 12.0
    imported = np.maximum(net, 0.0).sum(axis=2)
    exported = np.maximum(-net, 0.0).sum(axis=2)
    dates = [FIRST + timedelta(days=i) for i in range(DAYS)]
    text = nem12_text(
        "DEMO000001",
        {
            "B1": dict(zip(dates, exported.tolist(), strict=True)),
            "E1": dict(zip(dates, imported.tolist(), strict=True)),
        },
        quality={
            date(2025, 9, 16): [(1, 20, "A", ""), (21, 29, "S14", "24"), (30, 48, "A", "")],
            date(2026, 2, 3): [(1, 33, "A", ""), (34, 48, "F14", "24")],
            date(2026, 2, 4): [(1, 11, "F14", "24"), (12, 48, "A", "")],
        },
    )
    OUT.write_text(text, encoding="ascii", newline="")
    print(f"{OUT.name}: own use {load_kw.sum() / 12:.0f} kWh, panels {pv_kw.sum() / 12:.0f} kWh, ")
    print(f"import {imported.sum():.0f} kWh, export {exported.sum():.0f} kWh")


def daily_clearness(rng: np.random.Generator) -> Array:
    """Share of the clear-sky sun on each day; wet summers, dry springs, spells of days."""
    season = 0.05 * np.cos(2 * np.pi * (np.arange(DAYS) - 75) / 365)
    state = np.zeros(DAYS)
    for i in range(1, DAYS):
        state[i] = 0.45 * state[i - 1] + rng.normal(0, 0.9)
    return np.clip(1.02 + season - 0.32 * np.maximum(0.0, state + 0.15) ** 1.15, 0.12, 1.0)


def sky_factor(rng: np.random.Generator, clearness: Array) -> Array:
    """Five-minute share of the clear-sky sun: passing clouds on broken days."""
    noise = np.zeros(DAYS * STEPS)
    shocks = rng.normal(0, 0.5, noise.size)
    for i in range(1, noise.size):
        noise[i] = 0.85 * noise[i - 1] + shocks[i]
    day = np.repeat(clearness, STEPS)
    broken = 1.3 * day * (1.0 - day)
    return np.clip(day * (1.0 + broken * noise), 0.06, 1.08)


def air_temperature(rng: np.random.Generator, clearness: Array) -> Array:
    """Air temperature every five minutes [degC]: season, hour, cloud and chance."""
    days = np.arange(DAYS)
    mean = 19.0 - 5.0 * np.cos(2 * np.pi * (days - 10) / 365) + rng.normal(0, 1.6, DAYS)
    swing = 2.0 + 4.0 * clearness
    hour = np.arange(STEPS) / 12.0
    shape = np.cos(2 * np.pi * (hour - 14.5) / 24)
    return (mean[:, None] + swing[:, None] * shape).ravel()


def panels(times: pd.DatetimeIndex, sky: Array, air_c: Array) -> Array:
    """Power of the panels after the inverter [kW]."""
    import pvlib

    sun = pvlib.solarposition.get_solarposition(
        times + pd.Timedelta("150s"), LATITUDE, LONGITUDE, method="ephemeris"
    ).set_index(times)
    ghi = pvlib.clearsky.haurwitz(sun["apparent_zenith"])["ghi"] * sky
    split = pvlib.irradiance.erbs(ghi, sun["zenith"], times)
    on_plane = pvlib.irradiance.get_total_irradiance(
        TILT, AZIMUTH, sun["zenith"], sun["azimuth"], split["dni"], ghi, split["dhi"]
    )["poa_global"].to_numpy()
    cell_c = air_c + 0.028 * on_plane
    direct_kw = PANELS_KW * 0.80 * on_plane / 1000.0 * (1.0 - 0.0037 * (cell_c - 25.0))
    return np.clip(np.nan_to_num(direct_kw), 0.0, INVERTER_KW)


def house(rng: np.random.Generator, times: pd.DatetimeIndex, air_c: Array, clouds: Array) -> Array:
    """What the home uses every five minutes [kW], before scaling to the year's total."""
    noons = times[STEPS // 2 :: STEPS].tz_convert("Australia/Sydney")
    ahead = [round((noon.utcoffset().total_seconds() / 3600 - 10) * 12) for noon in noons]
    cooling_phase = rng.integers(0, 11)
    steps = np.arange(DAYS * STEPS)
    kw = 0.13 + 0.11 * ((steps + cooling_phase) % 11 < 4) + 0.09 * ((steps // 7) % 3 == 0)
    kw += np.abs(rng.normal(0, 0.015, kw.size))
    day_air = air_c.reshape(DAYS, STEPS)
    for i in range(DAYS):
        if i in AWAY:
            continue
        weekend = (FIRST + timedelta(days=i)).weekday() >= 5
        day = one_day(rng, weekend, day_air[i], clouds[i])
        begin = i * STEPS - ahead[i]
        kw[begin : begin + STEPS] += day[: kw.size - begin]
    return kw


def one_day(rng: np.random.Generator, weekend: bool, air_c: Array, clearness: float) -> Array:
    """What people switch on in a day [kW], by clock time."""
    kw = np.zeros(STEPS)

    def run(at_h: float, spread_h: float, minutes: float, power: float, chance: float) -> None:
        if rng.random() < chance:
            begin = int(np.clip(rng.normal(at_h, spread_h), 0.0, 23.5) * 12)
            kw[begin : begin + max(1, round(minutes / 5))] += power

    wake = 7.8 if weekend else 6.5
    for _ in range(4):
        run(wake + 0.5, 0.5, 5, rng.uniform(0.8, 1.8), 0.8)
    run(12.5, 0.6, 10, rng.uniform(0.8, 1.6), 0.85 if weekend else 0.45)
    run(18.2, 0.5, rng.uniform(20, 60), rng.uniform(1.0, 2.4), 0.85)
    run(18.6, 0.5, rng.uniform(10, 30), rng.uniform(0.7, 1.5), 0.7)
    run(20.2, 0.5, 25, 1.7, 0.7)
    run(21.0, 0.5, 20, 1.2, 0.65)
    run(10.5 if weekend else 8.0, 1.5, 55, rng.uniform(0.25, 0.5), 0.85 if weekend else 0.55)
    run(14.5, 2.0, 50, 2.0, 0.45 if clearness < 0.5 else 0.06)
    run(15.0, 2.5, 45, 1.2, 0.2 if weekend else 0.04)
    evening = slice(int(17.2 * 12), int(rng.normal(22.4, 0.5) * 12))
    kw[evening] += rng.uniform(0.22, 0.45)
    kw[int(wake * 12) : int((wake + 1.8) * 12)] += rng.uniform(0.08, 0.25)
    at_home = weekend or rng.random() < 0.45
    if at_home:
        kw[9 * 12 : int(16.8 * 12)] += rng.uniform(0.08, 0.25)
    hot = np.maximum(0.0, air_c - 26.0)
    cold = np.maximum(0.0, 13.5 - air_c)
    awake = np.zeros(STEPS)
    awake[int(wake * 12) : int((wake + 1.5) * 12)] = 1.0
    awake[int(16.5 * 12) : int(22.3 * 12)] = 1.0
    if at_home:
        awake[11 * 12 : int(16.5 * 12)] = 1.0
    return kw + awake * np.minimum(1.5, 0.35 * hot + 0.4 * cold) * rng.uniform(0.6, 1.1)


if __name__ == "__main__":
    main()
