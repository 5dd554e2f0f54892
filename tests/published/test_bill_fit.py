"""What a litre of hot water holds, against the label it is counted by."""

from __future__ import annotations

import numpy as np
import pytest

from tankful.units import MJ_PER_KWH
from tankful.use.bill_fit import drawn_kwh_per_litre


def test_the_litres_of_the_gas_label_hold_its_heat() -> None:
    """200 L a day from 15 to 60 degC are 37.7 MJ a day (AS/NZS 4552, public explanation of the
    label)."""
    a_day_mj = 200.0 * drawn_kwh_per_litre(np.array([15.0])) * MJ_PER_KWH
    assert a_day_mj == pytest.approx([37.7], abs=0.05)
