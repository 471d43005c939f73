using System.Globalization;
using Recipes.Jail;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Worker;

/// <summary>
/// The worker: does one thing for the host, and ends. Where the operating system can confine, it gives up all that its job
/// doesn't need, takes the job through shared memory and is killed for its answer; elsewhere a pipe carries both. The host
/// limits its time and memory, and trusts nothing that it says.
/// </summary>
internal static class Program
{
    private static int Main(string[] args)
    {
        if (args is not [var mode, ..] || Job(mode) is not { } job)
        {
            Console.Error.WriteLine("This program is started by 'recipes'; it does nothing on its own.");
            return (int)ExitCode.Usage;
        }

        // Whatever a recipe or a library prints must not reach the reply.
        Console.SetOut(TextWriter.Null);
        switch (args)
        {
            case [_, "confined", var host, var cpuSeconds, var memory]:
                return Confined(mode, job, Number(host), Number(cpuSeconds), Number(memory));
            case [_]:
                break;
            default:
                Console.Error.WriteLine("The worker doesn't understand how it was started.");
                return (int)ExitCode.Usage;
        }

        using var input = new BufferedStream(Console.OpenStandardInput(), 1 << 16);
        using var output = new BufferedStream(Console.OpenStandardOutput(), 1 << 16);
        job(new Request(input, input, () => HostWatch.Start(input), () => { }), output);
        output.Flush();
        return 0;

        static long Number(string text) => long.Parse(text, CultureInfo.InvariantCulture);
    }

    private static int Confined(string mode, Action<Request, Stream> job, long host, long cpuSeconds, long memory)
    {
        try
        {
            Lockdown.Begin((int)host);
            WarmUp.For(mode);
            Lockdown.Enter(cpuSeconds, memory, loads: mode == "run");
        }
        catch (JailException e)
        {
            Console.Error.WriteLine(e.Message);
            return (int)ExitCode.NotApproved;
        }

        if (Lockdown.TakeJob() is not var (request, art, answer))
        {
            return 0;
        }

        try
        {
            job(new Request(request, art ?? request, () => { }, Lockdown.Narrow), answer);
            Lockdown.Answered(answer.Position);
        }
        catch (NotSupportedException) when (answer.Position > 0)
        {
            Lockdown.AnswerTooLong();
        }

        // The host kills this process now. Ending by itself would run finalizers, which may be a recipe's.
        Thread.Sleep(Timeout.Infinite);
        return 0;
    }

    private static Action<Request, Stream>? Job(string mode) => mode switch
    {
        "compile" => CompileJob.Do,
        "editor" => EditorJob.Do,
        "decode" => DecodeJob.Do,
        "convert" => DecodeJob.Convert,
        "run" => RunJob.Do,
        "jpeg" => JpegJob.Do,
        _ => null,
    };

    /// <summary>A problem as the host takes it.</summary>
    internal static ProblemMessage Tell(Problem problem) =>
        new(problem.Code.Id, problem.Message, problem.Hint, problem.Where?.File, problem.Where?.Line, problem.Where?.Column);
}
