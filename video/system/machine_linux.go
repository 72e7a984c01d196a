package system

import (
	"bufio"
	"fmt"
	"os"
	"strings"
)

// Memory returns how many bytes of memory the computer has; false where that can't be told.
func Memory() (int64, bool) {
	f, err := os.Open("/proc/meminfo")
	if err != nil {
		return 0, false
	}
	defer f.Close()
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var kib int64
		if n, _ := fmt.Sscanf(strings.TrimSpace(lines.Text()), "MemTotal: %d kB", &kib); n == 1 {
			return kib << 10, true
		}
	}
	return 0, false
}
