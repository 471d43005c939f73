using System.Collections.Immutable;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Shops;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Steps;

/// <summary>A step of a line.</summary>
/// <param name="Step">The step.</param>
/// <param name="Report">What its run reported: counts, questions, decisions, guardrails. It comes from a file that anybody could have written.</param>
public sealed record ToldStep(WorkStep Step, JsonObject Report);

/// <summary>What was done under one garment setup.</summary>
/// <param name="Line">The setup's line: its name, where it is at, exports and prints.</param>
/// <param name="Steps">The line's steps.</param>
public sealed record SetupHistory(WorkLine Line, ImmutableArray<ToldStep> Steps)
{
    /// <summary>Reads what a line's steps reported.</summary>
    /// <exception cref="ProblemException">R3009: a report is damaged.</exception>
    public static SetupHistory Of(WorkLine line)
    {
        ArgumentNullException.ThrowIfNull(line);
        return new SetupHistory(line, [.. line.Steps.Select(step => new ToldStep(step, Report(step)))]);
    }

    private static JsonObject Report(WorkStep step) => OutsideJson.Parse(Encoding.UTF8.GetBytes(step.Record.ReportJson)) ?? throw new ProblemException(
        Codes.DamagedWorkFile, "A step of the work file holds a damaged report.", "Restore the work file from a copy, or move it away to start anew.");
}

/// <summary>What was done to an art, for each garment setup.</summary>
/// <param name="ArtSha256">The hash of the art that the work began with; null where there is no work file.</param>
/// <param name="Setups">The setups under which there are steps.</param>
public sealed record ArtHistory(string? ArtSha256, ImmutableArray<SetupHistory> Setups)
{
    /// <summary>The handover notes, the oldest first.</summary>
    public ImmutableArray<ArtNote> Notes { get; init; } = [];

    /// <summary>The setup that is used where none is named, or null.</summary>
    public string? LastSetup { get; init; }

    /// <summary>Reads it from the art's work file.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="artPath">The art.</param>
    /// <param name="setup">Only this setup, by name or file; null for all.</param>
    /// <exception cref="ProblemException">R3001 there is no such art; R6002 the art has changed; R3009, R3010 the work file can't be read.</exception>
    public static ArtHistory Of(Shop shop, string artPath, string? setup)
    {
        ArgumentNullException.ThrowIfNull(shop);
        if (!File.Exists(artPath))
        {
            _ = shop.ReadArt(artPath);
        }

        using var work = shop.OpenWork(artPath);
        if (work is null)
        {
            return new ArtHistory(null, []);
        }

        if (shop.ReadArt(artPath).Sha256 != work.Original.Sha256)
        {
            throw new ProblemException(Codes.ArtChanged, $"{artPath} is no longer the file that the work began with.",
                "Put the earlier file back, or move the work file away to start anew.", new Place(artPath));
        }

        var lines = work.Setups.Where(name => setup is null || name == ChosenSetup.NameIn(work, setup)).Select(work.Line);
        return new ArtHistory(work.Original.Sha256,
            [.. lines.Select(SetupHistory.Of)])
        {
            Notes = work.Notes, LastSetup = work.LastSetup,
        };
    }
}
