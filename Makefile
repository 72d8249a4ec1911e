# `make demo` and `make test` do all set-up themselves; see .ci/setup.
.DEFAULT_GOAL := help
.PHONY: help setup demo test test-slow test-deep lint format docs bench pictures clean

BIN := .venv/bin
# Python keeps what it compiled, whatever the surroundings say: else every process of the tests compiles all anew.
export PYTHONDONTWRITEBYTECODE :=

help:       ## list these targets
	@sed -n 's/^\([a-z-]*\): *[a-z-]* *## /\1\t/p' $(MAKEFILE_LIST) | expand -t 12

setup:      ## install what is needed: system libraries, .venv, locked packages
	@.ci/setup

demo: setup ## build the invented hull's book into out/
	$(BIN)/buildbook build demo_build/hull -o out

test: setup ## every test but the slow ones, and the examples in the docstrings
	$(BIN)/pytest -n auto -m "not slow"

test-slow: setup ## the slow tests
	$(BIN)/pytest -n auto -m "slow and not deep"

test-deep: setup ## every spoiled folder that there is a rule for, and more draws; an hour or so
	$(BIN)/pytest -n auto -m slow --hypothesis-profile=deep tests/slow/test_fuzz.py

lint: setup ## style and types
	@status=0; set -x; \
	$(BIN)/ruff check . || status=1; \
	$(BIN)/ruff format --check . || status=1; \
	$(BIN)/mypy buildbook tests $(wildcard demo_build/*.py) || status=1; \
	exit $$status

format: setup ## put the code into the agreed layout
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

docs: setup ## write docs/reference/ anew from the code
	$(BIN)/python -m buildbook.reference

bench: setup ## print times and memory
	$(BIN)/python -u tests/bench.py

pictures: demo ## pictures of the demonstration into docs/guide/pictures/
	$(BIN)/python -m tests.pictures out docs/guide/pictures

clean:      ## remove builds and caches, keep .venv
	rm -rf out dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find buildbook tests demo_build -name __pycache__ -type d -exec rm -rf {} +
