using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary>The system-call policies of a worker.</summary>
internal static class Policy
{
    // errno-base.h, errno.h
    internal const int NotPermitted = 1, AccessDenied = 13, Invalid = 22, NotATerminal = 25, NotImplemented = 38;

    private const uint All = uint.MaxValue;

    // linux/sched.h: how the C library makes a thread. CLONE_VM, FS, FILES, SIGHAND, THREAD, SYSVSEM, SETTLS, PARENT_SETTID, CHILD_CLEARTID.
    private const uint NewThread = 0x003D_0F00;

    // asm-generic/mman-common.h: advice on memory of one's own, and guard pages. Not the advice that takes pages of the machine out of service.
    private static readonly uint[] OwnMemory = [4, 8, 14, 15, 16, 17, 102, 103];

    // asm-generic/mman-common.h, mman.h: MAP_FIXED, DENYWRITE, NORESERVE, STACK, FIXED_NOREPLACE say how memory lies; then what it is: a file's
    // own or nobody's, private, or shared with whoever has the file. Not locked, not in large pages, not growing by itself.
    private const uint HowItLies = 0x10 | 0x800 | 0x4000 | 0x2_0000 | 0x10_0000, Private = 0x2, Shared = 0x1, Anonymous = 0x20, KindOfMap = 0xF;

    // linux/futex.h: waiting and waking, with and without a set of bits; FUTEX_PRIVATE_FLAG and FUTEX_CLOCK_REALTIME as may be. Not those that
    // inherit priorities.
    private const uint FutexFlags = 128 | 256;
    private static readonly uint[] WaitAndWake = [0, 1, 9, 10];

    // linux/time.h: the machine's clocks and one's own; other numbers mean other processes' clocks, and devices'.
    private static readonly uint[] Clocks = [0, 1, 2, 3, 4, 5, 6, 7];

    // linux/membarrier.h: one's own threads. Not the commands that wait for the whole machine.
    private static readonly uint[] OwnThreads = [0, 8, 16, 32, 64];

    // asm-generic/fcntl.h, linux/socket.h
    private const uint CloseOnExec = 0x8_0000, ReceiveCloseOnExec = 0x4000_0000;

