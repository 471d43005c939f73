using System.Runtime.InteropServices;

namespace Recipes.Files;

/// <summary>The folder that the program is installed in: the worker, the shipped recipes and a house's configuration lie below it.</summary>
public static class ProgramFolder
{
    /// <summary>
    /// The running program's own folder, or the one above it for a program with a folder of its own in there, such as the desk.
    /// </summary>
    public static string Root { get; } = RootOf(AppContext.BaseDirectory);

    /// <summary>The same for a program in another folder; the worker tells which of the two it is.</summary>
    internal static string RootOf(string own)
    {
        string above = Path.GetFullPath(Path.Combine(own, ".."));
        return !HasWorker(own) && HasWorker(above) ? above : own;
    }

    /// <summary>True where the runtime lies in the running program's own folder: it came with it, and each program below brings it, too.</summary>
    public static bool BringsRuntime { get; } = Path.TrimEndingDirectorySeparator(RuntimeEnvironment.GetRuntimeDirectory())
        == Path.TrimEndingDirectorySeparator(AppContext.BaseDirectory);

    /// <summary>The installation of .NET that runs the program, and that runs the programs which it starts.</summary>
    public static string Runtime { get; } = Path.GetFullPath(Path.Combine(RuntimeEnvironment.GetRuntimeDirectory(), "..", "..", ".."));

    private static bool HasWorker(string folder) => File.Exists(Path.Combine(folder, "worker", "recipes-worker.dll"));
}
