using System.Buffers.Binary;
using System.Globalization;
using System.Reflection;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Text;

namespace Recipes.Jail;

/// <summary>What came of waiting for a confined process.</summary>
public enum WaitResult
{
    /// <summary>It sent a message.</summary>
    Message,
    /// <summary>It closed its side or ended.</summary>
    Gone,
    /// <summary>Nothing yet.</summary>
    Nothing,
}

/// <summary>What a confined process uses.</summary>
/// <param name="Own">Bytes of its own alone: private memory, the tables that the kernel keeps of where it lies, and what it keeps of threads.</param>
/// <param name="Shared">Bytes that it shares without a file that has a name.</param>
/// <param name="Threads">Its threads.</param>
public readonly record struct ProcessUse(long Own, long Shared, long Threads);

/// <summary>A program to be confined, and how; tests leave a layer out, or give a filter of their own.</summary>
internal sealed record ConfinedProgram(string File, string[] Arguments, string[] Environment, string RuntimeFolder, string ProgramFolder)
{
    public JailLayers Layers { get; init; } = JailLayers.All;

    public BpfInstruction[]? InsteadOfCoarse { get; init; }
}

/// <summary>
/// A process that was confined before its first instruction. It has nothing but a socket to this one, empty standard streams, a
/// pipe for what its runtime says when it dies, and the environment given here.
/// </summary>
/// <remarks>
/// A thread of its own confines itself and then starts the process, which inherits the confinement: applied inside a running
/// .NET process it would miss threads. That thread stays until the process is gone, since the kernel kills the process when
/// its starting thread ends, and so also when this program is killed.
/// </remarks>
public sealed unsafe class JailedProcess : IDisposable
{
    // A job's message: two lengths, and start and end of a part; its control part: a header and two descriptors, or three.
    internal const int JobText = 32, JobHeader = 16, JobControl = 32;

    // Also where the child finds its socket.
    internal const int SocketInChild = 3;

    // What the kernel keeps of each thread: its stack there, its description, a page table of its own.
    private const long ThreadMemory = 32 * 1024;

    private const int LongestErrorText = 16 * 1024, PipeRoom = 64 * 1024, SpawnStructure = 1024;
    private readonly int socket, errors;
    private readonly Thread thread;
    private readonly Spawn* spawn;
    private readonly int process;
    private readonly List<byte> said = [];
    private ControlGroup? group;
    private ProcessEnd? end;
    private bool closed;

    private JailedProcess(int socket, int errors, Thread thread, Spawn* spawn)
    {
        this.socket = socket;
        this.errors = errors;
        this.thread = thread;
        this.spawn = spawn;
        process = spawn->Process;
    }

    /// <summary>Its process number.</summary>
    public int Id => process;

    /// <summary>Starts a program.</summary>
    /// <param name="file">The program file.</param>
    /// <param name="arguments">Its arguments, without its own name.</param>
    /// <param name="environment">Its whole environment, as NAME=VALUE.</param>
    /// <param name="runtimeFolder">Where the .NET runtime lies; the process may read it.</param>
    /// <param name="programFolder">Where the program's files lie; the process may read them.</param>
    /// <exception cref="JailException">The system refused a step.</exception>
    public static JailedProcess Start(string file, string[] arguments, string[] environment, string runtimeFolder, string programFolder) =>
        Start(new(file, arguments, environment, runtimeFolder, programFolder));

