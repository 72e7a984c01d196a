// Package oldsystem, for tests, makes the system that a process runs on one that lacks
// something: a kernel without seccomp or Landlock, or a container whose own rules forbid
// them.
package oldsystem

import (
	"fmt"
	"os"
	"runtime"
	"strings"
	"unsafe"

	"golang.org/x/net/bpf"
	"golang.org/x/sys/unix"
)

// lacking are the calls that a system without something refuses, by its name:
// ENOSYS for what the kernel is too old for, EPERM for what a container forbids.
var lacking = map[string]struct {
	calls []uint32
	errno unix.Errno
}{
	"seccomp":    {[]uint32{unix.SYS_SECCOMP}, unix.ENOSYS},
	"no seccomp": {[]uint32{unix.SYS_SECCOMP}, unix.EPERM},
	"landlock":   {[]uint32{unix.SYS_LANDLOCK_CREATE_RULESET, unix.SYS_LANDLOCK_RESTRICT_SELF}, unix.ENOSYS},
	"limits":     {[]uint32{unix.SYS_PRLIMIT64, unix.SYS_SETRLIMIT}, unix.EPERM},
}

// Variable names the variable of the environment by which [FromEnvironment] is told what
// is lacking, with commas between.
const Variable = "TURNGAUGE_TEST_OLD_SYSTEM"

// FromEnvironment has this process, and all that it starts, run on a system that lacks
// what the environment says. It panics where that can't be had.
func FromEnvironment() {
	if named := os.Getenv(Variable); named != "" {
		if err := Lack(strings.Split(named, ",")...); err != nil {
			panic(err)
		}
	}
}

// Lack does so by names: "seccomp", "no seccomp", "landlock", "limits".
func Lack(names ...string) error {
	if runtime.GOARCH != "amd64" && runtime.GOARCH != "arm64" {
		return fmt.Errorf("oldsystem: no numbers of system calls for %s", runtime.GOARCH)
	}
	const number = 0 // in the kernel's struct seccomp_data (seccomp(2))
	program := []bpf.Instruction{bpf.LoadAbsolute{Off: number, Size: 4}}
	for _, n := range names {
		l, ok := lacking[n]
		if !ok {
			return fmt.Errorf("oldsystem: what is %q", n)
		}
		for _, c := range l.calls {
			program = append(program,
				bpf.JumpIf{Cond: bpf.JumpEqual, Val: c, SkipFalse: 1},
				bpf.RetConstant{Val: unix.SECCOMP_RET_ERRNO | uint32(l.errno)})
		}
	}
	raw, err := bpf.Assemble(append(program, bpf.RetConstant{Val: unix.SECCOMP_RET_ALLOW}))
	if err != nil {
		return err
	}
	filter := make([]unix.SockFilter, len(raw))
	for i, r := range raw {
		filter[i] = unix.SockFilter{Code: r.Op, Jt: r.Jt, Jf: r.Jf, K: r.K}
	}
	if err := unix.Prctl(unix.PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0); err != nil {
		return err
	}
	p := unix.SockFprog{Len: uint16(len(filter)), Filter: &filter[0]}
	if _, _, errno := unix.RawSyscall(unix.SYS_SECCOMP, unix.SECCOMP_SET_MODE_FILTER, unix.SECCOMP_FILTER_FLAG_TSYNC, uintptr(unsafe.Pointer(&p))); errno != 0 {
		return errno
	}
	return nil
}