    // linux/prctl.h, linux/seccomp.h
    private const uint PrctlSetName = 15, PrctlSetVma = 0x5356_4d41, SetModeFilter = 1, AllThreads = 1;

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
            "mount", "umount2", "pivot_root", "chroot", "unshare", "setns", "open_tree", "move_mount", "fsopen", "fsconfig", "fsmount",
            "fspick", "mount_setattr", "open_by_handle_at",
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
    /// <param name="loads">Whether the job brings code to load, which the runtime keeps in shared memory without a name.</param>
    public static BpfInstruction[] Strict(Architecture architecture, int process, bool loads) => new SeccompFilter(architecture)
        .On(SeccompFilter.Allow,
            // The frequent ones first.
            "read", "write", "munmap", "brk", "sched_yield", "nanosleep", "close", "rt_sigaction", "rt_sigprocmask", "rt_sigreturn", "sigaltstack", "getpid",
            "gettid", "exit", "exit_group", "getcpu", "set_robust_list", "rseq", "poll", "ppoll", "sysinfo", "restart_syscall",
            "sched_get_priority_max", "sched_get_priority_min")
        .Only("futex", SeccompFilter.Fail(NotImplemented), new Permitted(1, ~FutexFlags, WaitAndWake))
        .Only("mprotect", SeccompFilter.Fail(NotPermitted), new Permitted(2, ~7u, 0))
        .Only("madvise", SeccompFilter.Fail(NotPermitted), new Permitted(2, All, OwnMemory))
        .Only("mmap", SeccompFilter.Fail(NotPermitted), new Permitted(3, ~HowItLies,
            [Private | Anonymous, Private, Shared, .. loads ? [Shared | Anonymous] : Array.Empty<uint>()]))
        // MREMAP_MAYMOVE.
        .Only("mremap", SeccompFilter.Fail(NotPermitted), new Permitted(3, All, 0, 1))
        // On nodes of the machine for the process's own pages, without moving others'.
        .Only("mbind", SeccompFilter.Fail(NotPermitted), new Permitted(5, All, 0))
        .Only("clock_gettime", SeccompFilter.Fail(Invalid), new Permitted(0, All, Clocks))
        // CLOCK_REALTIME and CLOCK_MONOTONIC; TIMER_ABSTIME or not.
        .Only("clock_nanosleep", SeccompFilter.Fail(Invalid), new Permitted(0, All, 0, 1), new Permitted(1, All, 0, 1))
        .Only("membarrier", SeccompFilter.Fail(Invalid), new Permitted(0, All, OwnThreads))
        // RUSAGE_SELF, RUSAGE_THREAD.
        .Only("getrusage", SeccompFilter.Fail(Invalid), new Permitted(0, All, 0, 1))
        // GRND_NONBLOCK or not.
        .Only("getrandom", SeccompFilter.Fail(Invalid), new Permitted(2, All, 0, 1))
        // The host's socket, for the job.
        .Only("recvmsg", SeccompFilter.Fail(NotPermitted), new Permitted(0, All, JailedProcess.SocketInChild), new Permitted(2, All, ReceiveCloseOnExec))
        // Each thread of the runtime makes a pipe to itself; the limit on descriptors bounds them.
        .Only("pipe2", SeccompFilter.Fail(NotPermitted), new Permitted(1, All, CloseOnExec))
        // Each new thread of the runtime sets and asks its own; other numbers are those of any process, the host too. The C library does without.
        .Only("sched_setaffinity", SeccompFilter.Fail(NotPermitted), new Permitted(0, All, 0))
        .Only("sched_getaffinity", SeccompFilter.Fail(NotImplemented), new Permitted(0, All, 0))
        .Only("sched_getparam", SeccompFilter.Fail(NotPermitted), new Permitted(0, All, 0))
        .Only("sched_getscheduler", SeccompFilter.Fail(NotPermitted), new Permitted(0, All, 0))
        .Only("clone", SeccompFilter.Kill, new Permitted(0, All, NewThread))
        .Only("tgkill", SeccompFilter.Kill, new Permitted(0, All, (uint)process))
        .Only("prctl", SeccompFilter.Kill, new Permitted(0, All, PrctlSetName, PrctlSetVma))
        // One more filter, which can only take more away: Narrow.
        .Only("seccomp", SeccompFilter.Kill, new Permitted(0, All, SetModeFilter), new Permitted(1, All, AllThreads))
        // Reading a limit of its own: prlimit64(0, resource, NULL, old).
        .OnlyZero("prlimit64", [0, 2], SeccompFilter.Kill)
        // Its flags lie in memory, where no filter sees them; the C library then falls back on clone.
        .On(SeccompFilter.Fail(NotImplemented), "clone3")
        // What the runtime may try and can do without. No path opens anything, an open descriptor's own included.
        .On(SeccompFilter.Fail(AccessDenied), "open", "openat", "stat", "lstat", "newfstatat", "access", "faccessat", "faccessat2", "readlink", "readlinkat")
        .On(SeccompFilter.Fail(NotATerminal), "ioctl")
        .On(SeccompFilter.Fail(NotPermitted), "memfd_create", "sched_setparam", "sched_setscheduler")
        .Build(SeccompFilter.Kill);

    /// <summary>
    /// Set by the worker on all its threads on top of <see cref="Strict"/> once it has its job in memory, before it looks at what strangers wrote or
    /// runs it: what only taking the job took.
    /// </summary>
    public static BpfInstruction[] Narrow(Architecture architecture) => new SeccompFilter(architecture)
        .On(SeccompFilter.Kill, "seccomp")
        .On(SeccompFilter.Fail(NotPermitted), "recvmsg")
        .Only("mmap", SeccompFilter.Fail(NotPermitted), new Permitted(3, KindOfMap, Private))
        .Build(SeccompFilter.Allow);
}
