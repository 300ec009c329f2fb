# Everything is made from here. A fresh clone needs Go, Node with npm, make and git; `make test` also fetches Chromium
# and two readers of PDF files.
#
#   make run     the demo kitchen on http://localhost:8080
#   make test    every check, early failures first
#   make build   build/brinebell, one static file
#   make bench   the figures, as a table and in build/bench.json
#   make soak    for SOAK (10m) each: the simulated kitchen, a new seed each time; writes against checkpoints; and many kills, restarts, backups
#   make friday  a Friday evening to Saturday's close in a browser, FRIDAY (60) times as fast as life
#   make lint    staticcheck, over and above the vet in `make test`

SHELL       := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DELETE_ON_ERROR:
.SUFFIXES:
.PHONY: run test build bench soak friday lint clean help check types unit go e2e chromium readers front tools

LISTEN   ?= :8080
DATA     ?= build/demo
SOAK     ?= 10m
FRIDAY   ?= 60
CHROMIUM ?= $(shell command -v chromium || echo /usr/bin/chromium)

export CGO_ENABLED = 0
# The version is handed in, not read from git by the compiler: a clone that belongs to somebody else still builds.
export GOFLAGS     = -trimpath -buildvcs=false
VERSION := $(shell git describe --always --dirty 2>/dev/null || echo unknown)
LDFLAGS := -s -w -X main.version=$(VERSION)
# Inlining makes the binary larger, and the screens most of all, which a server seldom draws: they do without (DEVELOPERS.md has the sizes).
GCFLAGS := -gcflags=brinebell/internal/core/screen=-l

npm      := frontend/node_modules/.package-lock.json
go_files := $(shell find . -name '*.go' -not -name '*_test.go' -not -path './build/*' -not -path './frontend/node_modules/*')
embedded := $(shell find internal cmd -type f -not -name '*.go' -not -path '*/testdata/*')
core     := $(filter ./internal/core/% ./cmd/corewasm/%,$(go_files))
slim     := frontend/buildcore.mjs frontend/slim/unused.txt frontend/worker/early.js frontend/worker/asleep.js $(filter-out %.test.js,$(wildcard frontend/slim/*.mjs))
screens  := $(shell find frontend -type f -not -path '*/node_modules/*' -not -path '*/dist/*' -not -path '*/e2e/*' -not -name '*.test.js')

run: build/dev/brinebell
	@exec ./build/dev/brinebell serve --demo --listen "$(LISTEN)" --data "$(DATA)"

build: build/brinebell
	@ls -l build/brinebell

help:
	@sed -n '4,11s/^# \{0,1\}//p' Makefile

# ---- what is built -------------------------------------------------------------------------------------------------

tools:
	@for tool in go node npm git; do command -v $$tool >/dev/null || { echo "$$tool is missing: install it, then run make again" >&2; exit 1; }; done

go.sum: go.mod

build/core.wasm: $(core) go.mod $(slim) | tools
	node frontend/buildcore.mjs

# --ignore-scripts: nothing that we use needs to run at install, so nothing may.
$(npm): frontend/package-lock.json frontend/package.json | tools
	cd frontend && npm ci --ignore-scripts --no-audit --no-fund
	@touch $@

# Two grades of the same tree: fast leaves out the slow compression. The lock lets both be asked for at once.
build/front.fast: $(screens) build/core.wasm $(npm)
	flock build/front.lock node frontend/build.mjs --fast
	@rm -f build/front.full; touch $@

build/front.full: $(screens) build/core.wasm $(npm)
	flock build/front.lock node frontend/build.mjs
	@touch build/front.fast $@

front: build/front.full

build/dev/brinebell: $(go_files) $(embedded) go.mod go.sum build/front.fast
	@mkdir -p build/dev
	go build -ldflags='$(LDFLAGS)' -o $@ ./cmd/brinebell

build/brinebell: $(go_files) $(embedded) go.mod go.sum build/front.full
	go build $(GCFLAGS) -ldflags='$(LDFLAGS)' -o $@ ./cmd/brinebell

# ---- what is checked -----------------------------------------------------------------------------------------------

# In this order so that what fails soonest to look at, fails first. Each part leaves its count in build/tally.
test:
	@rm -rf build/tally; mkdir -p build/tally
	@$(MAKE) --no-print-directory check
	@$(MAKE) --no-print-directory types unit
	@$(MAKE) --no-print-directory build
	@$(MAKE) --no-print-directory go
	@$(MAKE) --no-print-directory e2e
	@node .ci/tally.mjs close build/tally

check: | tools
	@unformatted="$$(git ls-files -co --exclude-standard '*.go' | xargs -r gofmt -l)"; \
	if [ -n "$$unformatted" ]; then echo "run gofmt -w on: $$unformatted" >&2; exit 1; fi
	go vet ./...
	GOOS=js GOARCH=wasm go vet ./cmd/corewasm

types: $(npm)
	cd frontend && npm run --silent types
	cd frontend && npm run --silent lint

unit: $(npm) build/core.wasm
	@mkdir -p build/tally
	node --test --test-reporter=spec --test-reporter-destination=stdout \
		--test-reporter=tap --test-reporter-destination=build/tally/unit.tap \
		$$(find frontend -name '*.test.js' -not -path '*/node_modules/*' -not -path '*/e2e/*' | sort)

# The tests open PDFs with other people's readers.
readers:
	@command -v pdftotext >/dev/null && command -v qpdf >/dev/null || { \
		apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends poppler-utils qpdf; }

go: build/front.fast | readers
	@mkdir -p build/tally
	go test -json ./... | node .ci/tally.mjs go build/tally/go.json

# Only a browser test needs a browser, and only a machine without one needs apt.
chromium:
	@command -v chromium >/dev/null || { \
		apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends chromium; }

e2e: build/brinebell $(npm) | chromium readers
	@mkdir -p build/tally
	cd frontend && CHROMIUM="$(CHROMIUM)" node ../.ci/browse.mjs ../build/tally $$(find e2e -name '*.e2e.js' | sort)

bench: build/brinebell build/core.wasm $(npm) | chromium
	CHROMIUM="$(CHROMIUM)" go run ./internal/bench -binary build/brinebell -out build/bench.json

soak: | tools
	BRINEBELL_SOAK="$(SOAK)" go test -p 1 ./internal/simulation ./internal/sqlite ./internal/hub ./internal/bench ./cmd/brinebell -run Soak -count=1 -timeout 0 -v

# FRIDAY=0 takes the night and the day as fast as may be, and work slowly.
friday: build/brinebell $(npm) | chromium
	cd frontend && FRIDAY="$(FRIDAY)" CHROMIUM="$(CHROMIUM)" node --test e2e/friday.soak.js

# staticcheck and what it needs stay in a module file of their own.
lint: | tools
	go tool -modfile=tools.mod staticcheck ./...
	GOOS=js GOARCH=wasm go vet ./cmd/corewasm

clean:
	rm -rf build frontend/node_modules
	find frontend/dist -mindepth 1 -not -name .keep -delete
