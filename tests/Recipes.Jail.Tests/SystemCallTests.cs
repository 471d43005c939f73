using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.RegularExpressions;

namespace Recipes.Jail.Tests;

/// <summary>The table of system call numbers against the kernel's own headers, and the policies against the numbers.</summary>
public sealed partial class SystemCallTests
{
    [Fact]
    public void Numbers_are_those_of_the_kernel_headers()
    {
        // Linux user-space API headers, as Debian's linux-libc-dev installs them; arm64 uses the generic table.
        const string x64 = "/usr/include/x86_64-linux-gnu/asm/unistd_64.h", generic = "/usr/include/asm-generic/unistd.h";
        Assert.SkipUnless(File.Exists(x64) && File.Exists(generic), "needs Debian's linux-libc-dev on x64");
        var onX64 = Read(x64);
        var onArm64 = Read(generic);
        // The generic table has one call for both names.
        onArm64["newfstatat"] = onArm64["fstatat"];
        foreach (var call in SystemCall.All)
        {
            onX64.TryGetValue(call.Name, out int there).ShouldBeTrue(call.Name);
            call.X64.ShouldBe(there, call.Name);
            call.Arm64.ShouldBe(onArm64.TryGetValue(call.Name, out int number) ? number : null, call.Name);
        }
    }

    [Theory]
    [InlineData(Architecture.X64, 0xC000003Eu)]
    [InlineData(Architecture.Arm64, 0xC00000B7u)]
    public void Both_policies_decide_as_written_on_both_processors(Architecture architecture, uint audit)
    {
        var strict = Policy.Strict(architecture, 4711, loads: false);
        var coarse = Policy.Coarse(architecture);
        uint Strict(string name, params ulong[] arguments) => Bpf.Run(strict, audit, Number(name), arguments);
        uint Number(string name) => (uint)SystemCall.Named(name).On(architecture)!.Value;

        foreach (string name in (string[])["read", "write", "munmap", "exit_group", "rt_sigreturn"])
        {
            Strict(name).ShouldBe(SeccompFilter.Allow, name);
        }

        foreach (string name in (string[])["socket", "ptrace", "unshare", "mount", "bpf", "pidfd_open", "accept4", "shmget", "prctl", "setuid"])
        {
            Strict(name).ShouldBe(SeccompFilter.Kill, name);
        }

        Strict("openat").ShouldBe(SeccompFilter.Fail(13));
        Strict("clone3").ShouldBe(SeccompFilter.Fail(38));
        Strict("memfd_create").ShouldBe(SeccompFilter.Fail(1));
        Strict("tgkill", 4711, 4712, 34).ShouldBe(SeccompFilter.Allow);
        Strict("tgkill", 1, 1, 9).ShouldBe(SeccompFilter.Kill);
        Strict("prctl", 15).ShouldBe(SeccompFilter.Allow);
        Strict("prctl", 4, 1).ShouldBe(SeccompFilter.Kill);
        Strict("prlimit64", 0, 7, 0, 1234).ShouldBe(SeccompFilter.Allow);
        Strict("prlimit64", 0, 7, 1234, 0).ShouldBe(SeccompFilter.Kill);
        Strict("prlimit64", 0, 7, 1234UL << 32, 0).ShouldBe(SeccompFilter.Kill);
        Strict("prlimit64", 1, 7, 0, 0).ShouldBe(SeccompFilter.Kill);
        Strict("prlimit64", 1UL << 32, 7, 0, 0).ShouldBe(SeccompFilter.Kill);

        Bpf.Run(coarse, audit, Number("socket"), []).ShouldBe(SeccompFilter.Fail(1));
        Bpf.Run(coarse, audit, Number("openat"), []).ShouldBe(SeccompFilter.Allow);
        // Another processor's numbers, and numbers that no table has.
        Bpf.Run(strict, audit ^ 1, Number("read"), []).ShouldBe(SeccompFilter.Kill);
        Bpf.Run(coarse, audit ^ 1, Number("read"), []).ShouldBe(SeccompFilter.Kill);
        Bpf.Run(strict, audit, 100_000, []).ShouldBe(SeccompFilter.Kill);
        if (architecture == Architecture.X64)
        {
            Bpf.Run(coarse, audit, Number("read") | 0x4000_0000, []).ShouldBe(SeccompFilter.Kill);
        }
    }