    internal static JailedProcess Start(ConfinedProgram program)
    {
        int* sockets = stackalloc int[2] { -1, -1 }, pipe = stackalloc int[2] { -1, -1 };
        int nothing = -1, rules = -1;
        var state = (Spawn*)NativeMemory.AllocZeroed((nuint)sizeof(Spawn));
        var filter = program.InsteadOfCoarse
            ?? ((program.Layers & JailLayers.CoarseFilter) != 0 ? Policy.Coarse(RuntimeInformation.ProcessArchitecture) : []);
        bool started = false;
        try
        {
            _ = Libc.Checked(Libc.SocketPair(Libc.AddressUnix, Libc.SocketSequencedPackets | Libc.SocketCloseOnExec, 0, sockets), "socketpair");
            _ = Libc.Checked(Libc.Pipe(pipe, Libc.OpenCloseOnExec), "pipe2");
            // This side alone: the process may wait for room, and the host never for words.
            _ = Libc.Checked(Libc.Control(pipe[0], Libc.SetStatusFlags, Libc.OpenNonblocking), "fcntl");
            nothing = Libc.Checked(Libc.Open("/dev/null", Libc.OpenReadWrite | Libc.OpenCloseOnExec), "opening /dev/null");
            rules = (program.Layers & JailLayers.Landlock) != 0 ? Landlock.RulesFor(program.RuntimeFolder, program.ProgramFolder) : -1;
            foreach (ref int descriptor in (Span<int>)new Span<int>(sockets, 2))
            {
                descriptor = AwayFromStandard(descriptor);
            }

            pipe[1] = AwayFromStandard(pipe[1]);
            nothing = AwayFromStandard(nothing);
            Prepare(state, nothing, pipe[1], sockets[1]);
            state->Rules = rules;
            Fill(state, program, filter);
            RuntimeHelpers.PrepareMethod(typeof(JailedProcess).GetMethod(nameof(Body), BindingFlags.Static | BindingFlags.NonPublic)!.MethodHandle);
            var thread = new Thread(Body, 256 * 1024) { IsBackground = true, Name = "jail" };
            thread.Start((nint)state);
            started = true;
            Await(state, thread);

            var result = new JailedProcess(sockets[0], pipe[0], thread, state);
            sockets[0] = pipe[0] = -1;
            return result;
        }
        finally
        {
            if (!started || Volatile.Read(ref state->Stage) < 0)
            {
                Free(state);
            }

            foreach (int descriptor in (ReadOnlySpan<int>)[sockets[0], sockets[1], pipe[0], pipe[1], nothing, rules])
            {
                if (descriptor >= 0)
                {
                    _ = Libc.Close(descriptor);
                }
            }
        }
    }

