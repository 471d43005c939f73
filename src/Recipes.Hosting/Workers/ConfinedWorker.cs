using System.Globalization;
using Recipes.Checking;
using Recipes.Hosting.Words;
using Recipes.Jail;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Workers;

/// <summary>One worker in the operating system's jail: started, asked once, killed, and believed once nobody can change its answer any more.</summary>
internal sealed class ConfinedWorker : IDisposable
{
    // The runtime itself, outside the limited heap; then what it reserves without using it.
    private const long RuntimeMemory = 300L * 1024 * 1024, ReservedMemory = 512L * 1024 * 1024;

    // A loaded recipe, and what the runtime makes of it to load it: shared memory, which no limit of the kernel's counts.
    private const long LoadedMemory = 3L * MetadataCheck.LargestAssembly;

    // The runtime's own, one for each processor, and those that it adds where work waits.
    private const int Glance = 20, MostThreads = 512;
    private readonly JailedProcess process;
    private readonly long memory;
    private bool ready;

    private ConfinedWorker(JailedProcess process, long memory)
    {
        this.process = process;
        this.memory = memory;
    }

    /// <summary>Starts a worker; it warms up and locks itself while the host goes on.</summary>
    /// <param name="program">The worker's program.</param>
    /// <param name="mode">What it shall do: <c>compile</c>, <c>decode</c>, <c>convert</c>, <c>run</c> or <c>jpeg</c>.</param>
    /// <param name="time">Wall-clock limit of a job; the processor time follows from it.</param>
    /// <param name="memory">Memory limit in bytes.</param>
    public static ConfinedWorker Start(WorkerProgram program, string mode, TimeSpan time, long memory)
    {
        long cpu = (long)Math.Ceiling(time.TotalSeconds * Environment.ProcessorCount) + 5;
        try
        {
            var process = JailedProcess.Start(
                program.Starter,
                program.Arguments(mode, "confined", Text(Environment.ProcessId), Text(cpu), Text(memory + ReservedMemory)),
                WorkerProgram.Environment(memory),
                program.Runtime, program.Folder);
            process.Bound(program.Group, memory + RuntimeMemory + LoadedMemory, MostThreads);
            return new ConfinedWorker(process, memory);
        }
        catch (JailException e)
        {
            throw NotConfined(e.Message, e);
        }

        static string Text(long number) => number.ToString(CultureInfo.InvariantCulture);
    }

    /// <summary>Asks the worker, once.</summary>
    /// <param name="job">What it is asked; it was started for that.</param>
    /// <param name="time">Wall-clock limit from here on.</param>
    /// <param name="cancel">Ends the worker at once.</param>
    public T Ask<T>(WorkerJob<T> job, TimeSpan time, CancellationToken cancel)
    {
        var reply = SharedMemory.ForAnswer(job.Longest);
        bool kept = false;
        try
        {
            T result = Ask(job, time, reply, cancel);
            kept = job.Keep is not null;
            job.Keep?.Invoke(reply);
            return result;
        }
        finally
        {
            // Also where it ran out of time or memory: whoever disposes of it may do so later.
            process.BeginKill();
            if (!kept)
            {
                reply.Dispose();
            }
        }
    }

    private T Ask<T>(WorkerJob<T> job, TimeSpan time, SharedMemory reply, CancellationToken cancel)
    {
        long asked;
        using (var request = SharedMemory.Holding(job.Ask))
        {
            asked = request.Length;
            try
            {
                process.GiveJob(request, reply, job.Art);
            }
            catch (JailException)
            {
                // It is gone already; waiting for its answer tells how.
            }
        }

        // The worker has the request now, and works on it where it lies: the art isn't held a third time while a recipe works.
        long length = WaitForAnswer(time, reply, asked + (job.Art?.End ?? 0) + reply.Length + LoadedMemory, cancel);
        // Whatever it meant to do next, and whoever it left running in there: from here on nobody changes what it wrote. An honest
        // worker has let the memory go, and is gone while the host reads; one that hasn't must be gone first.
        process.BeginKill();
        if (!reply.TrySeal())
        {
            process.Kill();
            if (!reply.TrySeal())
            {
                throw new WorkerException(WorkerEnd.BadReply, "it can't be sealed");
            }
        }

        if (length < 1 || length > reply.Length)
        {
            throw new WorkerException(WorkerEnd.BadReply, $"it isn't between 1 and {reply.Length} bytes long");
        }

        try
        {
            return reply.Read(length, stream =>
            {
                T result = job.Answer(stream);
                return stream.Position == length ? result : throw new FrameException("it is longer than its content");
            });
        }
        catch (FrameException e)
        {
            throw new WorkerException(WorkerEnd.BadReply, e.Message);
        }
    }

    /// <inheritdoc/>
    public void Dispose() => process.Dispose();

    private long WaitForAnswer(TimeSpan time, SharedMemory reply, long mostShared, CancellationToken cancel)
    {
        long deadline = Environment.TickCount64 + (long)time.TotalMilliseconds;
        while (true)
        {
            switch (process.Wait(Glance, out long number))
            {
                case WaitResult.Message when !ready:
                    ready = true;
                    break;
                case WaitResult.Message:
                    return number;
                case WaitResult.Gone:
                    cancel.ThrowIfCancellationRequested();
                    throw Explain();
            }

            cancel.ThrowIfCancellationRequested();
            if (Environment.TickCount64 > deadline)
            {
                throw new WorkerException(WorkerEnd.OutOfTime, "");
            }

            // What it wrote of the answer counts as its own, also where it has let go of it.
            var (own, shared, threads) = process.Use;
            if (own + reply.Held > memory + RuntimeMemory || shared > mostShared || threads > MostThreads)
            {
                throw new WorkerException(WorkerEnd.OutOfMemory, "");
            }
        }
    }

    private Exception Explain()
    {
        var end = process.End(milliseconds: 2000);
        string lastWords = process.ErrorText();
        return process.RanOutOfMemory ? new WorkerException(WorkerEnd.OutOfMemory, "")
            : !ready && end.ExitCode == (int)ExitCode.NotApproved ? NotConfined(CleanText.Line(lastWords, 300), null)
            : end.IsCpuTime ? new WorkerException(WorkerEnd.OutOfTime, "")
            : WorkerException.Explain(lastWords, end.ToString(), end.IsForbiddenCall);
    }

    private static ProblemException NotConfined(string why, Exception? cause) => new(Codes.CannotConfine,
        $"A worker couldn't be confined: {why}", "Nothing was run. 'recipes doctor' shows what this machine enforces.", null, cause);
}
