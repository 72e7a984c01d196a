//go:build race || asan

package sandbox

// checked is true where the program is built with a sanitizer, which maps terabytes.
const checked = true
