using System.CommandLine;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Cli;

/// <summary>One command at work: what was asked for in common, and the steps that commands share.</summary>
internal sealed class Session(ParseResult parse, Progress progress, TimeProvider time, CancellationToken cancel)
{
    public ParseResult Parse { get; } = parse;

    public Timings Timings { get; } = new();

    public Progress Progress { get; } = progress;

    public CancellationToken Cancel { get; } = cancel;

    public string? WorkFolder => Parse.GetValue(Options.Work);

    public DateTimeOffset Now => time.GetUtcNow();

    public ArtFile ReadArt(string path)
    {
        if (WorkFolder is { } folder)
        {
            Originals.AddWorkFolder(folder);
        }

        return Timings.Measure("read", () => ArtFile.Read(path));
    }

    /// <summary>Opens the art's work file, or gives null where there is none.</summary>
    public WorkFile? OpenWork(string artPath, bool forWriting = false) =>
        Timings.Measure("work file", () => WorkFile.Open(WorkPath.Of(artPath, WorkFolder), forWriting));

    /// <summary>Opens the art's work file where there must be one.</summary>
    public WorkFile NeedWork(string artPath, bool forWriting, Code otherwise, string message)
    {
        if (!File.Exists(artPath) && !File.Exists(WorkPath.Of(artPath, WorkFolder)))
        {
            throw new ProblemException(Codes.ArtMissing, $"There is no file {artPath}.", "Check the path.", new Place(artPath));
        }

        return OpenWork(artPath, forWriting) ?? throw new ProblemException(otherwise, message, "'recipes commit' keeps a recipe's result as a step.", new Place(artPath));
    }

    /// <summary>The current state of an art.</summary>
    public ArtState FindState(ArtFile file, WorkFile? work, ChosenSetup setup, bool original, WorkerPool workers) =>
        Progress.During($"Reading {Path.GetFileName(file.Path)}", () => Timings.Measure("decode", () => ArtState.Find(file, work, setup, original, workers, Cancel)));

    /// <summary>Finds and compiles a recipe whose result is looked at and not kept.</summary>
    public ReadyRecipe FindRecipe(string nameOrFile, string? recipesFolder, WorkerPool workers) => Compile(ReadRecipe(nameOrFile, recipesFolder), workers);

    /// <summary>Finds and compiles a recipe whose result is kept; the house may demand that it is approved.</summary>
    public ReadyRecipe FindRecipeToKeep(string nameOrFile, string? recipesFolder, WorkerPool workers)
    {
        var source = ReadRecipe(nameOrFile, recipesFolder);
        Approval.Require(source);
        return Compile(source, workers);
    }

    /// <summary>Compiles a list's recipes, which are found in the list's own folder too.</summary>
    /// <param name="list">The list.</param>
    /// <param name="recipesFolder">The folder to look in first, or null for the list's own.</param>
    /// <param name="sets">Parameters as <c>recipe.name=value</c>.</param>
    /// <param name="toKeep">True: the result is kept, so the house may demand that it or each recipe is approved.</param>
    /// <param name="workers">The workers.</param>
    public ReadyList FindList(RecipeList list, string? recipesFolder, IEnumerable<string> sets, bool toKeep, WorkerPool workers)
    {
        var sources = ReadRecipes(list, recipesFolder);
        if (toKeep)
        {
            Approval.Require(list, sources);
        }

        return ReadyList.Of(list, [.. sources.Select(source => Compile(source, workers))], sets);
    }

    /// <summary>Finds and reads a list's recipes, in the list's own folder too.</summary>
    public static RecipeSource[] ReadRecipes(RecipeList list, string? recipesFolder) => [.. list.Recipes.Select(recipe =>
        recipesFolder is null && list.Own(recipe.Name) is { } own ? RecipeSource.Read(own.Name, own.File) : ReadRecipe(recipe.Name, recipesFolder ?? list.Folder))];

    /// <summary>The problem as a list, empty for none.</summary>
    public static IEnumerable<Problem> Warnings(Problem? problem) => problem is null ? [] : [problem];

    /// <summary>The setup asked for, by name or file: <c>--setup</c>, or what <c>--garment</c> names; null where neither is given.</summary>
    /// <exception cref="ProblemException">R1013 no such garment; R1001 both are given.</exception>
    public string? Setup(Option<string?> setup)
    {
        string? name = SetupName(setup);
        return Parse.GetValue(Options.Garment) is { } garment ? GarmentStock.Find(garment).Name : name;
    }

    /// <summary>The same where the name is enough: the stock isn't asked whether it lists the garment.</summary>
    /// <exception cref="ProblemException">R1001 both are given.</exception>
    public string? SetupName(Option<string?> setup)
    {
        string? named = Parse.GetValue(setup), garment = Parse.GetValue(Options.Garment);
        return named is null || garment is null ? named ?? garment : throw new ProblemException(
            Codes.BadUsage, "'--garment' chooses the setup; give it or '--setup', not both.", "A garment names its setup in garments.json.");
    }

    /// <summary>Who does this: <c>--by</c>, else the settings; never guessed.</summary>
    public string? By(Option<string?> by) => Parse.GetValue(by) ?? Settings.Read().By;

    /// <summary>Finds a recipe and reads it, without compiling it.</summary>
    public static RecipeSource ReadRecipe(string nameOrFile, string? recipesFolder)
    {
        if (RecipeList.Find(nameOrFile, recipesFolder) is { } list)
        {
            throw new ProblemException(Codes.BadUsage, $"'{list.Name}' is a list of recipes, and this takes one recipe.",
                $"Name one of its recipes: {string.Join(", ", list.Recipes.Select(recipe => recipe.Name))}. Lists go with 'show', 'dry-run', 'commit', 'approve' and 'pack'.", new Place(list.Path));
        }

        var (name, file) = RecipePath.Find(nameOrFile, recipesFolder);
        return RecipeSource.Read(name, file);
    }

    /// <summary>Compiles a recipe that was read, with progress and timing.</summary>
    public ReadyRecipe Compile(RecipeSource source, WorkerPool workers)
    {
        return Progress.During($"Compiling {source.Name}", () => Timings.Measure("compile", () => ReadyRecipe.Compile(source, workers, Cancel)));
    }
}