    /// <summary>
    /// Calls with arguments and what becomes of them: in a worker that brings no code to load (compile, editor, decode, convert, jpeg), in one that does
    /// (run), and in either once it has its job. Numbers as in the manual pages named beside them; p passes, a number fails with it, x ends the process.
    /// </summary>
    public static TheoryData<string, ulong[], string> Arguments => new()
    {
        // clone(2), linux/sched.h: the C library's new thread; a process; a thread with a namespace of its own; one that keeps its memory to itself.
        { "clone", [0x3d0f00], "ppp" },
        { "clone", [17], "xxx" },
        { "clone", [0x3d0f00 | 0x1000_0000], "xxx" },
        { "clone", [0x3d0e00], "xxx" },
        // mmap(2): private memory, a stack, a reserve, at a fixed address; a file's pages, private and shared; shared memory of nobody's; locked;
        // huge pages; growing; validated.
        { "mmap", [0, 4096, 3, 0x22], "ppp" },
        { "mmap", [0, 4096, 3, 0x20022], "ppp" },
        { "mmap", [0, 4096, 0, 0x4022], "ppp" },
        { "mmap", [4096, 4096, 0, 0x32], "ppp" },
        { "mmap", [0, 4096, 1, 0x02, 5], "ppp" },
        { "mmap", [0, 4096, 3, 0x01, 5], "pp1" },
        { "mmap", [0, 4096, 3, 0x21], "1p1" },
        { "mmap", [0, 4096, 3, 0x2022], "111" },
        { "mmap", [0, 4096, 3, 0x40022], "111" },
        { "mmap", [0, 4096, 3, 0x122], "111" },
        { "mmap", [0, 4096, 3, 0x03, 5], "111" },
        { "mmap", [0, 4096, 3, 0x23], "111" },
        // mprotect(2): read, write and execute; PROT_SEM, PROT_GROWSDOWN.
        { "mprotect", [4096, 4096, 7], "ppp" },
        { "mprotect", [4096, 4096, 8], "111" },
        { "mprotect", [4096, 4096, 0x0100_0001], "111" },
        // mremap(2): MREMAP_MAYMOVE, and with MREMAP_FIXED, MREMAP_DONTUNMAP.
        { "mremap", [4096, 4096, 8192, 1], "ppp" },
        { "mremap", [4096, 4096, 8192, 3], "111" },
        { "mremap", [4096, 4096, 8192, 5], "111" },
        // madvise(2): MADV_DONTNEED, MADV_FREE, MADV_DONTDUMP, MADV_DODUMP, MADV_GUARD_INSTALL; MADV_REMOVE, MADV_MERGEABLE, MADV_HWPOISON,
        // MADV_SOFT_OFFLINE, MADV_POPULATE_WRITE.
        { "madvise", [0, 4096, 4], "ppp" },
        { "madvise", [0, 4096, 8], "ppp" },
        { "madvise", [0, 4096, 16], "ppp" },
        { "madvise", [0, 4096, 17], "ppp" },
        { "madvise", [0, 4096, 102], "ppp" },
        { "madvise", [0, 4096, 9], "111" },
        { "madvise", [0, 4096, 12], "111" },
        { "madvise", [0, 4096, 100], "111" },
        { "madvise", [0, 4096, 101], "111" },
        { "madvise", [0, 4096, 23], "111" },
        // futex(2): wait and wake, private or not, with a set of bits and a clock; requeue, wake-op, lock-pi, wait-requeue-pi.
        { "futex", [0, 0], "ppp" },
        { "futex", [0, 1], "ppp" },
        { "futex", [0, 128], "ppp" },
        { "futex", [0, 129], "ppp" },
        { "futex", [0, 9 | 128 | 256], "ppp" },
        { "futex", [0, 10 | 128], "ppp" },
        { "futex", [0, 3], ">>>" },
        { "futex", [0, 5 | 128], ">>>" },
        { "futex", [0, 6], ">>>" },
        { "futex", [0, 11 | 128], ">>>" },
        { "futex", [0, 13], ">>>" },
        // clock_gettime(2), clock_nanosleep(2): the machine's clocks, one's own; another process's (its number, inverted and shifted by three), a device's.
        { "clock_gettime", [0], "ppp" },
        { "clock_gettime", [1], "ppp" },
        { "clock_gettime", [7], "ppp" },
        { "clock_gettime", [11], "iii" },
        { "clock_gettime", [unchecked((uint)(~4710 << 3))], "iii" },
        { "clock_nanosleep", [1, 1], "ppp" },
        { "clock_nanosleep", [0, 0], "ppp" },
        { "clock_nanosleep", [9, 0], "iii" },
        { "clock_nanosleep", [1, 2], "iii" },
        // sched_setaffinity(2) and its kind: 0 is the calling thread.
        { "sched_setaffinity", [0], "ppp" },
        { "sched_setaffinity", [4710], "111" },
        { "sched_getaffinity", [0], "ppp" },
        { "sched_getaffinity", [4710], ">>>" },
        { "sched_getparam", [0], "ppp" },
        { "sched_getparam", [4710], "111" },
        { "sched_getscheduler", [4710], "111" },
        { "sched_setscheduler", [0], "111" },
        // membarrier(2): private expedited, its registration; global, global expedited.
        { "membarrier", [8], "ppp" },
        { "membarrier", [16], "ppp" },
        { "membarrier", [1], "iii" },
        { "membarrier", [2], "iii" },
        // getrusage(2), getrandom(2): the process, the thread; its children; what waits for the machine's randomness.
        { "getrusage", [0], "ppp" },
        { "getrusage", [1], "ppp" },
        { "getrusage", [unchecked((ulong)-1)], "iii" },
        { "getrandom", [0, 16, 0], "ppp" },
        { "getrandom", [0, 16, 1], "ppp" },
        { "getrandom", [0, 16, 2], "iii" },
        // recvmsg(2): the host's socket, descriptors closed over exec; another descriptor, other flags.
        { "recvmsg", [3, 0, 0x4000_0000], "pp1" },
        { "recvmsg", [4, 0, 0x4000_0000], "111" },
        { "recvmsg", [3, 0, 0], "111" },
        // pipe2(2): O_CLOEXEC; O_DIRECT, O_NOTIFICATION_PIPE.
        { "pipe2", [0, 0x80000], "ppp" },
        { "pipe2", [0, 0x84000], "111" },
        { "pipe2", [0, 0x80080], "111" },
        // mbind(2): its own pages; MPOL_MF_MOVE_ALL.
        { "mbind", [0, 0, 0, 0, 0, 0], "ppp" },
        { "mbind", [0, 0, 0, 0, 0, 4], "111" },
        // seccomp(2): one more filter on all threads; without them; with a listener; strict mode.
        { "seccomp", [1, 1], "ppx" },
        { "seccomp", [1, 0], "xxx" },
        { "seccomp", [1, 9], "xxx" },
        { "seccomp", [0, 0], "xxx" },
    };

