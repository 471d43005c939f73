using System.Runtime.InteropServices;
using Recipes.Jail;

namespace Recipes.Jail.Probe;

/// <summary>Raw system calls that lead out of a process. Each gives 0 where the kernel made the call, else the error number.</summary>
internal static unsafe class Probes
{
    private const nint WorkingFolder = -100;
    private static int lockedMemory = -1;

    /// <summary>All by name.</summary>
    public static readonly IReadOnlyDictionary<string, Func<string, int>> All = new Dictionary<string, Func<string, int>>
    {
        ["read-file"] = _ => Path("/etc/passwd", path => Call("openat", WorkingFolder, path, 0)),
        ["read-own-status"] = _ => Path("/proc/self/status", path => Call("openat", WorkingFolder, path, 0)),
        ["create-file"] = folder => Path(folder + "/canary", path => Call("openat", WorkingFolder, path, 0x41, 0x180)),
        ["reopen-memory"] = _ => Path($"/proc/self/fd/{lockedMemory}", path => Call("openat", WorkingFolder, path, 2)),
        ["stat"] = _ => Path("/etc/passwd", path => { byte* room = stackalloc byte[256]; return Call("newfstatat", WorkingFolder, path, (nint)room, 0); }),
        ["readlink"] = _ => Path("/proc/self/exe", path => { byte* room = stackalloc byte[256]; return Call("readlinkat", WorkingFolder, path, (nint)room, 256); }),
        ["make-folder"] = folder => Path(folder + "/canary-folder", path => Raw(34, 83, WorkingFolder, path, 0x1c0)),
        ["delete"] = folder => Path(folder + "/victim", path => Raw(35, 87, WorkingFolder, path, 0)),
        ["internet-socket"] = _ => Call("socket", 2, 1, 0),
        ["local-socket"] = _ => Call("socket", 1, 1, 0),
        ["socket-pair"] = _ => { int* pair = stackalloc int[2]; return Call("socketpair", 1, 1, 0, (nint)pair); },
        ["fork"] = _ => Fork(),
        ["execute"] = _ => Path("/bin/true", path => { nint* none = stackalloc nint[1]; none[0] = 0; return Raw(221, 59, path, (nint)none, (nint)none); }),
        ["signal-parent"] = _ => Result(Libc.Kill(Libc.ParentProcess(), 0)),
        ["signal-parent-thread"] = _ => Call("tgkill", Libc.ParentProcess(), Libc.ParentProcess(), 0),
        // EFAULT says that the kernel got as far as the memory.
        ["read-parent-memory"] = _ => ReadParent(),
        ["pin-parent"] = _ => PinParent(),
        ["trace-parent"] = _ => Call("ptrace", 16, Libc.ParentProcess(), 0, 0),
        ["parent-descriptor"] = _ => Call("pidfd_open", Libc.ParentProcess(), 0),
        ["new-namespace"] = _ => Call("unshare", 0x400),
        ["shared-memory-segment"] = _ => SharedSegment(),
        ["memory-file"] = _ => Path("probe", name => Call("memfd_create", name, 1)),
        ["duplicate"] = _ => Raw(23, 32, 1),
        ["become-dumpable"] = _ => Call("prctl", 4, 1),
        ["raise-limit"] = _ => { ulong* limit = stackalloc ulong[2]; limit[0] = limit[1] = 0; return Call("prlimit64", 0, 4, (nint)limit, 0); },
        ["change-user"] = _ => Call("setuid", (nint)geteuid()),
        ["new-filter"] = _ => { uint allow = SeccompFilter.Allow; return (int)Libc.Call(FilterProgram.SeccompNumber, 2, 0, (nint)(&allow)) == 0 ? 0 : Marshal.GetLastPInvokeError(); },
        ["change-folder"] = _ => Path("/", path => Raw(49, 80, path)),
        // Where the limits hold, these fail: a file may not grow, private memory ends, processor time ends.
        ["write-memory"] = _ => { byte one = 1; return (int)Libc.Write(lockedMemory, &one, 1) == 1 ? 0 : Marshal.GetLastPInvokeError(); },
        ["private-memory"] = _ => (nint)Libc.Map(null, unchecked((nuint)6_000_000_000), 3, 0x22, -1, 0) != -1 ? 0 : Marshal.GetLastPInvokeError(),
        // Counts processor time and not the clock's, which a busy machine lets pass without giving any.
        ["spin"] = _ => { while (ProcessorSeconds() < 6) { } return 0; },
        ["many-descriptors"] = _ => Pipes(),
    };

