# Everything a person does with this project; `make` alone lists it.
# A machine needs Python 3.11 or later, git and make; the rest is installed here, in .venv.

PYTHON ?= $(firstword $(foreach p,python3.11 python3.12 python3.13 python3,$(shell command -v $(p))) python3)
VENV ?= .venv
WORKERS ?= auto
BIN := $(VENV)/bin
INSTALL := .ci/install $(VENV) $(PYTHON)
COMPILE := $(BIN)/uv --quiet pip compile --universal --python-version 3.11 \
	--no-emit-index-url --no-header --no-annotate --generate-hashes

.DEFAULT_GOAL := help
.PHONY: help run test test-outside check bench docs lock

help:  ## List what can be made
	@awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "make %-13s %s\n", $$1, $$2 }' $(MAKEFILE_LIST)

run: $(VENV)/.run  ## Plan the example building tonight, look at its machine's pack, what falls due, its walk-round
	@mkdir -p out
	@$(BIN)/scrubwright floor examples/market_hall.dxf -o out/market_hall.geojson
	@for plate in examples/plates/*.toml; do \
		echo; \
		$(BIN)/scrubwright route out/market_hall.geojson --machine $$plate \
			--html out/$$(basename $$plate .toml).html || exit 1; \
	done
	@echo
	@$(BIN)/scrubwright shift out/market_hall.geojson --machine examples/plates/mid_cylindrical_080.toml \
		--pack examples/packs/market_hall_36v.toml --charge 95% --start 21:30 --dry-by 05:30 --day 2026-04-09 \
		--html out/market_hall_shift.html --pdf out/market_hall_shift.pdf
	@echo
	@$(BIN)/scrubwright pack examples/packs/market_hall_36v.toml examples/readings/market_hall_36v.csv \
		--load 66A --work 2h --day 2026-04-09 --pdf out/market_hall_pack.pdf --svg out/market_hall_pack.svg
	@echo
	@$(BIN)/scrubwright due examples/plates/mid_cylindrical_080.toml --pack examples/packs/market_hall_36v.toml \
		--site ramps --readings examples/meters/market_hall.csv --done examples/changes/market_hall.csv \
		--day 2026-04-09 --ics out/market_hall_due.ics
	@$(BIN)/scrubwright round examples/plates/mid_cylindrical_080.toml --pack examples/packs/market_hall_36v.toml \
		--site ramps --day 2026-04-09 --pdf out/market_hall_round.pdf > out/market_hall_round.txt
	@echo; echo "Open these in a browser, or print the sheets:"; ls out/*.html out/*.svg out/*.pdf

test: check browser  ## All checks and tests but the heavy oracles; under 10 minutes on 2 cores
	$(BIN)/pytest --numprocesses $(WORKERS) --dist worksteal --quiet

test-outside: $(VENV)/.outside  ## Compare with other people's solvers and models
	$(BIN)/pytest --quiet tests/outside

check: $(VENV)/.dev  ## Lint, format, types and import rules
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(VENV)/.outside  ## Measure speed and quality against bounds and a naive plan
	$(BIN)/python -m benchmarks.quality
	$(BIN)/python -m benchmarks.quality.health
	$(BIN)/python -m benchmarks.quality.short_logs
	$(BIN)/python -m benchmarks.quality.shift_chance
	$(BIN)/python -m benchmarks.quality.shift_charging
	$(BIN)/python -m benchmarks.quality.wet_floor
	$(BIN)/python -m benchmarks.quality.lives
	$(BIN)/python -m benchmarks.quality.meters
	$(BIN)/python -m benchmarks.speed
	$(BIN)/python -m benchmarks.speed.discharge
	$(BIN)/python -m benchmarks.speed.health
	$(BIN)/python -m benchmarks.speed.charging
	$(BIN)/python -m benchmarks.speed.shift
	$(BIN)/python -m benchmarks.speed.shift_chance
	$(BIN)/python -m benchmarks.speed.lives
	$(BIN)/python -m benchmarks.speed.due
	$(BIN)/python -m benchmarks.speed.due_lists

docs: $(VENV)/.dev  ## Write the reference pages and build docs/ into build/docs
	$(BIN)/python docs/reference_pages.py
	$(BIN)/zensical build --clean

lock: $(VENV)/.dev  ## Resolve every dependency again, with hashes and without hosts
	$(COMPILE) --upgrade pyproject.toml --group install --output-file requirements.lock
	$(COMPILE) --upgrade pyproject.toml --extra ifc --group install --group dev --group docs \
		--constraint requirements.lock --output-file requirements-dev.lock
	$(COMPILE) --upgrade --group pyproject.toml:outside \
		--constraint requirements-dev.lock --output-file requirements-outside.lock
	$(COMPILE) --upgrade --group pyproject.toml:uv --output-file requirements-uv.lock

.PHONY: browser
browser:
	@.ci/needs chromium

# A stamp stands for an installed lock, so that a second `make` starts at once.
$(VENV)/.run: requirements.lock requirements-uv.lock pyproject.toml .ci/install
	@echo "Installing what it runs on into $(VENV) ..."
	@$(INSTALL) requirements.lock
	@touch $@

$(VENV)/.dev: requirements-dev.lock requirements-uv.lock pyproject.toml .ci/install
	@echo "Installing what the checks and tests need into $(VENV) ..."
	@$(INSTALL) requirements-dev.lock
	@touch $@ $(VENV)/.run

$(VENV)/.outside: $(VENV)/.dev requirements-outside.lock
	@echo "Installing the heavy oracles into $(VENV) ..."
	@$(INSTALL) requirements-outside.lock
	@touch $@
