using System.Diagnostics;
using System.Globalization;
using Recipes.Hosting.Workers;
using Recipes.Jail;

namespace Recipes.Hosting.Tests.Workers;

/// <summary>Workers that were taken over: whatever they answer, and however they end, is a clear outcome for the host, within the limits.</summary>
[Collection(nameof(Alone))]
public sealed class MisbehaviorTests
{
    // Seconds, where another limit is meant: also on a machine that has much else to do.
    private const int Ample = 300;

    private static readonly byte[] Request = [.. Enumerable.Range(0, 100_000).Select(i => (byte)(i * 7))];
    private static readonly WorkerProgram Probe = new(Path.Combine(AppContext.BaseDirectory, "recipes-probe.dll"));

    [Theory]
    [InlineData("echo")]
    [InlineData("reply-then-spin")]
    [InlineData("answers-twice")]
    public void An_answer_is_taken_once_and_stands(string kind) => Ask(kind).ShouldBe(Request);

    [Fact]
    public void An_answer_that_is_rewritten_no_longer_changes_once_it_is_read()
    {
        NeedsJail();
        using var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(Ample), 256), Probe);
        (byte[] first, byte[] second) = workers.Ask(Job("reply-then-rewrite", stream =>
        {
            byte[] once = Whole(stream);
            Thread.Sleep(100);
            stream.Position = 0;
            return (once, Whole(stream));
        }), TestContext.Current.CancellationToken);
        // How far the rewriting came before the kill is chance.
        first.Select((value, i) => value == Request[i] || value == 0xff).ShouldAllBe(own => own);
        second.ShouldBe(first);
    }

    [Theory]
    [InlineData("too-long", WorkerEnd.BadReply)]
    [InlineData("negative", WorkerEnd.BadReply)]
    [InlineData("empty", WorkerEnd.BadReply)]
    [InlineData("no-number", WorkerEnd.BadReply)]
    [InlineData("longer-than-said", WorkerEnd.BadReply)]
    [InlineData("overwrites-request", WorkerEnd.Died)]
    [InlineData("spins", WorkerEnd.OutOfTime)]
    [InlineData("sleeps", WorkerEnd.OutOfTime)]
    [InlineData("eats", WorkerEnd.OutOfMemory)]
    [InlineData("eats-tables", WorkerEnd.OutOfMemory)]
    [InlineData("eats-threads", WorkerEnd.OutOfMemory)]
    [InlineData("recurses", WorkerEnd.StackOverflow)]
    [InlineData("recurses-at-random", WorkerEnd.StackOverflow)]
    [InlineData("throws", WorkerEnd.Died)]
    [InlineData("exits", WorkerEnd.Died)]
    [InlineData("dies-first", WorkerEnd.Died)]
    [InlineData("connects", WorkerEnd.ForbiddenCall)]
    public void Each_way_to_fail_has_its_name(string kind, WorkerEnd end)
    {
        var failure = Should.Throw<WorkerException>(() => Ask(kind, end == WorkerEnd.OutOfTime ? 2 : Ample));
        failure.End.ShouldBe(end, failure.Message);
        failure.Message.ShouldAllBe(character => !char.IsControl(character));
    }

    [Fact]
    public void A_refused_file_is_an_error_to_the_worker_and_no_file()
    {
        // The probe ends with 13, EACCES.
        Should.Throw<WorkerException>(() => Ask("opens")).Message.ShouldContain("exit code 13");
    }

    [Theory]
    [InlineData("maps-shared")]
    [InlineData("receives")]
    public void Shared_memory_and_the_hosts_socket_are_shut_once_a_worker_has_its_job(string kind) =>
        // The probe ends with 1, EPERM.
        Should.Throw<WorkerException>(() => Ask(kind)).Message.ShouldMatch("exit code 1([^0-9]|$)");

    [Fact]
    public void What_a_worker_wrote_of_its_answer_counts_though_it_has_let_go_of_it()
    {
        NeedsJail();
        using var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(Ample), 256), Probe);
        var failure = Should.Throw<WorkerException>(
            () => workers.Ask(Job("eats-answer", _ => 0) with { Longest = 1 << 30 }, TestContext.Current.CancellationToken));
        failure.End.ShouldBe(WorkerEnd.OutOfMemory);
    }

    // A folder that looks like a delegated group of the kernel's, since a test can't have one.
    [Fact]
    public void A_worker_is_bound_by_a_control_group_of_its_own_where_one_was_delegated()
    {
        NeedsJail();
        var delegated = Directory.CreateTempSubdirectory("recipes-group-");
        try
        {
            using var workers = new WorkerPool(
                new WorkerLimits(TimeSpan.FromSeconds(Ample), 256), new WorkerProgram(Probe.File) { Group = delegated.FullName });
            Echo(workers, "echo").ShouldBe(Request);
            string own = delegated.GetDirectories().ShouldHaveSingleItem().FullName;
            // At least what it may use by the host's own watch, and no more than the machine of two workers that README asks for.
            Number("memory.max").ShouldBeInRange(256L << 20, 1L << 30);
            Number("pids.max").ShouldBe(512);
            Number("cgroup.procs").ShouldBeGreaterThan(0);

            // The kernel says that it ended the process for its memory before the process is given what it ends at.
            var failure = Should.Throw<WorkerException>(() => workers.Ask(
                new WorkerJob<byte[]>("exits", 256 << 20, 1 << 20, stream =>
                {
                    string latest = delegated.GetDirectories().Single(group => group.FullName != own).FullName;
                    File.WriteAllText(Path.Combine(latest, "memory.events"), "oom 1\noom_kill 1\n");
                    stream.Write(Request);
                }, Whole),
                TestContext.Current.CancellationToken));
            failure.End.ShouldBe(WorkerEnd.OutOfMemory, failure.Message);

            long Number(string file) => long.Parse(File.ReadAllText(Path.Combine(own, file)), CultureInfo.InvariantCulture);
        }
        finally
        {
            delegated.Delete(recursive: true);
        }
    }

    // The runtime's own way is a file of memory as large as the machine (executableallocator.cpp calls it doublemapper), which counts nowhere.
    [Theory]
    [InlineData(false, "True")]
    [InlineData(true, "False")]
    public void Compiled_code_of_a_worker_is_private_memory(bool asWorkers, string mapsTwice)
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "needs Linux, which tells what is mapped");
        var start = new ProcessStartInfo(WorkerProgram.Dotnet, ["exec", Probe.File, "maps"]) { RedirectStandardOutput = true };
        start.Environment.Clear();
        foreach (string[] variable in asWorkers ? WorkerProgram.Environment(256 << 20).Select(variable => variable.Split('=', 2)) : [])
        {
            start.Environment[variable[0]] = variable[1];
        }

        using var process = Process.Start(start)!;
        process.StandardOutput.ReadToEnd().Trim().ShouldBe(mapsTwice);
    }

    [Fact]
    public void Cancelling_ends_the_worker_at_once()
    {
        NeedsJail();
        using var cancel = new CancellationTokenSource(500);
        using var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(Ample), 256), Probe);
        Should.Throw<OperationCanceledException>(() => workers.Ask(Job("spins", _ => 0), cancel.Token));
        Settled(Children, 0).ShouldBe(0);
    }

    [Fact]
    public void Many_runs_leave_nothing_behind()
    {
        NeedsJail();
        using var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(Ample), 256), Probe);
        string[] kinds = ["echo", "throws", "echo", "exits", "echo", "connects", "echo", "too-long", "echo", "answers-twice"];
        Round(10);
        // What is counted is there to be counted: while an answer is read, it is mapped.
        workers.Ask(Job("echo", stream => (Whole(stream), Mappings())), TestContext.Current.CancellationToken).Item2.ShouldBeGreaterThan(0);
        int own = Files("socket:", "memfd:");
        int threads = Threads();
        int all = Files(""), mappings = Mappings();
        long memory = GC.GetTotalMemory(forceFullCollection: true);
        int count = Environment.GetEnvironmentVariable("RECIPES_FUZZ") == "all" ? 500 : 40;
        // 500 with RECIPES_FUZZ=all.
        Round(count);
        Settled(() => Files("socket:", "memfd:"), own).ShouldBeLessThanOrEqualTo(own);
        Settled(Threads, threads).ShouldBeLessThanOrEqualTo(threads);
        // Each thread of the runtime's pool has a pipe of its own; a leaked one for each run would be 40.
        Settled(() => Files(""), all + 19).ShouldBeLessThan(all + 20);
        Settled(Children, 0).ShouldBe(0);
        Settled(Mappings, mappings).ShouldBeLessThanOrEqualTo(mappings);
        // A request or an answer held for each run would be all of this twice over.
        (GC.GetTotalMemory(forceFullCollection: true) - memory).ShouldBeLessThan((long)count * Request.Length / 2);

        void Round(int runs)
        {
            for (int i = 0; i < runs; i++)
            {
                string kind = kinds[i % kinds.Length];
                if (kind is "echo" or "answers-twice")
                {
                    Echo(workers, kind).ShouldBe(Request);
                }
                else
                {
                    Should.Throw<WorkerException>(() => Echo(workers, kind));
                }
            }
        }
    }

    [Fact]
    public void Workers_started_ahead_are_used_and_none_is_left()
    {
        NeedsJail();
        int sockets = Files("socket:");
        using (var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(Ample), 256), Probe))
        {
            workers.Expect("echo", 3);
            for (int i = 0; i < 5; i++)
            {
                Echo(workers, "echo").ShouldBe(Request);
            }

            workers.Expect("echo", 100);
            Echo(workers, "echo").ShouldBe(Request);
            Children().ShouldBeGreaterThan(0);
            // What the check for leaks counts is there to be counted.
            Threads().ShouldBeGreaterThan(0);
            Files("socket:").ShouldBeGreaterThan(sockets);
        }

        Settled(Children, 0).ShouldBe(0);
        Settled(Threads, 0).ShouldBe(0);
        Settled(() => Files("socket:"), sockets).ShouldBeLessThanOrEqualTo(sockets);
    }

    private static byte[] Ask(string kind, int seconds = Ample)
    {
        NeedsJail();
        using var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(seconds), 256), Probe);
        return Echo(workers, kind);
    }

    private static byte[] Echo(WorkerPool workers, string kind) => workers.Ask(Job(kind, Whole), TestContext.Current.CancellationToken);

    private static WorkerJob<T> Job<T>(string kind, Func<Stream, T> answer) => new(kind, 256 << 20, 1 << 20, stream => stream.Write(Request), answer);

    private static byte[] Whole(Stream stream)
    {
        // A reader that knows its length, as frames do.
        var bytes = new byte[Request.Length];
        stream.ReadExactly(bytes);
        return bytes;
    }

    // Children of any thread of this process that run the probe.
    private static int Children() => Directory.GetDirectories("/proc/self/task")
        .SelectMany(task => Told(Path.Combine(task, "children")).Split(' ', StringSplitOptions.RemoveEmptyEntries))
        .Count(child => Told($"/proc/{child}/cmdline").Contains("recipes-probe", StringComparison.Ordinal));

    // Threads that wait for a confined process.
    private static int Threads() => Directory.GetDirectories("/proc/self/task").Count(task => Told(Path.Combine(task, "comm")).Trim() == "jail");

    // Open descriptors whose link tells one of the kinds.
    private static int Files(params string[] kinds) => Directory.GetFiles("/proc/self/fd").Count(file => kinds.Any(kind => LinkOf(file).Contains(kind, StringComparison.Ordinal)));

    // Shared memory of workers that this process still has in its address space.
    private static int Mappings() => File.ReadLines("/proc/self/maps").Count(line => line.Contains("memfd:recipes", StringComparison.Ordinal));

    // What ended leaves the system's lists a moment later; what leaks never does.
    private static int Settled(Func<int> count, int most)
    {
        SpinWait.SpinUntil(() => count() <= most, TimeSpan.FromSeconds(30));
        return count();
    }

    // Between the listing and the reading a process, a thread or a descriptor may have gone; then it tells nothing.
    private static string Told(string path)
    {
        try
        {
            return File.ReadAllText(path);
        }
        catch (Exception gone) when (gone is IOException or UnauthorizedAccessException)
        {
            return "";
        }
    }

    private static string LinkOf(string path)
    {
        try
        {
            return File.ResolveLinkTarget(path, returnFinalTarget: false)?.Name ?? "";
        }
        catch (IOException)
        {
            return "";
        }
    }

    private static void NeedsJail() => Assert.SkipUnless(JailSupport.CanConfine, "needs a system that can confine");
}

/// <summary>Counts what the whole process holds, so nothing else may run beside it.</summary>
[CollectionDefinition(nameof(Alone), DisableParallelization = true)]
public sealed class Alone;
