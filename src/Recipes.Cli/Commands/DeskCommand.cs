using System.CommandLine;
using System.ComponentModel;
using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using Recipes.Files;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>desk</c>: the page that stays open all shift. It is a program of its own, so that no other command waits for a web server's libraries.</summary>
internal static class DeskCommand
{
    public static Command Create()
    {
        var folders = new Argument<string[]>("FOLDER")
        {
            Description = "Folders whose pictures and order lists the page shows [default: the current folder]", Arity = ArgumentArity.ZeroOrMore,
        };
        var port = new Option<int?>("--port") { Description = "The port on this machine's own address [default: the last one, or a free one]", HelpName = "N" };
        var closed = new Option<bool>("--no-open") { Description = "Print the link, and open no browser" };
        var by = Options.By();
        var command = new Command("desk", "Opens a page on this machine: art on cloth, and what a recipe changes while you turn its knobs")
        {
            folders, port, closed, by,
        };
        return command.WithProgram("recipes desk orders --by night-shift", parse =>
        {
            string[] named = parse.GetValue(folders) is { Length: > 0 } some ? some : ["."];
            List<string> told = [];
            told.AddRange(parse.GetValue(port) is { } number ? ["--port", number.ToString(CultureInfo.InvariantCulture)] : []);
            told.AddRange(parse.GetValue(by) is { } name ? ["--by", name] : []);
            told.AddRange(parse.GetValue(Options.Work) is { } work ? ["--work", Path.GetFullPath(work)] : []);
            told.AddRange(parse.GetValue(closed) ? ["--no-open"] : []);
            told.AddRange(parse.GetValue(Options.Json) ? ["--json"] : []);
            return Run(parse, [.. told, .. named.Select(Path.GetFullPath)]);
        });
    }

    // Where this program is ended, in whatever way, the desk sees its input end, and ends, too.
    private static int Run(ParseResult parse, string[] arguments)
    {
        string program = Path.Combine(ProgramFolder.Root, "desk", OperatingSystem.IsWindows() ? "recipes-desk.exe" : "recipes-desk");
        var start = new ProcessStartInfo(program) { UseShellExecute = false, RedirectStandardInput = true };
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        // The runtime that runs this program also runs the desk, wherever it is installed.
        start.Environment["DOTNET_ROOT"] = ProgramFolder.Runtime;
        if (!ProgramFolder.BringsRuntime && !Directory.Exists(Path.Combine(ProgramFolder.Runtime, "shared", "Microsoft.AspNetCore.App")))
        {
            return Failed("The desk needs the ASP.NET Core 10 runtime, which isn't installed here.",
                "Install it beside the .NET runtime.", ProgramFolder.Runtime);
        }

        try
        {
            using var desk = Process.Start(start)!;
            using var interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, Stop);
            using var terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, Stop);
            desk.WaitForExit();
            return desk.ExitCode;

            void Stop(PosixSignalContext context)
            {
                context.Cancel = true;
                desk.StandardInput.Close();
            }
        }
        catch (Win32Exception e)
        {
            return Failed($"The desk's program can't be started: {e.Message}", "Install the program again, or build the whole solution.", program);
        }

        int Failed(string message, string hint, string where) => Program.Tell(
            parse.GetValue(Options.Json), parse, new Outcome([], _ => { }) { Problems = [new Problem(Codes.Fault, message, hint, new Place(where))] });
    }
}
