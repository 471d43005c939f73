using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>
/// The desk's program, which <c>recipes desk</c> starts: <c>[--port N] [--by NAME] [--work DIR] [--no-open] [--json] FOLDER…</c>, nothing else. It prints the
/// link on a line of its own and runs until it is interrupted.
/// </summary>
internal static class Program
{
    private static async Task<int> Main(string[] args)
    {
        bool json = args.Contains("--json");
        using var stop = new CancellationTokenSource();
        using var interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, Stop);
        using var terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, Stop);
        try
        {
            _ = StopAtEnd(stop);
            return await Run(args, json, stop.Token).ConfigureAwait(false);
        }
        catch (ProblemException e)
        {
            Tell(json, e.Problems);
            return (int)e.Exit;
        }

        void Stop(PosixSignalContext context)
        {
            context.Cancel = true;
            stop.Cancel();
        }
    }

    // Whoever started it holds its input open.
    private static async Task StopAtEnd(CancellationTokenSource stop)
    {
        using var input = Console.OpenStandardInput();
        var buffer = new byte[256];
        while (await input.ReadAsync(buffer).ConfigureAwait(false) > 0)
        {
        }

        stop.Cancel();
    }

    private static async Task<int> Run(string[] args, bool json, CancellationToken stop)
    {
        var options = Read(args);
        var (place, open) = (RunningDesk.Of(options), !args.Contains("--no-open"));
        if (await place.Link(stop).ConfigureAwait(false) is { } link)
        {
            Say(json, link, "It is open already; this is a fresh link to it.");
            Opened(open, link);
            return 0;
        }

        var server = await Start(options, place.LastPort).ConfigureAwait(false);
        await using (server.ConfigureAwait(false))
        {
            link = server.Link;
            place.Remember(server);
            Say(json, link, "The desk is open. Ctrl-C closes it; what was kept stays.");
            Opened(open, link);
            await server.WaitForStop(stop).ConfigureAwait(false);
            place.Forget();
            return 0;
        }
    }

    // Where it was last, unless somebody says where; what else has that port by now doesn't matter then.
    private static async Task<DeskServer> Start(DeskOptions options, int? last)
    {
        try
        {
            return await DeskServer.Start(options.Port > 0 || last is null ? options : options with { Port = last.Value }).ConfigureAwait(false);
        }
        catch (ProblemException) when (options.Port == 0 && last is not null)
        {
            return await DeskServer.Start(options).ConfigureAwait(false);
        }
    }

    private static void Opened(bool open, Uri link)
    {
        if (open && !Browser.TryOpen(link))
        {
            Console.Error.WriteLine("No browser could be opened; open the link yourself.");
        }
    }

    private static DeskOptions Read(string[] args)
    {
        var folders = new List<string>();
        var options = new DeskOptions(folders);
        for (int i = 0; i < args.Length; i++)
        {
            switch (args[i])
            {
                case "--json" or "--no-open":
                    break;
                case "--port" when i + 1 < args.Length
                    && int.TryParse(args[i + 1], NumberStyles.None, CultureInfo.InvariantCulture, out int port) && port <= 65535:
                    (options, i) = (options with { Port = port }, i + 1);
                    break;
                case "--port":
                    throw new ProblemException(Codes.BadUsage, "'--port' takes a port's number, 0 to 65535.", "Leave it out, which takes a free one.");
                case "--by" when i + 1 < args.Length:
                    (options, i) = (options with { By = args[i + 1] }, i + 1);
                    break;
                case "--work" when i + 1 < args.Length:
                    (options, i) = (options with { WorkFolder = args[i + 1] }, i + 1);
                    break;
                case var folder when Directory.Exists(folder):
                    folders.Add(folder);
                    break;
                default:
                    throw new ProblemException(Codes.BadUsage, $"There is no folder {CleanText.Line(args[i], 200)}.", "Name folders that hold arts.");
            }
        }

        return folders.Count > 0 ? options : throw new ProblemException(Codes.BadUsage, "The desk needs a folder.", "Name a folder that holds arts.");
    }

    private static void Say(bool json, Uri link, string words)
    {
        if (json)
        {
            var answer = ReportJson.Answer("desk", ExitCode.Done, [], new JsonObject { ["url"] = link.ToString() });
            using var stdout = Console.OpenStandardOutput();
            ReportJson.Write(stdout, answer);
            stdout.WriteByte((byte)'\n');
            return;
        }

        Console.WriteLine(link);
        Console.WriteLine(words);
    }

    private static void Tell(bool json, IReadOnlyList<Problem> problems)
    {
        if (json)
        {
            using var stdout = Console.OpenStandardOutput();
            ReportJson.Write(stdout, ReportJson.Answer("desk", problems[0].Code.Exit, problems));
            stdout.WriteByte((byte)'\n');
            return;
        }

        foreach (var problem in problems)
        {
            Console.Error.WriteLine(CleanText.OneLine(problem.ToString()));
            Console.Error.WriteLine($"  {CleanText.OneLine(problem.Hint)}");
        }
    }
}
