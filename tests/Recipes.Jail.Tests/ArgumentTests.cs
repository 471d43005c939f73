using System.Runtime.InteropServices;

namespace Recipes.Jail.Tests;

/// <summary>
/// What a worker may pass to a system call: all that is permitted, and beside each of these all that isn't. Numbers as in the manual pages and the
/// kernel's headers that are named.
/// </summary>
public sealed class ArgumentTests
{
    /// <summary>
    /// One argument of a call. An outcome has a letter for a worker that brings no code to load (compile, editor, decode, convert, jpeg), for one that
    /// does (run), and for either once it has its job: p passes, 1 fails with EPERM, i with EINVAL, s with ENOSYS, x ends the process.
    /// </summary>
    /// <param name="Call">The call's name.</param>
    /// <param name="Good">Its arguments where it passes.</param>
    /// <param name="Number">Which argument, from 0.</param>
    /// <param name="Otherwise">What becomes of the call where the argument is none of those permitted.</param>
    /// <param name="Permitted">What it may be, and with which outcome.</param>
    private sealed record Argument(string Call, ulong[] Good, int Number, string Otherwise, params (uint Value, string Outcome)[] Permitted)
    {
        /// <summary>Bits that may be anything.</summary>
        public uint Free { get; init; }

        /// <summary>Whether the high half counts, too: elsewhere the kernel takes 32 bits.</summary>
        public bool IsLong { get; init; }

        public string OutcomeOf(ulong value)
        {
            uint kept = (uint)value & ~Free;
            return IsLong && value >> 32 != 0 || !Permitted.Any(one => one.Value == kept) ? Otherwise : Permitted.First(one => one.Value == kept).Outcome;
        }

        /// <summary>Each value that is permitted, those that differ from one in a bit or by one, and small numbers.</summary>
        public IEnumerable<ulong> Tried()
        {
            foreach (var (value, _) in Permitted)
            {
                yield return value;
                yield return value | Free;
                yield return value + 1;
                yield return value - 1UL;
                for (int bit = 0; bit < (IsLong ? 64 : 32); bit++)
                {
                    yield return value ^ (1UL << bit);
                }
            }

            for (uint small = 0; small < 130; small++)
            {
                yield return small;
            }
        }
    }

