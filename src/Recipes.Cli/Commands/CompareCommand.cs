using System.CommandLine;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Cli.Commands;

/// <summary><c>compare</c>: the exact difference of two files, with the pictures of a dry run.</summary>
internal static class CompareCommand
{
    public static Command Create()
    {
        var a = new Argument<string>("A") { Description = "The first picture" };
        var b = new Argument<string>("B") { Description = "The second picture" };
        var output = new Option<string?>("--out")
        {
            Description = "The folder for pictures and report [default: FILENAME.compare beside A]", HelpName = "DIR",
        };
        var setup = Options.Setup();
        var force = Options.Force();
        var tolerance = new Option<int>("--tolerance")
        {
            Description = "Ignore differences of at most so many levels in each channel", HelpName = "LEVELS",
        };
        var command = new Command("compare", "Shows the exact difference between two pictures") { a, b, output, tolerance, setup, Options.Garment, force };
        return command.With("recipes compare puffin.png puffin-print.png", session =>
        {
            var parse = session.Parse;
            string first = parse.GetRequiredValue(a), second = parse.GetRequiredValue(b);
            var request = new ComparisonRequest(first, second, parse.GetValue(output) ?? DryRunCommand.DefaultFolder(first, "compare"))
            {
                Setup = session.Setup(setup), Tolerance = parse.GetValue(tolerance), Force = parse.GetValue(force),
            };
            var made = Comparison.Make(session.Shop, request);
            made.Fields["milliseconds"] = session.Timings.ToJson();
            return new Outcome(made.Fields, text => Write(text, first, second, made));
        });
    }

    private static void Write(TextWriter text, string a, string b, Comparison made)
    {
        var (compared, report, folder, _) = made;
        var (first, second) = (compared.First, compared.Second);
        text.WriteLine(report.Changed switch
        {
            null => $"{a} and {b} differ in size: {first.Width} x {first.Height} and {second.Width} x {second.Height} px"
                + $"{RunText.Resolutions(report, ", ", " and ")}.",
            { Pixels: 0 } => $"{a} and {b} show the same pixels{(report.Change.White is null ? "" : "; their white ink differs")}"
                + $"{RunText.Resolutions(report, "; their resolution differs: ", " and ")}.",
            var changed => $"Ink: {RunText.LostAndGained(report)}.{Environment.NewLine}{Numeral.Of(changed.Pixels)} px differ, in the box {changed.Box}, "
                + $"by at most {Levels(changed.LargestDelta)}"
                + $"{RunText.Resolutions(report, "; their resolution differs: ", " and ")}.",
        });
        if (made.NotCounted is { } notCounted)
        {
            text.WriteLine(notCounted);
        }

        if (compared.Moved is { } move)
        {
            text.WriteLine($"{b} is {a} moved: the same art, {Far(move)}.");
        }

        text.WriteLine($"Look at {folder["report.html"]}, or {folder["diff.png"]}.");
    }

    private static string Levels(int levels) => $"{Numeral.Of(levels)} {(levels == 1 ? "level" : "levels")}";

    private static string Far(PictureMove move)
    {
        string?[] ways =
        [
            move.X == 0 ? null : $"{Numeral.Of(Math.Abs(move.X))} px to the {(move.X > 0 ? "right" : "left")}",
            move.Y == 0 ? null : $"{Numeral.Of(Math.Abs(move.Y))} px {(move.Y > 0 ? "down" : "up")}",
        ];
        return move is { X: 0, Y: 0 } ? "at the same place from the top left corner" : string.Join(" and ", ways.OfType<string>());
    }
}
