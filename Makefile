# Nodespan: what can be run here. `make help` lists it.
# DEVELOPERS.md says what each step is for, with the plain commands beside it.

SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := help
.NOTPARALLEL:

STATICCHECK := v0.8.2
WASM        := GOOS=js GOARCH=wasm
# Packages that know neither an operating system nor a browser; they run natively and as WASM.
CORE        := $$(go list ./expr/... ./solver/... | grep -vE "/cmd/|/raster$$")
RULES       := ./.ci/rules
MUTATE      := ./testdata/mutate
TESTDATA    := ./testdata $(MUTATE)
DEMO        := testdata/demos/wall-in-the-sun.txt
FIGURE      := -figure testdata/pictures/stove-pipe-fin.svg -width 640 testdata/demos/stove-pipe-fin.txt
FUZZTIME    ?= 30s

.PHONY: help run page pictures test style test-go test-wasm test-rules test-fuzz test-page check campaign bench measure fuzz mutate clean

help: ## list what can be run
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/^([a-z-]+):.*## /  make \1	/' | expand -t 22

run: page build/nodespan ## build the page, solve a demonstration sheet, open the page
	@cat $(DEMO)
	@echo
	@build/nodespan $(DEMO)
	@echo
	@echo "The page: $(CURDIR)/build/nodespan.html"
	@if [ -n "$${DISPLAY:-}$${WAYLAND_DISPLAY:-}" ] && command -v xdg-open >/dev/null; then \
		xdg-open build/nodespan.html >/dev/null 2>&1 || true; \
	elif [ "$$(uname)" = Darwin ]; then open build/nodespan.html; fi

page: site/node_modules/.package-lock.json ## build build/nodespan.html and build/site/
	go run ./site/build

pictures: page build/nodespan ## make the pictures that README.md shows, anew
	@.ci/install chromium
	build/nodespan $(FIGURE) > build/figure.tsv
	node site/test/picture.mjs testdata/pictures/page.png

build/nodespan: FORCE
	@mkdir -p build
	@go build -o $@ ./solver/cmd/nodespan
.PHONY: FORCE
FORCE:

site/node_modules/.package-lock.json: site/package-lock.json
	@.ci/install npm
	cd site && npm ci --ignore-scripts --no-audit --no-fund --loglevel=error
	@touch $@

test: ## everything; installs what it needs on Debian
	@.ci/install cc npm chromium firefox numpy octave pdflatex pdftotext
	@rm -rf build/test
	@$(MAKE) --no-print-directory --keep-going style test-rules test-go test-wasm test-fuzz page test-page
	@cat build/test/*.count | awk '{ p += $$1; f += $$2 } END { print p " passed, " f " failed" }'

style: build/bin/staticcheck-$(STATICCHECK) ## gofmt, go vet, staticcheck
	@bad=$$(gofmt -l $$(git ls-files -co --exclude-standard '*.go')); \
		if [ -n "$$bad" ]; then echo "gofmt -w these:"; echo "$$bad"; exit 1; fi
	go vet ./... $(RULES) $(TESTDATA)
	$(WASM) go vet ./...
	build/bin/staticcheck-$(STATICCHECK) ./... $(RULES) $(TESTDATA)
	$(WASM) build/bin/staticcheck-$(STATICCHECK) ./...

build/bin/staticcheck-$(STATICCHECK):
	GOBIN=$(CURDIR)/build/bin go install honnef.co/go/tools/cmd/staticcheck@$(STATICCHECK)
	@mv build/bin/staticcheck $@

test-rules: build/nodespan ## the project's own rules, and the examples of the documents
	@.ci/gotest rules -count=1 $(RULES) $(TESTDATA)

# The campaign solves thousands of problems with the packages that the race detector has watched by then; it would take ten times as long.
test-go: site/node_modules/.package-lock.json ## Go tests, natively, with the race detector
	@.ci/install cc numpy octave pdflatex pdftotext chromium
	@PART=1 .ci/gotest native -race $$(go list ./... | grep -v /cmd/campaign)
	@.ci/gotest published ./solver/cmd/check ./solver/slips
	@CAMPAIGN=200 .ci/gotest campaign ./solver/cmd/campaign

# Go's own wrapper for Node enlarges the stack eightfold, and so hides a recursion that would kill the
# program in a browser. These tests run on Node's own stack, which is the harder of the two.
test-wasm: ## the core's tests as WASM under Node
	@$(WASM) PART=1 .ci/gotest wasm -exec="$(CURDIR)/.ci/wasm-exec" $(CORE)

test-fuzz: ## every fuzz target briefly, from its seeds
	@.ci/fuzz 200x

test-page: page build/nodespan ## the page in Chromium and Firefox
	@.ci/install chromium firefox pdftotext
	@.ci/pagetest

check: ## solve every published problem with its reference, native: true and claimed error, size, time
	@mkdir -p build
	@go build -o build/check ./solver/cmd/check
	build/check testdata/problems.json
	build/check testdata/literature.json

# The number of cases in all, and the seed.
N    ?= 20000
SEED ?= 1
campaign: ## solve N random problems with known answers (20000, from SEED), natively, and list what is wrong
	@mkdir -p build
	@go build -o build/campaign ./solver/cmd/campaign
	build/campaign -rows testdata/campaign.json
	build/campaign -n $(N) -seed $(SEED)

bench: ## where the time of a solve goes, natively and as WASM in one run; then all Go benchmarks
	@.ci/bench
	go test -run '^$$' -bench . -benchmem ./...
	$(WASM) go test -exec="$(CURDIR)/.ci/wasm-exec" -run '^$$' -bench . -benchmem $(CORE)

measure: page ## sizes, time to the first answer, keystroke to redraw, solve times
	@.ci/install chromium firefox
	@node site/test/measure.mjs

fuzz: ## every fuzz target for FUZZTIME (30s)
	@.ci/fuzz $(FUZZTIME)

mutate: site/node_modules/.package-lock.json ## make N (60) small changes to the code, from SEED, and list those that no test notices
	go run $(MUTATE) -n $(if $(filter command line environment,$(origin N)),$(N),60) -seed $(SEED)

clean: ## remove what was built
	rm -rf build site/node_modules