    private static readonly Argument[] Arguments =
    [
        // clone(2), linux/sched.h: the C library's new thread. Else it could be a process, have a namespace of its own or keep its memory to itself.
        new("clone", [0x3d0f00], 0, "xxx", (0x3d0f00, "ppp")),
        // mmap(2), asm-generic/mman-common.h: nobody's private memory, a file's pages, private and shared, and shared memory of nobody's; in each, where and
        // how it lies (MAP_FIXED, DENYWRITE, NORESERVE, STACK, FIXED_NOREPLACE). Not locked, in huge pages, growing or validated.
        new("mmap", [0, 4096, 3, 0x22], 3, "111", (0x22, "ppp"), (0x02, "ppp"), (0x01, "pp1"), (0x21, "1p1"))
        {
            Free = 0x10 | 0x800 | 0x4000 | 0x20000 | 0x100000,
        },
        // mprotect(2): read, write, execute. Not PROT_SEM, PROT_GROWSDOWN, PROT_GROWSUP.
        new("mprotect", [4096, 4096, 7], 2, "111", (0, "ppp")) { Free = 7 },
        // mremap(2): MREMAP_MAYMOVE. Not MREMAP_FIXED, MREMAP_DONTUNMAP.
        new("mremap", [4096, 4096, 8192, 1], 3, "111", (0, "ppp"), (1, "ppp")),
        // madvise(2), asm-generic/mman-common.h: DONTNEED, FREE, HUGEPAGE, NOHUGEPAGE, DONTDUMP, DODUMP, GUARD_INSTALL, GUARD_REMOVE. Not REMOVE (9),
        // MERGEABLE (12), POPULATE_WRITE (23), HWPOISON (100), SOFT_OFFLINE (101) and what else there is.
        new("madvise", [0, 4096, 4], 2, "111",
            (4, "ppp"), (8, "ppp"), (14, "ppp"), (15, "ppp"), (16, "ppp"), (17, "ppp"), (102, "ppp"), (103, "ppp")),
        // futex(2): WAIT, WAKE, WAIT_BITSET, WAKE_BITSET, private or not, by either clock. Not requeue, wake-op, and those that inherit priorities.
        new("futex", [0, 0], 1, "sss", (0, "ppp"), (1, "ppp"), (9, "ppp"), (10, "ppp")) { Free = 128 | 256 },
        // clock_gettime(2), linux/time.h: CLOCK_REALTIME to CLOCK_BOOTTIME. Not 8 and 9, which set alarms, 11, and those of other processes and devices,
        // whose numbers are negative.
        new("clock_gettime", [0], 0, "iii",
            (0, "ppp"), (1, "ppp"), (2, "ppp"), (3, "ppp"), (4, "ppp"), (5, "ppp"), (6, "ppp"), (7, "ppp")),
        // clock_nanosleep(2): CLOCK_REALTIME, CLOCK_MONOTONIC; TIMER_ABSTIME.
        new("clock_nanosleep", [1, 1], 0, "iii", (0, "ppp"), (1, "ppp")),
        new("clock_nanosleep", [1, 1], 1, "iii", (0, "ppp"), (1, "ppp")),
        // membarrier(2), linux/membarrier.h: QUERY, and of one's own threads PRIVATE_EXPEDITED, its registration, and both for code. Not GLOBAL (1) and
        // GLOBAL_EXPEDITED (2), its registration (4), and restartable sequences (128, 256).
        new("membarrier", [8], 0, "iii", (0, "ppp"), (8, "ppp"), (16, "ppp"), (32, "ppp"), (64, "ppp")),
        // getrusage(2): RUSAGE_SELF, RUSAGE_THREAD. Not RUSAGE_CHILDREN (-1).
        new("getrusage", [0], 0, "iii", (0, "ppp"), (1, "ppp")),
        // getrandom(2): GRND_NONBLOCK or not. Not GRND_RANDOM, GRND_INSECURE.
        new("getrandom", [0, 16, 0], 2, "iii", (0, "ppp"), (1, "ppp")),
        // recvmsg(2): the host's socket, and MSG_CMSG_CLOEXEC with it. Not once the job is there.
        new("recvmsg", [3, 0, 0x4000_0000], 0, "111", (3, "pp1")),
        new("recvmsg", [3, 0, 0x4000_0000], 2, "111", (0x4000_0000, "pp1")),
        // pipe2(2): O_CLOEXEC. Not O_DIRECT, O_NONBLOCK, O_NOTIFICATION_PIPE.
        new("pipe2", [0, 0x80000], 1, "111", (0x80000, "ppp")),
        // mbind(2): its own pages. Not MPOL_MF_STRICT, MOVE, MOVE_ALL.
        new("mbind", [0, 0, 0, 0, 0, 0], 5, "111", (0, "ppp")),
        // sched_setaffinity(2) and its kind: 0 is the calling thread. Not another's number.
        new("sched_setaffinity", [0], 0, "111", (0, "ppp")),
        new("sched_getaffinity", [0], 0, "sss", (0, "ppp")),
        new("sched_getparam", [0], 0, "111", (0, "ppp")),
        new("sched_getscheduler", [0], 0, "111", (0, "ppp")),
        // tgkill(2): its own process, 4711 here.
        new("tgkill", [4711, 4712, 34], 0, "xxx", (4711, "ppp")),
        // prctl(2), linux/prctl.h: PR_SET_NAME, PR_SET_VMA. Not PR_SET_DUMPABLE (4), PR_SET_SECCOMP (22) and what else there is.
        new("prctl", [15], 0, "xxx", (15, "ppp"), (0x5356_4d41, "ppp")),
        // seccomp(2): one more filter, on all threads. Not strict mode, listeners or a filter on one thread; none once the job is there.
        new("seccomp", [1, 1], 0, "xxx", (1, "ppx")),
        new("seccomp", [1, 1], 1, "xxx", (1, "ppx")),
        // prlimit64(2): its own process, and no new limit. The latter is an address, so all its bits count.
        new("prlimit64", [0, 7, 0, 4096], 0, "xxx", (0, "ppp")) { IsLong = true },
        new("prlimit64", [0, 7, 0, 4096], 2, "xxx", (0, "ppp")) { IsLong = true },
    ];

    public static TheoryData<Architecture> Processors => [Architecture.X64, Architecture.Arm64];

    public static TheoryData<string, int> Each
    {
        get
        {
            var data = new TheoryData<string, int>();
            foreach (var argument in Arguments)
            {
                data.Add(argument.Call, argument.Number);
            }

            return data;
        }
    }

    [Theory]
    [MemberData(nameof(Each))]
    public void An_argument_is_what_work_takes_and_nothing_beside_it(string call, int number)
    {
        var argument = Arguments.Single(one => one.Call == call && one.Number == number);
        foreach (var processor in (Architecture[])[Architecture.X64, Architecture.Arm64])
        {
            var worker = new Filters(processor);
            argument.Tried().ShouldContain(value => argument.OutcomeOf(value) == argument.Otherwise);
            foreach (ulong value in argument.Tried())
            {
                worker.Outcome(argument, value).ShouldBe(argument.OutcomeOf(value), $"{processor}, {call}, argument {number}: 0x{value:x}");
            }
        }
    }

    [Theory]
    [MemberData(nameof(Processors))]
    public void The_filters_look_at_no_other_argument(Architecture processor)
    {
        var worker = new Filters(processor);
        foreach (var call in SystemCall.All.Where(call => call.On(processor) is not null))
        {
            ulong[] good = Arguments.FirstOrDefault(argument => argument.Call == call.Name)?.Good ?? [];
            int[] listed = [.. Arguments.Where(argument => argument.Call == call.Name).Select(argument => argument.Number)];
            worker.LookedAt(call.Name, good).ShouldBe(listed, ignoreOrder: true, call.Name);
        }
    }

