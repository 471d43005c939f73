using System.Collections.Immutable;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.DryRuns;

/// <summary>Two pictures that are to be compared.</summary>
/// <param name="First">The first.</param>
/// <param name="Second">The second.</param>
/// <param name="Folder">Where pictures and report are written.</param>
public sealed record ComparisonRequest(string First, string Second, string Folder)
{
    /// <summary>The garment setup, by name or file; null takes the chosen one.</summary>
    public string? Setup { get; init; }

    /// <summary>How many levels a channel may differ by, 0 to 255.</summary>
    public int Tolerance { get; init; }

    /// <summary>True: replaces what another command wrote.</summary>
    public bool Force { get; init; }
}

/// <summary>The exact difference of two pictures, drawn as a dry run is.</summary>
/// <param name="Compared">The difference.</param>
/// <param name="Report">As a run's report tells it, from the first to the second.</param>
/// <param name="Folder">Its pictures.</param>
/// <param name="Fields">The report's fields.</param>
public sealed record Comparison(ComparedArts Compared, RunReport Report, DryRunFolder Folder, JsonObject Fields)
{
    /// <summary>What the tolerance passed over, in a sentence; null where it passed over nothing.</summary>
    public string? NotCounted => Report.Notes is [var note, ..] ? note : null;

    /// <summary>Compares two pictures and draws the difference.</summary>
    /// <exception cref="ProblemException">R1001 no such tolerance; R3 codes a picture can't be read; R8 codes a file can't be written.</exception>
    public static Comparison Make(Shop shop, ComparisonRequest request)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        if (request.Tolerance is < 0 or > 255)
        {
            throw new ProblemException(Codes.BadUsage, "'--tolerance' takes levels from 0 to 255.", "Write --tolerance 2, for instance.");
        }

        var setup = ChosenSetup.Find(request.Setup, null);
        var first = shop.FindState(shop.ReadArt(request.First), null, setup, true, shop.Workers);
        var second = shop.FindState(shop.ReadArt(request.Second), null, setup, true, shop.Workers);
        using var folder = DryRunFolder.Prepare(request.Folder, "compare", request.Force, request.First, request.Second);
        var compared = shop.Timings.Measure("compare", () => ComparedArts.Of(first.Art, second.Art, request.Tolerance, setup.Setup.Ink));
        var report = ReportOf(first, second, setup, compared) with { Notes = Passed(request.First, compared) is { } passed ? [passed] : [] };
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
            ["inputs"] = new JsonObject { ["art"] = folder.Seen(request.First), ["other"] = folder.Seen(request.Second) },
        };
        shop.Progress.During("Drawing the pictures", () => shop.Timings.Measure("pictures", () =>
        {
            folder.Draw(new RunResult(compared.First, compared.Second, report), cancel: shop.Cancel);
            folder.Complete(ReportJson.Answer("compare", ExitCode.Done, [], fields));
            return true;
        }));
        return new Comparison(compared, report, folder, fields);
    }

    private static string? Passed(string first, ComparedArts compared) => compared.Ignored == 0 ? null
        : $"Not counted, as in {first} in the pictures: {Numeral.Of(compared.Ignored)} px that differ by at most {Numeral.Of(compared.Tolerance)} "
            + $"{(compared.Tolerance == 1 ? "level" : "levels")}; "
            + $"{(compared.IgnoredInk == 0 ? "none" : Numeral.Of(compared.IgnoredInk))} of them print in one and stay bare in the other.";

    private static RunReport ReportOf(ArtState first, ArtState second, ChosenSetup setup, ComparedArts compared) => new()
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
