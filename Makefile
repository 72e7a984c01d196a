# Turngauge. "make demo" shows it, "make test" checks it, "make help" lists the rest.

SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c

# Where the Go on the path is too old, or there is none: that of /usr/local, or the
# one that "go-version" fetches.
OTHER_GO := $(shell cmd/toolchain/toolchain.sh path)
ifneq ($(OTHER_GO),)
export PATH := $(OTHER_GO):$(PATH)
endif

# The window is built for X11, which Wayland desktops serve too: dropping files
# on the window needs it.
TAGS := nowayland
GO := go
DEMO ?=
PACKAGES ?= ./...
CASES ?= 10000
MUTANTS ?= 25

# Debian 12 packages, by what needs them.
BUILD_PACKAGES := gcc libc6-dev pkg-config libavdevice-dev libegl-dev libwayland-dev \
	libx11-xcb-dev libxkbcommon-x11-dev libxcursor-dev libvulkan-dev libblis-serial-dev
# Where there is no Go at all, Debian 12's fetches the one that is needed.
BUILD_PACKAGES += $(shell cmd/toolchain/toolchain.sh packages)
RUN_PACKAGES := libegl1 libgles2 libgl1-mesa-dri
TEST_PACKAGES := git xvfb xdotool ffmpeg imagemagick xclip python3 libgtk-3-0 dbus-daemon \
	poppler-utils chromium strace pulseaudio pulseaudio-utils espeak-ng
BENCH_PACKAGES := python3-scipy python3-opencv
PACKAGE_PACKAGES := dpkg-dev patchelf xz-utils
PACKAGE_CHECK_PACKAGES := debootstrap imagemagick
WINDOWS_PACKAGES := gcc-mingw-w64-x86-64-win32 libz-mingw-w64-dev nasm meson ninja-build nsis zip imagemagick \
	dpkg-dev make python3 xz-utils debian-archive-keyring

# Packages are installed before the Go that fetches another is looked for.
.NOTPARALLEL:
.PHONY: help demo test build check check-windows bench accuracy accuracy-marks accuracy-instants accuracy-cloth fuzz hostile mutate vulnerabilities race package package-check package-windows fresh-check leaks clean \
	go-version build-packages test-packages

help:
	@echo 'make demo       install what is missing, build, make the demo lesson, open the window on it'
	@echo 'make test       install what is missing, check the sources, run every test,'
	@echo '                or those of PACKAGES=./annotations/...'
	@echo 'make build      bin/turngauge'
	@echo 'make check      gofmt, go vet, staticcheck'
	@echo 'make check-windows  go vet for Windows of the packages that need no FFmpeg (no C compiler for it needed)'
	@echo 'make race       the tests of what runs on several goroutines, under the race detector'
	@echo 'make leaks      every way through a clip, with C memory counted by the address sanitizer'
	@echo 'make bench      benchmarks, and a table of what was promised'
	@echo 'make accuracy   the accuracy tables of the fit (up to an hour)'
	@echo 'make accuracy-marks  the tables of noise, mistakes, instants and verdicts (an hour)'
	@echo 'make accuracy-instants  how far key positions are proposed from true ones, on film of many kinds (half an hour)'
	@echo 'make accuracy-cloth  pelvis turn, speeds and order by belt and trousers, on filmed golfers (two hours;'
	@echo '                films them once into FILMS=folder)'
	@echo 'make fuzz       10,000 cases for each fuzz target, or CASES=n'
	@echo 'make hostile    500 parcels and documents made to do harm, 10,000 damaged clips (half an hour)'
	@echo 'make mutate     25 single mistakes in each of PACKAGES=./geometry, or MUTANTS=n: do tests notice?'
	@echo 'make vulnerabilities  known faults of the libraries that the program calls (needs a network)'
	@echo 'make package    a Debian package and a folder that runs from anywhere, in dist/'
	@echo 'make package-windows  a zip and an installer for Windows, in dist/ (Debian 12, with a network the first'
	@echo '                time: builds FFmpeg once, kept in CACHE=~/.cache/turngauge-windows)'
	@echo 'make package-check  try both in clean systems (as root, with a network)'
	@echo 'make fresh-check    try "make demo" and "make test" in a bare Debian 12 (likewise)'
	@echo 'make clean      remove what was built'

demo: build
	bin/turngauge demo --open $(DEMO)

build: build-packages go-version
	$(GO) build -tags '$(TAGS)' -o bin/turngauge ./cmd/turngauge

