using System.Diagnostics;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>A process that is killed or interrupted leaves the work as before or after, never between.</summary>
public sealed class KillTests : IDisposable
{
    private const int Kills = 50;
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Killed_at_50_moments_the_work_is_as_before_or_after()
    {
        Picture.WriteRing(shop.At("ring.png"));
        string art = Shop.HashOf(shop.At("ring.png"));
        var random = new Random(50);
        // How long each command takes here and now, so that the moments fall inside it; shortened where one was done before.
        var longest = new Dictionary<string, int>(StringComparer.Ordinal)
        {
            ["commit"] = Length("commit", "printable-whites", "ring.png", "--setup", "light-garment"),
            ["undo"] = Length("undo", "ring.png"),
            ["redo"] = Length("redo", "ring.png"),
        };
        shop.Json("undo", "ring.png").ShouldExit(0);
        var line = shop.Json("history", "ring.png").ShouldExit(0).Json["setups"]![0]!;
        int head = 0, last = 1, died = 0;
        for (int n = 0; n < Kills; n++)
        {
            string command = head == 0 ? random.Next(2) == 0 ? "commit" : "redo" : random.Next(3) == 0 ? "commit" : "undo";
            using (var process = command == "commit"
                ? shop.Start("commit", random.Next(2) == 0 ? "printable-whites" : "clean-background", "ring.png", "--setup", "light-garment")
                : shop.Start(command, "ring.png", "--setup", "light-garment"))
            {
                bool whileWriting = n % 2 == 0;
                int moment = random.Next(longest[command] * 11 / 10);
                if (Kill(process, whileWriting, moment))
                {
                    died++;
                }
                else if (!whileWriting)
                {
                    longest[command] = Math.Min(longest[command], Math.Max(1, moment));
                }
            }

            (int Head, int Last) before = (head, last), after = command switch { "commit" => (last + 1, last + 1), "undo" => (Ways(line)[head], last), _ => (Undone(line), last) };
            line = shop.Json("history", "ring.png").ShouldExit(0).Json["setups"]![0]!;
            int now = (int)line["head"]!, steps = line["steps"]!.AsArray().Count;
            (now, steps).ShouldBeOneOf(before, after);
            (head, last) = (now, steps);
            if (n % 5 == 4)
            {
                // The state is one that the recipe gives, not a mixture.
                shop.Json("export", "ring.png", "-o", "out.png", "--force").ShouldExit(0);
                var pixels = Picture.Read(shop.At("out.png")).Pixels;
                var recipes = Recipes(line, head);
                pixels[(20 * 40) + 20].ShouldBe(recipes.Contains("printable-whites") ? new Rgba8(254, 254, 254) : Rgba8.White);
                pixels[0].ShouldBe(recipes.Contains("clean-background") ? Rgba8.ClearWhite : Rgba8.White);
            }
        }

        died.ShouldBeGreaterThan(Kills / 4, "Too few were killed while they ran.");
        Shop.HashOf(shop.At("ring.png")).ShouldBe(art);
    }

    [Fact]
    public void Interrupted_it_ends_with_130_and_leaves_nothing_behind()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no SIGINT.");
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        shop.Write("loop.csx", "Recipe.Title(\"Loop\");\nRecipe.Purpose(\"Never ends.\");\nwhile (true) { }\n");
        shop.Json("show", "loop.csx").ShouldExit(0);
        var before = shop.Snapshot();
        foreach (string command in (string[])["commit loop.csx ring.png", "dry-run loop.csx ring.png --out try", "run loop.csx ring.png -o out --setup light-garment"])
        {
            using var process = shop.Start([.. command.Split(' '), "--json"]);
            int worker = WaitForWorker(process.Id);
            using (var kill = shop.StartWith("/bin/kill", "-INT", process.Id.ToString(CultureInfo.InvariantCulture)))
            {
                kill.WaitForExit();
            }

            Shop.End(process).ShouldFail(130, "R9002");
            // It was killed; whoever inherits it may take a moment to bury it. Left alone it would go on for its 60 s.
            SpinWait.SpinUntil(() => !Directory.Exists($"/proc/{worker}"), TimeSpan.FromSeconds(30)).ShouldBeTrue("The worker goes on.");
            var after = shop.Snapshot();
            after.ShouldBe(before);
        }
    }

    // Waits for the worker that runs the recipe: the child whose command line ends with its mode.
    private static int WaitForWorker(int parent)
    {
        Shop.Needs(Directory.Exists("/proc/self/task"), "/proc");
        for (var waited = Stopwatch.StartNew(); waited.Elapsed < TimeSpan.FromMinutes(1); Thread.Sleep(20))
        {
            foreach (string folder in Directory.EnumerateDirectories("/proc").Where(folder => char.IsAsciiDigit(Path.GetFileName(folder)[0])))
            {
                try
                {
                    string[] command = File.ReadAllText(Path.Combine(folder, "cmdline")).Split('\0', StringSplitOptions.RemoveEmptyEntries);
                    if (command.Contains("run") && File.ReadAllText(Path.Combine(folder, "stat")).Split(')')[^1].Split(' ', StringSplitOptions.RemoveEmptyEntries)[1]
                        == parent.ToString(CultureInfo.InvariantCulture))
                    {
                        return int.Parse(Path.GetFileName(folder), CultureInfo.InvariantCulture);
                    }
                }
                catch (Exception e) when (e is IOException or UnauthorizedAccessException)
                {
                    // It has ended.
                }
            }
        }

        throw new TimeoutException("No worker came.");
    }

    private int Length(params string[] command)
    {
        var watch = Stopwatch.StartNew();
        shop.Json(command).ShouldExit(0);
        return (int)watch.ElapsedMilliseconds;
    }

    // Kills it after a while, or in the middle of writing: as soon as its journal or new work file is there. False where it was done before.
    private bool Kill(Process process, bool whileWriting, int milliseconds)
    {
        _ = process.StandardOutput.ReadToEndAsync();
        _ = process.StandardError.ReadToEndAsync();
        if (whileWriting)
        {
            while (!process.HasExited && !File.Exists(shop.At("ring.png.work-journal")))
            {
                Thread.SpinWait(1000);
            }
        }
        else
        {
            process.WaitForExit(milliseconds);
        }

        bool alive = !process.HasExited;
        process.Kill();
        process.WaitForExit();
        return alive;
    }

    // The step before each step, on the way that the last commit took.
    private static Dictionary<int, int> Ways(JsonNode line)
    {
        int[] way = [0, .. line["steps"]!.AsArray().Where(step => (string)step!["state"]! != "abandoned").Select(step => (int)step!["step"]!)];
        return way.Skip(1).Select((number, i) => (number, parent: way[i])).ToDictionary(pair => pair.number, pair => pair.parent);
    }

    private static int Undone(JsonNode line)
    {
        int head = (int)line["head"]!;
        var undone = line["steps"]!.AsArray().FirstOrDefault(step => (string)step!["state"]! == "undone");
        return undone is null ? head : (int)undone["step"]!;
    }

    private static HashSet<string> Recipes(JsonNode line, int head)
    {
        var names = new HashSet<string>(StringComparer.Ordinal);
        var ways = Ways(line);
        for (int at = head; at != 0; at = ways[at])
        {
            names.Add((string)line["steps"]![at - 1]!["recipe"]!["name"]!);
        }

        return names;
    }
}
