# Two commands set this up: `make demo` runs the main job, `make test` passes the tests.
SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
PYTHON ?= python3.11
ifeq ($(shell command -v $(PYTHON) 2>/dev/null),)
PYTHON := python3
endif
BIN := .venv/bin

.PHONY: demo test check tests format lock clean

# Compiled beforehand, so that the first command starts as quickly as the next, also where
# Python has been told to leave no compiled files behind.
SOURCES := $(shell find src -name '*.py')
.venv/compiled: .venv/runtime $(SOURCES)
	@$(BIN)/python -m compileall -q src
	@touch $@

demo: .venv/compiled
	@$(BIN)/witnessmark demo --out out

test: .venv/compiled .venv/develop check tests

check: .venv/develop
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/lint-imports --no-cache
	$(BIN)/mypy

tests: .venv/develop
	$(BIN)/python -m pytest -n auto --dist loadgroup

format: .venv/develop
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

.venv/bin/python:
	@scripts/ensure-python-venv $(PYTHON)
	$(PYTHON) -m venv .venv

.venv/runtime: requirements/runtime.lock pyproject.toml | .venv/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/runtime.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	@touch $@

.venv/develop: requirements/develop.lock .venv/runtime
	@scripts/ensure-debian-packages
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/develop.lock
	@touch $@

# Needs pip-tools; writes no index address into the lock files.
lock:
	cd requirements && for name in runtime develop; do \
	  pip-compile --quiet --generate-hashes --no-header --no-emit-index-url --no-emit-trusted-host \
	    --strip-extras --allow-unsafe -o $$name.lock build.in $$name.in; done

clean:
	rm -rf .venv out
