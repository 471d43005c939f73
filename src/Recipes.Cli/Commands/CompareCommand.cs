using System.CommandLine;
using System.Collections.Immutable;
using System.Text.Json.Nodes;
using Recipes.Hosting;
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
        var command = new Command("compare", "Shows the exact difference between two pictures") { a, b, output, setup, Options.Garment, force };
        return command.With("recipes compare puffin.png puffin-print.png", session => Run(
            session, session.Parse.GetRequiredValue(a), session.Parse.GetRequiredValue(b), session.Parse.GetValue(output),
            session.Setup(setup), session.Parse.GetValue(force)));
    }

    private static Outcome Run(Session session, string a, string b, string? output, string? setupOption, bool force)
    {
        var setup = ChosenSetup.Find(setupOption, null);
        var first = session.FindState(session.ReadArt(a), null, setup, true, Workers.Usual);
        var second = session.FindState(session.ReadArt(b), null, setup, true, Workers.Usual);
        using var folder = DryRunFolder.Prepare(output ?? DryRunCommand.DefaultFolder(a, "compare"), "compare", force, a, b);
        var report = new RunReport
        {
            Ground = second.Art.Ground,
            Recipe = new RecipeIdentity("compare", 1, "", $"{Path.GetFileName(a)} against {Path.GetFileName(b)}"),
            Art = first.Identity,
            FromStep = 0,
            Parameters = ImmutableSortedDictionary<string, string>.Empty,
            Setup = setup.Setup,
            SetupIsFallback = setup.IsFallback,
            Change = ArtChange.Between(first.Art, second.Art, setup.Setup.Ink),
            Declared = new DeclaredCount(0, 0, 0, 0, false),
            Guards = [],
        };
        var fields = new JsonObject
        {
            ["a"] = ReportJson.Of(first.Identity),
            ["b"] = ReportJson.Of(second.Identity),
            ["art"] = ReportJson.Of(first.Identity),
            ["same"] = report.ChangesNothing,
            ["changed"] = ReportJson.Of(report.Changed),
            ["outputs"] = folder.Outputs(),
            ["inputs"] = new JsonObject { ["art"] = folder.Seen(a), ["other"] = folder.Seen(b) },
        };
        var answer = ReportJson.Answer("compare", Problems.ExitCode.Done, [], fields);

        session.Progress.During("Drawing the pictures", () => session.Timings.Measure("pictures", () =>
        {
            folder.Draw(new RunResult(first.Art, second.Art, report), cancel: session.Cancel);
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
                var changed => $"{RunText.N(changed.Pixels)} px differ, in the box {changed.Box}, by at most {RunText.N(changed.LargestDelta)} {(changed.LargestDelta == 1 ? "level" : "levels")}{RunText.Resolutions(report, "; their resolution differs: ", " and ")}.",
            });
            text.WriteLine($"Look at {folder["report.html"]}, or {folder["diff.png"]}.");
        });
    }
}
