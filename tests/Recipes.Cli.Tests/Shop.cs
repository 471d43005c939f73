using System.Diagnostics;
using System.Runtime.InteropServices;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json.Nodes;

namespace Recipes.Cli.Tests;

/// <summary>What the program answered.</summary>
public sealed record Answer(int Exit, string Out, string Err)
{
    /// <summary>Standard output as the one JSON object that <c>--json</c> promises.</summary>
    public JsonObject Json => JsonNode.Parse(Out) as JsonObject ?? throw new InvalidOperationException($"No JSON object: {Out}{Err}");

    /// <summary>The codes of the problems in the JSON answer.</summary>
    public string[] Codes => [.. (Json["problems"] as JsonArray)!.Select(problem => (string)problem!["code"]!)];

    /// <summary>The answer itself, where the exit code is the one expected.</summary>
    public Answer ShouldExit(int code)
    {
        Exit.ShouldBe(code, $"stdout:\n{Out}\nstderr:\n{Err}");
        return this;
    }

    /// <summary>A failure told in JSON: the exit code, the first problem's code, a sentence and a hint.</summary>
    public Answer ShouldFail(int exit, string code)
    {
        ShouldExit(exit);
        ((bool)Json["ok"]!).ShouldBeFalse();
        ((int)Json["exit"]!).ShouldBe(exit);
        Codes.ShouldNotBeEmpty(Out);
        Codes[0].ShouldBe(code, Out);
        var first = Json["problems"]![0]!;
        ((string)first["message"]!).ShouldNotBeNullOrWhiteSpace();
        ((string)first["hint"]!).ShouldNotBeNullOrWhiteSpace();
        (Out + Err).ShouldNotContain("   at Recipes.", Case.Sensitive, "a stack trace");
        return this;
    }
}

/// <summary>Starts the real program in a folder of its own with a home of its own, which nothing else has written to.</summary>
public sealed class Shop : IDisposable
{
    // Nothing takes as long as drawing the demo, so it is drawn once for all tests that only need its files.
    private static readonly Lazy<IReadOnlyList<(string Path, byte[] Bytes)>> Demo = new(DrawDemoOnce);

    // Compiling the shipped recipes takes a second each, so it is done once and the compiled ones are laid into each home.
    private static readonly Lazy<IReadOnlyList<(string Path, byte[] Bytes)>> Compiled = new(CompileOnce);

    /// <summary>Makes a shop.</summary>
    /// <param name="empty">True: the home is really empty; else the shipped recipes lie compiled in its cache.</param>
    public Shop(bool empty = false)
    {
        Folder = Directory.CreateTempSubdirectory("recipes-test-").FullName;
        Home = Directory.CreateDirectory(Path.Combine(Folder, "home")).FullName;
        Desk = Directory.CreateDirectory(Path.Combine(Folder, "desk")).FullName;
        foreach (var (path, bytes) in empty ? [] : Compiled.Value)
        {
            Directory.CreateDirectory(Path.GetDirectoryName(Path.Combine(Home, path))!);
            File.WriteAllBytes(Path.Combine(Home, path), bytes);
            Permit(Path.Combine(Home, path), UnixFileMode.UserRead | UnixFileMode.UserWrite);
        }
    }

    /// <summary>Everything of this test.</summary>
    public string Folder { get; }

    /// <summary>HOME.</summary>
    public string Home { get; }

    /// <summary>The working directory.</summary>
    public string Desk { get; }

    /// <summary>Further environment variables.</summary>
    public Dictionary<string, string> Environment { get; } = [];

    /// <summary>The repository.</summary>
    public static string Root { get; } = FindRoot();

    /// <summary>The published program's folder, which the build of these tests lays beside them.</summary>
    public static string ProgramFolder { get; } = Path.Combine(AppContext.BaseDirectory, "program");

    /// <summary>A path on the desk.</summary>
    public string At(string name) => Path.Combine(Desk, name);

