"""Our NEM12 reader against two independent ones on the sample file."""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np
import pytest

from tankful.use.nem12 import read_nem12
from tankful.use.nem12_records import KWH_PER_UNIT, OTHER_UNITS

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import aemo_mdff_reader
    from aemo_mdff_reader import spec
    from nemreader import NEMFile

SAMPLE = Path(__file__).parents[2] / "examples" / "sample-home-meter.csv"


@pytest.fixture(scope="module")
def ours():
    return read_nem12(SAMPLE, utc_offset_h=10.0)


def test_nemreader_reads_the_same_half_hours_and_flags(ours):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        channels = NEMFile(str(SAMPLE), strict=True).nem_data().readings["DEMO000001"]
    quality = {"A": 0, "S": 0, "F": 0}
    for suffix, kwh in (("E1", ours.import_kwh), ("B1", ours.export_kwh)):
        values = [reading.read_value for reading in channels[suffix]]
        np.testing.assert_array_equal(np.array(values), kwh.ravel())
        assert channels[suffix][0].t_start.date() == ours.dates[0]
        for reading in channels[suffix]:
            quality[reading.quality_method[0]] += 1
    assert ours.quality == {
        "actual": quality["A"],
        "substituted": quality["S"],
        "final substituted": quality["F"],
    }


def test_the_mdff_reader_reads_the_same_half_hours(ours):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        assert aemo_mdff_reader.validate_file(str(SAMPLE)) == []
        rows = list(aemo_mdff_reader.parse(str(SAMPLE)))
    for suffix, kwh in (("E1", ours.import_kwh), ("B1", ours.export_kwh)):
        values = [float(row.value) for row in rows if row.nmi_suffix == suffix]
        assert len(values) == 365 * 48
        assert sum(values) == pytest.approx(kwh.sum(), rel=1e-12)


def test_units_are_those_of_the_format():
    # The list of MDFF v2.6 as that reader has it.
    assert {unit.lower() for unit in spec.UOM_VALUES} == set(KWH_PER_UNIT) | OTHER_UNITS
    assert {5, 15, 30} == set(spec.ALLOWED_INTERVAL_LENGTHS)
