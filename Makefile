# The two commands a newcomer needs are `make demo` and `make test`; each does all its own setting up.
PYTHON ?= python3
BIN := .venv/bin
# Where a machine forbids it, every process of the tests would compile every module anew.
export PYTHONDONTWRITEBYTECODE :=

.PHONY: demo serve test test-long check bench clean packages

demo: .venv/demo-ready
	$(BIN)/trialfit plan examples/backhead --shop examples/shop.toml --out out/backhead
	@echo "The sheets are in out/backhead"

serve: .venv/demo-ready
	$(BIN)/trialfit serve --workshop workshop

test: packages .venv/test-ready
	$(BIN)/pytest

test-long: .venv/test-ready
	$(BIN)/pytest -m long

check: .venv/test-ready
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache

bench: .venv/bench-ready
	$(BIN)/python -m bench

packages:
	tools/debian-packages

.venv/demo-ready: pyproject.toml constraints.txt tools/browser/package-lock.json
	tools/set-up $(PYTHON) .
	tools/browser-packages
	@touch $@

.venv/test-ready: pyproject.toml constraints.txt tools/browser/package-lock.json
	tools/set-up $(PYTHON) ".[test]"
	tools/browser-packages tests
	@touch $@ .venv/demo-ready

.venv/bench-ready: .venv/test-ready
	tools/set-up $(PYTHON) ".[test,bench]"
	@touch $@

clean:
	rm -rf .venv out build dist