    /// <summary>Made before the lock, as a request's memory is.</summary>
    public static void Prepare() => lockedMemory = Libc.MemoryFile("request", 3);

    [DllImport("libc")]
    private static extern uint geteuid();

    private static int Call(string name, nint a = 0, nint b = 0, nint c = 0, nint d = 0) =>
        Result(Libc.Call(SystemCall.Named(name).On(RuntimeInformation.ProcessArchitecture)!.Value, a, b, c, d));

    // Calls that no policy names: asm-generic/unistd.h and syscall_64.tbl. x64 has the short forms without a folder.
    private static int Raw(int arm64, int x64, nint a, nint b = 0, nint c = 0)
    {
        bool short64 = x64 is 83 or 87 && RuntimeInformation.ProcessArchitecture == Architecture.X64;
        int number = RuntimeInformation.ProcessArchitecture == Architecture.X64 ? x64 : arm64;
        return Result(short64 ? Libc.Call(number, b, c) : Libc.Call(number, a, b, c));
    }

    private static int Result(nint value) => value >= 0 ? 0 : Marshal.GetLastPInvokeError();

    private static int Path(string path, Func<nint, int> call)
    {
        nint text = Marshal.StringToCoTaskMemUTF8(path);
        int result = call(text);
        Marshal.FreeCoTaskMem(text);
        return result;
    }

    private static int Fork()
    {
        const nint childSignal = 17;
        nint child = Libc.Call(SystemCall.Named("clone").On(RuntimeInformation.ProcessArchitecture)!.Value, childSignal);
        if (child == 0)
        {
            _ = Libc.Call(SystemCall.Named("exit_group").On(RuntimeInformation.ProcessArchitecture)!.Value, 0);
        }

        return Result(child);
    }

    private static int ReadParent()
    {
        byte* room = stackalloc byte[8];
        var here = new Piece { Start = room, Length = 8 };
        var there = new Piece { Start = (void*)4096, Length = 8 };
        const int badAddress = 14;
        int number = SystemCall.Named("process_vm_readv").On(RuntimeInformation.ProcessArchitecture)!.Value;
        nint result = SixCall(number, Libc.ParentProcess(), (nint)(&here), 1, (nint)(&there), 1, 0);
        return result >= 0 || Marshal.GetLastSystemError() == badAddress ? 0 : Marshal.GetLastSystemError();
    }

    [DllImport("libc", EntryPoint = "syscall")]
    private static extern nint SixCall(nint number, nint a, nint b, nint c, nint d, nint e, nint f);

    // clock_gettime(2): CLOCK_PROCESS_CPUTIME_ID is 2.
    private static nint ProcessorSeconds()
    {
        nint* time = stackalloc nint[2];
        _ = Call("clock_gettime", 2, (nint)time);
        return time[0];
    }

    // To the processors that it has.
    private static int PinParent()
    {
        const int room = 1024;
        byte* set = stackalloc byte[room];
        nint length = Libc.Call(SystemCall.Named("sched_getaffinity").On(RuntimeInformation.ProcessArchitecture)!.Value, Libc.ParentProcess(), room, (nint)set);
        return length < 0 ? Result(length) : Call("sched_setaffinity", Libc.ParentProcess(), length, (nint)set);
    }

    private static int SharedSegment()
    {
        nint segment = Libc.Call(SystemCall.Named("shmget").On(RuntimeInformation.ProcessArchitecture)!.Value, 0, 4096, 0x180);
        if (segment >= 0)
        {
            _ = Call("shmctl", segment, 0, 0);
        }

        return Result(segment);
    }

    private static int Pipes()
    {
        int* pair = stackalloc int[2];
        for (int i = 0; i < 400; i++)
        {
            if (Libc.Pipe(pair, Libc.OpenCloseOnExec) != 0)
            {
                return Marshal.GetLastPInvokeError();
            }
        }

        return 0;
    }
}
