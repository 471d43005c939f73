using System.Globalization;
using System.Reflection;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Recipes.Jail;
using Recipes.Jail.Probe;

// As host: recipes-probe host FOLDER PROBE/THREAD/TIME/LAYERS…  starts a confined process for each and prints how the probe ended.
// As host of a worker that waits: recipes-probe threads  prints whether another thread of the host is confined with it.
// As a machine without seccomp: recipes-probe without-seccomp FOLDER DOTNET PROGRAM ARGUMENT…  runs a program there and ends as it did.
// As a program that looks at itself: recipes-probe maps  prints whether its runtime keeps compiled code in memory that it maps twice.
// As a worker that misbehaves: recipes-probe MISBEHAVIOR confined HOST CPU MEMORY.
// As confined process: recipes-probe probe confined HOST CPU MEMORY FOLDER PROBE THREAD TIME LAYERS.
if (args is ["host", var where, .. var wanted])
{
    foreach (string probe in wanted)
    {
        string[] parts = probe.Split('/');
        Console.WriteLine($"{probe} {Host(where, parts[0], parts[1], parts[2], Enum.Parse<JailLayers>(parts[3]))}");
    }

    return 0;
}

if (args is ["threads"])
{
    Console.WriteLine(ConfinesAnother());
    return 0;
}

if (args is ["without-seccomp", var home, var dotnet, .. var command])
{
    const int notImplemented = 38;
    string installed = Path.GetDirectoryName(dotnet)!;
    using var process = JailedProcess.Start(new(dotnet, command, [$"HOME={home}", "DOTNET_CLI_TELEMETRY_OPTOUT=1"], installed, installed)
    {
        Layers = JailLayers.None,
        InsteadOfCoarse = new SeccompFilter(RuntimeInformation.ProcessArchitecture)
            .On(SeccompFilter.Fail(notImplemented), "seccomp").Build(SeccompFilter.Allow),
    });
    var end = process.End(120_000);
    Console.Error.Write(process.ErrorText());
    return end.Signal == 0 ? end.ExitCode : 128 + end.Signal;
}

if (args is ["maps"])
{
    Console.WriteLine(File.ReadLines("/proc/self/maps").Any(line => line.Contains("memfd:doublemapper", StringComparison.Ordinal)));
    return 0;
}

if (args is [var misbehavior, "confined", var itsHost, var itsCpu, var itsMemory])
{
    return Misbehavior.Do(misbehavior, int.Parse(itsHost, CultureInfo.InvariantCulture), long.Parse(itsCpu, CultureInfo.InvariantCulture), long.Parse(itsMemory, CultureInfo.InvariantCulture));
}

if (args is not ["probe", "confined", var host, var cpu, var memory, var folder, var name, var thread, var time, var layerText])
{
    return 2;
}

Lockdown.Begin(int.Parse(host, CultureInfo.InvariantCulture));
Probes.Prepare();
var layers = Enum.Parse<JailLayers>(layerText);
var action = Probes.All[name];
Preload.Assemblies(Assembly.GetExecutingAssembly());
int answer = -1;
if (time == "early")
{
    answer = On(thread, () => action(folder));
}

// Everything that the probe and its thread need is compiled and running before the lock.
On(thread, () => 0);
RuntimeHelpers.PrepareDelegate(action);
Lockdown.Enter(long.Parse(cpu, CultureInfo.InvariantCulture), long.Parse(memory, CultureInfo.InvariantCulture), loads: false, layers);
if (time != "early")
{
    answer = On(thread, () => action(folder));
}

Lockdown.Answered(answer);
Thread.Sleep(Timeout.Infinite);
return 0;

static int On(string thread, Func<int> probe)
{
    int result = -1;
    using var done = new ManualResetEventSlim();
    void Do()
    {
        result = probe();
        done.Set();
    }

    switch (thread)
    {
        case "main":
            Do();
            break;
        case "pool":
            ThreadPool.QueueUserWorkItem(_ => Do());
            break;
        case "timer":
            new Timer(_ => Do()).Change(0, Timeout.Infinite);
            break;
        case "finalizer":
            Finalized.Make(Do);
            GC.Collect();
            GC.WaitForPendingFinalizers();
            break;
        default:
            throw new ArgumentException(thread, nameof(thread));
    }

    done.Wait();
    return result;
}

static string Host(string folder, string name, string thread, string time, JailLayers layers)
{
    File.WriteAllText(Path.Combine(folder, "victim"), "");
    string runtime = Path.GetFullPath(Path.Combine(RuntimeEnvironment.GetRuntimeDirectory(), "..", "..", ".."));
    string program = Path.Combine(AppContext.BaseDirectory, "recipes-probe.dll");
    using var process = JailedProcess.Start(new(Path.Combine(runtime, "dotnet"),
        ["exec", program, "probe", "confined", Environment.ProcessId.ToString(CultureInfo.InvariantCulture), "3", "2000000000", folder, name, thread, time, layers.ToString()],
        ["DOTNET_gcConcurrent=0", "DOTNET_EnableDiagnostics=0", "DOTNET_SYSTEM_GLOBALIZATION_INVARIANT=1", "DOTNET_TieredPGO=0"],
        runtime, AppContext.BaseDirectory) { Layers = layers });
    // Long enough for a machine that has much else to do; the kernel ends what spins.
    for (int waits = 0; waits < 300; waits++)
    {
        switch (process.Wait(1000, out long number))
        {
            case WaitResult.Message:
                return number == 0 ? "reached" : $"error {number}";
            case WaitResult.Gone:
                var end = process.End(2000);
                return end.IsForbiddenCall ? "killed" : end.IsCpuTime ? "cpu" : end is { Signal: 0, ExitCode: 0 } ? "reached" : $"{end} {process.ErrorText()}".ReplaceLineEndings(" ");
        }
    }

    return "silent";
}

// Whether a thread is ever confined besides the one that holds the worker. None of the runtime's own may be born on that one,
// which is when the worker ends after the runtime's thread for compiling again has had nothing to do for long, and is gone.
static bool ConfinesAnother()
{
    using var process = JailedProcess.Start("/bin/sleep", ["6"], [], "/", "/");
    string[] holder = Confined();
    bool another = holder.Length != 1;
    // Looking keeps the runtime compiling, so not before the worker has ended.
    Thread.Sleep(6200);
    for (int looks = 0; looks < 20; looks++)
    {
        Thread.Sleep(50);
        another |= Confined().Except(holder).Any();
    }

    return another;

    // proc_pid_status(5): the mode of a filter is 2.
    static string[] Confined() => [.. Directory.GetDirectories("/proc/self/task").Where(task =>
    {
        try
        {
            return File.ReadAllText(Path.Combine(task, "status")).Contains("\nSeccomp:\t2", StringComparison.Ordinal);
        }
        catch (IOException)
        {
            return false;
        }
    })];
}

internal sealed class Finalized(Action action)
{
    [MethodImpl(MethodImplOptions.NoInlining)]
    public static void Make(Action action) => _ = new Finalized(action);

    ~Finalized() => action();
}