    [Theory]
    [MemberData(nameof(Arguments))]
    public void Each_kind_of_worker_passes_only_the_arguments_that_its_work_takes(string name, ulong[] arguments, string outcomes)
    {
        foreach (var (architecture, audit) in ((Architecture, uint)[])[(Architecture.X64, 0xC000003E), (Architecture.Arm64, 0xC00000B7)])
        {
            uint number = (uint)SystemCall.Named(name).On(architecture)!.Value;
            uint plain = Bpf.Run(Policy.Strict(architecture, 4711, loads: false), audit, number, arguments);
            uint loads = Bpf.Run(Policy.Strict(architecture, 4711, loads: true), audit, number, arguments);
            // The kernel runs all filters and takes the strictest verdict, by signed numbers the smallest (seccomp(2), kernel/seccomp.c).
            uint narrow = (uint)Math.Min((int)loads, (int)Bpf.Run(Policy.Narrow(architecture), audit, number, arguments));
            foreach (var (verdict, outcome) in ((uint, char)[])[(plain, outcomes[0]), (loads, outcomes[1]), (narrow, outcomes[2])])
            {
                verdict.ShouldBe(outcome switch
                {
                    'p' => SeccompFilter.Allow,
                    'x' => SeccompFilter.Kill,
                    // errno-base.h: EPERM, EINVAL; errno.h: ENOSYS.
                    '1' => SeccompFilter.Fail(1),
                    'i' => SeccompFilter.Fail(22),
                    _ => SeccompFilter.Fail(38),
                }, $"{architecture}: {outcomes}");
            }
        }
    }

    private static Dictionary<string, int> Read(string header) => Definition().Matches(File.ReadAllText(header))
        .ToDictionary(match => match.Groups[1].Value, match => int.Parse(match.Groups[2].Value, CultureInfo.InvariantCulture));

    // The generic header names calls with two sizes of a file position by a macro of their number.
    [GeneratedRegex(@"#define __NR(?:3264)?_(\w+)\s+(\d+)")]
    private static partial Regex Definition();
}
