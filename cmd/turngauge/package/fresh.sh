#!/usr/bin/env bash
# Tries README's two commands in a bare Debian 12: nothing is there but make, the
# sources and a network. Needs root, the network, debootstrap, Xvfb and imagemagick;
# "make fresh-check" calls it.
#
# PACKAGES narrows the tests, as in "make test". The window of "make demo" opens on an
# X server outside, whose picture goes to dist/fresh.png.
set -euo pipefail
cd "$(dirname "$0")/../../.."
[ "$(id -u)" = 0 ] || { echo "fresh.sh makes a clean root, which only root can." >&2; exit 1; }
root=${ROOTS:-/var/tmp/turngauge-roots}/fresh
rm -rf "$root"
mkdir -p "$root" dist
debootstrap --no-check-gpg --variant=minbase --include=make bookworm "$root" http://deb.debian.org/debian >/dev/null
cp /etc/resolv.conf "$root/etc/"
# A network that looks into connections has told this system by whom.
if compgen -G '/usr/local/share/ca-certificates/*.crt' >/dev/null; then
	mkdir -p "$root/usr/local/share/ca-certificates"
	cp /usr/local/share/ca-certificates/*.crt "$root/usr/local/share/ca-certificates/"
fi
mkdir "$root/src" "$root/tmp/.X11-unix"
git archive HEAD | tar -C "$root/src" -x

display=:$((60000 + $$ % 5000))
Xvfb "$display" -screen 0 1600x1000x24 -nolisten tcp >/dev/null 2>&1 &
server=$!
mount -t proc proc "$root/proc"
mount --bind /dev "$root/dev"
mount --bind /tmp/.X11-unix "$root/tmp/.X11-unix"
trap 'kill $server; umount "$root/proc" "$root/dev" "$root/tmp/.X11-unix"' EXIT

# within USER COMMAND
within() { env -i PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin DISPLAY="$display" LANG=C.UTF-8 chroot "$root" su -s /bin/bash "$1" -c "cd /src && $2"; }

echo '== make build, by someone who may not install'
if said=$(within nobody 'HOME=/tmp make build' 2>&1); then echo "it should have asked for packages: $said" >&2; exit 1; fi
grep -m 1 'As root, run: apt-get install .*golang-go' <<< "$said"

echo '== make demo'
within root 'make demo' &
demo=$!
program=
for _ in $(seq 240); do
	sleep 5
	kill -0 $demo 2>/dev/null || { echo "make demo ended before it showed a window" >&2; exit 1; }
	program=$(for p in /proc/[0-9]*; do [ "$(readlink "$p/exe")" != "$root/src/bin/turngauge" ] || basename "$p"; done)
	[ -n "$program" ] || continue
	import -display "$display" -window root dist/fresh.png
	# A window that shows the two clips has many colours; an empty screen has one.
	if [ "$(identify -format %k dist/fresh.png)" -gt 10000 ]; then break; fi
done
[ "$(identify -format %k dist/fresh.png)" -gt 10000 ] || { echo "the window does not show the demo lesson; see dist/fresh.png" >&2; exit 1; }
kill -TERM $program
wait $demo
echo "the window opens on the demo lesson; see dist/fresh.png"

echo '== the Go that was there before, and the one that was fetched'
within root 'go version; cmd/toolchain/toolchain.sh path; $(cmd/toolchain/toolchain.sh path)/go version'
more=$(diff <(git ls-tree -r --name-only HEAD | sort) <(cd "$root/src" && find . -type f ! -path './bin/*' | cut -c3- | sort)) || { echo "the sources are not as they were: $more" >&2; exit 1; }

echo "== make test ${PACKAGES:+PACKAGES='$PACKAGES'}"
within root "make test ${PACKAGES:+PACKAGES='$PACKAGES'}"
