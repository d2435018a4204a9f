# Two commands do everything: `make run` starts the program, `make test` passes every gate.
PYTHON ?= python3
PORT ?= 8000
HOST ?= 127.0.0.1
BIN := .venv/bin

.PHONY: run test test-services format lock clean

run: .venv/run.done .venv/modules.done
	@exec $(BIN)/python manage.py serve --host $(HOST) --port $(PORT)

test: .venv/dev.done
	@$(BIN)/python -m tests.gates

# The same tests on real PostgreSQL and Redis.
test-services: .venv/dev.done
	@$(BIN)/python -m tests.services

format: .venv/dev.done
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

lock: .venv/dev.done
	$(BIN)/uv pip compile pyproject.toml --generate-hashes --no-annotate --no-header --no-emit-index-url --no-emit-find-links --universal --python-version 3.11 -o requirements.lock
	$(BIN)/uv pip compile pyproject.toml --group dev --generate-hashes --no-annotate --no-header --no-emit-index-url --no-emit-find-links --universal --python-version 3.11 -o requirements-dev.lock

.venv/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || \
		{ echo "Undercoat needs Python 3.11 or later as '$(PYTHON)'. Install it, or say: make $(MAKECMDGOALS) PYTHON=/path/to/python3.11" >&2; exit 1; }
	@$(PYTHON) -m venv .venv || { rm -rf .venv; echo "Python's venv module is missing. On Debian or Ubuntu: apt install python3-venv" >&2; exit 1; }

.venv/run.done: requirements.lock | .venv/bin/python
	@echo "Installing what Undercoat needs (once) ..."
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock || \
		{ echo "Some packages could not be installed. Is there a connection to the package index?" >&2; exit 1; }
	@touch $@

# npm comes with a wheel, so that no Node need be on the machine; the browser's grid is what it brings.
.venv/modules.done: package-lock.json .venv/run.done
	@echo "Installing what the browser needs (once) ..."
	@$(BIN)/npm ci --omit=dev --ignore-scripts --loglevel=error || \
		{ echo "The grid of the registers could not be installed. Is there a connection to the npm registry?" >&2; exit 1; }
	@touch $@

.venv/dev.done: requirements-dev.lock .venv/run.done | .venv/bin/python
	@echo "Installing what the tests need (once) ..."
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-dev.lock || \
		{ echo "Some packages could not be installed. Is there a connection to the package index?" >&2; exit 1; }
	@touch $@

clean:
	rm -rf .venv .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache node_modules
