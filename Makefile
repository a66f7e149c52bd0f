# Everything a contributor types. `make help` lists it.

SHELL := /bin/sh
PORT ?= 8000
JOBS ?= 2
ARGS ?=
PY := .venv/bin/python
# The first Python that is new enough and can make a virtual environment.
FIND_PYTHON = for name in $(PYTHON) python3.11 python3.12 python3.13 python3 python3.14; do \
	if "$$name" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then echo "$$name"; break; fi; done

.DEFAULT_GOAL := help
.PHONY: help run demo test check check-static check-form check-types check-imports check-migrations check-deploy \
	bench format guide migrations picture

help: ## this list
	@awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "make %-14s %s\n", $$1, $$2 }' Makefile

.venv/installed: requirements.lock
	@python=$$($(FIND_PYTHON)); \
	if [ -z "$$python" ]; then \
		echo "Mendbook needs Python 3.11 or newer with its venv module (on Debian: apt install python3 python3-venv)." >&2; exit 1; fi; \
	[ -x $(PY) ] || "$$python" -m venv .venv
	@echo "Installing the libraries named in requirements.lock (once; a minute or two)."
	@$(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	@touch .venv/installed

run: export DEBUG = true
run: .venv/installed ## set up what is missing, fill an empty database with the invented fund, serve it (PORT=8000)
	@$(PY) manage.py migrate --verbosity 0
	@$(PY) manage.py prepare
	@$(PY) manage.py demo --if-empty
	@echo "Mendbook is at http://127.0.0.1:$(PORT)/ and the crew's side at http://127.0.0.1:$(PORT)/crew/ (stop with Ctrl-C)."
	@$(PY) manage.py runserver --noreload 127.0.0.1:$(PORT)

demo: export DEBUG = true
demo: .venv/installed ## fill an empty database with the invented fund
	@$(PY) manage.py migrate --verbosity 0
	@$(PY) manage.py prepare
	@$(PY) manage.py demo

# The tests of a file stay on one worker, beside the server that they share; the longest ones come first in the alphabet.
test: .venv/installed ## all tests (ARGS="-k receipt"; DATABASE_URL=postgres://... for PostgreSQL)
	@$(PY) -m pytest -n $(JOBS) --dist loadfile --no-loadscope-reorder $(ARGS)

check: check-static test ## the whole gate: what .ci/run asks for, on this machine's database

check-static: check-form check-types check-imports check-migrations check-deploy ## the gate without the tests

check-form: .venv/installed
	$(PY) -m ruff format --check --output-format concise .
	$(PY) -m ruff check .

check-types: .venv/installed
	$(PY) -m mypy

check-imports: .venv/installed
	.venv/bin/lint-imports

check-migrations: .venv/installed
	@DEBUG=true DATABASE_URL=sqlite:///:memory: $(PY) manage.py makemigrations --check --dry-run

check-deploy: .venv/installed
	@DEBUG=false ALLOWED_HOSTS=books.example.org DATABASE_URL=sqlite:///:memory: \
		SECRET_KEY=$$($(PY) -c 'import secrets; print(secrets.token_urlsafe(64))') \
		HOUSEHOLD_KEYS=$$($(PY) -c 'from cryptography.fernet import Fernet; print(Fernet.generate_key().decode())') \
		$(PY) manage.py check --deploy --fail-level WARNING

format: .venv/installed ## put code into the house's form
	$(PY) -m ruff format .
	$(PY) -m ruff check --fix .

bench: .venv/installed ## measure the budgets; each line is a ratio and its limit
	@for script in tests/bench/[a-z]*.py; do \
		echo "== $$script"; $(PY) -m tests.bench.$$(basename "$$script" .py) || exit 1; done

picture: .venv/installed ## take the picture of the public month page that the README shows
	@$(PY) -m tests.browser.picture

guide: .venv/installed ## write the tables of powers and rules in DEVELOPERS.md anew from the code
	@$(PY) .ci/write_guide.py

migrations: .venv/installed ## make each app's 0001_initial.py anew from its models (until the first release)
	@$(PY) .ci/remake_migrations.py

translations: .venv/installed ## bring the Spanish texts up to date and compile them; lists what has no translation yet
	@$(PY) .ci/translations.py
