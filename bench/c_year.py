"""Build ``year.c`` and run it on the program's own inputs."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from tankful.clock import FloatArray
from tankful.simulate.params import Drive, Plant, Record

SOURCE = Path(__file__).with_name("year.c")
FLAGS = ("-std=c11", "-O3", "-march=native", "-ffp-contract=off")
"""No -ffast-math; the program's compiler uses the machine's own instructions too."""


def find_compiler() -> str | None:
    """Path of a C compiler, ``None`` when the machine has none."""
    return next((found for name in ("gcc", "cc", "clang") if (found := shutil.which(name))), None)


def compiler_text(compiler: str) -> str:
    """Name, version and flags of the compiler."""
    first = subprocess.run([compiler, "--version"], check=True, capture_output=True, text=True)
    return f"{first.stdout.splitlines()[0]}, {' '.join(FLAGS)}"


def _structure(sample: NamedTuple) -> type[ctypes.Structure]:
    """A C structure with the fields of ``sample``: 64-bit integers and doubles."""
    kinds = {
        name: ctypes.c_int64 if isinstance(value, int) else ctypes.c_double
        for name, value in sample._asdict().items()
    }
    return type("Plant", (ctypes.Structure,), {"_fields_": list(kinds.items())})


def _pointers(arrays: NamedTuple) -> Any:
    """Addresses of the arrays in order: a C structure of pointers."""
    return (ctypes.c_void_p * len(arrays))(*(array.ctypes.data for array in arrays))


@dataclass(frozen=True)
class CYear:
    """The year in C, loaded as a shared library."""

    library: Any

    @classmethod
    def build(cls, compiler: str) -> CYear:
        """Compile and load. CalledProcessError when the source does not compile."""
        with tempfile.TemporaryDirectory() as folder:
            target = Path(folder) / "year.so"
            command = [compiler, *FLAGS, "-Wall", "-Wextra", "-Werror", "-shared", "-fPIC"]
            subprocess.run([*command, str(SOURCE), "-o", str(target), "-lm"], check=True)
            return cls(ctypes.CDLL(str(target)))

    def run(
        self, plant: Plant, drive: Drive, temps_c: FloatArray, state: FloatArray, record: Record
    ) -> None:
        """Same arguments and effects as the program's ``simulate_year``."""
        fields = _structure(plant)(*plant)
        self.library.simulate_year(
            ctypes.byref(fields),
            _pointers(drive),
            ctypes.c_int64(drive.draw_kg.size),
            ctypes.c_void_p(temps_c.ctypes.data),
            ctypes.c_int64(temps_c.size),
            ctypes.c_void_p(state.ctypes.data),
            _pointers(record),
        )
