# Every target sets up what it needs by itself, on Debian with git and make and nothing else.
PORT ?= 8000
BIN := .venv/bin

# By which name or address a browser reaches the server; another than this machine's own is served to the network.
NAME ?= 127.0.0.1
BIND ?= $(if $(filter 127.0.0.1 localhost,$(NAME)),127.0.0.1,0.0.0.0)
ADDRESS = $(if $(wildcard instance/tls/server.crt),https,http)://$(NAME):$(PORT)

define need_port
$(BIN)/python -c 'import socket; s = socket.socket(); s.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1); s.bind(("$(1)", $(PORT)))' 2>/dev/null \
	|| { echo "Port $(PORT) is taken by another program; stop it, or choose another: make $@ PORT=8001" >&2; exit 1; }
endef

.PHONY: install serve upgrade setup run test mutants lint format bench pictures hashes

# What serving needs: the libraries that draw PDF, and Python's.
install:
	@./setup.sh run

# That, and what the tests need: Chromium, PostgreSQL, poppler, qpdf, the libraries of the tests.
setup:
	@./setup.sh test

# A kitchen of your own. On an empty database it prints a link that opens the set-up, once.
serve: install
	@$(call need_port,$(BIND))
	@$(BIN)/flask --app app init --if-empty --address $(ADDRESS)
	@echo "Roast Ledger serves at $(ADDRESS) (Ctrl-C stops it)"
	@exec $(BIN)/gunicorn --bind $(BIND):$(PORT) --workers 2 --log-level warning 'app:create_app()'

# The newest version: a copy of the records, the code, its libraries, the tables, and what the register is in the ledger.
upgrade:
	@docs/service/upgrade.sh

# The demo kitchen, always in the SQLite file of the instance folder, whatever database the environment names.
run: install
	@$(call need_port,127.0.0.1)
	@env -u DATABASE_URL $(BIN)/flask --app app demo
	@echo "Roast Ledger serves the demo kitchen at http://127.0.0.1:$(PORT) (Ctrl-C stops it)"
	@exec env -u DATABASE_URL TLS=0 $(BIN)/gunicorn --bind 127.0.0.1:$(PORT) --workers 2 --log-level warning 'app:create_app()'

# Every test, in an order of chance, by a worker a core. SEED=N repeats the order of an earlier run.
test: lint
	@$(BIN)/pytest --numprocesses auto --dist worksteal $(if $(SEED),--randomly-seed $(SEED)) || { status=$$?; [ $$status -ne 5 ] || echo "pytest found no test to run" >&2; exit $$status; }

# Changes planted in the rules: which of them does no test notice? An hour at most; a second run goes on where one stopped.
mutants:
	@./setup.sh mutants
	@$(BIN)/pytest --quiet -p no:randomly tests/test_planting.py tests/test_mutants.py
	@$(BIN)/python -m tests.mutants $(if $(MINUTES),--minutes $(MINUTES)) $(if $(WORKERS),--workers $(WORKERS)) $(if $(ONLY),--only $(ONLY))

lint: setup
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache --no-logo

format: setup
	$(BIN)/ruff check --fix
	$(BIN)/ruff format

bench: setup
	@set -e; for script in tests/bench/bench_*.py; do echo "$$script"; PYTHONPATH=. $(BIN)/python "$$script"; done

# After a change of pyproject.toml or constraints.txt: the lists of libraries with their hashes, made anew.
hashes:
	@./requirements/anew.sh

pictures: setup
	PYTHONPATH=. $(BIN)/python docs/take_pictures.py
