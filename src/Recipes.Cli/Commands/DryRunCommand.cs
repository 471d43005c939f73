using System.CommandLine;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Words;

namespace Recipes.Cli.Commands;

/// <summary><c>dry-run</c>: a try. Nothing is kept; the pictures show what would be.</summary>
internal static class DryRunCommand
{
    public static Command Create()
    {
        var recipe = Options.RecipeOrList();
        var art = Options.Art();
        var job = new RecipeJob();
        var output = new Option<string?>("--out")
        {
            Description = "The folder for pictures and report [default: FILENAME.dry-run beside ART]", HelpName = "DIR",
        };
        var original = Options.Original();
        var force = Options.Force();
        var command = new Command("dry-run", "Tries a recipe without touching anything, and shows what it would change")
        {
            recipe, art, output, original, force,
        };
        job.AddTo(command);
        return command.With("recipes dry-run printable-whites puffin.png --setup light-garment", session =>
        {
            var parse = session.Parse;
            string path = parse.GetRequiredValue(art);
            return job.Find(session, job.Request(session, parse.GetRequiredValue(recipe), path, original: original), run =>
            {
                using var folder = DryRunFolder.Prepare(parse.GetValue(output) ?? DefaultFolder(path, "dry-run"), "dry-run", parse.GetValue(force), path);
                return Told(session, folder, DryRun.Make(session.Shop, run, folder, new DryRunOptions
                {
                    Original = parse.GetValue(original), Setup = session.Setup(job.Setup), Kind = parse.GetValue(job.Kind), Strict = parse.GetValue(job.Strict),
                    Timed = parse.GetValue(job.Timings), Force = parse.GetValue(force),
                }), parse.GetValue(job.Timings));
            });
        });
    }

    private static Outcome Told(Session session, DryRunFolder folder, DrawnDryRun drawn, bool timed)
    {
        var (listed, report) = (drawn.Listed, drawn.Listed.Whole.Report);
        drawn.Fields["milliseconds"] = session.Timings.ToJson();
        return new Outcome(drawn.Fields, text =>
        {
            RunText.Write(text, report);
            RunText.Left(text, listed.Left);
            foreach (var (step, pictures) in listed.Steps.Select(step => step.Report).Zip(drawn.Steps))
            {
                text.WriteLine($"  {step.Recipe.Name}: {RunText.Changed(step)}{(step.Refused ? ", refused" : "")}, see {pictures["report.html"]}");
            }

            string picture = folder[report.Changed is null ? "after.png" : "diff.png"];
            text.WriteLine($"{Verdict(drawn)} Look at {folder["report.html"]}, or {picture}.");
            if (report.SettlesNothing)
            {
                text.WriteLine("Nothing to keep: the recipe changes nothing here.");
            }
            else if (drawn.Refusal is null)
            {
                text.WriteLine(report.SetupIsFallback ? "To keep it, run it again with --setup NAME."
                    : $"Keep it with: recipes commit --dry-run {ShellWord.Of(folder.Folder)}{(drawn.Repeat is null ? "" : " --again")}");
            }

            if (timed)
            {
                session.Timings.Write(text);
            }
        })
        {
            Problems = drawn.Problems,
        };
    }

    private static string Verdict(DrawnDryRun drawn) => drawn.Refusal is null ? "A try: nothing was kept."
        : drawn.Listed.Whole.Report.Refused ? "A guardrail refused this." : "A question is open.";

    /// <summary><c>FILENAME.dry-run</c> beside the art, where its work file is <c>FILENAME.work</c>: kids.jpg and kids.png share neither.</summary>
    public static string DefaultFolder(string artPath, string kind) => $"{artPath}.{kind}";
}
