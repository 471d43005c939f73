using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Runs;

/// <summary>Judges what a recipe expects of an art and its setup, before it runs.</summary>
public static class Expectations
{
    /// <summary>Refuses an art or setup that the recipe isn't for.</summary>
    /// <exception cref="ProblemException">R4002 with what it expects and what it got.</exception>
    public static void Require(ReadyRecipe recipe, ArtState state)
    {
        ArgumentNullException.ThrowIfNull(recipe);
        ArgumentNullException.ThrowIfNull(state);
        RequireSetup(recipe, state.Setup);
        Refuse(recipe, Unmet(recipe.Spec.Expects, state.Art, state.Setup));
    }

    /// <summary>Refuses a setup that the recipe isn't for, whatever the art.</summary>
    /// <exception cref="ProblemException">R4002 with what it expects and what it got.</exception>
    public static void RequireSetup(ReadyRecipe recipe, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(recipe);
        ArgumentNullException.ThrowIfNull(setup);
        string expected = recipe.Spec.Expects.Setup;
        bool fits = expected.Length == 0 || expected.Split(',', StringSplitOptions.TrimEntries).Contains(setup.Name);
        Refuse(recipe, fits ? null : $"it expects the garment setup {expected}, not {setup.Name}.");
    }

    private static void Refuse(ReadyRecipe recipe, string? reason)
    {
        if (reason is not null)
        {
            throw new ProblemException(Codes.RecipeDeclined, $"The recipe isn't for this: {reason}",
                "Nothing was changed. 'recipes show' tells what the recipe expects.", new Place(recipe.Source.Path));
        }
    }

    /// <summary>In words, one line each; empty where it expects nothing.</summary>
    public static IEnumerable<string> InWords(ExpectationSpec expects)
    {
        ArgumentNullException.ThrowIfNull(expects);
        if (expects.Setup.Length > 0)
        {
            yield return $"garment setup {expects.Setup}";
        }

        if (expects.Mode.Length > 0)
        {
            yield return $"an art that is {expects.Mode}";
        }

        if (expects.Smallest.Length > 0)
        {
            yield return $"sides of at least {expects.Smallest}";
        }

        if (expects.Largest.Length > 0)
        {
            yield return $"sides of at most {expects.Largest}";
        }
    }

    private static string? Unmet(ExpectationSpec expects, Artwork art, GarmentSetup setup)
    {
        double ppi = setup.ResolutionFor(art);
        if (Measure.Length(expects.Smallest, ppi) is { } smallest && Math.Min(art.Width, art.Height) < smallest)
        {
            return $"it expects sides of at least {expects.Smallest}; the art has {Size(art, ppi)}.";
        }

        if (Measure.Length(expects.Largest, ppi) is { } largest && Math.Max(art.Width, art.Height) > largest)
        {
            return $"it expects sides of at most {expects.Largest}; the art has {Size(art, ppi)}.";
        }

        return expects.Mode switch
        {
            "opaque" when Any(art, pixel => pixel.A < 255) => "it expects an opaque art; some pixels are transparent or half transparent.",
            "transparent" when !Any(art, pixel => pixel.A == 0) => "it expects an art with a transparent background; no pixel is transparent.",
            "gray" when Any(art, pixel => pixel.A > 0 && (pixel.R != pixel.G || pixel.G != pixel.B)) => "it expects a gray art; some pixels have a color.",
            _ => null,
        };
    }

    private static string Size(Artwork art, double ppi) =>
        string.Create(CultureInfo.InvariantCulture, $"{art.Width} x {art.Height} px, {art.Width / ppi * 25.4:0.#} x {art.Height / ppi * 25.4:0.#} mm");

    private static bool Any(Artwork art, Func<Rgba8, bool> predicate) => art.Flat.Tiles.Any(tile => tile.IsOneValue
        ? predicate(tile.Value) : tile.Samples.ToArray().Any(predicate));
}
