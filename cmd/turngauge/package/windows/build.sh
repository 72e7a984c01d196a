#!/usr/bin/env bash
# Builds what coaches on Windows install, into dist/ at the top of the tree:
#
#   turngauge-VERSION-windows-amd64.zip  a folder that runs from anywhere
#   turngauge-VERSION-windows-setup.exe  an installer for the one who runs it
#   turngauge-VERSION-windows-sources.tar  the sources of the C libraries, to be offered with both
#
# The libraries are built once, into CACHE. "make package-windows" installs what this needs and
# calls it. From the same sources the same bytes come out, in any folder, on Debian 12.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
cd "$here/../../../.."
cache=${CACHE:-$HOME/.cache/turngauge-windows}
target=x86_64-w64-mingw32
export SOURCE_DATE_EPOCH=${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct 2>/dev/null || date +%s)}
export LC_ALL=C TZ=UTC

"$here/libraries.sh" "$cache"
cache=$(cd "$cache" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p dist
version=$(sed -nE 's/^const release = "(.*)"$/\1/p' cmd/turngauge/help.go)

# What Windows knows of the program: icon, version, and that it is made for screens of any
# density and for long paths.
convert ui/icon/turngauge-128.png -strip -define icon:auto-resize=128,64,48,32,24,16 "$work/turngauge.ico"
cp "$here/turngauge.manifest" "$work"
$target-windres -D "NUMBERS=${version//./,},0" -D "WORDS=\\\"$version\\\"" -I "$work" "$here/turngauge.rc" "$work/resource.o"

# build FILE [LINKER FLAGS]; the build's id is left out, because the names of folders are in it.
build() {
	. "$here/environment.sh" "$cache"
	go build -trimpath -tags "${TAGS:-nowayland}" -ldflags "-s -w -buildid= ${2-} -extldflags '-Wl,--no-insert-timestamp $work/resource.o'" -o "$1" ./cmd/turngauge
}

name=turngauge-$version-windows-amd64
folder=$work/$name
mkdir -p "$folder/licences"
(build "$folder/turngauge.exe" "-H windowsgui")
$target-gcc -Wall -Wextra -Os -s -static -Wl,--no-insert-timestamp -o "$folder/turngauge.com" "$here/console.c"
cp "$cache"/windows/bin/*.dll "$work/turngauge.ico" "$folder"
for library in x264 dav1d ffmpeg; do
	cp "$(find "$cache/build" -maxdepth 1 -type d -name "$library-*")/debian/copyright" "$folder/licences/$library"
done
cp /usr/share/doc/libz-mingw-w64/copyright "$folder/licences/zlib"
cp LICENSE "$folder/licences/turngauge"
VERSION=$version BLIS_VERSION=1.1 BLIS_TERMS=$(echo "$cache"/build/blis-*/LICENSE) \
	"$here/../materials.sh" "$folder/turngauge.exe" "$folder/licences"
sed 's/$/\r/' > "$folder/README.txt" <<README
Turngauge $version

Start turngauge.exe. The folder can lie anywhere and be moved. It is made for Windows 10 and
11 with 64 bits; it has been tried under Wine only. For an entry in the start menu, and to find
the program under "Open with" of a lesson, use the installer.

In a shell, "turngauge help" lists the commands.

The DLLs are FFmpeg with x264, dav1d and zlib in them. x264 is under the GNU General Public
License, and so is therefore this folder as a whole; the terms are in licences, and the
sources in turngauge-$version-windows-sources.tar, which lies where this came from.
README
find "$folder" -exec touch -hd "@$SOURCE_DATE_EPOCH" {} +

rm -f "dist/$name.zip"
(cd "$work" && find "$name" -type f | sort | zip -qX9@ "$name.zip")
mv "$work/$name.zip" dist
makensis -V2 -NOCD "-DVERSION=$version" "-DFOLDER=$folder" "-DOUT=$work/turngauge-$version-windows-setup.exe" "$here/turngauge.nsi"
mv "$work/turngauge-$version-windows-setup.exe" dist
tar -C "$cache" --sort=name --mtime="@$SOURCE_DATE_EPOCH" --owner=0 --group=0 --numeric-owner --mode=go=rX,u+rw -cf "dist/turngauge-$version-windows-sources.tar" sources

(cd "$work" && sha256sum "$name"/*.exe "$name"/*.com "$name"/*.dll)
cd dist
ls -l "turngauge-$version-windows-"*
sha256sum "turngauge-$version-windows-"*