# Tests start their own X server; a desktop that happens to be there is left alone.
TEST_ENV = unset DISPLAY WAYLAND_DISPLAY; XDG_RUNTIME_DIR=$$(mktemp -d); export XDG_RUNTIME_DIR; \
	trap 'rm -rf "$$XDG_RUNTIME_DIR"' EXIT

# Vetted by "check"; linked by the quicker linker of binutils without what debuggers need;
# as many packages at a time as keep the processors busy while windows and typing hands are
# waited for.
test: test-packages go-version check
	@$(TEST_ENV); $(GO) test -tags '$(TAGS)' -vet=off -ldflags='-s -w -extldflags=-fuse-ld=gold' -timeout 18m -p $$((2 * $$(nproc))) $(PACKAGES)
	@$(GO) test -tags '$(TAGS)' ./video -run '^$$' -fuzz '^FuzzOpen$$' -fuzztime 2000x -fuzzminimizetime 1x
	@$(GO) test ./video/pose/tflite -run '^$$' -fuzz '^FuzzLoad$$' -fuzztime 5000x -fuzzminimizetime 1x

race: test-packages go-version
	@$(TEST_ENV); $(GO) test -tags '$(TAGS)' -race -timeout 40m ./annotations/... ./video/... ./ui/...

# The sanitizer counts the bytes of C to the last, FFmpeg's too, and finds
# reading and writing past their ends.
leaks: test-packages go-version
	$(GO) test -tags '$(TAGS)' -asan -timeout 30m ./video -run 'TestNothingLeaks|TestWriterLeavesNothing|TestWriter|TestRender|Fuzz' -broken 200

# staticcheck spends two thirds of its time collecting garbage where it may not take more memory.
check: build-packages go-version
	@unformatted=$$(gofmt -l annotations cmd geometry ui video); \
	if [ -n "$$unformatted" ]; then echo "not formatted, run gofmt -w on:"; echo "$$unformatted"; exit 1; fi
	$(GO) vet -tags '$(TAGS)' ./...
	GOGC=400 GOMEMLIMIT=3GiB $(GO) tool staticcheck -tags '$(TAGS)' ./...
	$(GO) build -tags nowindow -o /dev/null ./cmd/turngauge

# What needs no FFmpeg is vetted for Windows, too; no compiler of C is needed for that.
check-windows: go-version
	@GOOS=windows CGO_ENABLED=0 $(GO) vet -tags '$(TAGS)' $$(GOOS=windows CGO_ENABLED=0 $(GO) list -e -tags '$(TAGS)' -f '{{.ImportPath}} {{join .Deps " "}}' ./... | \
		grep -vE 'go-astiav|turngauge/(video/(sandbox|loudness|texts|lazy|pose/tflite)|ui/x11)' | cut -d' ' -f1)

bench: test-packages go-version
	@$(call install,$(BENCH_PACKAGES))
	@$(TEST_ENV); { $(GO) test -tags '$(TAGS)' -run '^$$' -bench . -benchmem -timeout 30m ./... || true; cmd/benchtable/outside.sh; } | tee /dev/stderr | $(GO) run ./cmd/benchtable

accuracy: build-packages go-version
	$(GO) test ./geometry/fit -run AccuracyTable -accuracy -v -timeout 60m

# The tables of geometry/fit/doc.go: what is learned of the marks, which mistakes of a
# whole swing are named, what lies between frames, hips off at one position, how often
# verdicts are true, and how far a fit while a mark is dragged is from one from nothing.
accuracy-marks: build-packages go-version
	$(GO) test ./geometry/fit -run 'AccuracyWith|Misfits|Instants|Calibrated|WarmEquals' \
		-accuracy -accuracy-n 80 -accuracy-seed 20261130 -v -timeout 180m

# The demo is filmed anew; its variants (rates, without sound, in the mirror, one view) are made of that.
accuracy-instants: build test-packages
	@dir=$$(mktemp -d); trap 'rm -rf "$$dir"' EXIT; \
	bin/turngauge demo --second "$$dir/two" && bin/turngauge demo --visit "$$dir/visit" && \
	$(GO) test -tags '$(TAGS)' ./ui/bench -run NoClubInAWalkers -every-look -v && \
	$(GO) test -tags '$(TAGS)' ./ui/propose -run InstantsTable -demo-folder "$$dir/two" -visit-folder "$$dir/visit" -v -timeout 180m

