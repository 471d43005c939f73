using System.Reflection;
using System.Runtime.CompilerServices;
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

            // Shared memory without a file: 1 GB of it, in 16 MB each (MAP_SHARED | MAP_ANONYMOUS).
            case "eats-shared":
                for (int i = 0; i < 64; i++)
                {
                    new Span<byte>(Libc.Map(null, 1 << 24, 3, 0x21, -1, 0), 1 << 24).Fill(1);
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

    [MethodImpl(MethodImplOptions.NoInlining | MethodImplOptions.NoOptimization)]
    private static int Deeper(int depth) => Deeper(depth + 1) + Deeper(depth + 2);

    // By turns that don't repeat (a linear congruential generator decides), so that the runtime tells each frame in a line of its own.
    [MethodImpl(MethodImplOptions.NoInlining | MethodImplOptions.NoOptimization)]
    private static uint Left(uint turn) => ((turn >> 16) & 1) == 0 ? Left((turn * 1664525) + 1013904223) + 1 : Right((turn * 1664525) + 1013904223) + 1;

    [MethodImpl(MethodImplOptions.NoInlining | MethodImplOptions.NoOptimization)]
    private static uint Right(uint turn) => ((turn >> 16) & 1) == 0 ? Left((turn * 1664525) + 1013904223) + 1 : Right((turn * 1664525) + 1013904223) + 1;
}
