# What a maintainer runs. `make test` and `make lint` are what CI runs (.ci/run);
# both set up what they need on a machine that has Go.

SHELL := bash
.SHELLFLAGS := -euo pipefail -c

.PHONY: all build page dist test lint fmt bench measure reference docs examples cross fuzz-smoke race tools clean

all: build

build: ## the program, for this machine, in bin/
	CGO_ENABLED=0 go build -trimpath -o bin/ ./cmd/feint

test: ## everything that must hold: vet, tests, the page in a browser, races, fuzzing in short, other systems
	go vet ./...
	go test -timeout 40m ./...
	scripts/browser.sh
	scripts/race.sh
	scripts/fuzz-smoke.sh
	scripts/cross.sh

lint: tools ## style and likely mistakes, by .golangci.yml
	bin/golangci-lint config verify
	bin/golangci-lint run ./...
	@unformatted="$$(bin/gofumpt -l cmd internal testdata)"; \
	if [ -n "$$unformatted" ]; then echo "not formatted, run make fmt:"; echo "$$unformatted"; exit 1; fi

fmt: tools ## format every Go file
	bin/gofumpt -w cmd internal testdata

page: ## the page of `feint bench`, bundled into the program; installs npm and Chromium if they are missing
	scripts/web-tools.sh
	go run ./internal/server/bundle

bench: page build ## the lighthouse in the browser: see, play and change it
	bin/feint bench examples/lighthouse/lighthouse.star

dist: page cross ## the program for every system, with the page in it

measure: ## the benchmarks of docs/performance.md
	go test -run '^$$' -bench . -benchmem ./...

reference: ## compare with programs that are not ours; needs Debian's packages, see scripts/reference.sh
	scripts/reference.sh

docs: ## write docs/language.md anew from the words' own doc strings
	go generate ./internal/design

examples: build ## prove every example
	scripts/examples.sh

cross: ## build for every system that feint is for
	scripts/cross.sh

fuzz-smoke: ## every fuzz target on a few thousand inputs
	scripts/fuzz-smoke.sh

race: ## the tests of the packages that use goroutines, with the race detector
	scripts/race.sh

tools: ## the pinned linters, in bin/
	scripts/tools.sh

clean: ## remove what was built
	rm -rf bin dist
