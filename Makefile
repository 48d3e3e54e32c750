# One command each; every target sets up what it needs first. MENU and ARGS reach `hobside cook`.
PYTHON ?= python3
BIN := .venv/bin
# Standard output is hobside's alone.
MAKEFLAGS += --no-print-directory

.PHONY: setup cook test check bench bench-voice clean

setup:
	@$(PYTHON) assistant/install.py

cook: setup
	@$(BIN)/hobside cook $(MENU) $(ARGS)

test:
	@$(PYTHON) assistant/install.py test
	@$(BIN)/python -m pytest $(ARGS)

check:
	@$(PYTHON) assistant/install.py test
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/mypy

bench:
	@$(PYTHON) assistant/install.py test
	@$(BIN)/python -m tests.bench.figures

bench-voice:
	@$(PYTHON) assistant/install.py test
	@$(BIN)/python -m tests.bench.voice $(RECORDINGS) $(NOISE)
	@$(BIN)/python -m tests.bench.speaking
	@$(BIN)/python -m tests.bench.words
	@$(BIN)/python -m tests.bench.over_speech
	@$(BIN)/python -m tests.bench.listening $(MINUTES)
	@$(BIN)/python -m tests.bench.spoken open

clean:
	rm -rf .venv .venv-rasa build *.egg-info .mypy_cache .ruff_cache .pytest_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
