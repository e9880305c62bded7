# Every target is one command that can be typed by hand; `make help` lists them.
# What `make test` runs, step by step, is the table in scripts/testrun/steps.go.

export GOFLAGS ?= -buildvcs=false

VERSION ?= $(shell git describe --tags --always --dirty 2>/dev/null || echo unversioned)
FLAGS   := $(shell grep -v '^\#' cmd/lastbolt/program.flags)
LDFLAGS := -s -w -X lastbolt/cli.Version=$(VERSION)
TESTRUN := .cache/testrun
TOOL    := go tool -modfile=tools.mod
FUZZTIME ?= 10s

.DEFAULT_GOAL := help
.PHONY: help test tools format vet staticcheck types house phone phone-program phone-opener generated unit race browser \
	build cross generate bench cover fuzz vuln deadcode clean $(TESTRUN)

help: ## list the targets
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | awk -F ':.*## ' '{printf "  make %-12s %s\n", $$1, $$2}'

$(TESTRUN):
	@mkdir -p .cache
	@go build -o $(TESTRUN) ./scripts/testrun

test: $(TESTRUN) ## everything that must hold before a change goes in
	@$(TESTRUN)

tools: $(TESTRUN) ## install what the tests need (as root), or say how
	@$(TESTRUN) tools

format: $(TESTRUN) ## code is laid out by gofmt, so that no review speaks of layout
	@$(TESTRUN) format

vet: $(TESTRUN) ## the Go team's checks for likely mistakes
	@$(TESTRUN) vet

staticcheck: $(TESTRUN) ## mistakes the compiler lets pass
	@$(TESTRUN) staticcheck

types: $(TESTRUN) ## the types of the pages' scripts
	@$(TESTRUN) types

house: $(TESTRUN) ## our own rules: floors, pure engines, short files, plain words
	@$(TESTRUN) house

phone: $(TESTRUN) ## the pages and all below them also build for the phone
	@$(TESTRUN) phone

generated: $(TESTRUN) ## committed generated files are what the generators write
	@$(TESTRUN) generated

unit: $(TESTRUN) ## tests of every package, seeds of every fuzz test included
	@$(TESTRUN) unit

race: $(TESTRUN) ## the race detector, where goroutines meet
	@$(TESTRUN) race

browser: $(TESTRUN) ## the pages in a real browser
	@$(TESTRUN) browser

phone-program: ## the phone's program, to be carried in the binaries: web/phone/built
	@mkdir -p web/phone/built
	grep -v '^#' web/phone/program.flags | tr '\n' '\0' | GOOS=js GOARCH=wasm xargs -0 sh -c 'go build "$$@" -o web/phone/built/lastbolt.wasm ./cmd/phone' build
	go run ./scripts/brotli web/phone/built/lastbolt.wasm
	cp "$$(go env GOROOT)/lib/wasm/wasm_exec.js" web/phone/built/

phone-opener: ## what opens brotli on a phone, from npm: web/phone/files/brotli.js
	@mkdir -p .cache/opener
	npm install --silent --no-save --ignore-scripts --prefix .cache/opener brotli@2.0.0 base64-js@1.5.1
	go build -C web/ui/bundle -o $(CURDIR)/.cache/esbuild github.com/evanw/esbuild/cmd/esbuild
	NODE_PATH=$(CURDIR)/.cache/opener/node_modules .cache/esbuild web/phone/opener.mjs --bundle --minify --format=iife \
		--target=es2020 --platform=browser --banner:js="/* brotli 2.0.0, (c) Devon Govett and contributors, MIT; decoder (c) 2013 Google Inc., Apache-2.0; base64-js 1.5.1, (c) 2014 Jameson Little, MIT */" \
		--outfile=web/phone/files/brotli.js

build: phone-program ## one static binary in bin/, with the phone's program in it
	CGO_ENABLED=0 go build -tags phone $(FLAGS) -ldflags "$(LDFLAGS)" -o bin/lastbolt ./cmd/lastbolt

cross: phone-program ## the same binary for the other machines people own
	CGO_ENABLED=0 GOOS=linux   GOARCH=arm64 go build -tags phone $(FLAGS) -ldflags "$(LDFLAGS)" -o bin/lastbolt-linux-arm64 ./cmd/lastbolt
	CGO_ENABLED=0 GOOS=linux   GOARCH=arm   go build $(FLAGS) -ldflags "$(LDFLAGS)" -o bin/lastbolt-linux-arm ./cmd/lastbolt
	CGO_ENABLED=0 GOOS=windows GOARCH=amd64 go build -tags phone $(FLAGS) -ldflags "$(LDFLAGS)" -o bin/lastbolt-windows-amd64.exe ./cmd/lastbolt
	CGO_ENABLED=0 GOOS=darwin  GOARCH=arm64 go build -tags phone $(FLAGS) -ldflags "$(LDFLAGS)" -o bin/lastbolt-darwin-arm64 ./cmd/lastbolt

generate: $(TESTRUN) ## write the generated files anew: templates, UI bundle, handbook
	@$(TESTRUN) generate

bench: ## one table of timings, with peers beside them
	go run ./bench

cover: ## statement coverage, package by package
	@mkdir -p .cache
	go test -count=1 -coverprofile=.cache/cover.out ./...
	go tool cover -func=.cache/cover.out | tail -1

fuzz: $(TESTRUN) ## every fuzz test for FUZZTIME (10s unless given)
	@FUZZTIME=$(FUZZTIME) $(TESTRUN) fuzz

vuln: $(TESTRUN) ## known vulnerabilities the program really reaches
	@$(TESTRUN) vuln

deadcode: ## functions nothing reaches, tests counted as callers
	$(TOOL) deadcode -test ./...

clean: ## remove what the other targets made
	rm -rf bin .cache web/phone/built
