package sandbox

import (
	"os"
	"runtime"
	"unsafe"

	"golang.org/x/net/bpf"
	"golang.org/x/sys/unix"
)

// extern int tg_landlocked;
import "C"

// Lacks says in words what of it could not be had, "" when nothing.
func (s State) Lacks() string {
	switch {
	case s.Seccomp && s.Memory:
		return "" // the list leaves no way to open a file, so Landlock is a second lock
	case s.Seccomp:
		return "its memory is not limited"
	case s.Landlock:
		return "it may make any system call, though it can open no files"
	}
	return "this system has neither seccomp nor Landlock"
}

// confine gives up, for good, what the process does not need.
func confine(limits Limits) State {
	s := State{Landlock: C.tg_landlocked != 0}
	raise := func(what int, to uint64) bool {
		return to == 0 || unix.Setrlimit(what, &unix.Rlimit{Cur: to, Max: to}) == nil
	}
	raise(unix.RLIMIT_FSIZE, limits.FileBytes)
	raise(unix.RLIMIT_NOFILE, limits.Files)
	_ = unix.Setrlimit(unix.RLIMIT_CORE, &unix.Rlimit{}) // a picture of a child has no place in a crash report
	s.Memory = !checked && raise(unix.RLIMIT_DATA, limits.OwnBytes)
	s.Seccomp = filterCalls() == nil
	return s
}

// calls are the system calls that Go, FFmpeg's threads and the messages need. None
// opens, makes, looks up or removes a file by its name, connects, starts a program,
// or reaches into another process.
var calls = []uint32{
	unix.SYS_READ, unix.SYS_WRITE, unix.SYS_READV, unix.SYS_WRITEV, unix.SYS_PREAD64, unix.SYS_PWRITE64,
	unix.SYS_LSEEK, unix.SYS_FSTAT, unix.SYS_CLOSE, unix.SYS_FCNTL, unix.SYS_FTRUNCATE, unix.SYS_FSYNC,
	unix.SYS_DUP, unix.SYS_DUP3, unix.SYS_SENDMSG, unix.SYS_RECVMSG, unix.SYS_SENDTO, unix.SYS_RECVFROM, unix.SYS_SHUTDOWN,
	unix.SYS_GETSOCKOPT, unix.SYS_GETSOCKNAME, unix.SYS_GETPEERNAME,
	unix.SYS_EPOLL_CREATE1, unix.SYS_EPOLL_CTL, unix.SYS_EPOLL_PWAIT, unix.SYS_EVENTFD2, unix.SYS_PIPE2,
	unix.SYS_MMAP, unix.SYS_MUNMAP, unix.SYS_MREMAP, unix.SYS_MPROTECT, unix.SYS_MADVISE, unix.SYS_MINCORE, unix.SYS_BRK,
	unix.SYS_MEMFD_CREATE, unix.SYS_MEMBARRIER,
	unix.SYS_FUTEX, unix.SYS_SCHED_YIELD, unix.SYS_SCHED_GETAFFINITY, unix.SYS_GETCPU,
	unix.SYS_NANOSLEEP, unix.SYS_CLOCK_NANOSLEEP, unix.SYS_CLOCK_GETTIME, unix.SYS_GETTIMEOFDAY, unix.SYS_RESTART_SYSCALL,
	unix.SYS_RT_SIGACTION, unix.SYS_RT_SIGPROCMASK, unix.SYS_RT_SIGRETURN, unix.SYS_SIGALTSTACK,
	unix.SYS_GETPID, unix.SYS_GETTID, unix.SYS_GETRUSAGE, unix.SYS_GETRANDOM,
	unix.SYS_SET_ROBUST_LIST, unix.SYS_RSEQ, unix.SYS_EXIT, unix.SYS_EXIT_GROUP,
}

// Where things lie in the kernel's struct seccomp_data (seccomp(2)).
const (
	dataNumber = 0
	dataArch   = 4
	dataFirst  = 16 // low half of the first argument, on processors with the low byte first
)

// archs are the names of processors in seccomp_data.
var archs = map[string]uint32{"amd64": unix.AUDIT_ARCH_X86_64, "arm64": unix.AUDIT_ARCH_AARCH64}

// filter is the program that the kernel runs at each system call of this process.
func filter(arch uint32, pid int) ([]bpf.RawInstruction, error) {
	const refuse = unix.SECCOMP_RET_ERRNO
	give := func(action uint32) bpf.Instruction { return bpf.RetConstant{Val: action} }
	program := []bpf.Instruction{
		bpf.LoadAbsolute{Off: dataArch, Size: 4},
		bpf.JumpIf{Cond: bpf.JumpEqual, Val: arch, SkipTrue: 1},
		give(unix.SECCOMP_RET_KILL_PROCESS),
		bpf.LoadAbsolute{Off: dataNumber, Size: 4},
	}
	for _, call := range calls {
		program = append(program, bpf.JumpIf{Cond: bpf.JumpEqual, Val: call, SkipFalse: 1}, give(unix.SECCOMP_RET_ALLOW))
	}
	program = append(program,
		// A thread, but no process. The flags of clone3 can't be seen here; glibc and Go
		// take clone where there is none.
		bpf.JumpIf{Cond: bpf.JumpEqual, Val: unix.SYS_CLONE3, SkipFalse: 1},
		give(refuse|uint32(unix.ENOSYS)),
		bpf.JumpIf{Cond: bpf.JumpEqual, Val: unix.SYS_CLONE, SkipFalse: 3},
		bpf.LoadAbsolute{Off: dataFirst, Size: 4},
		bpf.JumpIf{Cond: bpf.JumpBitsSet, Val: unix.CLONE_THREAD, SkipFalse: 5},
		give(unix.SECCOMP_RET_ALLOW),
		// A signal to a thread of this process, by which Go interrupts goroutines.
		bpf.JumpIf{Cond: bpf.JumpEqual, Val: unix.SYS_TGKILL, SkipFalse: 3},
		bpf.LoadAbsolute{Off: dataFirst, Size: 4},
		bpf.JumpIf{Cond: bpf.JumpEqual, Val: uint32(pid), SkipFalse: 1},
		give(unix.SECCOMP_RET_ALLOW),
		give(refuse|uint32(unix.EPERM)),
	)
	return bpf.Assemble(program)
}

// filterCalls has the kernel refuse all but the listed calls to all threads.
func filterCalls() error {
	arch, ok := archs[runtime.GOARCH]
	if !ok {
		return unix.ENOSYS
	}
	raw, err := filter(arch, os.Getpid())
	if err != nil {
		return err
	}
	if err := unix.Prctl(unix.PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0); err != nil {
		return err
	}
	program := make([]unix.SockFilter, len(raw))
	for i, r := range raw {
		program[i] = unix.SockFilter{Code: r.Op, Jt: r.Jt, Jf: r.Jf, K: r.K}
	}
	p := unix.SockFprog{Len: uint16(len(program)), Filter: &program[0]}
	_, _, errno := unix.RawSyscall(unix.SYS_SECCOMP, unix.SECCOMP_SET_MODE_FILTER, unix.SECCOMP_FILTER_FLAG_TSYNC, uintptr(unsafe.Pointer(&p)))
	if errno != 0 {
		return errno
	}
	return nil
}
