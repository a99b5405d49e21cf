# Two commands for a new reader: `make demo` and `make test`.

CARGO ?= cargo
LOCKED := --locked

# The bindings find Python's symbols in the interpreter that loads them, and need no library of it to link with.
export PYO3_BUILD_EXTENSION_MODULE := 1

.PHONY: demo test lint web screens browser drawings python wheel fuzz bench

# Builds the command, without the PDF typesetter (`report -o`), which the question does not need and which brings more than
# half of the crates; asks the main question of the first demo. Exit status 1 is an answer: something hits.
demo:
	@if command -v npm >/dev/null; then $(MAKE) --no-print-directory screens \
	  || echo "The screens of the bench could not be built; everything else goes on."; fi
	$(CARGO) build $(LOCKED) --release -p headroom-app --bin headroom --no-default-features
	@echo
	./target/release/headroom swap demos/heron.build.toml demos/heron-with-bittern-head.swap.toml || test $$? -eq 1

# Everything the project can test. One selection of crates, so that nothing is compiled twice.
test: web lint
	$(CARGO) nextest --version >/dev/null 2>&1 || $(CARGO) install --locked cargo-nextest
	$(CARGO) nextest run --workspace $(LOCKED)
	$(CARGO) test --workspace $(LOCKED) --doc
	$(MAKE) browser
	$(MAKE) drawings
	$(MAKE) python BUILT_FOR_PYTHON="--workspace --lib --bins --tests"

# The screens of the bench, for the compiler to take in; `make demo` and plain cargo do without them. Types that are stale
# beside the server's description end it.
web: web/node_modules
	cd web && npm run --silent check && npm run --silent build

# The same without looking at types, for a reader who only wants to see them.
screens: web/node_modules
	cd web && npm run --silent build

# What somebody does at the bench, in a real Chromium without a window; pictures of every screen go to out/screens. The
# program is the one that the tests before it have built.
CHROMIUM ?= /usr/bin/chromium
browser: web/node_modules
	test -x $(CHROMIUM) || { apt-get update -qq && apt-get install -y -qq --no-install-recommends chromium fonts-dejavu-core; }
	cd web && CHROMIUM=$(CHROMIUM) HEADROOM=$${CARGO_TARGET_DIR:-$(CURDIR)/target}/debug/headroom npm run --silent browser

web/node_modules: web/package-lock.json
	cd web && npm ci --no-audit --no-fund
	touch $@

# Drawings and meshes read back with other people's programs, in a virtual environment of their own.
drawings: .venv/drawings
	$(CARGO) run $(LOCKED) -p headroom-report --example write_drawings -- out/drawings
	for paper in a4 letter; do \
	  $(CARGO) run $(LOCKED) -p headroom-app --bin headroom -- report --quiet --paper $$paper --pulls demos/pulls \
	    -o out/drawings/report-$$paper.pdf demos/heron.build.toml demos/heron-with-bittern-head.swap.toml \
	    || test $$? -eq 1 || exit 1; \
	done
	.venv/bin/python checks/report_drawings/check_drawings.py out/drawings

.venv/drawings: checks/report_drawings/requirements.txt
	python3 -m venv .venv
	.venv/bin/pip install --quiet --disable-pip-version-check -r checks/report_drawings/requirements.txt
	touch $@

# The Python package on the library as it is; after the other tests, as they have built it, so that the bindings alone are
# compiled.
BUILT_FOR_PYTHON ?= -p headroom-python -p headroom-app
TARGET = $(abspath $(or $(CARGO_TARGET_DIR),target))
python: .venv-python/ready
	$(CARGO) build $(LOCKED) $(BUILT_FOR_PYTHON)
	install $(TARGET)/debug/lib_headroom.so python/headroom/_headroom.abi3.so
	HEADROOM=$(TARGET)/debug/headroom PYTHONPATH=python .venv-python/bin/python -m pytest -q -p no:cacheprovider python/tests

# The same as a wheel for others, into target/wheels.
wheel: .venv-python/ready
	cd python && ../.venv-python/bin/maturin build --release --strip --locked -o $(TARGET)/wheels

.venv-python/ready: python/requirements.txt
	python3 -m venv .venv-python
	.venv-python/bin/pip install --quiet --disable-pip-version-check -r python/requirements.txt
	touch $@

lint:
	$(CARGO) fmt --all --check
	$(CARGO) clippy --workspace --all-targets $(LOCKED) -- -D warnings

# Ten minutes on each target; see fuzz/README.md.
fuzz:
	cd fuzz && for target in quantity sheet pulls; do RUSTC_BOOTSTRAP=1 $(CARGO) fuzz run $$target -- -max_total_time=600; done

# Timings are for docs/performance.md; they decide no test.
bench:
	$(CARGO) bench -p headroom-fit --bench gap
