using System.Collections.Immutable;
using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

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
        return command.With("recipes compare puffin.png puffin-print.png", session => Run(
            session, session.Parse.GetRequiredValue(a), session.Parse.GetRequiredValue(b), session.Parse.GetValue(output), new Comparing(
                session.Setup(setup), session.Parse.GetValue(force), session.Parse.GetValue(tolerance))));
    }

    private sealed record Comparing(string? Setup, bool Force, int Tolerance);

    private static Outcome Run(Session session, string a, string b, string? output, Comparing how)
    {
        if (how.Tolerance is < 0 or > 255)
        {
            throw new ProblemException(Codes.BadUsage, "'--tolerance' takes levels from 0 to 255.", "Write --tolerance 2, for instance.");
        }

        var setup = ChosenSetup.Find(how.Setup, null);
        var first = session.Shop.FindState(session.Shop.ReadArt(a), null, setup, true, WorkerPool.Usual);
        var second = session.Shop.FindState(session.Shop.ReadArt(b), null, setup, true, WorkerPool.Usual);
        using var folder = DryRunFolder.Prepare(output ?? DryRunCommand.DefaultFolder(a, "compare"), "compare", how.Force, a, b);
        var compared = session.Timings.Measure("compare", () => ComparedArts.Of(first.Art, second.Art, how.Tolerance, setup.Setup.Ink));
        string? notCounted = compared.Ignored == 0 ? null
            : $"Not counted, as in {a} in the pictures: {Numeral.Of(compared.Ignored)} px that differ by at most {Levels(compared.Tolerance)}; "
                + $"{(compared.IgnoredInk == 0 ? "none" : Numeral.Of(compared.IgnoredInk))} of them print in one and stay bare in the other.";
        var report = Report(first, second, setup, compared) with { Notes = notCounted is null ? [] : [notCounted] };
        var fields = new JsonObject
        {
            ["a"] = ReportJson.Of(first.Identity),
            ["b"] = ReportJson.Of(second.Identity),
            ["art"] = ReportJson.Of(first.Identity),
            ["same"] = report.ChangesNothing,
            ["tolerance"] = compared.Tolerance,
            ["ignored"] = new JsonObject { ["pixels"] = compared.Ignored, ["ink"] = compared.IgnoredInk },
            ["changed"] = ReportJson.Of(report.Changed),
            ["moved"] = compared.Moved is { } moved ? new JsonObject { ["x"] = moved.X, ["y"] = moved.Y } : null,
            ["outputs"] = folder.Outputs(),
            ["inputs"] = new JsonObject { ["art"] = folder.Seen(a), ["other"] = folder.Seen(b) },
        };
        var answer = ReportJson.Answer("compare", ExitCode.Done, [], fields);

        session.Progress.During("Drawing the pictures", () => session.Timings.Measure("pictures", () =>
        {
            folder.Draw(new RunResult(compared.First, compared.Second, report), cancel: session.Cancel);
            folder.Complete(answer);
            return true;
        }));
        fields["milliseconds"] = session.Timings.ToJson();
        return new Outcome(fields, text =>
        {
            text.WriteLine(report.Changed switch
            {
                null => $"{a} and {b} differ in size: {first.Art.Width} x {first.Art.Height} and {second.Art.Width} x {second.Art.Height} px{RunText.Resolutions(report, ", ", " and ")}.",
                { Pixels: 0 } => $"{a} and {b} show the same pixels{(report.Change.White is null ? "" : "; their white ink differs")}{RunText.Resolutions(report, "; their resolution differs: ", " and ")}.",
                var changed => $"Ink: {RunText.LostAndGained(report)}.{Environment.NewLine}{Numeral.Of(changed.Pixels)} px differ, in the box {changed.Box}, "
                    + $"by at most {Levels(changed.LargestDelta)}"
                    + $"{RunText.Resolutions(report, "; their resolution differs: ", " and ")}.",
            });
            if (notCounted is not null)
            {
                text.WriteLine(notCounted);
            }

            if (compared.Moved is { } move)
            {
                text.WriteLine($"{b} is {a} moved: the same art, {Far(move)}.");
            }

            text.WriteLine($"Look at {folder["report.html"]}, or {folder["diff.png"]}.");
        });
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

    private static RunReport Report(ArtState first, ArtState second, ChosenSetup setup, ComparedArts compared) => new()
    {
        Ground = second.Art.Ground,
        Recipe = new RecipeIdentity("compare", 1, "", $"{Path.GetFileName(first.File.Path)} against {Path.GetFileName(second.File.Path)}"),
        Art = first.Identity,
        FromStep = 0,
        Parameters = ImmutableSortedDictionary<string, string>.Empty,
        Setup = setup.Setup,
        SetupIsFallback = setup.IsFallback,
        Change = ArtChange.Between(compared.First, compared.Second, setup.Setup.Ink),
        Declared = new DeclaredCount(0, 0, 0, 0, false),
        Guards = [],
    };
}
