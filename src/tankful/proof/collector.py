"""Collectors: efficiency, loop, light from the side, and a collector without flow."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from tankful.model.case import HeaterKind
from tankful.physics.collector import loop_gain_w_per_m2, stagnation_rise_k, steady_gain_w_per_m2
from tankful.physics.incidence import diffuse_modifier, incidence_modifier, tube_modifier
from tankful.proof.capitals import POSTCODES, capital_of
from tankful.proof.check import Claim, band, published_rows
from tankful.proof.defaults import default_heater
from tankful.site.collector_sun import axis_angles_deg

ISO = "ISO 9806 steady form, eta = eta0 - a1 dT/G - a2 dT^2/G"
SOUKA = "Souka and Safwat 1966, the form of ISO 9806: K = 1 - b0 (1/cos theta - 1)"


def claims() -> Iterator[Claim]:
    """Every claim about collectors by themselves."""
    yield from _points()
    yield from _assumed()
    yield _loop()
    yield from _incidence()
    yield from _tubes()
    yield _axes()
    yield from _diffuse()


# Efficiency and stagnation


def _efficiency(row: dict[str, str]) -> float:
    irradiance, over_air_k = float(row["irradiance_w_per_m2"]), float(row["over_air_k"])
    a1, a2 = float(row["a1_w_per_m2_k"]), float(row["a2_w_per_m2_k2"])
    gain = steady_gain_w_per_m2(float(row["eta0"]) * irradiance, over_air_k, a1, a2)
    return float(gain / irradiance)


def _stagnation_k(row: dict[str, str]) -> float:
    a1, a2 = float(row["a1_w_per_m2_k"]), float(row["a2_w_per_m2_k2"])
    return float(stagnation_rise_k(float(row["eta0"]) * 1000.0, a1, a2))


def _points() -> Iterator[Claim]:
    for row in published_rows("collector_points"):
        name = row["name"]
        kind = name.replace(" ", "-")
        values = f"eta0 {row['eta0']}, a1 {row['a1_w_per_m2_k']}, a2 {row['a2_w_per_m2_k2']}"
        yield Claim(
            id=f"collector-efficiency-{kind}",
            claim=f"Efficiency of a collector ({name}, {values}) 40 K above the air at 800 W/m2",
            source=f"{ISO}; arithmetic",
            basis="published",
            expected=float(row["efficiency"]),
            tolerance=1e-6,
            unit="-",
            compute=partial(_efficiency, row),
        )
        yield Claim(
            id=f"collector-stagnation-{kind}",
            claim=f"The same without flow at 1000 W/m2: rise above the air ({name})",
            source=f"{ISO}, root of eta = 0; arithmetic",
            basis="published",
            expected=float(row["stagnation_rise_k"]),
            tolerance=0.01,
            unit="K",
            compute=partial(_stagnation_k, row),
        )


def _assumed_value(kind: HeaterKind, item: str) -> float:
    return float(getattr(default_heater(kind).collector, item))


def _assumed() -> Iterator[Claim]:
    kinds: dict[str, tuple[HeaterKind, str]] = {
        "solar_flat": ("solar_flat", "flat plate"),
        "solar_tube": ("solar_tube", "evacuated tube"),
    }
    for row in published_rows("collector_ranges"):
        kind, name = kinds[row["kind"]]
        item = row["item"]
        yield Claim(
            id=f"collector-assumed-{name.split()[-1]}-{item.split('_w_')[0].replace('_', '-')}",
            claim=f"{item.split('_w_')[0]} of the assumed {name}, within the range of certificates",
            source="Ranges of European test certificates, by aperture area (from memory)",
            basis="from memory",
            **band(float(row["low"]), float(row["high"])),
            unit="-" if "_w_" not in item else "W/m2K" if item.startswith("a1") else "W/m2K2",
            compute=partial(_assumed_value, kind, item),
        )


def _loop() -> Claim:
    return Claim(
        id="collector-loop",
        claim="Heat of the flat plate fed 30 K over the air, 800 W/m2, 0.015 kg/s for each m2",
        source=f"{ISO} with the mean fluid half the rise above the inlet; root found by bisection",
        basis="published",
        expected=465.0019,
        tolerance=0.001,
        unit="W/m2",
        compute=lambda: float(loop_gain_w_per_m2(600.0, 30.0, 3.5, 0.015, 0.5 / (0.015 * 4186.0))),
    )


# Light from the side


def _modifier(b0: float, incidence_deg: float) -> float:
    return float(incidence_modifier(np.array([incidence_deg]), b0=b0)[0])


def _incidence() -> Iterator[Claim]:
    for row in published_rows("incidence_points"):
        b0, incidence_deg = float(row["b0"]), float(row["incidence_deg"])
        yield Claim(
            id=f"collector-incidence-{b0:g}-{incidence_deg:g}",
            claim=f"Incidence modifier at {incidence_deg:g} degrees, b0 {b0:g}",
            source=f"{SOUKA}; arithmetic",
            basis="published",
            expected=float(row["modifier"]),
            tolerance=1e-4,
            unit="-",
            compute=partial(_modifier, b0, incidence_deg),
        )
    yield Claim(
        id="collector-incidence-grazing",
        claim="The same at 75 degrees, b0 0.1: half of its value at 60",
        source="Beyond 60 degrees straight to nought at 90: common practice, no source",
        basis="common practice",
        expected=0.45,
        tolerance=1e-6,
        unit="-",
        compute=partial(_modifier, 0.1, 75.0),
    )


def _tube(across_deg: float, along_deg: float) -> float:
    angles = np.array([across_deg]), np.array([along_deg])
    return float(tube_modifier(*angles, b0=0.12, k50=1.3)[0])


def _tubes() -> Iterator[Claim]:
    along = 1.0 - 0.12 * (1.0 / np.cos(np.radians(50.0)) - 1.0)
    rows = (
        ("ahead", 0.0, 0.0, 1.0),
        ("across", 50.0, 0.0, 1.3),
        ("along", 0.0, 50.0, along),
        ("both", 50.0, 50.0, 1.3 * along),
    )
    for key, across_deg, along_deg, expected in rows:
        yield Claim(
            id=f"collector-tube-{key}",
            claim=f"Tubes with a transversal modifier of 1.3 at 50 degrees, b0 0.12: light "
            f"{across_deg:g} degrees across and {along_deg:g} along",
            source="ISO 9806: product of a transversal and a longitudinal modifier",
            basis="published",
            expected=float(expected),
            tolerance=1e-6,
            unit="-",
            compute=partial(_tube, across_deg, along_deg),
        )


def _worst_axis_deg() -> float:
    """Largest error of the incidence rebuilt from both axes, sun up to 85 degrees aside."""
    from pvlib import irradiance

    steps = capital_of(POSTCODES["Sydney"]).steps
    plane = {"tilt_deg": 30.0, "facing_deg": 40.0}
    across, along = axis_angles_deg(steps.zenith_deg, steps.azimuth_deg, **plane)
    theirs = irradiance.aoi(30.0, 40.0, steps.zenith_deg, steps.azimuth_deg)
    seen = (theirs < 85.0) & (steps.zenith_deg < 90.0)
    squares = np.tan(np.radians(across[seen])) ** 2 + np.tan(np.radians(along[seen])) ** 2
    ours = np.degrees(np.arctan(np.sqrt(squares)))
    return float(np.abs(ours - theirs[seen]).max())


def _axes() -> Claim:
    return Claim(
        id="collector-axes",
        claim="Sun of a year in Sydney on a roof of 30 degrees facing 40 degrees: largest error of "
        "the incidence rebuilt from the angles across and along the tubes",
        source="tan^2 theta = tan^2 across + tan^2 along (geometry, ISO 9806); incidence by the "
        "pvlib library",
        basis="published",
        expected=0.0,
        tolerance=1e-6,
        unit="degrees",
        compute=_worst_axis_deg,
    )


def _diffuse() -> Iterator[Claim]:
    yield Claim(
        id="collector-diffuse-flat",
        claim="Modifier of a flat plate for light from the whole sky, b0 0.15",
        source="Duffie and Beckman: about that of one beam at 60 degrees, 0.85 (from memory)",
        basis="from memory",
        expected=0.85,
        tolerance=0.01,
        unit="-",
        compute=lambda: diffuse_modifier(b0=0.15, k50=1.0),
    )
    yield Claim(
        id="collector-diffuse-even",
        claim="The same for a plane that takes light from every side alike, up to 60 degrees",
        source="Cosine-weighted mean in closed form: 3/4 from within 60 degrees, and of the "
        "straight fall beyond 6/pi x sqrt(3)/8 - 1/4 = 0.1635",
        basis="published",
        expected=0.9135,
        tolerance=0.001,
        unit="-",
        compute=lambda: diffuse_modifier(b0=0.0, k50=1.0),
    )
