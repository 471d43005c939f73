using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.ManyRuns;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>run</c>: many files through one recipe or list, without work files, several at a time.</summary>
internal static class RunCommand
{
    public static Command Create()
    {
        var recipe = Options.RecipeOrList();
        recipe.Arity = ArgumentArity.ZeroOrOne;
        var art = new Argument<string[]>("ART") { Description = "The pictures, or folders of them", Arity = ArgumentArity.ZeroOrMore };
        var output = new Option<string>("--output", "-o")
        {
            Description = "The folder for STEM.png and STEM.json of each picture, or FILENAME.png where stems meet", HelpName = "DIR", Required = true,
        };
        var list = new Option<string?>("--list")
        {
            Description = "Take each picture, its recipe, parameters, setup, quantity and more from a CSV file, and make a tick-off sheet",
            HelpName = "FILE.csv",
        };
        var (force, by) = (Options.Force(), Options.By());
        var job = new RecipeJob();
        var command = new Command("run", "Runs a recipe or a list on many files at once and writes the results elsewhere")
        {
            recipe, art, output, list, force, by,
        };
        job.AddTo(command);
        return command.With("recipes run clean-background orders/*.png -o printed --setup light-garment", session =>
        {
            var parse = session.Parse;
            var request = job.Many(session, parse.GetRequiredValue(output)) with { Force = parse.GetValue(force), By = session.By(by) };
            using var workers = job.Workers(session);
            return (parse.GetValue(list), parse.GetValue(recipe), parse.GetValue(art)) switch
            {
                ({ } file, null, not { Length: > 0 }) => Told(session, request, new RunOrders(session.Shop, request, workers).List(file)),
                (null, { } name, { Length: > 0 } arts) => Told(session, request, RunMany.Arts(session.Shop, request, name, arts, workers)),
                _ => throw new ProblemException(Codes.BadUsage, "'run' takes a RECIPE and at least one ART, or --list FILE.csv.",
                    "For instance: recipes run clean-background puffin.png -o printed"),
            };
        });
    }

    private static Outcome Told(Session session, ManyRunsRequest request, ManyArts done)
    {
        var fields = new JsonObject
        {
            ["recipe"] = new JsonObject
            {
                ["name"] = done.Recipe.Name, ["version"] = done.Recipe.Version, ["sha256"] = done.Recipe.Sha256, ["title"] = done.Recipe.Title,
            },
            ["setup"] = SetupJson.ToJson(done.Setup.Setup),
            ["skipped"] = new JsonArray([.. done.Skipped.Select(path => (JsonNode)path)]),
            ["stale"] = new JsonArray([.. done.Stale.Select(path => (JsonNode)path)]),
        };
        return Told(session, request, fields, done.Run, text =>
        {
            Say(text, done.Skipped, "Not run, since this program wrote it");
            Say(text, done.Stale, "Left from an earlier run, of an art whose result has a longer name now; delete it, so that nobody prints it");
        }) with { Problems = [.. done.Run.Problems, .. done.LeftOut] };
    }

    private static Outcome Told(Session session, ManyRunsRequest request, OrdersRun done)
    {
        var fields = new JsonObject
        {
            ["list"] = new JsonObject { ["path"] = done.List, ["rows"] = done.Orders.Length, ["pieces"] = done.Orders.Sum(order => (long)order.Quantity) },
            ["outputs"] = new JsonObject { ["sheet"] = done.Sheet },
        };
        return Told(session, request, fields, done.Run, text =>
        {
            if (done.Sheet is { } sheet)
            {
                text.WriteLine($"Print {sheet} to tick the pieces off.");
            }
        }) with { Problems = [.. done.Run.Problems, .. done.SheetProblems] };
    }

    private static Outcome Told(Session session, ManyRunsRequest request, JsonObject fields, ManyRun run, Action<TextWriter> more)
    {
        fields["items"] = new JsonArray([.. run.Items.Select(item => item.Json)]);
        if (request.Timed)
        {
            fields["milliseconds"] = session.Timings.ToJson();
        }

        return new Outcome(fields, text =>
        {
            foreach (var item in run.Items)
            {
                text.WriteLine(item.Output is { } output ? $"{item.Art}: {RunText.Changed(item.Report!)}, wrote {output}" : $"{item.Art}: not written");
                RunText.Questions(text, item.Questions, question => $"--set {question.Setting(ofList: item.Report!.Steps.Length > 0)}");
            }

            text.WriteLine($"{Numeral.Of(run.Written)} of {Numeral.Of(run.Total)} written to {request.Folder}.");
            more(text);
            if (request.Timed)
            {
                session.Timings.Write(text);
            }
        })
        {
            First = [.. run.Items.SelectMany(item => item.First)],
        };
    }

    private static void Say(TextWriter text, IEnumerable<string> paths, string what)
    {
        foreach (string path in paths)
        {
            text.WriteLine($"{what}: {path}");
        }
    }
}
