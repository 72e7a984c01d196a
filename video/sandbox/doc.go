// Package sandbox runs a part of the program in a process of its own, which may die
// without taking the rest along and can reach nothing but what it is handed: no
// file by its name, no network, no other program.
//
// The process is the program itself, started under another name (argv[0]). Whoever
// wants such a process registers its work with Serve in an init function, so that
// every binary that links the package can be it, test binaries too. Both sides talk by
// messages over a pair of sockets (Link), which also carry open files. Large data
// lies in memory that both map (Memory).
//
// The process is confined in two steps. Before Go starts, while it has one thread,
// Landlock takes all files and TCP away (confine_linux.c). Serve then lets the kernel refuse
// every system call that is not on a list (seccomp), limits the process's own memory,
// and only then is the first message read. What a kernel lacks is left out, and State
// says so. It ends with the process that started it, even if that is killed.
//
// On Windows there is no such process yet: the work is done in this one, on goroutines of
// its own behind the same messages, so that a confined process can take their place. What a
// hostile file does to the libraries of FFmpeg it then does to the whole program; State says
// so.
package sandbox
