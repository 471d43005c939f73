using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary>A Linux system call with its number on each processor that the jail knows; null where the call doesn't exist there.</summary>
/// <remarks>
/// Numbers: <c>arch/x86/entry/syscalls/syscall_64.tbl</c> and <c>include/uapi/asm-generic/unistd.h</c> (used by arm64) of the
/// Linux kernel. They never change once given out; a test compares them with the kernel's headers.
/// </remarks>
internal sealed record SystemCall(string Name, int? X64, int? Arm64)
{
    /// <summary>The number on a processor, or null.</summary>
    public int? On(Architecture architecture) => architecture switch
    {
        Architecture.X64 => X64,
        Architecture.Arm64 => Arm64,
        _ => throw new PlatformNotSupportedException($"The jail knows no system call numbers for {architecture}."),
    };

    /// <summary>A call by its name.</summary>
    public static SystemCall Named(string name) =>
        ByName.TryGetValue(name, out var call) ? call : throw new ArgumentException($"The table has no system call {name}.", nameof(name));

    /// <summary>All calls that a policy names.</summary>
    public static IEnumerable<SystemCall> All => ByName.Values;

    private static readonly Dictionary<string, SystemCall> ByName = new SystemCall[]
    {
        new("accept", 43, 202), new("accept4", 288, 242), new("access", 21, null), new("add_key", 248, 217),
        new("adjtimex", 159, 171), new("acct", 163, 89), new("bind", 49, 200), new("bpf", 321, 280), new("brk", 12, 214),
        new("capset", 126, 91), new("chroot", 161, 51), new("clock_adjtime", 305, 266), new("clock_gettime", 228, 113),
        new("clock_nanosleep", 230, 115), new("clock_settime", 227, 112), new("clone", 56, 220), new("clone3", 435, 435),
        new("close", 3, 57), new("connect", 42, 203), new("delete_module", 176, 106), new("exit", 60, 93), new("exit_group", 231, 94),
        new("faccessat", 269, 48), new("faccessat2", 439, 439), new("finit_module", 313, 273), new("fsconfig", 431, 431),
        new("fsmount", 432, 432), new("fsopen", 430, 430), new("fspick", 433, 433), new("futex", 202, 98), new("getcpu", 309, 168),
        new("getpid", 39, 172), new("getrandom", 318, 278), new("getrusage", 98, 165), new("gettid", 186, 178), new("init_module", 175, 105),
        new("io_uring_enter", 426, 426), new("io_uring_register", 427, 427), new("io_uring_setup", 425, 425), new("ioctl", 16, 29),
        new("kcmp", 312, 272), new("kexec_file_load", 320, 294), new("kexec_load", 246, 104), new("keyctl", 250, 219),
        new("listen", 50, 201), new("lookup_dcookie", 212, 18), new("lstat", 6, null), new("madvise", 28, 233), new("mbind", 237, 235),
        new("membarrier", 324, 283), new("memfd_create", 319, 279), new("mmap", 9, 222), new("mount", 165, 40), new("mount_setattr", 442, 442),
        new("move_mount", 429, 429), new("mprotect", 10, 226), new("mq_getsetattr", 245, 185), new("mq_notify", 244, 184),
        new("mq_open", 240, 180), new("mq_timedreceive", 243, 183), new("mq_timedsend", 242, 182), new("mq_unlink", 241, 181),
        new("mremap", 25, 216), new("msgctl", 71, 187), new("msgget", 68, 186), new("msgrcv", 70, 188), new("msgsnd", 69, 189),
        new("munmap", 11, 215), new("nanosleep", 35, 101), new("newfstatat", 262, 79), new("open", 2, null), new("openat", 257, 56),
        new("openat2", 437, 437), new("open_by_handle_at", 304, 265), new("open_tree", 428, 428), new("perf_event_open", 298, 241),
        new("personality", 135, 92), new("pidfd_getfd", 438, 438), new("pidfd_open", 434, 434), new("pidfd_send_signal", 424, 424),
        new("pipe2", 293, 59), new("pivot_root", 155, 41), new("poll", 7, null), new("ppoll", 271, 73), new("prctl", 157, 167), new("prlimit64", 302, 261),
        new("process_madvise", 440, 440), new("process_mrelease", 448, 448), new("process_vm_readv", 310, 270), new("process_vm_writev", 311, 271),
        new("ptrace", 101, 117), new("quotactl", 179, 60), new("read", 0, 63), new("readlink", 89, null), new("readlinkat", 267, 78),
        new("reboot", 169, 142), new("recvmsg", 47, 212), new("request_key", 249, 218), new("restart_syscall", 219, 128),
        new("rseq", 334, 293), new("rt_sigaction", 13, 134), new("rt_sigprocmask", 14, 135), new("rt_sigreturn", 15, 139),
        new("sched_get_priority_max", 146, 125), new("sched_get_priority_min", 147, 126),
        new("sched_getaffinity", 204, 123), new("sched_getparam", 143, 121), new("sched_getscheduler", 145, 120), new("sched_setparam", 142, 118),
        new("sched_setscheduler", 144, 119), new("sched_setaffinity", 203, 122), new("sched_yield", 24, 124), new("seccomp", 317, 277), new("semctl", 66, 191),
        new("semget", 64, 190), new("semop", 65, 193), new("semtimedop", 220, 192), new("setdomainname", 171, 162),
        new("setfsgid", 123, 152), new("setfsuid", 122, 151), new("setgid", 106, 144), new("setgroups", 116, 159), new("sethostname", 170, 161),
        new("setns", 308, 268), new("setregid", 114, 143), new("setresgid", 119, 149), new("setresuid", 117, 147), new("setreuid", 113, 145),
        new("set_robust_list", 273, 99), new("settimeofday", 164, 170), new("setuid", 105, 146), new("shmat", 30, 196), new("shmctl", 31, 195),
        new("shmdt", 67, 197), new("shmget", 29, 194), new("sigaltstack", 131, 132), new("socket", 41, 198), new("socketpair", 53, 199),
        new("stat", 4, null), new("statx", 332, 291), new("swapoff", 168, 225), new("swapon", 167, 224), new("sysinfo", 99, 179),
        new("syslog", 103, 116), new("tgkill", 234, 131), new("umount2", 166, 39), new("unshare", 272, 97), new("userfaultfd", 323, 282),
        new("vhangup", 153, 58), new("write", 1, 64),
    }.ToDictionary(call => call.Name);
}
