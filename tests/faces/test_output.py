"""Results to files: what plain JSON makes of the program's values."""

from __future__ import annotations

import json
import os
from datetime import date

import numpy as np
import pytest

from tankful.casefile.write import write_case
from tankful.cli.output import write_json
from tankful.errors import OutputError
from tankful.model.window import Window


def test_every_kind_of_value_of_a_result_becomes_json(tmp_path):
    file = tmp_path / "result.json"
    window = Window(start="22:00", end="07:00")
    values = {
        "windows": (window,),
        "number": np.float64(1.5),
        "count": np.int64(3),
        "nothing": float("nan"),
        "day": date(2026, 11, 25),
        "file": tmp_path,
    }
    write_json(file, values)
    read = json.loads(file.read_text(encoding="utf-8"))
    assert read["windows"] == [{"start": "22:00", "end": "07:00", "days": "all", "months": []}]
    assert (read["number"], read["count"], read["nothing"]) == (1.5, 3, None)
    assert (read["day"], read["file"]) == ("2026-11-25", str(tmp_path))


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path):
    file = tmp_path / "result.json"
    write_json(file, {"good": True})
    with pytest.raises(TypeError):
        write_json(file, {"bad": object()})
    assert json.loads(file.read_text()) == {"good": True}
    assert list(tmp_path.iterdir()) == [file]


def test_a_folder_in_place_of_a_file_is_an_output_fault(tmp_path):
    with pytest.raises(OutputError):
        write_json(tmp_path, {})


def test_a_pipe_is_written_to_and_never_replaced(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    end = os.open(pipe, os.O_RDWR)
    try:
        write_json(pipe, {"good": True})
        assert json.loads(os.read(end, 100)) == {"good": True}
        write_case(pipe, "name = 'x'", replace=True)
        assert os.read(end, 100) == b"name = 'x'"
    finally:
        os.close(end)
    assert pipe.is_fifo()
    assert list(tmp_path.iterdir()) == [pipe]
