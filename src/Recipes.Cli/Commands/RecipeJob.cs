using System.CommandLine;
using Recipes.Hosting.Arts;
using Recipes.Hosting.ManyRuns;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary>The options of every command that runs a recipe, and what they ask for.</summary>
internal sealed class RecipeJob
{
    public Option<string?> Setup { get; } = Options.Setup();

    public Option<string[]> Set { get; } = Options.Set();

    public Option<string[]> Guard { get; } = Options.Guard();

    public Option<string?> RecipesFolder { get; } = Options.RecipesFolder();

    public Option<double> TimeLimit { get; } = Options.TimeLimit();

    public Option<int?> MemoryLimit { get; } = Options.MemoryLimit();

    public Option<bool> Timings { get; } = Options.Timings();

    public Option<string?> Kind { get; } = Options.Kind();

    public Option<bool> Strict { get; } = new("--strict") { Description = "End with exit code 6 while a question is open" };

    public void AddTo(Command command)
    {
        command.Add(Set);
        command.Add(Setup);
        command.Add(Options.Garment);
        command.Add(Guard);
        command.Add(RecipesFolder);
        command.Add(TimeLimit);
        command.Add(MemoryLimit);
        command.Add(Timings);
        command.Add(Kind);
        command.Add(Strict);
    }

    /// <summary>What is asked for of one recipe or list and one art.</summary>
    /// <param name="session">The command.</param>
    /// <param name="recipe">The recipe's or list's name, or a file.</param>
    /// <param name="artPath">The art.</param>
    /// <param name="toKeep">True: the result is kept.</param>
    /// <param name="original">The option that asks for the art as it came, where the command has it.</param>
    public TryRequest Request(Session session, string recipe, string artPath, bool toKeep = false, Option<bool>? original = null) =>
        new(Recipe(session, recipe, toKeep), session.Art(artPath, Setup, original) with { Kind = GroundJson.ReadKind(session.Parse.GetValue(Kind)) })
        {
            Guardrails = Guardrails(session),
        };

    /// <summary>The recipe or list with its parameters, and where to look for it.</summary>
    public RecipeRequest Recipe(Session session, string recipe, bool toKeep) => new(recipe)
    {
        Folder = session.Parse.GetValue(RecipesFolder), Sets = session.Parse.GetValue(Set)!, ToKeep = toKeep,
    };

    /// <summary>What is asked for of many arts.</summary>
    /// <param name="session">The command.</param>
    /// <param name="folder">Where the results are written.</param>
    /// <exception cref="ProblemException">R1001 setup and garment are both given; R1010 no such guardrail or policy.</exception>
    public ManyRunsRequest Many(Session session, string folder) => new(folder)
    {
        Sets = session.Parse.GetValue(Set)!,
        RecipesFolder = session.Parse.GetValue(RecipesFolder),
        Setup = session.SetupName(Setup),
        Garment = session.Parse.GetValue(Options.Garment),
        Guardrails = Guardrails(session),
        Kind = GroundJson.ReadKind(session.Parse.GetValue(Kind)),
        Strict = session.Parse.GetValue(Strict),
        Timed = session.Parse.GetValue(Timings),
    };

    public Guardrails Guardrails(Session session) => GuardrailText.Read(session.Parse.GetValue(Guard)!);

    /// <summary>Finds all that it needs and goes on; the answer says first that the art's last print was bad, where it was.</summary>
    public Outcome Find(Session session, TryRequest request, Func<ReadyRun, Outcome> then)
    {
        using var workers = Workers(session);
        return ReadyRun.Find(session.Shop, request, workers, run => then(run).TellFirst(run.State));
    }

    /// <summary>The workers of one command, which disposes of them.</summary>
    public WorkerPool Workers(Session session) => new(Options.ReadLimits(session.Parse.GetValue(TimeLimit), session.Parse.GetValue(MemoryLimit)));
}
