using System.Reflection;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Text;
using Recipes.Jail;

namespace Recipes.Jail.Probe;

/// <summary>What a worker could do that somebody took over: lock itself like any other, and then answer as it likes.</summary>
internal static unsafe class Misbehavior
{
    public static int Do(string kind, int host, long cpu, long memory)
    {
        Lockdown.Begin(host);
        Preload.Assemblies(Assembly.GetExecutingAssembly());
        if (kind == "dies-first")
        {
            return 1;
        }

        // The C library's functions are looked up at their first call.
        byte* unused = stackalloc byte[64];
        _ = InitThread(unused) + SetStack(unused, 16384);
        nint library = NativeLibrary.Load("libc.so.6");
        byte[] declines = Declines();
        Lockdown.Enter(cpu, memory);
        if (Lockdown.TakeJob() is not var (request, _, answer))
        {
            return 0;
        }

        switch (kind)
        {
            case "echo":
                request.CopyTo(answer);
                Lockdown.Answered(answer.Position);
                break;
            // Each process of its own accord, which no recipe can.
            case "run":
                answer.Write(declines);
                Lockdown.Answered(answer.Position);
                break;
            case "reply-then-spin":
                request.CopyTo(answer);
                Lockdown.Answered(answer.Position);
                while (true)
                {
                }

            // Keeps its answer's memory, and rewrites it as fast as it can once the host may read it.
            case "reply-then-rewrite":
                request.CopyTo(answer);
                long length = answer.Position;
                _ = Libc.Write(3, (byte*)&length, sizeof(long));
                while (true)
                {
                    answer.Position = 0;
                    for (long i = 0; i < length; i++)
                    {
                        answer.WriteByte(0xff);
                    }
                }

            case "answers-twice":
                request.CopyTo(answer);
                Lockdown.Answered(answer.Position);
                Lockdown.Answered(1);
                break;
            case "too-long":
                Lockdown.Answered(long.MaxValue);
                break;
            case "negative":
                Lockdown.Answered(long.MinValue);
                break;
            case "empty":
                Lockdown.Answered(0);
                break;
            case "no-number":
                byte one = 1;
                _ = Libc.Write(3, &one, 1);
                break;
            case "longer-than-said":
                request.CopyTo(answer);
                answer.Write(new byte[100]);
                Lockdown.Answered(answer.Position);
                break;
            case "overwrites-request":
                ((UnmanagedMemoryStream)request).PositionPointer[0] = 1;
                break;
            case "spins":
                while (true)
                {
                }

            case "sleeps":
                Thread.Sleep(Timeout.Infinite);
                break;
            case "eats":
                for (var kept = new List<byte[]>(); ;)
                {
                    kept.Add(new byte[1 << 20]);
                    kept[^1].AsSpan().Fill(1);
                }

            // Shared memory, without a file and with one that it has open: refused once it has its job.
            case "maps-shared":
                return (nint)Libc.Map(null, 1 << 24, 3, 0x21, -1, 0) == -1 && (nint)Libc.Map(null, 4096, 3, 1, 3, 0) == -1 ? Marshal.GetLastPInvokeError() : 0;
            case "receives":
                var header = default(MessageHeader);
                return Libc.Receive(3, &header, Libc.ReceiveCloseOnExec) < 0 ? Marshal.GetLastPInvokeError() : 0;
            // All of the answer's room, let go of again page by page, so that it counts nowhere in this process.
            case "eats-answer":
                byte* start = ((UnmanagedMemoryStream)answer).PositionPointer;
                for (long at = 0; at < answer.Length - (1 << 20); at += 1 << 20)
                {
                    new Span<byte>(start + at, 1 << 20).Fill(1);
                    _ = Libc.Call(SystemCall.Named("madvise").On(RuntimeInformation.ProcessArchitecture)!.Value, ((nint)(start + at) + 4095) & ~4095,
                        (1 << 20) - 4096, 4);
                }

                break;
            // Tables of pages and nothing in them: in every 2 MB of 4 TB a guard (MADV_GUARD_INSTALL, Linux 6.13), and where the kernel has none, a page that
            // is only read, its one page of zeros, which later kernels count.
            case "eats-tables":
                const long stride = 1L << 21, reach = 1L << 42, guard = 102;
                int madvise = SystemCall.Named("madvise").On(RuntimeInformation.ProcessArchitecture)!.Value;
                byte* sparse = (byte*)Libc.Map(null, unchecked((nuint)reach), 1, 0x4022, -1, 0);
                for (long at = 0, sum = 0; at < reach; at += stride)
                {
                    sum += Libc.Call(madvise, (nint)(sparse + at), 4096, (nint)guard) == 0 ? 0 : sparse[at];
                }

                break;
            // 8,000 threads of the C library's that sleep, on the smallest stacks.
            case "eats-threads":
                nint sleep = NativeLibrary.GetExport(library, "sleep");
                byte* attributes = stackalloc byte[64];
                _ = InitThread(attributes);
                _ = SetStack(attributes, 16384);
                for (int i = 0; i < 8000; i++)
                {
                    nint thread;
                    _ = StartThread(&thread, attributes, sleep, 100_000);
                }

                break;
            case "recurses":
                return Deeper(1);
            case "recurses-at-random":
                return (int)Left(1);
            case "throws":
                throw new InvalidOperationException("on purpose \u001b[31m");
            case "exits":
                Environment.Exit(0);
                break;
            case "connects":
                _ = Libc.Call(41, 2, 1, 0);
                break;
            case "opens":
                return Libc.Open("/etc/passwd", 0) < 0 ? 13 : 0;
            default:
                return 2;
        }

        Thread.Sleep(Timeout.Infinite);
        return 0;
    }

