using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary>A worker's own part of the jail: it gives up what it needed to start, for all its threads and for good, and then takes one job.</summary>
public static unsafe class Lockdown
{
    private const int Socket = JailedProcess.SocketInChild;
    private const long Ready = 1, DescriptorLimit = 256;
    private static MappedMemory? answering;
    private static bool narrowLater, filters;

    /// <summary>Ties this process to its host's life and hides its memory. First thing to do.</summary>
    /// <param name="host">The host's process number: where it is no longer the parent, the host is gone already.</param>
    public static void Begin(int host)
    {
        _ = Libc.Checked(Libc.Prctl(Libc.SetParentDeathSignal, Libc.SignalKill), "PR_SET_PDEATHSIG");
        if (Libc.ParentProcess() != host)
        {
            throw new JailException("The host is gone.");
        }
    }

    /// <summary>Sets limits and the strict filter. Everything that work may load must be loaded by now.</summary>
    /// <param name="cpuSeconds">Processor time from the process's start, all threads together.</param>
    /// <param name="memory">Bytes of private memory, native code's included.</param>
    /// <param name="loads">Whether the job brings code to load: then <see cref="Narrow"/> is to be called once it is loaded, before it runs.</param>
    public static void Enter(long cpuSeconds, long memory, bool loads = false) => Enter(cpuSeconds, memory, loads, JailLayers.All);

    internal static void Enter(long cpuSeconds, long memory, bool loads, JailLayers layers)
    {
        narrowLater = loads;
        filters = (layers & JailLayers.StrictFilter) != 0;
        if ((layers & JailLayers.Limits) != 0)
        {
            // setrlimit(2). No file grows by write(): shared memory is written through its mapping, which its seals bound.
            Limit(Libc.ResourceCore, 0);
            Limit(Libc.ResourceFileSize, 0);
            Limit(Libc.ResourceDescriptors, DescriptorLimit);
            Limit(Libc.ResourceCpu, cpuSeconds);
            Limit(Libc.ResourceData, memory);
        }

        // From here on /proc shows it to nobody but root.
        _ = Libc.Checked(Libc.Prctl(Libc.SetDumpable, 0), "PR_SET_DUMPABLE");
        if (filters)
        {
            _ = Libc.Checked(Libc.Prctl(Libc.SetNoNewPrivileges, 1), "PR_SET_NO_NEW_PRIVS");
            Apply(Policy.Strict(RuntimeInformation.ProcessArchitecture, Environment.ProcessId, loads));
        }
    }

    /// <summary>Takes away what only taking the job took: shared memory, and the host's socket for reading.</summary>
    public static void Narrow()
    {
        if (filters)
        {
            Apply(Policy.Narrow(RuntimeInformation.ProcessArchitecture));
        }
    }

    /// <summary>Says that it is ready, and waits for its job.</summary>
    /// <returns>
    /// The request to read; what another process left to read, or null; and the place for the answer, where writing too much is a
    /// <see cref="NotSupportedException"/>. They stay mapped until the process ends. Null where the host closed.
    /// </returns>
    public static (Stream Request, Stream? Part, Stream Answer)? TakeJob()
    {
        Tell(Ready);
        // As JailedProcess.GiveJob lays it out.
        byte* text = stackalloc byte[JailedProcess.JobText], control = stackalloc byte[JailedProcess.JobControl];
        var piece = new Piece { Start = text, Length = JailedProcess.JobText };
        var header = new MessageHeader { Pieces = &piece, PieceCount = 1, Control = control, ControlLength = JailedProcess.JobControl };
        nint count;
        do
        {
            count = Libc.Receive(Socket, &header, Libc.ReceiveCloseOnExec);
        }
        while (count < 0 && Marshal.GetLastPInvokeError() == Libc.Interrupted);
        if (count == 0)
        {
            return null;
        }

        int descriptors = header.ControlLength < JailedProcess.JobHeader ? 0 : ((int)*(nuint*)control - JailedProcess.JobHeader) / sizeof(int);
        if (count != JailedProcess.JobText || descriptors is not (2 or 3))
        {
            throw new JailException("A job came without its memory.");
        }

        var descriptor = (int*)(control + JailedProcess.JobHeader);
        var request = MappedMemory.ForReading(descriptor[0], Number(0));
        answering = MappedMemory.ForWriting(descriptor[1], Number(1));
        var part = descriptors == 3 ? MappedMemory.ForReading(descriptor[2], Number(3)).Stream : null;
        part?.Seek(Number(2), SeekOrigin.Begin);
        for (int i = 0; i < descriptors; i++)
        {
            _ = Libc.Close(descriptor[i]);
        }

        if (!narrowLater)
        {
            Narrow();
        }

        return (request.Stream, part, answering.Stream);

        long Number(int i) => BinaryPrimitives.ReadInt64LittleEndian(new ReadOnlySpan<byte>(text + (8 * i), 8));
    }

    /// <summary>Says that the answer has no room.</summary>
    public static void AnswerTooLong() => Tell(-1);

    /// <summary>
    /// Lets the answer's memory go, so that the host can seal it at once, and says how long the answer is. The host kills this
    /// process when it hears that.
    /// </summary>
    public static void Answered(long length)
    {
        answering?.Dispose();
        Tell(length);
    }

    private static void Tell(long number)
    {
        byte* text = stackalloc byte[8];
        BinaryPrimitives.WriteInt64LittleEndian(new Span<byte>(text, 8), number);
        _ = Libc.Checked(Libc.Write(Socket, text, 8), "writing to the host");
    }

    private static void Limit(int resource, long value)
    {
        nuint* both = stackalloc nuint[2];
        both[0] = (nuint)value;
        // A second more, so that the kernel says why it ends the process.
        both[1] = resource == Libc.ResourceCpu ? (nuint)value + 1 : (nuint)value;
        _ = Libc.Checked(Libc.SetLimit(resource, both), "setrlimit");
    }

    private static void Apply(BpfInstruction[] filter)
    {
        fixed (BpfInstruction* instructions = filter)
        {
            var program = new FilterProgram { Length = checked((ushort)filter.Length), Instructions = instructions };
            // A positive result is the thread that couldn't follow.
            if (Libc.Call(FilterProgram.SeccompNumber, FilterProgram.SetModeFilter, FilterProgram.AllThreads, (nint)(&program)) != 0)
            {
                throw Libc.Failed("Setting a system-call filter");
            }
        }
    }
}
