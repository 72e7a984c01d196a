// Landlock holds for a thread and for those that it starts, so it is asked for before
// Go starts any.
#include <linux/prctl.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <unistd.h>

#define PREFIX "turngauge-apart-" // as in limits.go

int tg_landlocked;

#if defined(SYS_landlock_create_ruleset) && defined(SYS_landlock_restrict_self)
// The kernel's headers of Debian 12 name no rights on the network (linux/landlock.h).
struct ruleset {
    uint64_t files, net;
};

enum {
    ALL_OF_FIRST = (1 << 13) - 1, // every right on files of the first version
    REFER = 1 << 13,              // from the second
    TRUNCATE = 1 << 14,           // from the third
    NET_BIND_CONNECT = 3,         // from the fourth
    ASK_VERSION = 1
};

__attribute__((constructor)) static void confine(int argc, char **argv)
{
    if (argc < 1 || strncmp(argv[0], PREFIX, strlen(PREFIX)) != 0)
        return;
    long version = syscall(SYS_landlock_create_ruleset, NULL, 0, ASK_VERSION);
    if (version < 1 || prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0)
        return;
    struct ruleset r = {ALL_OF_FIRST, 0};
    if (version >= 2)
        r.files |= REFER;
    if (version >= 3)
        r.files |= TRUNCATE;
    if (version >= 4)
        r.net = NET_BIND_CONNECT;
    long fd = syscall(SYS_landlock_create_ruleset, &r, version >= 4 ? sizeof(r) : sizeof(r.files), 0);
    if (fd < 0)
        return;
    tg_landlocked = syscall(SYS_landlock_restrict_self, fd, 0) == 0;
    close(fd);
}
#endif
