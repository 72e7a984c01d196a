# Sets what "go build", "go vet" and "go test -c" want to build for Windows with the libraries
# in a cache that libraries.sh filled. To be read by a shell:
#
#   . environment.sh CACHE
export GOOS=windows GOARCH=amd64 CGO_ENABLED=1 CC=x86_64-w64-mingw32-gcc
export PKG_CONFIG_LIBDIR=$1/windows/lib/pkgconfig PKG_CONFIG_SYSROOT_DIR=$1
# Where the cache is does not get into the program.
export CGO_CFLAGS="-O2 -I$1/windows/include -ffile-prefix-map=$1=." CGO_LDFLAGS="-O2 -L$1/windows/lib"
