"""Faults put into the program on purpose: the checks must notice them.

Sources stand beside each claim in ``tankful.proof``.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankful.physics.battery import run_battery
from tankful.physics.collector import stagnation_rise_k
from tankful.physics.heat_pump import frost_factor
from tankful.physics.incidence import incidence_modifier
from tankful.proof.catalogue import all_claims
from tankful.simulate.grid import GridSide

spare_w = GridSide.spare_w


def lossless_battery(net_w, battery_w, capacity_j, power_w, _, step_s):
    return run_battery(net_w, battery_w, capacity_j, power_w, 1.0, step_s)


def unbounded_battery(net_w, battery_w, capacity_j, _, efficiency, step_s):
    return run_battery(net_w, battery_w, capacity_j, 1e9, efficiency, step_s)


FAULTS = {
    "a battery without losses": (
        "tankful.simulate.grid.run_battery",
        lossless_battery,
        ("battery-round-trip", "battery-reserve"),
    ),
    "a battery of any power": (
        "tankful.simulate.grid.run_battery",
        unbounded_battery,
        ("battery-power", "battery-export", "battery-discharge"),
    ),
    "water first although the battery is": (
        "tankful.simulate.grid.GridSide.spare_w",
        lambda self, house_w, pv_w: spare_w(replace(self, battery=None), house_w, pv_w),
        ("battery-battery-first",),
    ),
    "glass that takes twice as much from the side": (
        "tankful.proof.collector.incidence_modifier",
        lambda incidence_deg, *, b0: incidence_modifier(incidence_deg, b0=2.0 * b0),
        ("collector-incidence-0.1-50", "collector-incidence-0.15-60"),
    ),
    "stagnation without the curved loss": (
        "tankful.proof.collector.stagnation_rise_k",
        lambda absorbed, a1, _: stagnation_rise_k(absorbed, a1, 0.0),
        ("collector-stagnation-flat-plate", "collector-stagnation-evacuated-tube"),
    ),
    "frost five kelvin too late": (
        "tankful.proof.heat_pump_models.frost_factor",
        lambda air_c, penalty: frost_factor(air_c + 5.0, penalty),
        ("heat-pump-frost-half", "heat-pump-frost-full-2", "heat-pump-frost-coil"),
    ),
    "a heat-through of three minutes": (
        "tankful.proof.hygiene.SANITISING_S",
        180.0,
        ("hygiene-kill-60", "hygiene-kill-least"),
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_noticed(fault, monkeypatch):
    place, wrong, noticed_by = FAULTS[fault]
    monkeypatch.setattr(place, wrong)
    claims = {claim.id: claim for _, claim in all_claims()}
    for claim_id in noticed_by:
        check = claims[claim_id].run()
        assert not check.error
        assert not check.passed, claim_id