    /// <summary>Each value, each bit that is looked at and each refusal of the filters, loosened one at a time: the table tells each.</summary>
    [Theory]
    [MemberData(nameof(Processors))]
    public void Whatever_is_loosened_is_seen(Architecture processor)
    {
        int loosened = 0;
        foreach (int filter in (int[])[0, 1, 2])
        {
            var worker = new Filters(processor);
            var passed = Arguments.Select(row => (Row: row, At: worker.Passed(filter, row))).ToArray();
            foreach (int at in Enumerable.Range(0, worker.Programs[filter].Length))
            {
                var rows = passed.Where(one => one.At.Contains(at)).Select(one => one.Row).ToArray();
                foreach (var changed in Loosened(worker.Programs[filter][at], filter, rows))
                {
                    var mutant = new Filters(processor);
                    mutant.Programs[filter][at] = changed;
                    rows.Any(row => row.Tried().Any(value => mutant.Outcome(row, value) != row.OutcomeOf(value)))
                        .ShouldBeTrue($"filter {filter}, instruction {at}: {changed}");
                    loosened++;
                }
            }
        }

        loosened.ShouldBeGreaterThan(1000);
    }

    // Only what judges arguments: instructions that one call alone runs. A bit that may be either in all that is permitted makes no difference, nor do
    // those of the last filter that the one below it refuses anyway.
    private static IEnumerable<BpfInstruction> Loosened(BpfInstruction instruction, int filter, Argument[] rows)
    {
        var (code, _, _, operand) = instruction;
        if (rows.Length == 0 || rows.Any(row => row.Call != rows[0].Call))
        {
            yield break;
        }

        switch (code & 7)
        {
            case 4 when filter < 2:
                for (uint bit = 1; bit != 0; bit <<= 1)
                {
                    if ((operand & bit) != 0 && !rows.All(row => row.Permitted.All(one => row.OutcomeOf(one.Value ^ bit)[filter] == one.Outcome[filter])))
                    {
                        yield return instruction with { Operand = operand & ~bit };
                    }
                }

                break;
            case 6 when operand != SeccompFilter.Allow:
                yield return instruction with { Operand = SeccompFilter.Allow };
                break;
        }
    }

    /// <summary>The filters of the three states that a worker is in, as the kernel runs them.</summary>
    private sealed class Filters(Architecture processor)
    {
        private readonly uint audit = processor == Architecture.X64 ? 0xC000003E : 0xC00000B7;

        public BpfInstruction[][] Programs { get; } =
            [Policy.Strict(processor, 4711, loads: false), Policy.Strict(processor, 4711, loads: true), Policy.Narrow(processor)];

        public string Outcome(Argument argument, ulong value)
        {
            ulong[] arguments = [.. argument.Good];
            arguments[argument.Number] = value;
            uint[] verdicts = [.. Programs.Select(program => Bpf.Run(program, audit, Number(argument.Call), arguments))];
            // All filters run, and the strictest verdict counts, by signed numbers the smallest (seccomp(2), kernel/seccomp.c).
            verdicts[2] = (uint)Math.Min((int)verdicts[1], (int)verdicts[2]);
            return string.Concat(verdicts.Select(verdict => verdict switch
            {
                SeccompFilter.Allow => 'p',
                SeccompFilter.Kill => 'x',
                // errno-base.h: EPERM, EINVAL; errno.h: ENOSYS.
                0x0005_0001 => '1',
                0x0005_0016 => 'i',
                0x0005_0026 => 's',
                _ => '?',
            }));
        }

        /// <summary>The arguments that are loaded: struct seccomp_data of linux/seccomp.h has them from 16, 8 bytes each.</summary>
        public IEnumerable<int> LookedAt(string call, ulong[] arguments) => Programs
            .SelectMany(program => Passed(program, call, arguments).Select(at => program[at]))
            .Where(instruction => (instruction.Code & 7) == 0 && instruction.Operand >= 16)
            .Select(instruction => ((int)instruction.Operand - 16) / 8).Distinct();

        /// <summary>The instructions of a filter that an argument's values come by.</summary>
        public HashSet<int> Passed(int filter, Argument argument) => [.. argument.Tried().SelectMany(value =>
        {
            ulong[] arguments = [.. argument.Good];
            arguments[argument.Number] = value;
            return Passed(Programs[filter], argument.Call, arguments);
        })];

        private HashSet<int> Passed(BpfInstruction[] program, string call, ulong[] arguments)
        {
            var passed = new HashSet<int>();
            Bpf.Run(program, audit, Number(call), arguments, passed);
            return passed;
        }

        private uint Number(string call) => (uint)SystemCall.Named(call).On(processor)!.Value;
    }
}
