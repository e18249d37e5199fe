# One environment in .venv; each target installs what it needs first.
PYTHON ?= python3
VENV := .venv
PIP := $(VENV)/bin/python -m pip --disable-pip-version-check
SOPC := $(VENV)/bin/sopc
DEMO := protocols/larkspur_pass

.PHONY: demo test test-long lint bench faults fuzz clean system-libraries

demo: $(VENV)/.installed
	$(SOPC) check $(DEMO)/2026-12 --today 2026-12-02
	$(SOPC) build $(DEMO)/2026-12 --today 2026-12-02 --from 2026-12-01 --to 2026-12-31 --name larkspur_pass
	$(SOPC) build $(DEMO)/2026-12 --today 2026-12-02 --from 2027-01-01 --to 2027-12-31 --only logs --name larkspur_pass_2027
	$(SOPC) diff $(DEMO)/2026-09 $(DEMO)/2026-12 --today 2026-12-02 --pdf build/larkspur_pass_changes.pdf

test: $(VENV)/.tested
	$(VENV)/bin/python -m pytest -n 2 -m "not long" $(ARGS)

test-long: $(VENV)/.tested
	$(VENV)/bin/python -m pytest -n 2 -m long $(ARGS)

lint: $(VENV)/.linted
	$(VENV)/bin/ruff check .
	$(VENV)/bin/ruff format --check sopc tests
	$(VENV)/bin/mypy

bench: $(VENV)/.tested
	$(VENV)/bin/python -m tests.bench

faults: $(VENV)/.tested
	$(VENV)/bin/python -m tests.faults $(ARGS)

fuzz: $(VENV)/.fuzzed
	$(VENV)/bin/python -m tests.fuzz $(ARGS)

clean:
	rm -rf build $(VENV) .mypy_cache .ruff_cache .hypothesis

system-libraries:
	@sh .ci/system-libraries

$(VENV)/bin/python:
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "sopc needs Python 3.11 or newer; name one: make PYTHON=python3.12")'
	@sh .ci/system-libraries
	$(PYTHON) -m venv $(VENV)

$(VENV)/.installed: pyproject.toml | $(VENV)/bin/python
	$(PIP) install --quiet --upgrade "pip>=25.1"
	$(PIP) install --quiet --editable .
	@touch $@

$(VENV)/.tested: $(VENV)/.installed
	$(PIP) install --quiet --group test
	@touch $@

$(VENV)/.fuzzed: $(VENV)/.tested
	$(PIP) install --quiet --group fuzz
	@touch $@

$(VENV)/.linted: $(VENV)/.installed
	$(PIP) install --quiet --group lint
	@touch $@
