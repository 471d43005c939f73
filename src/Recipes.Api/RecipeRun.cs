using System.Collections.Immutable;
using Recipes.Imaging;

namespace Recipes.Api;

/// <summary>One run of one recipe: what goes in and what came out. For the worker; recipes see it through <see cref="World"/>.</summary>
public sealed class RecipeRun
{
    /// <summary>Sets up a run.</summary>
    /// <param name="art">The art before.</param>
    /// <param name="setup">The garment setup.</param>
    /// <param name="values">Every parameter's value as the host resolved it: lengths in px, areas in px2, invariant text.</param>
    public RecipeRun(Artwork art, GarmentSetup setup, IReadOnlyDictionary<string, string> values)
    {
        Setup = setup;
        Art = new ArtCursor(art, setup);
        Parameters = new Parameters(values);
    }

    /// <summary>The garment setup.</summary>
    public GarmentSetup Setup { get; }

    /// <summary>The art as it stands.</summary>
    public ArtCursor Art { get; }

    /// <summary>Title, purpose and the like.</summary>
    public Declarations Declarations { get; } = new();

    /// <summary>Parameters.</summary>
    public Parameters Parameters { get; }

    /// <summary>Notes and lists for the technician.</summary>
    public Reporter Reporter { get; } = new();
}

/// <summary>A recipe declines the art or setup: it says why, and nothing is changed.</summary>
/// <param name="reason">Why.</param>
/// <param name="advice">What alone helps; empty where other values, another art or another recipe may.</param>
public sealed class DeclinedException(string reason, string advice = "") : Exception(reason)
{
    /// <summary>What alone helps, or empty.</summary>
    public string Advice => advice;
}

/// <summary>One numbered region of a list in the report.</summary>
/// <param name="Number">From 1, in reading order of the region's first pixel.</param>
/// <param name="Box">The smallest box around it, px.</param>
/// <param name="Pixels">Its size.</param>
/// <param name="Chosen">True where the recipe changes it.</param>
/// <param name="Class">What it is, where a list holds several kinds; else empty.</param>
public sealed record ListedRegion(int Number, Box Box, long Pixels, bool Chosen, string Class = "");

/// <summary>A titled list of numbered regions.</summary>
public sealed record RegionList(string Title, ImmutableArray<ListedRegion> Regions);

/// <summary>One color of a list in the report and how many pixels have it.</summary>
public sealed record ListedColor(Rgba8 Color, long Pixels);

/// <summary>A titled list of colors, most pixels first.</summary>
/// <param name="Title">What the colors have in common.</param>
/// <param name="Colors">At most <see cref="Reporter.MostColors"/>.</param>
/// <param name="Others">Further colors that the list leaves out.</param>
public sealed record ColorList(string Title, ImmutableArray<ListedColor> Colors, int Others);
