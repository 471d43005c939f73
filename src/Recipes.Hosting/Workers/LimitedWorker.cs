using System.Diagnostics;
using System.Globalization;
using System.Text;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Workers;

/// <summary>
/// A worker where the operating system can't confine it: a process with an environment of its own, a time limit and a memory
/// limit, which gets one request through a pipe, gives one answer and is killed. Only approved recipes run in one.
/// </summary>
internal static class LimitedWorker
{
    // The runtime itself, outside the limited heap.
    private const long RuntimeMemory = 300L * 1024 * 1024;
    private const int LongestErrorText = 16 * 1024;
    private static readonly TimeSpan WatchInterval = TimeSpan.FromMilliseconds(25);

    /// <summary>Asks a worker.</summary>
    /// <param name="program">The worker's program.</param>
    /// <param name="job">What it is asked.</param>
    /// <param name="time">Wall-clock limit.</param>
    /// <param name="cancel">Ends the worker at once.</param>
    public static T Ask<T>(WorkerProgram program, WorkerJob<T> job, TimeSpan time, CancellationToken cancel)
    {
        using var process = Start(program, job.Mode, job.Memory);
        using var watch = new Watch(process, time, job.Memory, cancel);
        var errors = CollectErrors(process);
        try
        {
            // The request is written from a thread of its own: a worker that doesn't read must not block the host.
            var asking = Task.Run(() => Send(process, job.Ask), CancellationToken.None);
            using var stream = new BufferedStream(process.StandardOutput.BaseStream, 1 << 16);
            T result = job.Answer(stream);
            Kill(process);
            asking.Wait(CancellationToken.None);
            return result;
        }
        catch (FrameException e)
        {
            bool ended = process.WaitForExit(TimeSpan.FromMilliseconds(500));
            Kill(process);
            // Ctrl-C reaches the worker too and may end it before this program hears of it.
            cancel.WaitHandle.WaitOne(ended && process.ExitCode == (int)ExitCode.Interrupted ? 500 : 0);
            cancel.ThrowIfCancellationRequested();
            throw Explain(watch, process, ended, errors, e);
        }
        finally
        {
            Kill(process);
        }
    }

    private static WorkerException Explain(Watch watch, Process process, bool ended, Task<string> errors, FrameException cause)
    {
        if (watch.Reason is { } reason)
        {
            return new WorkerException(reason, "");
        }

        string text = errors.Wait(TimeSpan.FromSeconds(2)) ? errors.Result : "";
        return ended && process.ExitCode != 0
            ? WorkerException.Explain(text, $"exit code {process.ExitCode.ToString(CultureInfo.InvariantCulture)}", forbiddenCall: false)
            : new WorkerException(WorkerEnd.BadReply, cause.Message);
    }

    private static Process Start(WorkerProgram program, string mode, long memory)
    {
        var start = new ProcessStartInfo(program.Starter, program.Arguments(mode))
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            StandardErrorEncoding = Encoding.UTF8,
            UseShellExecute = false,
            CreateNoWindow = true,
            WorkingDirectory = program.Folder,
        };
        // On Windows the loader needs the system folder.
        string? system = Environment.GetEnvironmentVariable("SystemRoot");
        start.Environment.Clear();
        if (OperatingSystem.IsWindows() && system is not null)
        {
            start.Environment["SystemRoot"] = system;
        }

        foreach (string[] variable in WorkerProgram.Environment(memory).Select(variable => variable.Split('=', 2)))
        {
            start.Environment[variable[0]] = variable[1];
        }

        return Process.Start(start) ?? throw new InvalidOperationException("The worker process did not start.");
    }

    private static void Send(Process process, Action<Stream> ask)
    {
        try
        {
            // The pipe stays open until the process is disposed of: its end tells the worker that its host is gone.
            var stream = new BufferedStream(process.StandardInput.BaseStream, 1 << 16);
            ask(stream);
            stream.Flush();
        }
        catch (IOException)
        {
            // The worker ended before it read everything; how it ended is told by its answer, or the lack of one.
        }
    }

    private static Task<string> CollectErrors(Process process) => Task.Run(async () =>
    {
        var text = new StringBuilder();
        var buffer = new char[1024];
        while (await process.StandardError.ReadAsync(buffer).ConfigureAwait(false) is > 0 and var count)
        {
            if (text.Length < LongestErrorText)
            {
                text.Append(buffer, 0, count);
            }
        }

        return text.ToString();
    });

    private static void Kill(Process process)
    {
        try
        {
            process.Kill(entireProcessTree: false);
            process.WaitForExit();
        }
        catch (InvalidOperationException)
        {
            // It had ended already.
        }
    }

    // Kills the worker at its limits; remembers which one it was.
    private sealed class Watch : IDisposable
    {
        private readonly Process process;
        private readonly long deadline;
        private readonly long memory;
        private readonly CancellationToken cancel;
        private readonly Timer timer;

        public Watch(Process process, TimeSpan time, long memory, CancellationToken cancel)
        {
            this.process = process;
            this.memory = memory + RuntimeMemory;
            this.cancel = cancel;
            deadline = Environment.TickCount64 + (long)time.TotalMilliseconds;
            timer = new Timer(_ => Look(), null, WatchInterval, WatchInterval);
        }

        public WorkerEnd? Reason { get; private set; }

        public void Dispose()
        {
            using var done = new ManualResetEvent(false);
            timer.Dispose(done);
            done.WaitOne();
        }

        private void Look()
        {
            try
            {
                process.Refresh();
                if (cancel.IsCancellationRequested)
                {
                    process.Kill();
                }
                else if (Environment.TickCount64 > deadline)
                {
                    Reason ??= WorkerEnd.OutOfTime;
                    process.Kill();
                }
                else if (!process.HasExited && process.WorkingSet64 > memory)
                {
                    Reason ??= WorkerEnd.OutOfMemory;
                    process.Kill();
                }
            }
            catch (Exception e) when (e is InvalidOperationException or System.ComponentModel.Win32Exception)
            {
                // It has ended; the reader notices.
            }
        }
    }
}
