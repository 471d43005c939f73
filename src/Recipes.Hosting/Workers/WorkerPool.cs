using System.Collections.Concurrent;
using System.Runtime.CompilerServices;
using Recipes.Imaging;
using Recipes.Jail;

namespace Recipes.Hosting.Workers;

/// <summary>
/// Starts worker processes and asks them: one job for each, in the operating system's jail where the machine has one. Workers for
/// jobs that are announced are started ahead, so that they are warm and locked when their job comes.
/// </summary>
public sealed class WorkerPool : IDisposable
{
    private readonly ConcurrentDictionary<string, Ahead> ahead = new();
    private readonly ConditionalWeakTable<Artwork, SealedPart> sealedArts = [];
    private readonly WorkerProgram? program;

    /// <summary>Workers with limits.</summary>
    public WorkerPool(WorkerLimits limits)
    {
        ArgumentNullException.ThrowIfNull(limits);
        Limits = limits;
    }

    internal WorkerPool(WorkerLimits limits, WorkerProgram program)
        : this(limits) => this.program = program;

    /// <summary>Workers with the usual limits, none started ahead.</summary>
    public static WorkerPool Usual { get; } = new(WorkerLimits.Default);

    /// <summary>What each may use.</summary>
    public WorkerLimits Limits { get; }

    /// <summary>Announces jobs: at once and until so many were asked for, as many workers as the machine has processors are kept ready.</summary>
    /// <param name="mode">What the jobs are: <c>decode</c>, <c>convert</c> or <c>run</c>.</param>
    /// <param name="jobs">How many are coming.</param>
    public void Expect(string mode, int jobs)
    {
        if (JailSupport.CanConfine)
        {
            ahead.GetOrAdd(mode, _ => new Ahead(() => Start(mode, Limits.UsualMemory))).Expect(jobs);
        }
    }

    /// <summary>True where such jobs were announced and haven't all come yet.</summary>
    internal bool Expects(string mode) => ahead.TryGetValue(mode, out var waiting) && waiting.IsExpecting;

    /// <summary>Keeps what a worker left of an art, so that it needn't be sent to the next one.</summary>
    internal void Keep(Artwork art, SealedPart part) => sealedArts.Add(art, part);

    /// <summary>What a worker left of this very art, or null.</summary>
    internal SealedPart? LeftOf(Artwork art) => sealedArts.TryGetValue(art, out var part) ? part : null;

    /// <summary>True: what a worker left of an art is kept for as long as the art, since it will be run again and again.</summary>
    public bool HoldsArts { get; init; }

    /// <summary>Lets go what a worker left of an art; where nobody does, it goes with the art.</summary>
    internal void LetGo(Artwork art)
    {
        if (!HoldsArts && LeftOf(art) is { } part)
        {
            sealedArts.Remove(art);
            Task.Run(part.Memory.Dispose);
        }
    }

    /// <summary>Asks a worker.</summary>
    /// <param name="job">What it is asked.</param>
    /// <param name="cancel">Ends the worker at once.</param>
    /// <exception cref="WorkerException">It gave no usable answer.</exception>
    internal T Ask<T>(WorkerJob<T> job, CancellationToken cancel)
    {
        if (!JailSupport.CanConfine)
        {
            return LimitedWorker.Ask(program ?? WorkerProgram.Installed, job, Limits.Time, cancel);
        }

        ahead.TryGetValue(job.Mode, out var waiting);
        var worker = (job.Memory <= Limits.UsualMemory ? waiting?.Take() : null) ?? Start(job.Mode, job.Memory);
        try
        {
            return worker.Ask(job, Limits.Time, cancel);
        }
        finally
        {
            // It is killed by now, and the kernel takes a while to free what it had.
            Task.Run(worker.Dispose, CancellationToken.None);
            waiting?.Fill();
        }
    }

    /// <summary>Ends the workers that no job came for.</summary>
    public void Dispose()
    {
        foreach (var waiting in ahead.Values)
        {
            waiting.Dispose();
        }
    }

    private ConfinedWorker Start(string mode, long memory) => ConfinedWorker.Start(program ?? WorkerProgram.Installed, mode, Limits.Time, memory);

    private sealed class Ahead(Func<ConfinedWorker> start) : IDisposable
    {
        private readonly Lock gate = new();
        private readonly Queue<Task<ConfinedWorker>> ready = [];
        private int left;

        public bool IsExpecting
        {
            get
            {
                lock (gate)
                {
                    return left > 0;
                }
            }
        }

        public void Expect(int jobs)
        {
            lock (gate)
            {
                left = Math.Max(0, left) + jobs;
                Fill();
            }
        }

        public ConfinedWorker? Take()
        {
            Task<ConfinedWorker>? worker;
            lock (gate)
            {
                left--;
                ready.TryDequeue(out worker);
            }

            return worker?.GetAwaiter().GetResult();
        }

        public void Dispose()
        {
            lock (gate)
            {
                left = 0;
                while (ready.TryDequeue(out var worker))
                {
                    // One that couldn't be started isn't missed: no job came for it.
                    worker.ContinueWith(started => started.Result.Dispose(),
                            CancellationToken.None, TaskContinuationOptions.OnlyOnRanToCompletion, TaskScheduler.Default)
                        .ContinueWith(_ => { }, TaskScheduler.Default).Wait();
                }
            }
        }

        // From a thread of the pool: starting one takes longer than the caller should wait, who has other work to do meanwhile.
        public void Fill()
        {
            lock (gate)
            {
                while (ready.Count < Math.Min(left, Environment.ProcessorCount))
                {
                    ready.Enqueue(Task.Run(start));
                }
            }
        }
    }
}
