"""The kernel's tank against scipy's adaptive Runge-Kutta solver (DOP853, rtol 1e-10).

Both carry the same balance of N mixed zones; the solver has no inversion rule, so the
cases keep warm water on top.
"""

from __future__ import annotations

import numpy as np
import pytest

from tankful.proof.tank_models import kernel_profile_c, reference_profile_c

CASES = {
    "standing": {"hours": 12.0, "draw_kg_per_s": 0.0, "element_w": 0.0},
    "heating": {"hours": 0.5, "draw_kg_per_s": 0.0, "element_w": 900.0},
    "draw alone": {"hours": 3.0, "draw_kg_per_s": 0.012, "element_w": 0.0},
    "everything": {"hours": 3.0, "draw_kg_per_s": 0.006, "element_w": 500.0},
}


def worst_k(case: dict[str, float], step_s: float) -> float:
    difference = kernel_profile_c(**case, step_s=step_s) - reference_profile_c(**case)
    return float(np.abs(difference).max())


@pytest.mark.parametrize("name", CASES)
def test_the_reference_stays_stable_so_that_both_solve_the_same_problem(name):
    profile = reference_profile_c(**CASES[name])
    assert np.all(np.diff(profile) > -0.2)
    assert profile[0] < profile[-1]


@pytest.mark.parametrize("name", CASES)
def test_no_layer_is_off_by_a_quarter_kelvin_at_one_minute_steps(name):
    assert worst_k(CASES[name], 60.0) < 0.25


@pytest.mark.parametrize("name", CASES)
def test_no_layer_is_off_by_six_tenths_of_a_kelvin_at_five_minute_steps(name):
    """The worst is inside the 45 K step of the draw alone, which moves in finite portions."""
    assert worst_k(CASES[name], 300.0) < 0.6


@pytest.mark.parametrize("name", ["draw alone", "everything"])
def test_the_error_falls_in_step_with_the_step(name):
    """First order: from 60 to 12 s the error falls to about a fifth."""
    ratio = worst_k(CASES[name], 60.0) / worst_k(CASES[name], 12.0)
    assert 4.0 < ratio < 6.0
