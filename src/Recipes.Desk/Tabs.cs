using System.Collections.Concurrent;
using System.Diagnostics;

namespace Recipes.Desk;

/// <summary>
/// The tries of each tab: the latest wins. One runs and one waits; a third takes the place of the one that waits. One that has run for a while is ended for
/// the next, and a young one is let finish, since ending it and starting anew takes about as long.
/// </summary>
internal sealed class Tabs
{
    private const int MostTabs = 200;
    private static readonly TimeSpan Young = TimeSpan.FromMilliseconds(300);

    private readonly ConcurrentDictionary<string, Tab> tabs = new();

    /// <summary>Waits for the tab's turn and runs it.</summary>
    /// <param name="name">The tab.</param>
    /// <param name="turn">
    /// The tab's own count of its tries, since two that were sent one after the other may come the other way round; null counts them as they come.
    /// </param>
    /// <param name="run">The try; it is given what ends it.</param>
    /// <param name="gone">Ends it where nobody waits for it any more.</param>
    /// <returns>What it gave, or the default where a later try of the tab took its place.</returns>
    public async Task<T?> Run<T>(string name, int? turn, Func<CancellationToken, T> run, CancellationToken gone)
        where T : class
    {
        if (tabs.Count > MostTabs)
        {
            // A page that is reloaded is a new tab; what a gone one waited for has ended.
            tabs.Clear();
        }

        var tab = tabs.GetOrAdd(name, _ => new Tab());
        int own = tab.Next(turn);
        await tab.Turn.WaitAsync(gone).ConfigureAwait(false);
        try
        {
            using var end = CancellationTokenSource.CreateLinkedTokenSource(gone);
            if (!tab.Begin(own, end))
            {
                return null;
            }

            try
            {
                return await Task.Run(() => run(end.Token), CancellationToken.None).ConfigureAwait(false);
            }
            catch (Exception e) when (Unwrapped(e) is OperationCanceledException && !gone.IsCancellationRequested)
            {
                return null;
            }
            finally
            {
                tab.End();
            }
        }
        finally
        {
            tab.Turn.Release();
        }
    }

    private static Exception Unwrapped(Exception e) => e is AggregateException { InnerException: { } inner } ? Unwrapped(inner) : e;

    private sealed class Tab
    {
        private readonly Lock gate = new();
        private CancellationTokenSource? running;
        private long since;
        private int last;

        public SemaphoreSlim Turn { get; } = new(1);

        public int Next(int? turn)
        {
            lock (gate)
            {
                int own = turn ?? last + 1;
                if (own > last && running is not null && Stopwatch.GetElapsedTime(since) > Young)
                {
                    running.Cancel();
                }

                last = Math.Max(last, own);
                return own;
            }
        }

        public bool Begin(int own, CancellationTokenSource end)
        {
            lock (gate)
            {
                (running, since) = (own == last ? end : null, Stopwatch.GetTimestamp());
                return running is not null;
            }
        }

        public void End()
        {
            lock (gate)
            {
                running = null;
            }
        }
    }
}
