//go:build asan

package video

func init() { nativeBytes = allocated }