    /// <summary>Writes a file on the desk and gives its path.</summary>
    public string Write(string name, string text)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(At(name))!);
        File.WriteAllText(At(name), text, new UTF8Encoding(false));
        return At(name);
    }

    /// <summary>Lays on the desk what the demo leaves there.</summary>
    public void LayDemo()
    {
        foreach (var (path, bytes) in Demo.Value)
        {
            Directory.CreateDirectory(Path.GetDirectoryName(At(path))!);
            File.WriteAllBytes(At(path), bytes);
        }
    }

    /// <summary>Runs the program to its end.</summary>
    public Answer Run(params string[] args)
    {
        using var process = Start(args);
        return End(process);
    }

    /// <summary>Waits for a started program and takes its answer.</summary>
    public static Answer End(Process process)
    {
        process.StandardInput.Close();
        var errors = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEndAsync();
        // Only what never ends is meant: a machine that has much else to do takes minutes for what one alone does in seconds.
        if (!process.WaitForExit(TimeSpan.FromMinutes(30)))
        {
            process.Kill(entireProcessTree: true);
            throw new TimeoutException("The program hangs.");
        }

        return new Answer(process.ExitCode, output.GetAwaiter().GetResult(), errors.GetAwaiter().GetResult());
    }

    /// <summary>
    /// Runs the program with <c>--json</c> as a user whom permissions stop: where the tests run as root, as user 65534.
    /// </summary>
    public Answer Restricted(params string[] args)
    {
        if (System.Environment.UserName != "root")
        {
            return Json(args);
        }

        using var process = StartWith("setpriv",
            ["--reuid=65534", "--regid=65534", "--clear-groups", Dotnet, "exec", Path.Combine(ProgramFolder, "recipes.dll"), .. args, "--json"]);
        return End(process);
    }

    /// <summary>Sets permissions, where there are such.</summary>
    public static void Permit(string path, UnixFileMode mode)
    {
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(path, mode);
        }
    }

    /// <summary>Skips where permissions can't be tried: on Windows, and as root where another user can't be taken or reach the program.</summary>
    public void NeedsPermissions()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has other permissions.");
        const UnixFileMode all = UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute | UnixFileMode.GroupRead | UnixFileMode.GroupWrite
            | UnixFileMode.GroupExecute | UnixFileMode.OtherRead | UnixFileMode.OtherWrite | UnixFileMode.OtherExecute;
        foreach (string folder in new[] { Folder }.Concat(Directory.EnumerateDirectories(Folder, "*", SearchOption.AllDirectories)))
        {
            Permit(folder, all);
        }

        bool works;
        try
        {
            works = Restricted("list").Exit == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            works = false;
        }

        Needs(works, "setpriv, where the tests run as root, and a program folder that other users can read");
    }

    /// <summary>Every file on the desk with its hash, hidden ones too: for "as before".</summary>
    public SortedDictionary<string, string> Snapshot()
    {
        var files = new SortedDictionary<string, string>(StringComparer.Ordinal);
        foreach (string file in Directory.EnumerateFiles(Desk, "*", new EnumerationOptions { RecurseSubdirectories = true, AttributesToSkip = 0 }))
        {
            files[Path.GetRelativePath(Desk, file)] = HashOf(file);
        }

        return files;
    }

    /// <summary>SHA-256 of a file, lower-case hex.</summary>
    public static string HashOf(string path) => Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(path)));

    private static List<(string Path, byte[] Bytes)> CompileOnce()
    {
        using var shop = new Shop(empty: true);
        foreach (string recipe in (string[])["printable-whites", "clean-background", "pure-black", "print-black", "swap-color", "remove-halo", "harden-edges", "remove-specks", "fit-to-platen", "white-underbase", "test-print"])
        {
            shop.Run("show", recipe).ShouldExit(0);
        }

        return [.. Directory.EnumerateFiles(shop.Home, "*", SearchOption.AllDirectories)
            .Where(file => !file.EndsWith(".log", StringComparison.Ordinal))
            .Select(file => (Path.GetRelativePath(shop.Home, file), File.ReadAllBytes(file)))];
    }

    private static List<(string Path, byte[] Bytes)> DrawDemoOnce()
    {
        using var shop = new Shop();
        shop.Run("demo", "--quiet").ShouldExit(0);
        return [.. Directory.EnumerateFiles(shop.Desk, "*", SearchOption.AllDirectories)
            .Select(file => (Path.GetRelativePath(shop.Desk, file), File.ReadAllBytes(file)))];
    }

    /// <summary>Runs the program with <c>--json</c>.</summary>
    public Answer Json(params string[] args) => Run([.. args, "--json"]);

    /// <summary>Starts the program; the caller ends it.</summary>
    public Process Start(params string[] args) => StartWith(Dotnet, ["exec", Path.Combine(ProgramFolder, "recipes.dll"), .. args]);

    /// <summary>Starts any command with this shop's environment.</summary>
    public Process StartWith(string command, params string[] args)
    {
        var start = new ProcessStartInfo(command)
        {
            WorkingDirectory = Desk,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            StandardOutputEncoding = Encoding.UTF8,
            StandardErrorEncoding = Encoding.UTF8,
        };
        foreach (string arg in args)
        {
            start.ArgumentList.Add(arg);
        }

        foreach (string name in start.Environment.Keys.Where(name => name.StartsWith("XDG_", StringComparison.Ordinal) || name.StartsWith("RECIPES_", StringComparison.Ordinal)).ToList())
        {
            start.Environment.Remove(name);
        }

        start.Environment["HOME"] = Home;
        foreach (var (name, value) in Environment)
        {
            start.Environment[name] = value;
        }

        return Process.Start(start)!;
    }

    /// <summary>The starter of the runtime that runs the tests.</summary>
    public static string Dotnet { get; } = Path.GetFullPath(Path.Combine(RuntimeEnvironment.GetRuntimeDirectory(), "..", "..", "..", OperatingSystem.IsWindows() ? "dotnet.exe" : "dotnet"));

    /// <summary>True where a missing thing must fail the test instead of skipping it.</summary>
    public static bool MustNotSkip => System.Environment.GetEnvironmentVariable("RECIPES_CI") == "1";

    /// <summary>Skips the test on a bare machine, fails it where everything must be there.</summary>
    public static void Needs(bool there, string what)
    {
        if (MustNotSkip)
        {
            there.ShouldBeTrue($"Needs {what}.");
        }

        Assert.SkipUnless(there, $"Needs {what}.");
    }

    public void Dispose()
    {
        foreach (string folder in Directory.EnumerateDirectories(Folder, "*", SearchOption.AllDirectories))
        {
            if (!OperatingSystem.IsWindows() && new DirectoryInfo(folder).LinkTarget is null)
            {
                File.SetUnixFileMode(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
            }
        }

        Directory.Delete(Folder, recursive: true);
    }

    private static string FindRoot()
    {
        string? folder = AppContext.BaseDirectory;
        while (folder is not null && !File.Exists(Path.Combine(folder, "Recipes.sln")))
        {
            folder = Path.GetDirectoryName(folder);
        }

        return folder ?? throw new InvalidOperationException("The tests run inside the repository.");
    }
}
