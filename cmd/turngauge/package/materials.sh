#!/usr/bin/env bash
# Writes into FOLDER what PROGRAM was built from, as the program itself says it (go
# version -m): materials.spdx.json, a list by the SPDX 2.3 specification, and go-licences,
# the terms of every Go module in it, and of BLIS.
#
#   materials.sh PROGRAM FOLDER
#
# For a program that can't be run here, VERSION is its version; BLIS_VERSION and BLIS_TERMS tell
# of another BLIS than the one that is installed.
set -euo pipefail
program=$1 folder=$2
cd "$(dirname "$0")/../../.."
created=$(date -u -d "@${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct 2>/dev/null || date +%s)}" +%Y-%m-%dT%H:%M:%SZ)
go version -m "$program" | awk '$1 == "dep" || $1 == "=>" { print $2, $3, $4 }' | sort > "$folder/.modules"
: > "$folder/go-licences"
packages=() relations=()
n=0
while read -r path version sum; do
	n=$((n + 1))
	dir=$(go list -m -f '{{.Dir}}' "$path@$version" 2>/dev/null || true)
	[ -n "$dir" ] || dir=$(go mod download -json "$path@$version" | sed -nE 's/^\t"Dir": "(.*)",?$/\1/p')
	terms=$(find "$dir" -maxdepth 1 -type f \( -iname 'licen[cs]e*' -o -iname 'copying*' -o -iname 'unlicense*' \) | sort)
	[ -n "$terms" ] || { echo "materials.sh: $path@$version has no terms" >&2; exit 1; }
	{
		printf '==== %s %s\n\n' "$path" "$version"
		while read -r file; do cat "$file"; echo; done <<< "$terms"
	} >> "$folder/go-licences"
	# Which licence it is is for a lawyer's eye: the text is beside.
	packages+=("$(printf '{"SPDXID": "SPDXRef-%d", "name": "%s", "versionInfo": "%s", "downloadLocation": "https://proxy.golang.org/%s/@v/%s.zip", "filesAnalyzed": false, "licenseConcluded": "NOASSERTION", "licenseDeclared": "NOASSERTION", "copyrightText": "NOASSERTION", "comment": "go.sum %s", "externalRefs": [{"referenceCategory": "PACKAGE-MANAGER", "referenceType": "purl", "referenceLocator": "pkg:golang/%s@%s"}]}' "$n" "$path" "$version" "$(sed -E 's/([A-Z])/!\L\1/g' <<< "$path")" "$version" "$sum" "$path" "$version")")
	relations+=("$(printf '{"spdxElementId": "SPDXRef-0", "relationshipType": "STATIC_LINK", "relatedSpdxElement": "SPDXRef-%d"}' "$n")")
done < "$folder/.modules"
rm "$folder/.modules"
# BLIS is linked in.
blis=${BLIS_VERSION:-$(dpkg-query -W -f '${Version}' libblis-serial-dev)}
{ printf '==== BLIS %s\n\n' "$blis"; cat "${BLIS_TERMS:-/usr/share/doc/libblis-serial-dev/copyright}"; echo; } >> "$folder/go-licences"
packages+=("$(printf '{"SPDXID": "SPDXRef-BLIS", "name": "BLIS", "versionInfo": "%s", "downloadLocation": "https://snapshot.debian.org/package/blis/%s/", "filesAnalyzed": false, "licenseConcluded": "BSD-3-Clause", "licenseDeclared": "BSD-3-Clause", "copyrightText": "NOASSERTION", "externalRefs": [{"referenceCategory": "PACKAGE-MANAGER", "referenceType": "purl", "referenceLocator": "pkg:deb/debian/libblis-serial-dev@%s"}]}' "$blis" "$blis" "$blis")")
relations+=('{"spdxElementId": "SPDXRef-0", "relationshipType": "STATIC_LINK", "relatedSpdxElement": "SPDXRef-BLIS"}')
version=${VERSION:-$("$program" version | sed -E 's/^turngauge ([^ ]+).*/\1/')}
join() { local IFS=,; echo "$*"; }
{
	printf '{"spdxVersion": "SPDX-2.3", "dataLicense": "CC0-1.0", "SPDXID": "SPDXRef-DOCUMENT", "name": "turngauge", '
	printf '"documentNamespace": "https://turngauge.example/spdx/%s/%s", ' "$version" "$(sha256sum "$program" | cut -c1-16)"
	printf '"creationInfo": {"created": "%s", "creators": ["Tool: materials.sh"]}, ' "$created"
	printf '"packages": [{"SPDXID": "SPDXRef-0", "name": "turngauge", "versionInfo": "%s", "downloadLocation": "NOASSERTION", "filesAnalyzed": false, "licenseConcluded": "MIT", "licenseDeclared": "MIT", "copyrightText": "NOASSERTION"},%s], ' "$version" "$(join "${packages[@]}")"
	printf '"relationships": [{"spdxElementId": "SPDXRef-DOCUMENT", "relationshipType": "DESCRIBES", "relatedSpdxElement": "SPDXRef-0"},%s]}\n' "$(join "${relations[@]}")"
} > "$folder/materials.spdx.json"
