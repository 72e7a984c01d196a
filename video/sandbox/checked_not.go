//go:build !race && !asan

package sandbox

const checked = false