    /// <summary>Gives it a job, which <see cref="Lockdown.TakeJob"/> takes: what to read, where to answer, and what another process left to read.</summary>
    /// <exception cref="JailException">The process is gone.</exception>
    public void GiveJob(SharedMemory request, SharedMemory answer, SealedPart? part = null)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(answer);
        byte* text = stackalloc byte[JobText], control = stackalloc byte[JobControl];
        BinaryPrimitives.WriteInt64LittleEndian(new Span<byte>(text, 8), request.Length);
        BinaryPrimitives.WriteInt64LittleEndian(new Span<byte>(text + 8, 8), answer.Length);
        BinaryPrimitives.WriteInt64LittleEndian(new Span<byte>(text + 16, 8), part?.Start ?? 0);
        BinaryPrimitives.WriteInt64LittleEndian(new Span<byte>(text + 24, 8), part?.End ?? 0);
        // struct cmsghdr: length (8), level SOL_SOCKET (4), type SCM_RIGHTS (4), then the descriptors.
        var descriptors = (int*)(control + JobHeader);
        *(nuint*)control = (nuint)(JobHeader + (sizeof(int) * (part is null ? 2 : 3)));
        *(int*)(control + 8) = 1;
        *(int*)(control + 12) = 1;
        descriptors[0] = request.Descriptor;
        descriptors[1] = answer.Descriptor;
        descriptors[2] = part?.Memory.Descriptor ?? -1;
        var piece = new Piece { Start = text, Length = JobText };
        var header = new MessageHeader { Pieces = &piece, PieceCount = 1, Control = control, ControlLength = *(nuint*)control };
        _ = Libc.Checked(Libc.Send(socket, &header, Libc.NoSignal), "sending to the confined process");
    }

    /// <summary>Waits for a message of a whole number.</summary>
    /// <param name="milliseconds">How long at most.</param>
    /// <param name="number">The number, or -1 where the message isn't one.</param>
    public WaitResult Wait(int milliseconds, out long number)
    {
        number = -1;
        Listen();
        var entry = new PollEntry { Descriptor = socket, Wanted = Libc.PollIn };
        int ready = Libc.Poll(&entry, 1, milliseconds);
        if (ready == 0 || (ready < 0 && Marshal.GetLastPInvokeError() == Libc.Interrupted))
        {
            return WaitResult.Nothing;
        }

        // Plain read: descriptors that the other side may send are never taken.
        byte* buffer = stackalloc byte[16];
        nint count = Libc.Read(socket, buffer, 16);
        if (count <= 0)
        {
            return WaitResult.Gone;
        }

        number = count == 8 ? BinaryPrimitives.ReadInt64LittleEndian(new ReadOnlySpan<byte>(buffer, 8)) : -1;
        return WaitResult.Message;
    }

    /// <summary>What it uses now; zeros where it is gone.</summary>
    public ProcessUse Use
    {
        get
        {
            try
            {
                // proc_pid_status(5). One that has ended tells no sizes.
                string[] lines = File.ReadAllLines($"/proc/{process.ToString(CultureInfo.InvariantCulture)}/status");
                long threads = Number("Threads:");
                return new ProcessUse((1024 * (Number("RssAnon:") + Number("VmPTE:"))) + (threads * ThreadMemory), 1024 * Number("RssShmem:"), threads);

                long Number(string name) => lines.FirstOrDefault(line => line.StartsWith(name, StringComparison.Ordinal)) is { } line
                    ? long.Parse(line[name.Length..].Replace("kB", "", StringComparison.Ordinal), NumberStyles.Integer, CultureInfo.InvariantCulture)
                    : 0;
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                return default;
            }
        }
    }

    /// <summary>Lets the kernel bound all that it uses, in a control group of its own.</summary>
    /// <param name="parent">The group that was delegated: <see cref="JailSupport.DelegatedGroup"/>; null where none was.</param>
    /// <param name="memory">Bytes, all kinds of memory together.</param>
    /// <param name="threads">The most threads.</param>
    public void Bound(string? parent, long memory, long threads) =>
        group = parent is null ? null : ControlGroup.Take(parent, process, memory, threads);

    /// <summary>Whether the kernel ended it because it used more memory than it was bound to.</summary>
    public bool RanOutOfMemory => group?.RanOut == true;

    /// <summary>Kills it without waiting until it is gone.</summary>
    public void BeginKill()
    {
        if (end is null)
        {
            // Not reaped before Kill, so the number still means this process.
            _ = Libc.Kill(process, Libc.SignalKill);
        }
    }

    /// <summary>Kills it, whatever it is doing, and says how it ended: by the kill, or before.</summary>
    public ProcessEnd Kill()
    {
        if (end is { } known)
        {
            return known;
        }

        BeginKill();
        thread.Join();
        Free(spawn);
        int status = 0;
        end = Libc.Wait(process, &status, 0) == process ? ProcessEnd.FromStatus(status) : new ProcessEnd(Libc.SignalKill, 0);
        return end.Value;
    }

    /// <summary>Waits until it ends by itself, but not for ever; then kills it.</summary>
    public ProcessEnd End(int milliseconds)
    {
        _ = end is null && thread.Join(milliseconds);
        return Kill();
    }

    /// <summary>What it wrote to standard error so far; at most 16 KB are kept.</summary>
    public string ErrorText()
    {
        Listen();
        return Encoding.UTF8.GetString([.. said]);
    }

    // A runtime that overflows its stack tells every frame, which can be more than the pipe holds: if nobody read, it would
    // wait for room until its time is up. At most as much as the pipe holds, so that talking keeps nobody here.
    private void Listen()
    {
        byte* buffer = stackalloc byte[4096];
        nint count;
        for (int left = PipeRoom; left > 0 && (count = Libc.Read(errors, buffer, 4096)) > 0; left -= (int)count)
        {
            said.AddRange(new ReadOnlySpan<byte>(buffer, (int)Math.Min(count, LongestErrorText - said.Count)));
        }
    }

    /// <summary>Kills it and lets go of everything.</summary>
    public void Dispose()
    {
        if (!closed)
        {
            _ = Kill();
            _ = Libc.Close(socket);
            _ = Libc.Close(errors);
            group?.Dispose();
            closed = true;
        }
    }

    // Everything that the thread needs, prepared while it is still free to load and allocate.
    private struct Spawn
    {
        public int Stage, Step, Error, Process, Rules;
        public ushort FilterLength;
        public BpfInstruction* Filter;
        public byte* File;
        public byte** Arguments, Environment;
        public fixed byte Actions[SpawnStructure], Attributes[SpawnStructure];
        public delegate* unmanaged<int, nuint, nuint, nuint, nuint, int> Prctl;
        public delegate* unmanaged<nint, nint, nint, nint, nint, nint> Call;
        public delegate* unmanaged<int*, byte*, void*, void*, byte**, byte**, int> PosixSpawn;
        public delegate* unmanaged<int, int, void*, int, int> WaitId;
        public delegate* unmanaged<int*> Errno;
        public nint SeccompNumber;
    }

    // Runs confined: it must load no assembly and open no file. It calls no managed method and is never recompiled, so that no
    // helper thread of the runtime is born here and inherits the confinement. What it holds is freed by the thread that joins it.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Body(object? argument)
    {
        var state = (Spawn*)(nint)argument!;
        const int processById = 1, exited = 4, keep = 0x0100_0000;
        state->Step = 1;
        int failed = state->Prctl(Libc.SetNoNewPrivileges, 1, 0, 0, 0);
        if (failed == 0 && state->Rules >= 0)
        {
            state->Step = 2;
            failed = (int)state->Call(Landlock.RestrictSelfNumber, state->Rules, 0, 0, 0);
        }

        if (failed == 0 && state->FilterLength > 0)
        {
            state->Step = 3;
            var program = new FilterProgram { Length = state->FilterLength, Instructions = state->Filter };
            failed = (int)state->Call(state->SeccompNumber, FilterProgram.SetModeFilter, 0, (nint)(&program), 0);
        }

        if (failed != 0)
        {
            state->Error = *state->Errno();
            Volatile.Write(ref state->Stage, -1);
            return;
        }

        state->Step = 4;
        int process;
        int error = state->PosixSpawn(&process, state->File, state->Actions, state->Attributes, state->Arguments, state->Environment);
        if (error != 0)
        {
            state->Error = error;
            Volatile.Write(ref state->Stage, -1);
            return;
        }

        state->Process = process;
        Volatile.Write(ref state->Stage, 1);
        // Leaves the dead process for its owner to collect; until then its number can't be given to another.
        byte* information = stackalloc byte[128];
        while (state->WaitId(processById, process, information, exited | keep) != 0 && *state->Errno() == Libc.Interrupted)
        {
        }
    }

    private static void Prepare(Spawn* state, int nothing, int errorPipe, int socket)
    {
        nint library = NativeLibrary.Load("libc", typeof(JailedProcess).Assembly, null);
        state->Prctl = (delegate* unmanaged<int, nuint, nuint, nuint, nuint, int>)NativeLibrary.GetExport(library, "prctl");
        state->Call = (delegate* unmanaged<nint, nint, nint, nint, nint, nint>)NativeLibrary.GetExport(library, "syscall");
        state->PosixSpawn = (delegate* unmanaged<int*, byte*, void*, void*, byte**, byte**, int>)NativeLibrary.GetExport(library, "posix_spawn");
        state->WaitId = (delegate* unmanaged<int, int, void*, int, int>)NativeLibrary.GetExport(library, "waitid");
        state->Errno = (delegate* unmanaged<int*>)NativeLibrary.GetExport(library, "__errno_location");
        state->SeccompNumber = FilterProgram.SeccompNumber;

        byte* actions = state->Actions;
        Zero(Libc.InitFileActions(actions));
        Zero(Libc.AddDuplicate(actions, nothing, 0));
        Zero(Libc.AddDuplicate(actions, nothing, 1));
        Zero(Libc.AddDuplicate(actions, errorPipe, 2));
        Zero(Libc.AddDuplicate(actions, socket, SocketInChild));
        Zero(Libc.AddCloseFrom(actions, SocketInChild + 1));

        // A process group of its own: a terminal's Ctrl-C reaches the host alone. All signals start at their defaults.
        const short newGroup = 2, signalDefaults = 4, signalMask = 8;
        byte* signals = stackalloc byte[128];
        Zero(Libc.InitAttributes(state->Attributes));
        new Span<byte>(signals, 128).Clear();
        Zero(Libc.SetSignalMask(state->Attributes, signals));
        new Span<byte>(signals, 128).Fill(0xff);
        Zero(Libc.SetSignalDefaults(state->Attributes, signals));
        Zero(Libc.SetFlags(state->Attributes, newGroup | signalDefaults | signalMask));

        static void Zero(int error)
        {
            if (error != 0)
            {
                throw new JailException($"Preparing posix_spawn failed with error {error}.");
            }
        }
    }

    private static void Fill(Spawn* state, ConfinedProgram program, BpfInstruction[] filter)
    {
        state->FilterLength = (ushort)filter.Length;
        state->Filter = (BpfInstruction*)NativeMemory.Alloc((nuint)(sizeof(BpfInstruction) * Math.Max(1, filter.Length)));
        filter.CopyTo(new Span<BpfInstruction>(state->Filter, filter.Length));
        state->File = (byte*)Marshal.StringToCoTaskMemUTF8(program.File);
        state->Arguments = Strings([program.File, .. program.Arguments]);
        state->Environment = Strings(program.Environment);
    }

    // Until the process runs, or a step of its start was refused.
    private static void Await(Spawn* state, Thread thread)
    {
        while (Volatile.Read(ref state->Stage) == 0)
        {
            Thread.Yield();
        }

        if (Volatile.Read(ref state->Stage) < 0)
        {
            thread.Join();
            string step = state->Step switch { 1 => "no_new_privs", 2 => "Landlock", 3 => "the system-call filter", _ => "posix_spawn" };
            throw new JailException($"The confined process didn't start: {step} failed with error {state->Error}.");
        }
    }

    // Descriptors 0 to 3 are about to be replaced in the child.
    private static int AwayFromStandard(int descriptor)
    {
        if (descriptor > SocketInChild)
        {
            return descriptor;
        }

        int moved = Libc.Checked(Libc.Control(descriptor, Libc.DuplicateCloseOnExec, 10), "fcntl");
        _ = Libc.Close(descriptor);
        return moved;
    }

    private static byte** Strings(string[] texts)
    {
        var list = (byte**)NativeMemory.Alloc((nuint)((texts.Length + 1) * sizeof(byte*)));
        for (int i = 0; i < texts.Length; i++)
        {
            list[i] = (byte*)Marshal.StringToCoTaskMemUTF8(texts[i]);
        }

        list[texts.Length] = null;
        return list;
    }

    private static void Free(Spawn* state)
    {
        FreeStrings(state->Arguments);
        FreeStrings(state->Environment);
        Marshal.FreeCoTaskMem((nint)state->File);
        NativeMemory.Free(state->Filter);
        _ = Libc.DestroyFileActions(state->Actions);
        NativeMemory.Free(state);
    }

    private static void FreeStrings(byte** list)
    {
        for (byte** text = list; list is not null && *text is not null; text++)
        {
            Marshal.FreeCoTaskMem((nint)(*text));
        }

        NativeMemory.Free(list);
    }
}
