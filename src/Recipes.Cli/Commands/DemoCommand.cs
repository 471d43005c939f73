using System.CommandLine;
using System.Security.Cryptography;
using System.Text.Json.Nodes;
using Recipes.Cli.Demo;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>demo</c>: draws its own art and does the main job with it, from check to undo and export.</summary>
internal static class DemoCommand
{
    private const int MailQuality = 75;
    private const string About = "about.txt";

    private sealed record Step(string Why, string[] Command);

    public static Command Create()
    {
        var output = new Option<string>("--output", "-o")
        {
            Description = "The folder to work in", HelpName = "DIR", DefaultValueFactory = _ => "recipes-demo",
        };
        var force = Options.Force();
        var command = new Command("demo", "Draws an art of its own and shows the main job, from check to undo") { output, force };
        return command.With("recipes demo", session => Run(session, session.Parse.GetRequiredValue(output), session.Parse.GetValue(force)));
    }

    private static Outcome Run(Session session, string folder, bool force)
    {
        string png = Path.Combine(folder, "puffin.png"), jpeg = Path.Combine(folder, "puffin.jpg"),
            cut = Path.Combine(folder, "puffin-cut.png"), print = Path.Combine(folder, "puffin-print.png");
        string[] files = [png, jpeg, cut, print, png + ".work", Path.Combine(folder, "check.html")];
        Prepare(folder, force, files);
        var art = HarborDrawing.Draw();
        AtomicFile.Write(png, stream => PngWriter.Write(stream, art.Flat, art.PixelsPerInch));
        var cutOut = HarborDrawing.DrawCutOut();
        AtomicFile.Write(cut, stream => PngWriter.Write(stream, cutOut.Flat, cutOut.PixelsPerInch));
        byte[] mailed = JpegFile.Of(art, MailQuality, session.Cancel);
        AtomicFile.Write(jpeg, stream => stream.Write(mailed));

        bool talk = !session.Parse.GetValue(Options.Json) && !session.Parse.GetValue(Options.Quiet);
        if (talk)
        {
            Console.WriteLine(CleanText.OneLine(
                $"The harbor fun run wants its puffin on shirts. {png} is the drawing; "
                + $"{jpeg} is the same after a trip by mail, {cut} after somebody cut it out."));
        }

        var steps = new JsonArray();
        foreach (var step in Steps(folder, png, jpeg, print))
        {
            session.Cancel.ThrowIfCancellationRequested();
            var (exit, text) = Call(step.Command);
            steps.Add(new JsonObject { ["command"] = $"recipes {string.Join(' ', step.Command)}", ["exit"] = exit });
            if (talk)
            {
                Console.WriteLine($"\n{step.Why}\n{CleanText.OneLine($"$ recipes {string.Join(' ', step.Command)}")}\n{text.TrimEnd()}");
            }

            if (exit == (int)ExitCode.Output)
            {
                throw new ProblemException(Codes.OutputUnwritable,
                    $"The demo's command 'recipes {string.Join(' ', step.Command)}' couldn't write into {folder}; above it says why.",
                    "Name another folder with -o.", new Place(folder));
            }

            if (exit != 0)
            {
                throw new ProblemException(Codes.Fault, $"The demo's command 'recipes {string.Join(' ', step.Command)}' ended with {exit}.",
                    "Please report this; --verbose shows more.");
            }
        }

        Remember(folder, files);
        string dryRun = DryRunCommand.DefaultFolder(png, "dry-run"), mailDryRun = DryRunCommand.DefaultFolder(jpeg, "dry-run");
        var fields = new JsonObject
        {
            ["steps"] = steps,
            ["outputs"] = new JsonObject { ["folder"] = folder, ["report"] = Path.Combine(dryRun, "report.html"), ["file"] = print },
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine();
            text.WriteLine("Pictures to open:");
            (string Path, string What)[] pictures =
            [
                (Path.Combine(dryRun, "report.html"), "the try, as a page"),
                (Path.Combine(dryRun, "diff.png"), "what would change: the whites print, the ring's hole doesn't"),
                (Path.Combine(mailDryRun, "diff.png"), "the dust that mailing left around the art"),
                (Path.Combine(folder, "check.html"), "what prints and what stays bare"),
                (print, "the file for the machine"),
            ];
            int width = pictures.Max(picture => picture.Path.Length);
            foreach (var (path, what) in pictures)
            {
                text.WriteLine($"  {path.PadRight(width)}  {what}");
            }

            text.WriteLine("Next: docs/guide.md, a recipe of your own in ten minutes.");
        });
    }

    private static IEnumerable<Step> Steps(string folder, string png, string jpeg, string print)
    {
        const string setup = "light-garment";
        string dryRun = DryRunCommand.DefaultFolder(png, "dry-run");
        // The hole of the ring is a question that only a person can answer, so its number is looked up, not guessed.
        string hole = HoleOfTheRing();
        yield return new Step("First a look: what will print, and what stays bare because it is pure white?",
            ["check", png, "--setup", setup, "--out", folder]);
        yield return new Step("Belly, cheek, sail and the white of the life ring would show bare cloth. "
            + "A try moves them to the brightest white that prints, all but\n"
            + $"region {hole}, the hole of the life ring, which must stay bare. Nothing is kept yet:",
            ["dry-run", "printable-whites", png, "--set", $"except={hole}", "--setup", setup]);
        yield return new Step("The picture looks right, so keep exactly what it showed:",
            ["commit", "--dry-run", dryRun, "--by", "night-shift"]);
        yield return new Step("The thumb print in the corner would print as dust. Clean the background, and keep that too; the belly stays printable:",
            ["commit", "clean-background", png, "--by", "night-shift"]);
        yield return new Step("Second thoughts? Undo takes the last step back …", ["undo", png]);
        yield return new Step("… and redo does it again.", ["redo", png]);
        yield return new Step("The morning shift sees what the night shift did:", ["history", png]);
        yield return new Step("The file for the machine, with its origin written inside:", ["export", png, "-o", print]);
        yield return new Step("The mailed JPEG is full of dust. A try cleans its background:",
            ["dry-run", "clean-background", jpeg, "--setup", setup]);
    }

    // The enclosed white region that holds the center of the drawn ring.
    private static string HoleOfTheRing() =>
        Find.PureWhite(HarborDrawing.Draw().Flat).Enclosed().Islands().NumberAt(720, 980).ToString(System.Globalization.CultureInfo.InvariantCulture);

    // The demo calls the very commands that a person would type.
    private static (int Exit, string Text) Call(string[] command)
    {
        var terminal = Console.Out;
        using var text = new StringWriter();
        Console.SetOut(text);
        try
        {
            int exit = Program.CommandLine().Parse(command, new ParserConfiguration { ResponseFileTokenReplacer = null })
                .Invoke(new InvocationConfiguration { EnableDefaultExceptionHandler = false, ProcessTerminationTimeout = null });
            return (exit, text.ToString());
        }
        finally
        {
            Console.SetOut(terminal);
        }
    }

    // Only files that are still what an earlier demo wrote may be replaced; force replaces pictures, never anybody's work.
    private static void Prepare(string folder, bool force, string[] files)
    {
        if (File.Exists(folder))
        {
            throw AtomicFile.Exists(folder);
        }

        string[] written = Readable(Path.Combine(folder, About), about => File.Exists(about) ? File.ReadAllLines(about) : []) ?? [];
        foreach (string file in files.Where(File.Exists))
        {
            bool ours = Readable(file, Line) is { } line && written.Contains(line);
            if (!ours && (!force || file.EndsWith(".work", StringComparison.Ordinal)))
            {
                throw AtomicFile.Exists(file);
            }
        }

        AtomicFile.CreateFolder(folder);
        foreach (string file in files)
        {
            AtomicFile.Delete(file);
        }
    }

    private static void Remember(string folder, string[] files) => AtomicFile.Write(Path.Combine(folder, About), stream =>
    {
        using var text = new StreamWriter(stream, leaveOpen: true) { NewLine = "\n" };
        text.WriteLine("Made by 'recipes demo', which replaces these files as long as nobody has changed them:");
        foreach (string file in files.Where(File.Exists))
        {
            text.WriteLine(Line(file));
        }
    });

    // What can't be read isn't known to be ours.
    private static T? Readable<T>(string file, Func<string, T> read)
        where T : class
    {
        try
        {
            return read(file);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    private static string Line(string file) => $"{Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(file)))}  {Path.GetFileName(file)}";
}
