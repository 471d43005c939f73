using System.Globalization;
using Recipes.Files;
using Recipes.Jail;
using Recipes.Problems;

namespace Recipes.Hosting.Workers;

/// <summary>The worker's program: where it lies and how it is started. Nothing of the user's environment reaches it.</summary>
/// <param name="File">Its assembly.</param>
internal sealed record WorkerProgram(string File)
{
    /// <summary>The worker that the program is installed with, in <c>worker/</c>.</summary>
    public static WorkerProgram Installed
    {
        get
        {
            string path = Path.Combine(ProgramFolder.Root, "worker", "recipes-worker.dll");
            return System.IO.File.Exists(path)
                ? new WorkerProgram(path)
                : throw new ProblemException(Codes.Fault, $"The worker is missing: {path}", "Install the program again, or build the whole solution.");
        }
    }

    /// <summary>The control group in which each of its workers gets one of its own, or null where none was delegated to this program.</summary>
    public string? Group { get; init; } = JailSupport.DelegatedGroup;

    public string Folder => Path.GetDirectoryName(File)!;

    /// <summary>The folder of the runtime that runs it: its own where it is one with its runtime, as this program is then.</summary>
    public string Runtime => ProgramFolder.BringsRuntime ? Folder : ProgramFolder.Runtime;

    /// <summary>What starts it: its own starter where it brings its runtime, else the one that started this program.</summary>
    public string Starter => !ProgramFolder.BringsRuntime ? Dotnet
        : Path.ChangeExtension(File, OperatingSystem.IsWindows() ? ".exe" : null);

    public static string Dotnet
    {
        get
        {
            string path = Path.Combine(ProgramFolder.Runtime, OperatingSystem.IsWindows() ? "dotnet.exe" : "dotnet");
            return System.IO.File.Exists(path)
                ? path
                : throw new ProblemException(Codes.Fault, $"The .NET runtime's starter is missing: {path}",
                    "Install the .NET 10 runtime with its 'dotnet' program.");
        }
    }

    /// <summary>What its starter is given.</summary>
    public string[] Arguments(params ReadOnlySpan<string> arguments) => ProgramFolder.BringsRuntime ? [.. arguments] : ["exec", File, .. arguments];

    /// <summary>Its whole environment for so much memory, as NAME=VALUE.</summary>
    public static string[] Environment(long memory) =>
    [
        "DOTNET_EnableDiagnostics=0",
        "DOTNET_DbgEnableMiniDump=0",
        // A background collector would make pipes and threads after the lock.
        "DOTNET_gcConcurrent=0",
        "DOTNET_gcServer=0",
        "DOTNET_TieredPGO=0",
        // Compiled code is private memory, which its limits count; else the runtime would map it twice from a file of memory as large as
        // the machine.
        "DOTNET_EnableWriteXorExecute=0",
        "DOTNET_SYSTEM_GLOBALIZATION_INVARIANT=1",
        $"DOTNET_GCHeapHardLimit={memory.ToString("x", CultureInfo.InvariantCulture)}",
    ];
}
