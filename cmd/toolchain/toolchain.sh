#!/usr/bin/env bash
# Brings the Go that go.mod names to a system whose own is too old for it, as
# Debian 12's is.
#
#   toolchain.sh path      prints the folder to put in front of PATH, or nothing
#                          where the Go that is there does
#   toolchain.sh packages  prints the Debian packages that fetching needs, or nothing
#                          where there is a Go, be it an old one
#   toolchain.sh fetch     fetches the toolchain, if need be, with an older Go
#
# A Go from 1.21 on fetches what go.mod names by itself, and is left alone. For an
# older one this does the same by hand (https://go.dev/doc/toolchain): a toolchain is
# a module, golang.org/toolchain, whose files lie ready to run in the module cache
# once they have their run bit. Nothing is put into this tree or the system.
set -euo pipefail
cd "$(dirname "$0")/../.."

version=$(sed -nE 's/^go ([0-9.]+)$/\1/p' go.mod)

# The checksums of the module (the "h1:" of go.sum), as sum.golang.org gives them.
pinned=1.26.8
declare -A sums=(
	[amd64]=h1:ZOmGe1OnfREDMIdb1Qi4G9JSuDPBLGExZMQ4nis1RXM=
	[arm64]=h1:sYL/O6MqS68ML0kjsQ36WoYIpJqkw60TxizWUYUKQMc=
)

case $(uname -m) in
x86_64) arch=amd64 ;;
aarch64) arch=arm64 ;;
*) arch=$(uname -m) ;;
esac
module=v0.0.1-go$version.linux-$arch

# minor GO prints the second number of a Go's version, 0 where there is none.
minor() {
	local v
	v=$(GOTOOLCHAIN=local "$1" version 2>/dev/null | sed -nE 's/^go version go1\.([0-9]+).*/\1/p') || true
	echo "${v:-0}"
}

folder() {
	local cache=${GOMODCACHE:-}
	[ -n "$cache" ] || cache=$(go env GOMODCACHE 2>/dev/null) || true
	[ -n "$cache" ] || cache=${GOPATH:-$HOME/go}/pkg/mod
	echo "$cache/golang.org/toolchain@$module"
}

path() {
	if [ "$(minor go)" -ge 21 ]; then return; fi
	if [ "$(minor /usr/local/go/bin/go)" -ge 21 ]; then
		echo /usr/local/go/bin # where one from go.dev is put
		return
	fi
	echo "$(folder)/bin"
}

packages() {
	if [ "$(minor go)" = 0 ] && [ "$(minor "$(path)/go")" = 0 ]; then echo golang-go ca-certificates; fi
}

fetch() {
	local to go
	if [ -z "$(path)" ] || [ "$(minor "$(path)/go")" -ge 21 ]; then return; fi
	to=$(folder)
	if [ "$version" != "$pinned" ] || [ -z "${sums[$arch]:-}" ]; then
		echo "No checksum of Go $version for linux-$arch is known here: unpack it from https://go.dev/dl/ into /usr/local, then run make again." >&2
		return 1
	fi
	go=$(command -v go) || { echo "There is no Go that could fetch Go $version: unpack it from https://go.dev/dl/ into /usr/local, then run make again." >&2; return 1; }
	echo "fetching Go $version into $to"
	local said sum
	said=$(cd / && GOFLAGS= "$go" mod download -json "golang.org/toolchain@$module") || { echo "$said" >&2; return 1; }
	sum=$(sed -nE 's/.*"Sum": "([^"]+)".*/\1/p' <<< "$said")
	if [ "$sum" != "${sums[$arch]}" ]; then
		echo "What came as Go $version has the checksum $sum, not ${sums[$arch]}: it is not used. See who answers as proxy.golang.org." >&2
		return 1
	fi
	# The go command comes last: it is what tells that all is there.
	find "$to/pkg/tool" "$to/bin" -type f ! -name go -exec chmod a+x {} +
	chmod a+x "$to/bin/go"
}

"$1"
