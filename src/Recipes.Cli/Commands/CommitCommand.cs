using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Steps;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>commit</c>: keeps a recipe's result as one step of the work file.</summary>
internal static class CommitCommand
{
    public static Command Create()
    {
        var recipe = Options.RecipeOrList();
        recipe.Arity = ArgumentArity.ZeroOrOne;
        var art = Options.Art();
        art.Arity = ArgumentArity.ZeroOrOne;
        var job = new RecipeJob();
        var dryRun = new Option<string?>("--dry-run")
        {
            Description = "Keep exactly what the dry run in DIR showed, or refuse where anything has changed since", HelpName = "DIR",
        };
        var again = new Option<bool>("--again") { Description = "Repeat a recipe that says that a second run does harm" };
        var steps = new Option<bool>("--steps") { Description = "Keep each recipe of a list as a step of its own" };
        var by = Options.By();
        var command = new Command("commit", "Keeps a recipe's result as one step, which undo takes back") { recipe, art, dryRun, again, steps, by };
        job.AddTo(command);
        return command.With("recipes commit printable-whites puffin.png --setup light-garment --by night-shift", session =>
        {
            var parse = session.Parse;
            var how = new KeepOptions(session.By(by)) { Again = parse.GetValue(again), EachStep = parse.GetValue(steps), Strict = parse.GetValue(job.Strict) };
            bool timed = parse.GetValue(job.Timings);
            return (parse.GetValue(dryRun), parse.GetValue(recipe), parse.GetValue(art)) switch
            {
                ({ } folder, var named, null) => KeepADryRun(session, job, new KeepDryRunRequest(folder, how)
                {
                    NamedArt = named, RecipesFolder = parse.GetValue(job.RecipesFolder), Here = Directory.GetCurrentDirectory(),
                }),
                (null, { } name, { } path) => job.Find(session, job.Request(session, name, path, toKeep: true), run =>
                    Told(session, Keep.Run(session.Shop, run, session.Shop.WorkPathOf(path), how), timed)),
                _ => throw new ProblemException(Codes.BadUsage, "'commit' takes a RECIPE and an ART, or --dry-run DIR, with the ART alone where you name it.",
                    "For instance: recipes commit printable-whites puffin.png"),
            };
        });
    }

    private static Outcome KeepADryRun(Session session, RecipeJob job, KeepDryRunRequest request)
    {
        var record = DryRunFolder.Read(request.Folder);
        if (session.Parse.GetValue(job.Set)!.Length + session.Parse.GetValue(job.Guard)!.Length > 0 || session.Setup(job.Setup) is not null)
        {
            throw new ProblemException(Codes.BadUsage, "'commit --dry-run' keeps what the dry run showed; it takes no --set, --setup or --guard.",
                "Run the dry run again with other values.");
        }

        using var workers = job.Workers(session);
        return KeepDryRun.Run(session.Shop, request, record, workers, (kept, state) =>
            Told(session, kept, session.Parse.GetValue(job.Timings)).TellFirst(state));
    }

    private static Outcome Told(Session session, Kept kept, bool timed)
    {
        var report = kept.Listed.Whole.Report;
        var fields = new JsonObject();
        ReportJson.AddTo(fields, report);
        if (kept.Refusal is null)
        {
            fields["step"] = kept.Step;
        }

        if (kept.IsNew)
        {
            fields["outputs"] = new JsonObject { ["file"] = kept.WorkPath };
        }

        if (kept.IsNew && kept.Listed.Left is { } left)
        {
            fields["findings"] = ReportJson.Of(left);
        }

        fields["milliseconds"] = session.Timings.ToJson();
        return new Outcome(fields, text =>
        {
            RunText.Write(text, report);
            if (kept.IsNew)
            {
                RunText.Left(text, kept.Listed.Left);
                text.WriteLine($"Kept as step {kept.Step}. The file itself is untouched; 'recipes undo {report.Art.Path}' takes the step back.");
            }
            else if (kept.Refusal is null)
            {
                text.WriteLine($"Nothing to keep: the recipe changes nothing here, so no step was added. {report.Art.Path} stays at step {kept.Step}.");
            }

            if (kept.IsNew && timed)
            {
                session.Timings.Write(text);
            }
        })
        {
            Problems = [.. Session.Warnings(kept.Refusal), .. Session.Warnings(kept.Unnoted)],
        };
    }
}
