#!/usr/bin/env bash
# Builds what coaches install, into dist/ at the top of the tree:
#
#   turngauge_VERSION_ARCH.deb           for Debian 12; what it needs is declared
#   turngauge-VERSION-linux-ARCH.tar.xz  a folder that runs from anywhere; FFmpeg's
#                                        libraries are in it
#
# "make package" installs what this needs and calls it.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
cd "$here/../../.."
tags=${TAGS:-nowayland}

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p dist

# build PROGRAM [LINKER FLAGS]
build() {
	go build -trimpath -buildmode=pie -tags "$tags" -ldflags "-s -w -extldflags '${2-}'" -o "$1" ./cmd/turngauge
}

# share FOLDER installs what the desktop is to know under FOLDER.
share() {
	install -Dm644 "$here/turngauge.desktop" "$1/applications/turngauge.desktop"
	install -Dm644 "$here/turngauge.xml" "$1/mime/packages/turngauge.xml"
	install -Dm644 ui/icon/turngauge.svg "$1/icons/hicolor/scalable/apps/turngauge.svg"
	install -Dm644 ui/icon/turngauge-128.png "$1/icons/hicolor/128x128/apps/turngauge.png"
	mkdir -p "$1/man/man1"
	commands=$("$work/turngauge" help | sed -nE '/^Commands:/,/^$/s/^  ([a-z]+) +(.*)/.TP\n.B \1\n\2/p')
	awk -v commands="$commands" '$0 == "@COMMANDS@" { print commands; next } { print }' "$here/turngauge.1" |
		gzip -9n > "$1/man/man1/turngauge.1.gz"
}

build "$work/turngauge"
version=$("$work/turngauge" version | sed -E 's/^turngauge ([0-9.]+).*/\1/')
arch=$(dpkg --print-architecture)
export SOURCE_DATE_EPOCH=${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct 2>/dev/null || date +%s)}

# The Debian package.
root=$work/root
install -Dm755 "$work/turngauge" "$root/usr/bin/turngauge"
share "$root/usr/share"
doc=$root/usr/share/doc/turngauge
mkdir -p "$doc" "$root/DEBIAN" "$work/debian"
{
	echo 'Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/'
	echo 'Upstream-Name: Turngauge'
	echo
	echo 'Files: *'
	sed -nE '1,/^Copyright/s/^Copyright( \(c\))? (.*)/Copyright: \2/p' LICENSE
	echo 'License: Expat'
	sed -E '1,/^Copyright/d; s/^$/./; s/^/ /' LICENSE | sed '1{/^ \.$/d}'
} > "$doc/copyright"
"$here/materials.sh" "$work/turngauge" "$doc"
gzip -9n "$doc/go-licences"
date=$(LC_ALL=C date -Rud "@$SOURCE_DATE_EPOCH")
printf 'turngauge (%s) unstable; urgency=medium\n\n  * Built from the sources.\n\n -- The Turngauge developers <developers@turngauge.example>  %s\n' \
	"$version" "$date" | gzip -9n > "$doc/changelog.gz"
printf 'Source: turngauge\n\nPackage: turngauge\nArchitecture: any\n' > "$work/debian/control"
# What the program loads when it first needs it (package video/lazy) stands in no table.
late=$(for library in libavdevice libavfilter; do
	echo "$(pkg-config --variable=libdir $library)/$library.so.$(pkg-config --modversion $library | cut -d. -f1)"
done)
depends=$(cd "$work" && dpkg-shlibdeps -O -e root/usr/bin/turngauge 2>/dev/null | sed 's/^shlibs:Depends=//')
for library in $late; do
	package=$(dpkg-query -S "$(readlink -f "$library")" "$library" 2>/dev/null | sed -n "1s/:.*//p")
	depends="$depends, $package (>= $(dpkg-query -W -f '${Version}' "$package" | sed -E 's/^(([0-9]+:)?[0-9]+\.[0-9]+).*/\1/'))"