# The table of geometry/motion/doc.go: golfers of other builds in other clothes, filmed once and
# kept in FILMS, each marked by five hands and followed. ROWS=heavy,plain takes only those whose
# names have one of these.
FILMS ?= $(HOME)/.cache/turngauge-filmed-golfers
accuracy-cloth: build-packages go-version
	$(GO) test -tags '$(TAGS)' ./ui/curves -run ClothTable -accuracy -films '$(FILMS)' -accuracy-rows '$(ROWS)' -v -timeout 240m

fuzz: build-packages go-version
	@grep -rHoE '^func Fuzz[A-Za-z0-9_]+' --include='*_test.go' annotations geometry ui video | sed 's/:func /:/' | \
	while IFS=: read -r file name; do \
		$(GO) test -tags '$(TAGS)' "./$$(dirname "$$file")" -run '^$$' -fuzz "^$$name\$$" -fuzztime $(CASES)x -fuzzminimizetime 1x; \
	done

# Memory, what is written unasked, and how soon they stop are held to limits; so is how
# soon a damaged clip is answered.
hostile: test-packages go-version
	$(GO) test -tags '$(TAGS)' ./annotations/library -run HostileParcels -parcels 500 -v -timeout 120m
	$(GO) test -tags '$(TAGS)' ./video -run MutatedClips -clips 10000 -v -timeout 120m
	$(GO) test -tags '$(TAGS)' ./cmd/turngauge -run PlantedLinks -v

# The sources stay as they are.
mutate: test-packages go-version
	@$(TEST_ENV); $(GO) run ./cmd/mutate -tags '$(TAGS)' -n $(MUTANTS) $(PACKAGES)

# The Go project's own list of known faults, and which of them the program's calls reach.
vulnerabilities: build-packages go-version
	$(GO) run golang.org/x/vuln/cmd/govulncheck@v1.1.4 -tags '$(TAGS)' ./...

package: build-packages go-version
	@$(call install,$(PACKAGE_PACKAGES))
	TAGS='$(TAGS)' cmd/turngauge/package/build.sh

CACHE ?= $(HOME)/.cache/turngauge-windows
package-windows: build-packages go-version
	@$(call install,$(WINDOWS_PACKAGES))
	TAGS='$(TAGS)' CACHE='$(CACHE)' cmd/turngauge/package/windows/build.sh

package-check: package
	@$(call install,$(PACKAGE_CHECK_PACKAGES))
	cmd/turngauge/package/check.sh

# The tests of the fresh system can be narrowed: PACKAGES=./annotations/...
fresh-check:
	@$(call install,$(PACKAGE_CHECK_PACKAGES) xvfb)
	PACKAGES='$(PACKAGES)' cmd/turngauge/package/fresh.sh

clean:
	rm -rf bin dist

# From Go 1.21 on an older go fetches the one of go.mod by itself where it is
# allowed to, and "go version" then tells the fetched one.
go-version:
	@cmd/toolchain/toolchain.sh fetch
	@v=$$( { $(GO) version || true; } 2>/dev/null | sed -nE 's/^go version go1\.([0-9]+).*/\1/p'); \
	if [ "$${v:-0}" -lt 26 ]; then \
		echo "Turngauge needs Go 1.26, and the one here could not fetch it: unpack it from https://go.dev/dl/ into /usr/local, then run make again." >&2; exit 1; \
	fi

build-packages:
	@$(call install,$(BUILD_PACKAGES) $(RUN_PACKAGES))

test-packages:
	@$(call install,$(BUILD_PACKAGES) $(RUN_PACKAGES) $(TEST_PACKAGES))

# install the packages of a list that are missing, with apt where it is there.
define install
missing=""; \
if command -v dpkg-query >/dev/null; then \
	for p in $(1); do \
		[ "$$(dpkg-query -W -f='$${db:Status-Status}\n' "$$p" 2>/dev/null | head -n 1)" = installed ] || missing="$$missing $$p"; \
	done; \
else \
	echo "This system has no dpkg. What Debian 12 calls these must be installed: $(1)" >&2; \
fi; \
if [ -n "$$missing" ]; then \
	sudo=; if [ "$$(id -u)" != 0 ]; then \
		command -v sudo >/dev/null || { echo "As root, run: apt-get install$$missing" >&2; exit 1; }; sudo=sudo; \
	fi; \
	echo "installing$$missing"; \
	$$sudo apt-get update -qq; \
	$$sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $$missing >/dev/null; \
fi
endef
