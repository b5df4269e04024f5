# What is done here, at the desk and in CI alike:
#   make         build .venv with the pinned packages and limbwright in it
#   make demo    the main job on the demo suit, from nothing
#   make test    every test
#   make lint    style, types and layers
#   make bench   the numbers of benchmarks/README.md (minutes)
#   make format  put the code into the agreed form
#   make pins    resolve the pinned requirements anew
#   make clean   remove .venv and every cache

PYTHON ?= python3
JOBS ?= 2
VENV := .venv
BIN := $(VENV)/bin
SUIT := examples/orchard-warden/suit.yaml
PIP := $(BIN)/python -m pip --disable-pip-version-check
# Hashed wheels only: nothing is compiled on the way, so no compiler is needed.
PINNED := $(PIP) install --quiet --require-hashes --only-binary :all:
UV ?= $(BIN)/uv
RESOLVE := $(UV) pip compile --quiet --universal --python-version 3.11 --generate-hashes \
	--no-emit-index-url --strip-extras --upgrade --custom-compile-command "make pins" \
	pyproject.toml requirements/build.in

.PHONY: all demo test lint bench format pins clean

all: $(VENV)/.run
	@echo "ready: $(BIN)/limbwright --help"

$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "Python 3.11 or newer is needed; name one with: make PYTHON=python3.11"; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || \
		{ echo "Python's venv module is missing; on Debian or Ubuntu, as root: apt-get install python3-venv"; exit 1; }
	@echo "making $(VENV)"
	@$(PYTHON) -m venv $(VENV)

$(VENV)/.run: requirements/run.txt pyproject.toml | $(VENV)/bin/python
	@echo "installing the pinned packages (about 550 MB on disk; a minute or two the first time)"
	@$(PINNED) -r requirements/run.txt
	@$(PIP) install --quiet --no-deps --no-build-isolation --no-index --editable .
	@touch $@

$(VENV)/.test: requirements/test.txt $(VENV)/.run
	@echo "installing what the tests need"
	@$(PINNED) -r requirements/test.txt
	@touch $@

$(VENV)/.lint: requirements/lint.txt $(VENV)/.run
	@echo "installing the checkers"
	@$(PINNED) -r requirements/lint.txt
	@touch $@

demo: $(VENV)/.run
	@sh scripts/demo.sh $(BIN)/limbwright $(SUIT)

test: $(VENV)/.test
	$(BIN)/python -m pytest -n $(JOBS) $(ARGS)

lint: $(VENV)/.lint
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports
	$(BIN)/pyright

bench: $(VENV)/.test
	$(BIN)/python -m benchmarks

format: $(VENV)/.lint
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

pins: $(VENV)/bin/python
	@test -x $(UV) || $(PIP) install --quiet uv
	$(RESOLVE) --output-file requirements/run.txt
	$(RESOLVE) --extra test --constraints requirements/run.txt --output-file requirements/test.txt
	$(RESOLVE) --extra lint --constraints requirements/run.txt --output-file requirements/lint.txt

clean:
	rm -rf $(VENV) build dist .pytest_cache .ruff_cache .import_linter_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