done
cat > "$root/DEBIAN/control" <<CONTROL
Package: turngauge
Version: $version
Architecture: $arch
Maintainer: The Turngauge developers <developers@turngauge.example>
Installed-Size: $(du -sk "$root/usr" | cut -f1)
Depends: $depends, libgles2, libgl1-mesa-dri | libgl1-nvidia-glvnd-glx
Recommends: shared-mime-info, desktop-file-utils
Section: education
Priority: optional
Description: measure a golf swing from two phone clips
 A golf coach films a swing face-on and down the line and marks a few points of
 the body at the key positions. Turngauge fits the golfer and both cameras to
 all marks at once, gives every number its 95 % interval, judges it against a
 target range and writes a sheet and an annotated clip to take home.
CONTROL
find "$root" -exec touch -hd "@$SOURCE_DATE_EPOCH" {} +
dpkg-deb --root-owner-group --build "$root" "dist/turngauge_${version}_$arch.deb" >/dev/null

# The folder that runs from anywhere. Left to the system are the C and C++
# libraries and what belongs to its graphics driver and display server: older
# copies of those would keep the driver from loading.
name=turngauge-$version-linux-$arch
folder=$work/$name
mkdir -p "$folder/bin" "$folder/lib" "$folder/licences"
build "$folder/bin/turngauge" '-Wl,--disable-new-dtags -Wl,-rpath,$ORIGIN/../lib'
share "$folder/share"
system='^(ld-linux.*|lib(c|m|dl|rt|pthread|resolv|util|mvec|anl|stdc\+\+|gcc_s|EGL|GL|GLX|GLESv2|GLdispatch|OpenGL|gbm|drm|X11|X11-xcb|xcb|Xau|Xdmcp|vulkan|wayland-client))\.so'
{
	ldd "$folder/bin/turngauge" $late | awk '$2 == "=>" { print $1, $3 }'
	for library in $late; do echo "$(basename "$library") $library"; done
} | sort -u | while read -r so path; do
	if [[ $so =~ $system ]]; then continue; fi
	cp -L "$path" "$folder/lib/$so"
	if [ -n "$(patchelf --print-rpath "$folder/lib/$so")" ]; then # it would look in Debian's own folders
		chmod u+w "$folder/lib/$so"
		patchelf --force-rpath --set-rpath '$ORIGIN' "$folder/lib/$so"
	fi
	owner=$(dpkg-query -S "$(readlink -f "$path")" "$path" 2>/dev/null | head -n 1 | cut -d: -f1 || true)
	if [ -n "$owner" ] && [ -e "/usr/share/doc/$owner/copyright" ]; then
		cp -L "/usr/share/doc/$owner/copyright" "$folder/licences/$owner"
	fi
done
cp LICENSE "$folder/licences/turngauge"
"$here/materials.sh" "$folder/bin/turngauge" "$folder/licences"
cat > "$folder/README" <<README
Turngauge $version

Run bin/turngauge. The folder can lie anywhere and be moved. It needs what any
Linux desktop of 2023 or later has: glibc 2.36, X11 or XWayland, OpenGL ES.
For an entry in the menu, and lessons that open with a double click:

    ./install.sh            # into ~/.local; ./install.sh --remove takes it out

The libraries in lib/ are those of Debian 12, built by Debian; their sources are
at https://sources.debian.org, their terms in licences/. Some of them are under
the GNU General Public License, and so is therefore this folder as a whole.
README
install -m755 "$here/install.sh" "$folder/install.sh"
find "$folder" -exec touch -hd "@$SOURCE_DATE_EPOCH" {} +
tar -C "$work" --sort=name --owner=0 --group=0 --numeric-owner -cf - "$name" | xz -T0 -3 > "dist/$name.tar.xz"

ls -l "dist/turngauge_${version}_$arch.deb" "dist/$name.tar.xz"
