# One command for each thing a person does here. Plain make (GNU 3.81, as on macOS, is enough).

VENV = .venv
PY = $(VENV)/bin/python
PIP = $(PY) -m pip install --quiet --disable-pip-version-check
MANAGE = $(PY) manage.py
# A file's tests stay together: what they share is made once.
# One process more than there are cores: some tests wait for servers and browsers most of their time.
AT_ONCE = --numprocesses $$(( $$(getconf _NPROCESSORS_ONLN) + 1 )) --dist loadfile

.PHONY: help start prepare test test-quick test-services lint accuracy accuracy-demo speed pictures clean

help:
	@echo "make start          everything together on http://127.0.0.1:8000 (another port: make start PORT=8010)"
	@echo "make test           all tests; browser and server tests where Chromium, PostgreSQL and Redis are found"
	@echo "make test-quick     what a change usually breaks, in a minute or two: no browser, no whole takes"
	@echo "make test-services  the pages' tests again on the database and broker of DATABASE_URL and REDIS_URL"
	@echo "make lint           style, types, missing migrations"
	@echo "make accuracy       the benchmark on sampled instruments and the demo takes; writes the tables"
	@echo "                    (short: make accuracy QUICK=1; other music: ARGS=\"--seed 7\"; beside ours: ARGS=--others)"
	@echo "make accuracy-demo  the demo takes alone"
	@echo "make speed          processor time of what a person waits for, beside what is promised"
	@echo "make pictures       take the README's pictures from the running demo"
	@echo "make clean          remove the virtual environment and caches, never the data"

start: prepare
	@$(MANAGE) start

prepare: $(VENV)/installed
	@$(MANAGE) migrate --verbosity 0
	@$(MANAGE) collectstatic --noinput --verbosity 0
	@$(MANAGE) load_demo --if-empty

test: $(VENV)/installed-tests
	$(PY) -m pytest $(AT_ONCE) $(ARGS)

test-quick: $(VENV)/installed-tests
	$(PY) -m pytest $(AT_ONCE) -q -m "not slow and not browser and not services" $(ARGS)

test-services: $(VENV)/installed-tests
	$(PY) -m pytest $(AT_ONCE) tests/studio tests/recordings tests/repertoire tests/test_access_matrix.py \
		--ignore=tests/recordings/analysis --ignore=tests/repertoire/notation -m "not slow" $(ARGS)

lint: $(VENV)/installed-tests
	$(PY) -m ruff check .
	$(PY) -m ruff format --check .
	$(PY) -m mypy
	$(VENV)/bin/oxlint studio recordings repertoire
	$(MANAGE) makemigrations --check --dry-run

# A quick run and a run on other music only print; the whole run also writes what the documents show.
accuracy: $(VENV)/installed-tests
	@bash tests/accuracy/bench/install.sh $(PY) $(ARGS)
	$(PY) -m tests.accuracy.bench $(if $(QUICK),--quick) $(if $(QUICK)$(findstring --quick,$(ARGS))$(findstring --seed,$(ARGS)),,--write) $(ARGS)
	@$(if $(QUICK)$(ARGS),true,$(PY) -m tests.accuracy.kinds --write)
	@$(if $(QUICK)$(ARGS),true,$(MAKE) accuracy-demo)

accuracy-demo: $(VENV)/installed-tests
	$(PY) -m tests.accuracy.demo --write README.md

speed: $(VENV)/installed-tests
	$(PY) -m tests.speed

pictures: $(VENV)/installed-tests
	$(PY) -m tests.browser.pictures

clean:
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache .import_linter_cache

# The newest Python that all requirements have wheels for comes first; any 3.11 or newer will do.
$(VENV)/pyvenv.cfg:
	@for python in python3.13 python3.12 python3.11 python3 python; do \
		if $$python -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then \
			echo "Making the virtual environment with $$python"; \
			if $$python -m venv $(VENV); then exit 0; fi; \
			rm -rf $(VENV); \
			echo "$$python could not make it (on Debian and Ubuntu: apt install python3-venv)"; exit 1; \
		fi; \
	done; echo "Python 3.11 or newer was not found. Install it, then run this again."; exit 1

$(VENV)/installed: $(VENV)/pyvenv.cfg requirements.txt
	@echo "Installing what Fairhearing needs (a minute or two the first time)"
	@$(PIP) -r requirements.txt
	@touch $(VENV)/installed

$(VENV)/installed-tests: $(VENV)/installed tests/requirements.txt
	@echo "Installing what the tests need"
	@$(PIP) -r tests/requirements.txt
	@echo "Compiling the inner loops, once for all processes"
	@$(PY) -c "from recordings.analysis.analyse import warm_up; warm_up()"
	@touch $(VENV)/installed-tests
