using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Shops;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Steps;

/// <summary>Results as steps of a work file: what is written down about a run, and the one transaction that keeps them.</summary>
public static class NewSteps
{
    /// <summary>What a step remembers of its run.</summary>
    /// <param name="shop">The shop, whose clock dates it.</param>
    /// <param name="setup">The garment setup.</param>
    /// <param name="report">The run.</param>
    /// <param name="by">Who keeps it, or null.</param>
    /// <param name="more">Further fields beside the counts.</param>
    public static StepRecord Record(Shop shop, GarmentSetup setup, RunReport report, string? by, JsonObject more)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(report);
        ArgumentNullException.ThrowIfNull(more);
        var counts = new JsonObject();
        ReportJson.AddCounts(counts, report);
        counts["whites"] = new JsonArray([.. report.Whites.Select(ReportJson.Of)]);
        counts["whitesEdge"] = ReportJson.Of(report.WhitesEdge);
        foreach (var (name, value) in more)
        {
            counts[name] = value?.DeepClone();
        }

        string setupJson = SetupJson.Text(setup);
        return new StepRecord
        {
            Recipe = report.Recipe.Name,
            RecipeVersion = report.Recipe.Version,
            RecipeSha256 = report.Recipe.Sha256,
            RecipeTitle = report.Recipe.Title,
            Parameters = report.Parameters,
            SetupJson = setupJson,
            SetupSha256 = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(setupJson))),
            By = by,
            At = shop.Now,
            ReportJson = counts.ToJsonString(),
        };
    }

    /// <summary>The digest of the dry run that a step keeps; null where it was kept without one.</summary>
    public static string? DryRunOf(StepRecord record) => OutsideJson.Parse(Encoding.UTF8.GetBytes(record.ReportJson)).Text("dryRun");

    /// <summary>Keeps all of them or none, after the state's step; makes the work file where there is none.</summary>
    /// <returns>The number of the last step.</returns>
    public static int Keep(ArtState state, string workPath, IReadOnlyList<(StepRecord Record, Artwork After)> steps)
    {
        ArgumentNullException.ThrowIfNull(state);
        if (state.Work is { } work)
        {
            return Into(work);
        }

        // The first step is written before the work file appears: a step that can't be kept leaves no work file behind.
        int step = 0;
        var original = new OriginalFile(Path.GetFileName(state.File.Path), state.File.Bytes, state.Identity.Format, state.Identity.Notes);
        WorkFile.Create(workPath, original, state.Art, begun => step = Into(begun)).Dispose();
        return step;

        int Into(WorkFile into) => into.Commit(state.Setup.Name, state.Step, steps);
    }

    /// <summary>Where steps are kept under other setups while this one is at the original, which is easily taken for all of them; empty otherwise.</summary>
    public static ImmutableArray<(string Setup, int Step)> Elsewhere(WorkFile? work, string setup, int step) => work is null || step > 0 ? [] :
        [.. work.Setups.Where(other => other != setup).Select(other => (Setup: other, work.Line(other).Head)).Where(line => line.Head > 0)];

    /// <summary>Writes kept steps into the journal.</summary>
    /// <returns>A warning where that failed, or null.</returns>
    public static Problem? Note(ArtState state, int last, IReadOnlyList<StepRecord> records) => Journal.Note([.. records.Select((record, i) => new JournalEntry
    {
        At = record.At,
        Act = JournalAct.Commit,
        By = record.By,
        Recipe = new JournalRecipe(record.Recipe, record.RecipeVersion, record.RecipeSha256),
        Recipes = [.. StepRecipes.PartsOf(record)],
        Art = new JournalFile(JournalFile.NameOf(state.File.Path), state.File.Sha256),
        Setup = state.Setup.Name,
        Step = last - records.Count + 1 + i,
    })]);
}
