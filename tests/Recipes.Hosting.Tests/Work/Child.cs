using System.Diagnostics;

namespace Recipes.Hosting.Tests.Work;

/// <summary>Runs the second process (tests/Recipes.Hosting.Tests.Child) and programs of the machine.</summary>
internal static class Child
{
    public static string Assembly => Path.Combine(AppContext.BaseDirectory, "Recipes.Hosting.Tests.Child.dll");

    public static Process Start(params string[] arguments) => StartProgram(Environment.ProcessPath is { } path && Path.GetFileName(path) == "dotnet" ? path : "dotnet", [Assembly, .. arguments]);

    /// <summary>Exit code and standard output.</summary>
    public static Task<(int Exit, string Output)> Run(params string[] arguments) => Wait(Start(arguments));

    public static Task<(int Exit, string Output)> RunProgram(string program, params string[] arguments) => Wait(StartProgram(program, arguments));

    /// <summary>Runs the second process as a user who has no rights here.</summary>
    public static Task<(int Exit, string Output)> RunAsNobody(params string[] arguments) =>
        RunProgram("setpriv", ["--reuid=65534", "--regid=65534", "--clear-groups", "--", "dotnet", Assembly, .. arguments]);

    /// <summary>Skips where a condition of the machine is missing; fails instead where RECIPES_CI says that nothing may be.</summary>
    public static void Need(bool there, string reason)
    {
        if (Environment.GetEnvironmentVariable("RECIPES_CI") == "1")
        {
            there.ShouldBeTrue(reason);
        }

        Assert.SkipUnless(there, reason);
    }

    public static bool IsRoot => !OperatingSystem.IsWindows() && Environment.UserName == "root";

    private static Process StartProgram(string program, string[] arguments)
    {
        var start = new ProcessStartInfo(program) { RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        start.Environment["DOTNET_EnableDiagnostics"] = "0";
        return Process.Start(start) ?? throw new InvalidOperationException($"{program} didn't start.");
    }

    private static async Task<(int Exit, string Output)> Wait(Process process)
    {
        using (process)
        {
            var error = process.StandardError.ReadToEndAsync();
            string output = await process.StandardOutput.ReadToEndAsync();
            await process.WaitForExitAsync();
            return (process.ExitCode, output + await error);
        }
    }
}
