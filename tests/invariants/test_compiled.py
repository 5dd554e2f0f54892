"""The compiled loop in a process of its own: one version, no stray index, same sums."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys

import numpy as np
import pytest
from numba.core.errors import NumbaError

from tankful.physics.compiled import compiled

SCRIPT = """
import json
import numpy as np
from tankful.model.system import Control, HeatPumpRating, WaterHeater
from tankful.simulate.kernel import fresh_state, simulate_year
from tankful.simulate.params import Drive, build_plant, empty_record

steps = 2000
sums = {}
for layers in (1, 2, 3, 12, 24):
    for kind in ("electric_storage", "heat_pump", "gas_storage"):
        rng = np.random.default_rng(7)
        heater = WaterHeater(
            kind=kind,
            control=Control("always", catch_up_c=48.0, sanitise_after_h=30.0),
            tank_l=180.0,
            loss_w_per_k=1.6,
            element_w=0.0 if kind == "gas_storage" else 2400.0,
            heat_pump=HeatPumpRating(2800.0, 3.4, 0.0, 2.0, 0.1) if kind == "heat_pump" else None,
            burner_w=8000.0 if kind == "gas_storage" else 0.0,
            efficiency=0.78 if kind == "gas_storage" else 0.0,
        )
        air_c = rng.uniform(-10.0, 40.0, steps)
        drive = Drive(
            air_c=air_c,
            wet_bulb_c=air_c - 4.0,
            around_c=air_c,
            cold_c=rng.uniform(5.0, 25.0, steps),
            draw_kg=np.where(rng.random(steps) < 0.2, rng.exponential(40.0, steps), 0.0),
            wanted_c=np.full(steps, 41.0),
            allowed_w=np.where(rng.random(steps) < 0.3, 3000.0, 0.0),
            catch_up_w=np.where(rng.random(steps) < 0.5, 3000.0, 0.0),
            absorbed_w_per_m2=np.zeros(steps),
            direct_w=np.zeros(steps),
        )
        temps_c, record = np.full(layers, 55.0), empty_record(steps)
        plant = build_plant(heater, layers=layers, step_s=300.0)
        simulate_year(plant, drive, temps_c, fresh_state(), record)
        sums[f"{kind}-{layers}"] = [float(series.sum()) for series in record]
compiled_versions = len(getattr(simulate_year, "signatures", []))
print(json.dumps({"sums": sums, "compiled_versions": compiled_versions}))
"""


def run_script(folder, **environment) -> dict:
    """The script in a process of its own, with its own store of compiled code."""
    everything = {**os.environ, "TANKFUL_CACHE_DIR": str(folder), **environment}
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], env=everything, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    """Where the ordinary run keeps its compiled code."""
    return tmp_path_factory.mktemp("ordinary")


@pytest.fixture(scope="module")
def ordinary(store) -> dict:
    return run_script(store)


def test_heaters_of_every_kind_and_size_share_one_compiled_loop(ordinary):
    """A second version would mean an argument of another type, and a slow first run."""
    assert ordinary["compiled_versions"] == 1


def test_the_loop_never_reads_or_writes_outside_its_arrays(ordinary, tmp_path):
    """Compiled with bounds checks, which raise, it gives the same sums."""
    checked = run_script(tmp_path, NUMBA_BOUNDSCHECK="1")
    for name, sums in ordinary["sums"].items():
        assert checked["sums"][name] == pytest.approx(sums, rel=1e-9), name


def test_the_loop_gives_the_same_without_the_compiler(ordinary, tmp_path):
    """Every relation in plain Python, not only the outer loop."""
    plain = run_script(tmp_path, NUMBA_DISABLE_JIT="1")
    assert plain["compiled_versions"] == 0
    for name, sums in ordinary["sums"].items():
        assert plain["sums"][name] == pytest.approx(sums, rel=1e-9), name


def test_damaged_compiled_code_is_compiled_again(ordinary, store, tmp_path):
    shutil.copytree(store, tmp_path / "store")
    kept = list((tmp_path / "store").rglob("*.nb[ic]"))
    assert kept
    for number, path in enumerate(kept):
        path.write_bytes((b"", path.read_bytes()[:60], b"\xc9" * 90)[number % 3])
    assert run_script(tmp_path / "store") == ordinary


def test_a_compiled_function_that_makes_an_array_is_refused():
    """Without counted references its memory would never be given back."""

    @compiled
    def first_of_twice(values):
        twice = values + values
        return twice[0]

    with pytest.raises(NumbaError, match="NRT required"):
        first_of_twice(np.ones(3))
