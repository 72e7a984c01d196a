#!/usr/bin/env bash
# Tries what build.sh made in clean roots: the Debian package in Debian 12, the
# folder in the distributions named (Debian 13 and Ubuntu 24.04 unless others
# are). Needs root, the network and debootstrap; "make package-check" calls it.
#
#   check.sh [SUITE:MIRROR ...]
#
# In each root the demo lesson is made and measured and the window opened on it;
# the pictures of it go to dist/.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
cd "$here/../../.."
[ "$(id -u)" = 0 ] || { echo "check.sh makes clean roots, which only root can." >&2; exit 1; }
roots=${ROOTS:-/var/tmp/turngauge-roots}
mkdir -p "$roots"

# try SUITE MIRROR HOW: HOW is deb or folder.
try() ( # a shell of its own, which unmounts however it ends
	local suite=$1 mirror=$2 how=$3 root=$roots/$1
	if [ ! -e "$root/usr" ]; then
		[ -e "/usr/share/debootstrap/scripts/$suite" ] || ln -s gutsy "/usr/share/debootstrap/scripts/$suite" # an Ubuntu newer than debootstrap
		debootstrap --no-check-gpg --variant=minbase --components=main,universe "$suite" "$root" "$mirror" >/dev/null
	fi
	cp /etc/resolv.conf "$root/etc/"
	mkdir -p "$root/try"
	mount -t proc proc "$root/proc"
	mount --bind /dev "$root/dev"
	trap 'umount --lazy "$root/proc" "$root/dev"' EXIT # a server that is ending may hold them
	local program=turngauge install=
	if [ "$how" = deb ]; then
		cp dist/turngauge_*.deb "$root/try/turngauge.deb"
		install=/try/turngauge.deb
	else
		rm -rf "$root/try/folder"
		mkdir "$root/try/folder"
		tar -C "$root/try/folder" --strip-components=1 -xf dist/turngauge-*.tar.xz
		program=/try/folder/bin/turngauge install="libegl1 libgles2 libgl1-mesa-dri libx11-xcb1"
	fi
	chroot "$root" sh -euc "
		apt-get update -qq
		DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $install xvfb xauth x11-apps >/try/install.log 2>&1 ||
			{ tail -n 20 /try/install.log >&2; exit 1; }
		export HOME=/try/home XDG_RUNTIME_DIR=/try/run LANG=C.UTF-8
		mkdir -p \$HOME \$XDG_RUNTIME_DIR
		$program version
		[ -e /try/demo/lesson.json ] || $program demo /try/demo >/dev/null
		$program measure /try/demo/lesson-marked.json | grep -m 1 'pelvis turn '
		for clip in /try/demo/*.mp4; do break; done
		$program probe \$clip | grep -m 1 '^  decoding '
		xvfb-run -a -s '-screen 0 1600x1000x24' sh -c '
			$program /try/demo/lesson.json & p=\$!
			sleep 15
			xwd -silent -root -out /try/window.xwd
			kill \$p
			wait \$p || true'
	"
	convert "xwd:$root/try/window.xwd" "dist/$suite.png"
	# A window that shows the two clips has many colours; an empty screen has one.
	local colours
	colours=$(identify -format %k "dist/$suite.png")
	[ "$colours" -gt 10000 ] || { echo "$suite: the window shows $colours colours" >&2; return 1; }
	echo "$suite ($how): the window opens; see dist/$suite.png"
)

debian=http://deb.debian.org/debian ubuntu=http://archive.ubuntu.com/ubuntu
try bookworm $debian deb
if [ $# = 0 ]; then set -- trixie:$debian noble:$ubuntu; fi
for other; do try "${other%%:*}" "${other#*:}" folder; done
