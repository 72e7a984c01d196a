#!/usr/bin/env bash
# Cross-builds the C libraries of the Windows program from Debian's source packages: x264,
# dav1d, BLIS and FFmpeg, into CACHE/windows, where CACHE is the argument, ending with 64-bit
# DLLs of FFmpeg that need nothing but Windows. What is built already stays; the sources
# stay in CACHE/sources, to be offered with what is made of them.
set -euo pipefail
shopt -s inherit_errexit
cache=${1:?where to build}
here=$(cd "$(dirname "$0")" && pwd)
target=x86_64-w64-mingw32
jobs=$(nproc)
mkdir -p "$cache"/{sources,lists/partial,build,windows,done}
cache=$(cd "$cache" && pwd)
prefix=$cache/windows

# Names of folders get into libraries: they are to be the same in every cache.
export PKG_CONFIG_LIBDIR=$prefix/lib/pkgconfig PKG_CONFIG_SYSROOT_DIR=$cache
export SOURCE_DATE_EPOCH=${SOURCE_DATE_EPOCH:-1700000000} LC_ALL=C
flags="-O2 -ffile-prefix-map=$cache=."
link="-static-libgcc -Wl,--no-insert-timestamp"

# source_of PACKAGE unpacks Debian's source, with its patches, once it is checked against the
# signatures of Debian, and tells the folder.
source_of() {
	local list=$cache/sources.list dir
	dir=$(find "$cache/build" -maxdepth 1 -type d -name "$1-*" | head -n 1)
	if [ -z "$dir" ]; then
		local apt=(-qq -o "Dir::Etc::SourceList=$list" -o Dir::Etc::SourceParts=/dev/null -o "Dir::State::Lists=$cache/lists" -o APT::Sandbox::User=root)
		if [ ! -e "$list" ]; then
			local key='[signed-by=/usr/share/keyrings/debian-archive-keyring.gpg]'
			printf '%s\n' "deb-src $key http://deb.debian.org/debian bookworm main" \
				"deb-src $key http://deb.debian.org/debian bookworm-updates main" \
				"deb-src $key http://deb.debian.org/debian-security bookworm-security main" > "$list"
			apt-get "${apt[@]}" update >&2
		fi
		(cd "$cache/sources" && apt-get "${apt[@]}" source --download-only --only-source "$1/bookworm" >&2)
		dir=$cache/build/$1-unpacked
		dpkg-source --no-check -x "$(find "$cache/sources" -name "$1_*.dsc" | sort -V | tail -n 1)" "$dir" >&2
	fi
	echo "$dir"
}

enter() {
	local dir
	dir=$(source_of "$1")
	cd "$dir"
}

# once NAME does what has not been done in this cache.
once() {
	[ ! -e "$cache/done/$1" ] || return 0
	echo "building $1"
	local failed=0
	set +e # in a subshell that ends at the first failure
	(set -e; "$1") > "$cache/$1.log" 2>&1
	failed=$?
	set -e
	[ "$failed" = 0 ] || { tail -n 20 "$cache/$1.log" >&2; echo "$1 can't be built: $cache/$1.log tells more" >&2; exit 1; }
	touch "$cache/done/$1"
}

x264() {
	enter x264
	./configure --prefix=/windows --host=$target --cross-prefix=$target- --enable-static --disable-cli --extra-cflags="$flags"
	make -j"$jobs"
	make install DESTDIR="$cache"
}

dav1d() {
	enter dav1d
	local dir=$PWD
	cat > "$cache/meson.txt" <<-MESON
		[binaries]
		c = '$target-gcc'
		ar = '$target-ar'
		strip = '$target-strip'
		windres = '$target-windres'
		pkgconfig = 'pkg-config'
		[built-in options]
		c_args = ['-ffile-prefix-map=$cache=.']
		[host_machine]
		system = 'windows'
		cpu_family = 'x86_64'
		cpu = 'x86_64'
		endian = 'little'
	MESON
	meson setup --cross-file "$cache/meson.txt" --prefix=/windows --libdir=lib --buildtype=release --default-library=static \
		-Denable_tools=false -Denable_tests=false "$dir/for-windows" "$dir"
	ninja -C "$dir/for-windows" -j "$jobs"
	DESTDIR=$cache ninja -C "$dir/for-windows" install
}

