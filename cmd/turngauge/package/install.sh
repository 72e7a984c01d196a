#!/bin/sh
# Puts Turngauge, from the folder this lies in, into the menu of the desktop of
# whoever runs it; --remove takes it out again. Lessons and settings are kept.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
data=${XDG_DATA_HOME:-$HOME/.local/share}
bin=$HOME/.local/bin
files="applications/turngauge.desktop mime/packages/turngauge.xml icons/hicolor/scalable/apps/turngauge.svg
	icons/hicolor/128x128/apps/turngauge.png man/man1/turngauge.1.gz"
if [ "${1-}" = --remove ]; then
	for f in $files; do rm -f "$data/$f"; done
	rm -f "$bin/turngauge"
else
	for f in $files; do
		mkdir -p "$(dirname "$data/$f")"
		cp "$here/share/$f" "$data/$f"
	done
	# The menu does not look at the PATH of a login shell.
	sed -i "s|^Exec=turngauge|Exec=\"$here/bin/turngauge\"|" "$data/applications/turngauge.desktop"
	mkdir -p "$bin"
	ln -sf "$here/bin/turngauge" "$bin/turngauge"
fi
if command -v update-mime-database >/dev/null; then update-mime-database "$data/mime"; fi
if command -v update-desktop-database >/dev/null; then update-desktop-database "$data/applications"; fi
