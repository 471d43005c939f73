using System.CommandLine;
using Recipes.Hosting.Arts;
using Recipes.Hosting.CarryOvers;

namespace Recipes.Cli.Commands;

/// <summary><c>carry-over</c>: the steps of an art, replayed on the file that the customer sent instead.</summary>
internal static class CarryOverCommand
{
    private const string Name = "carry-over";

    public static Command Create()
    {
        var old = new Argument<string>("OLD") { Description = "The picture that the work was done on, or its work file" };
        var now = new Argument<string>("NEW") { Description = "The picture that was sent instead" };
        var job = new RecipeJob();
        var show = new Option<bool>("--show") { Description = "Show what would be carried over, and keep nothing" };
        var output = new Option<string?>("--out")
        {
            Description = "The folder for pictures of what needs an answer [default: FILENAME.carry-over beside NEW]", HelpName = "DIR",
        };
        var force = Options.Force();
        var by = Options.By();
        var command = new Command(Name, "Replays the steps of an art on a file that was sent again, and asks about what no longer fits")
        {
            old, now, show, output, force, by,
        };
        job.AddTo(command);
        return command.With("recipes carry-over puffin.png puffin-2.png --by night-shift", session =>
        {
            var parse = session.Parse;
            using var workers = job.Workers(session);
            string newPath = parse.GetRequiredValue(now);
            var request = new CarryOverRequest(parse.GetRequiredValue(old), newPath, parse.GetValue(output) ?? DryRunCommand.DefaultFolder(newPath, Name))
            {
                Setup = session.Setup(job.Setup), Sets = parse.GetValue(job.Set)!, RecipesFolder = parse.GetValue(job.RecipesFolder),
                Guardrails = job.Guardrails(session), Keep = !parse.GetValue(show), By = session.By(by), Force = parse.GetValue(force),
                Timed = parse.GetValue(job.Timings), Strict = parse.GetValue(job.Strict), Kind = GroundJson.ReadKind(parse.GetValue(job.Kind)),
            };
            var carried = CarryOver.Run(session.Shop, request, workers);
            return new Outcome(carried.Fields, text =>
            {
                CarryOverText.Write(text, request, carried);
                if (request.Timed)
                {
                    session.Timings.Write(text);
                }
            })
            {
                Problems = carried.Problems,
            };
        });
    }
}