    // An answer to a run as the worker writes it (RunReply, in a frame): one problem, whose words are of this process alone, and nothing else.
    private static byte[] Declines()
    {
        using var fields = new MemoryStream();
        using var writer = new BinaryWriter(fields);
        writer.Write(1);
        Text("R4001");
        Text($"by {Guid.NewGuid()}");
        Text("");
        // No file, line or column; no notes, regions, colors or questions; nothing declared; no other size.
        writer.Write(new byte[3 + (4 * sizeof(int)) + 5 + 3]);
        byte[] content = fields.ToArray();
        return [.. "MSSG"u8, .. BitConverter.GetBytes((long)content.Length), .. content];

        void Text(string text)
        {
            byte[] bytes = Encoding.UTF8.GetBytes(text);
            writer.Write(bytes.Length);
            writer.Write(bytes);
        }
    }

    [DllImport("libc", EntryPoint = "pthread_attr_init")]
    private static extern int InitThread(void* attributes);

    [DllImport("libc", EntryPoint = "pthread_attr_setstacksize")]
    private static extern int SetStack(void* attributes, nuint size);

    [DllImport("libc", EntryPoint = "pthread_create")]
    private static extern int StartThread(nint* thread, void* attributes, nint start, nint argument);

    [MethodImpl(MethodImplOptions.NoInlining | MethodImplOptions.NoOptimization)]
    private static int Deeper(int depth) => Deeper(depth + 1) + Deeper(depth + 2);

    // By turns that don't repeat (a linear congruential generator decides), so that the runtime tells each frame in a line of its own.
    [MethodImpl(MethodImplOptions.NoInlining | MethodImplOptions.NoOptimization)]
    private static uint Left(uint turn) => ((turn >> 16) & 1) == 0 ? Left((turn * 1664525) + 1013904223) + 1 : Right((turn * 1664525) + 1013904223) + 1;

    [MethodImpl(MethodImplOptions.NoInlining | MethodImplOptions.NoOptimization)]
    private static uint Right(uint turn) => ((turn >> 16) & 1) == 0 ? Left((turn * 1664525) + 1013904223) + 1 : Right((turn * 1664525) + 1013904223) + 1;
}
