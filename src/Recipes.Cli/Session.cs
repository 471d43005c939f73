using System.CommandLine;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Cli;

/// <summary>One command at work: its options and the shop that it is for.</summary>
internal sealed class Session(ParseResult parse, Progress progress, TimeProvider time, CancellationToken cancel)
{
    public ParseResult Parse { get; } = parse;

    /// <summary>What every use case is given.</summary>
    public Shop Shop { get; } = new() { Clock = time, WorkFolder = parse.GetValue(Options.Work), Progress = progress, Cancel = cancel };

    public Timings Timings => Shop.Timings;

    public Progress Progress => Shop.Progress;

    public CancellationToken Cancel => Shop.Cancel;

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

    /// <summary>An art under the setup asked for.</summary>
    /// <param name="path">The art.</param>
    /// <param name="setup">The option that names the setup.</param>
    /// <param name="original">The option that asks for the art as it came, where the command has it.</param>
    /// <exception cref="ProblemException">R1013 no such garment; R1001 setup and garment are both given.</exception>
    public ArtReference Art(string path, Option<string?> setup, Option<bool>? original = null) => new(path)
    {
        Setup = Setup(setup), Original = original is not null && Parse.GetValue(original),
    };

    /// <summary>Who does this: <c>--by</c>, else the settings; never guessed.</summary>
    public string? By(Option<string?> by) => Parse.GetValue(by) ?? Settings.Read().By;
}
