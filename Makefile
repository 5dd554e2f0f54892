# A machine needs python3 (3.11 or later), git and make. The first target that is run makes
# .venv from the locked packages, over the network; after that nothing here needs it.

PYTHON ?= python3
CASE ?= examples/01-sample-home.toml
PORT ?= 8470
BIN := .venv/bin
READY := .venv/.ready
OWN := src tests builders bench

# uv does not compile by default, and some machines keep Python from doing it later: without
# compiled libraries every start of the program takes seconds longer.
export UV_COMPILE_BYTECODE := 1
export PIP_DISABLE_PIP_VERSION_CHECK := 1

.PHONY: help setup demo test bounds check bench proof serve docs clean

help:
	@echo "make demo     set up, then advise the sample home (CASE=file for another one)"
	@echo "make test     every test (T='-k words' or a path narrows it)"
	@echo "make bounds   the compiled year's tests with array bounds checked"
	@echo "make check    format, lint, types, layers, manual, what the program imports"
	@echo "make bench    measure speed, write bench/RESULTS.md"
	@echo "make proof    the program against published values"
	@echo "make serve    open the adviser's desk in the browser (PORT=8470)"
	@echo "make docs     write docs/cli.md from the program's help"
	@echo "make clean    remove .venv and everything that was made"

setup: $(READY)

$(READY): requirements.lock installer.lock pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "Python 3.11 or later is needed; name one: make PYTHON=python3.12" >&2; exit 1; }
	@$(PYTHON) -c 'import ensurepip' || \
	  { echo "Python's venv module is incomplete; on Debian: apt-get install python3-venv" >&2; \
	    exit 1; }
	@echo "Setting up .venv (half a minute to two minutes, once)"
	@$(PYTHON) -m venv .venv
	@if $(BIN)/python -m pip install --quiet --require-hashes -r installer.lock && \
	    $(BIN)/uv pip install --quiet --python $(BIN)/python --require-hashes \
	      -r requirements.lock; then :; else \
	  echo "The fast installer failed; going on with pip"; \
	  $(BIN)/python -m pip install --quiet --require-hashes -r requirements.lock; fi
	@$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation -e .
	@$(BIN)/python -m compileall -q src/tankful
	@touch $@

demo: $(READY)
	$(BIN)/tankful advise $(CASE)

test: $(READY)
	$(BIN)/pytest $(T)

# The compiler trusts every index. With checks on it must compile anew, hence a cache apart.
bounds: $(READY)
	@kept=$$(mktemp -d) && trap 'rm -rf "$$kept"' EXIT && \
	  TANKFUL_CACHE_DIR=$$kept NUMBA_BOUNDSCHECK=1 $(BIN)/pytest \
	  tests/invariants/test_kernel.py tests/invariants/test_kernel_sun.py \
	  tests/invariants/test_tank.py tests/invariants/test_compiled.py

check: $(READY)
	$(BIN)/ruff format --check $(OWN)
	$(BIN)/ruff check $(OWN)
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo
	$(BIN)/python builders/build_cli_reference.py --check
	$(BIN)/python builders/check_runtime_imports.py

bench: $(READY)
	$(BIN)/python bench/run.py

proof: $(READY)
	$(BIN)/tankful proof

serve: $(READY)
	$(BIN)/tankful desk --port $(PORT)

docs: $(READY)
	$(BIN)/python builders/build_cli_reference.py

clean:
	rm -rf .venv build dist out .mypy_cache .ruff_cache .pytest_cache .hypothesis \
	  .import_linter_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