# The kernels of each processor, one thread: what Debian's libblis-serial has. Of what Debian 12
# has, 0.9.0, the mirrors lacked the sources when this was written: this is the archive of Debian
# 13, checked against the sum in its signed list of sources.
blis() {
	local sum=847c035809b8994c077ade737a4813601db96c4cf0d903d08ba6a9b8ee0fe03e file=blis_1.1.orig.tar.gz
	/usr/lib/apt/apt-helper download-file "http://deb.debian.org/debian/pool/main/b/blis/$file" "$cache/sources/$file" "SHA256:$sum"
	rm -rf "$cache/build/blis-unpacked"
	mkdir "$cache/build/blis-unpacked"
	cd "$cache/build/blis-unpacked"
	tar xf "$cache/sources/$file" --strip-components=1
	CC=$target-gcc AR=$target-ar RANLIB=$target-ranlib CFLAGS="-ffile-prefix-map=$cache=." \
		./configure --prefix=/windows --disable-shared --enable-static --enable-cblas --enable-threading=no x86_64
	make -j"$jobs"
	make install DESTDIR="$cache"
	rm -rf "$prefix/include/blis-serial"
	mv "$prefix/include/blis" "$prefix/include/blis-serial" # Debian's name
}

ffmpeg() {
	enter ffmpeg
	# The kinds of files in video/input.go, and what is in them.
	local demuxers=mov,matroska,avi,mpegts,mpegps,flv,asf,ogg,mxf,dv
	local video=h264,hevc,libdav1d,vp8,vp9,mpeg1video,mpeg2video,mpeg4,msmpeg4v1,msmpeg4v2,msmpeg4v3,wmv1,wmv2,wmv3,vc1,h263,h263i,flv
	video=$video,mjpeg,prores,dnxhd,dvvideo,theora,rawvideo,v210,huffyuv,ffvhuff,ffv1,utvideo,cfhd,qtrle,svq1,svq3,vp6,vp6f,png
	local sound=aac,aac_latm,ac3,eac3,mp1,mp2,mp3,mp1float,mp2float,mp3float,opus,vorbis,flac,alac,wmav1,wmav2,wmapro,amrnb,amrwb
	sound=$sound,adpcm_ms,adpcm_ima_wav,adpcm_ima_qt,nellymoser,qdm2,mace3,mace6
	sound=$sound,pcm_s16le,pcm_s16be,pcm_s24le,pcm_s24be,pcm_s32le,pcm_s32be,pcm_f32le,pcm_f32be,pcm_f64le,pcm_f64be,pcm_s8,pcm_u8,pcm_alaw,pcm_mulaw,pcm_bluray,pcm_dvd
	local parsers=h264,hevc,av1,vp8,vp9,mpegvideo,mpeg4video,h263,mjpeg,vc1,dnxhd,aac,aac_latm,ac3,mpegaudio,opus,vorbis,flac,png
	./configure --prefix=/windows --enable-cross-compile --target-os=mingw32 --arch=x86_64 --cross-prefix=$target- --pkg-config=pkg-config \
		--enable-gpl --enable-shared --disable-static --disable-programs --disable-doc --disable-autodetect --disable-network --disable-debug \
		--disable-pthreads --enable-w32threads --disable-everything --disable-postproc \
		--enable-zlib --enable-libx264 --enable-libdav1d --enable-encoder=libx264,aac,pcm_s16le --enable-muxer=mp4 \
		--enable-demuxer=$demuxers --enable-decoder=$video,$sound --enable-parser=$parsers --enable-indev=dshow \
		--enable-filter=ebur128,alimiter,aformat,abuffer,abuffersink,aresample,anull,sine \
		--extra-cflags="-ffile-prefix-map=$cache=." --extra-ldflags="$link" --extra-libs=-static
	make -j"$jobs"
	make install DESTDIR="$cache"
}

for library in x264 dav1d ffmpeg blis; do once "$library"; done
