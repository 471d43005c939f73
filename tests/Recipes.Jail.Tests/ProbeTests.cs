using System.Diagnostics;

namespace Recipes.Jail.Tests;

/// <summary>
/// What leads out of a process, tried by raw system calls: it succeeds where a layer is left out and fails where it is on, on
/// every thread of a worker, for root and for an ordinary user.
/// </summary>
public sealed class ProbeTests : IDisposable
{
    // Reading another process by ptrace would stop it, so that one has no control run.
    private static readonly string[] Escapes =
    [
        "read-file", "read-own-status", "create-file", "reopen-memory", "stat", "readlink", "make-folder", "delete", "internet-socket", "local-socket", "socket-pair", "fork",
        "execute", "signal-parent", "signal-parent-thread", "read-parent-memory", "parent-descriptor", "new-namespace", "shared-memory-segment", "pin-parent", "memory-file", "duplicate",
        "become-dumpable", "raise-limit", "change-user", "new-filter", "change-folder",
    ];

    private readonly string folder = Directory.CreateTempSubdirectory("probe-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Without_the_jail_each_probe_reaches_what_it_is_after()
    {
        NeedsJail();
        // Where Yama keeps even children out of their parents (ptrace_scope of proc_sys_kernel(5)), that one proves nothing.
        const string yama = "/proc/sys/kernel/yama/ptrace_scope";
        bool reads = !File.Exists(yama) || File.ReadAllText(yama)[0] == '0' || (File.ReadAllText(yama)[0] != '3' && Environment.UserName == "root");
        foreach (var (probe, outcome) in Run(user: null, Escapes.Where(probe => reads || probe != "read-parent-memory").Select(probe => $"{probe}/main/late/None")))
        {
            outcome.ShouldBe("reached", probe);
        }
    }

    [Theory]
    [InlineData("main")]
    [InlineData("pool")]
    [InlineData("timer")]
    [InlineData("finalizer")]
    public void In_the_jail_no_thread_gets_out(string thread)
    {
        NeedsJail();
        foreach (var (probe, outcome) in Run(user: null, Escapes.Append("trace-parent").Select(probe => $"{probe}/{thread}/late/All")))
        {
            Held(outcome).ShouldBeTrue($"{probe}: {outcome}");
        }

        Directory.GetFileSystemEntries(folder).Select(Path.GetFileName).ShouldBe(["victim"]);
    }

    [Fact]
    public void An_ordinary_user_gets_out_as_little_as_root()
    {
        NeedsJail();
        Assert.SkipUnless(Environment.UserName != "root" || File.Exists("/usr/bin/setpriv"), "needs setpriv, from Debian's util-linux");
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(folder, (UnixFileMode)0b111_111_111);
        }

        Assert.SkipUnless(Starts(user: "65534"), "needs a folder of tests that other users can read");
        Run(user: "65534", ["memory-file/main/late/None"]).Single().Outcome.ShouldBe("reached");
        string[] threads = ["main", "pool", "timer", "finalizer"];
        foreach (var (probe, outcome) in Run(user: "65534", Escapes.Append("trace-parent").SelectMany(probe => threads.Select(thread => $"{probe}/{thread}/late/All"))))
        {
            Held(outcome).ShouldBeTrue($"{probe}: {outcome}");
        }
    }

    /// <summary>Each layer alone holds something: left out, the probe passes though all others are on.</summary>
    [Theory]
    [InlineData("Landlock", "read-file", "early")]
    [InlineData("Landlock", "create-file", "early")]
    [InlineData("Landlock", "signal-parent", "early")]
    [InlineData("CoarseFilter", "internet-socket", "early")]
    [InlineData("CoarseFilter", "local-socket", "early")]
    [InlineData("CoarseFilter", "new-namespace", "early")]
    [InlineData("CoarseFilter", "shared-memory-segment", "early")]
    [InlineData("StrictFilter", "read-own-status", "late")]
    [InlineData("StrictFilter", "reopen-memory", "late")]
    [InlineData("StrictFilter", "memory-file", "late")]
    [InlineData("StrictFilter", "fork", "late")]
    [InlineData("StrictFilter", "pin-parent", "late")]
    [InlineData("StrictFilter", "duplicate", "late")]
    [InlineData("Limits", "write-memory", "late")]
    [InlineData("Limits", "private-memory", "late")]
    [InlineData("Limits", "spin", "late")]
    [InlineData("Limits", "many-descriptors", "late")]
    public void Each_layer_holds_what_the_others_let_pass(string layer, string probe, string time)
    {
        NeedsJail();
        Assert.SkipUnless(probe != "signal-parent" || Landlock.Version >= 6, "needs Landlock 6, which holds signals back");
        string others = string.Join(", ", new[] { "Landlock", "CoarseFilter", "StrictFilter", "Limits" }.Where(name => name != layer));
        var outcomes = Run(user: null, [$"{probe}/main/{time}/{others}", $"{probe}/main/{time}/All"]);
        outcomes[0].Outcome.ShouldBe("reached");
        (Held(outcomes[1].Outcome) || outcomes[1].Outcome is "cpu" || outcomes[1].Outcome.StartsWith("signal 25", StringComparison.Ordinal)).ShouldBeTrue(outcomes[1].Outcome);
    }

    /// <summary>The thread that holds a worker is confined with it; no thread that the runtime starts by itself may inherit that.</summary>
    [Fact]
    public void No_other_thread_of_the_host_is_confined()
    {
        NeedsJail();
        using var process = Start(user: null, ["threads"]);
        process.StandardOutput.ReadToEnd().Trim().ShouldBe("False");
    }

    // An error number or the filter's kill; anything else is no proof.
    private static bool Held(string outcome) => outcome == "killed" || outcome.StartsWith("error ", StringComparison.Ordinal);

    private static void NeedsJail() => Assert.SkipUnless(JailSupport.CanConfine && Landlock.Version > 0, "needs a system that can confine, with Landlock");

    private List<(string Probe, string Outcome)> Run(string? user, IEnumerable<string> probes)
    {
        using var process = Start(user, ["host", folder, .. probes]);
        var errors = process.StandardError.ReadToEndAsync();
        string[] lines = process.StandardOutput.ReadToEnd().Split('\n', StringSplitOptions.RemoveEmptyEntries);
        process.WaitForExit();
        process.ExitCode.ShouldBe(0, errors.Result);
        // A list of layers holds spaces: the outcome follows the last argument, which is known.
        return [.. lines.Zip(probes, (line, probe) => (probe, line[(probe.Length + 1)..]))];
    }

    // Without arguments it ends with 2.
    private static bool Starts(string user)
    {
        using var process = Start(user, []);
        process.WaitForExit();
        return process.ExitCode == 2;
    }

    private static Process Start(string? user, string[] arguments)
    {
        string program = Path.Combine(AppContext.BaseDirectory, "recipes-probe.dll");
        var start = new ProcessStartInfo { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false };
        string[] command = user is not null && Environment.UserName == "root"
            ? ["setpriv", $"--reuid={user}", $"--regid={user}", "--clear-groups", "dotnet"]
            : ["dotnet"];
        start.FileName = command[0];
        foreach (string argument in (string[])[.. command[1..], "exec", program, .. arguments])
        {
            start.ArgumentList.Add(argument);
        }

        // Milliseconds, in hex: how long the runtime's thread for compiling again waits for work (clrconfignames.h).
        start.Environment["DOTNET_TC_BackgroundWorkerTimeoutMs"] = "200";
        return Process.Start(start)!;
    }
}
