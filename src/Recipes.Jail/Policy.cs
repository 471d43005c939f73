using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary>The two system-call policies of a worker.</summary>
internal static class Policy
{
    // errno-base.h, errno.h
    internal const int NotPermitted = 1, AccessDenied = 13, NotATerminal = 25, NotImplemented = 38;

    // linux/sched.h: a new thread, and what would make a new namespace.
    private const uint CloneThread = 0x0001_0000, CloneNamespaces = 0x7E02_0000;

    // asm-generic/mman-common.h: advice that takes a page of the machine out of service; with the lowest bit set, its gentler kind.
    private const uint PoisonPage = 100;

    // linux/prctl.h
    private const uint PrctlSetName = 15, PrctlSetVma = 0x5356_4d41;

    /// <summary>
    /// Set on the starting thread and inherited by the worker over exec: what no .NET program needs to start, and what leads
    /// out of a process. A list of refusals, since starting the runtime takes calls that differ between versions; what it
    /// leaves is taken away by <see cref="Strict"/>, which is a list of permissions.
    /// </summary>
    public static BpfInstruction[] Coarse(Architecture architecture) => new SeccompFilter(architecture)
        .On(SeccompFilter.Fail(NotPermitted),
            // Other processes' memory, descriptors and signals.
            "ptrace", "process_vm_readv", "process_vm_writev", "kcmp", "process_madvise", "process_mrelease", "pidfd_open", "pidfd_getfd", "pidfd_send_signal",
            // Kernel facilities with a history of holes.
            "io_uring_setup", "io_uring_enter", "io_uring_register", "bpf", "perf_event_open", "userfaultfd", "add_key", "request_key", "keyctl",
            // The machine.
            "init_module", "finit_module", "delete_module", "kexec_load", "kexec_file_load", "reboot", "swapon", "swapoff", "acct", "quotactl", "vhangup",
            "settimeofday", "clock_settime", "clock_adjtime", "adjtimex", "sethostname", "setdomainname", "syslog", "lookup_dcookie", "personality",
            // The file system's shape, and files by handle.
            "mount", "umount2", "pivot_root", "chroot", "unshare", "setns", "open_tree", "move_mount", "fsopen", "fsconfig", "fsmount", "fspick", "mount_setattr",
            "open_by_handle_at",
            // Who the process is.
            "setuid", "setgid", "setreuid", "setregid", "setresuid", "setresgid", "setfsuid", "setfsgid", "setgroups", "capset",
            // Talking to others.
            "socket", "socketpair", "connect", "accept", "accept4", "bind", "listen",
            "shmget", "shmat", "shmctl", "shmdt", "semget", "semop", "semctl", "semtimedop", "msgget", "msgsnd", "msgrcv", "msgctl",
            "mq_open", "mq_unlink", "mq_timedsend", "mq_timedreceive", "mq_notify", "mq_getsetattr")
        .Build(SeccompFilter.Allow);

    /// <summary>
    /// Set by the worker on all its threads before it takes work: what running .NET code, collecting garbage and compiling
    /// methods takes, and nothing that opens, sends, starts or signals. Everything else ends the process.
    /// </summary>
    /// <param name="architecture">The processor.</param>
    /// <param name="process">The worker's own process number, the only one it may signal (the runtime suspends its threads that way).</param>
    public static BpfInstruction[] Strict(Architecture architecture, int process) => new SeccompFilter(architecture)
        .On(SeccompFilter.Allow,
            // The frequent ones first.
            "futex", "read", "write", "mmap", "munmap", "mprotect", "mremap", "brk", "sched_yield", "clock_gettime", "clock_nanosleep", "nanosleep",
            "close", "rt_sigaction", "rt_sigprocmask", "rt_sigreturn", "sigaltstack", "getpid", "gettid", "exit", "exit_group", "membarrier",
            "sched_getaffinity", "getcpu", "set_robust_list", "rseq", "poll", "ppoll", "recvmsg", "getrandom", "mbind", "getrusage",
            "sysinfo", "restart_syscall", "sched_get_priority_max", "sched_get_priority_min", "sched_getparam", "sched_getscheduler",
            // Each thread of the runtime makes a pipe to itself; the limit on descriptors bounds them.
            "pipe2")
        // Root may poison a page that the whole machine uses.
        .Where("madvise", 2, ~1u, [PoisonPage], SeccompFilter.Fail(NotPermitted), SeccompFilter.Allow)
        // Each new thread of the runtime sets its own; other numbers are those of any process of the same user, the host too.
        .Where("sched_setaffinity", 0, uint.MaxValue, [0], SeccompFilter.Allow, SeccompFilter.Fail(NotPermitted))
        .Where("clone", 0, CloneThread | CloneNamespaces, [CloneThread], SeccompFilter.Allow, SeccompFilter.Kill)
        .Where("tgkill", 0, uint.MaxValue, [(uint)process], SeccompFilter.Allow, SeccompFilter.Kill)
        .Where("prctl", 0, uint.MaxValue, [PrctlSetName, PrctlSetVma], SeccompFilter.Allow, SeccompFilter.Kill)
        // Reading a limit of its own: prlimit64(0, resource, NULL, old).
        .OnlyZero("prlimit64", [0, 2], SeccompFilter.Kill)
        // Its flags lie in memory, where no filter sees them; the C library then falls back on clone.
        .On(SeccompFilter.Fail(NotImplemented), "clone3")
        // What the runtime may try and can do without. No path opens anything, an open descriptor's own included.
        .On(SeccompFilter.Fail(AccessDenied), "open", "openat", "stat", "lstat", "newfstatat", "access", "faccessat", "faccessat2", "readlink", "readlinkat")
        .On(SeccompFilter.Fail(NotATerminal), "ioctl")
        .On(SeccompFilter.Fail(NotPermitted), "memfd_create", "sched_setparam", "sched_setscheduler")
        .Build(SeccompFilter.Kill);
}
