"""Solar collectors of a home, by their quote where it says so."""

from __future__ import annotations

from tankful.casefile.properties import Properties
from tankful.model.case import Quote
from tankful.model.kinds import Circulation
from tankful.model.system import Collector

FROST_GUARD_C = 4.0
"""Collector temperature at which warm water is circulated against frost (common practice)."""


def collector_of(
    properties: Properties,
    quote: Quote | None,
    circulation: Circulation | None,
    *,
    southern: bool,
) -> Collector:
    """Collectors of a solar heater, facing the equator unless the case says otherwise.

    A loop without a pump draws no electricity and cannot circulate against frost, so it is
    taken to be filled with antifreeze. Its pipes are short and nothing but a valve stops it.
    """
    has_pump = properties.word("circulation", circulation, "pump", "common-practice") == "pump"
    loop = "" if has_pump else "siphon_"
    usual = "circulate" if has_pump else "antifreeze"
    frost = quote.frost_protection if quote else None
    guard = properties.word("frost_protection", frost, usual, "common-practice")
    return Collector(
        area_m2=properties.number("area_m2", quote.collector_m2 if quote else None),
        eta0=properties.number("eta0", quote.collector_eta0 if quote else None),
        a1_w_per_m2_k=properties.number("a1_w_per_m2_k", quote.collector_a1 if quote else None),
        a2_w_per_m2_k2=properties.number("a2_w_per_m2_k2", quote.collector_a2 if quote else None),
        iam_b0=properties.number("iam_b0"),
        iam_transversal_50=properties.number("iam_transversal_50"),
        tilt_deg=properties.filling.case.roof.tilt_deg,
        azimuth_deg=roof_azimuth_deg(properties, southern=southern),
        capacity_j_per_m2_k=properties.number("capacity_kj_per_m2_k") * 1000.0,
        flow_kg_per_s_m2=properties.number("flow_kg_per_s_m2"),
        pipe_loss_w_per_k=properties.number(f"{loop}pipe_loss_w_per_k"),
        pump_w=properties.number("pump_w") if has_pump else 0.0,
        max_tank_c=properties.number(f"{loop}max_tank_c"),
        horizon_deg=properties.filling.case.roof.horizon_deg or (),
        frost_guard_c=FROST_GUARD_C if guard == "circulate" else None,
        siphon_kg_per_s_m2_k=0.0 if has_pump else properties.number("siphon_kg_per_s_m2_k"),
    )


def roof_azimuth_deg(properties: Properties, *, southern: bool) -> float:
    """Direction the roof faces [degrees], clockwise from north."""
    filling = properties.filling
    given = filling.case.roof.azimuth_deg
    if given is not None:
        return given
    facing_deg = 0.0 if southern else 180.0
    filling.assume("roof.azimuth_deg", facing_deg, "degrees", "judgement", "facing the equator")
    return facing_deg
