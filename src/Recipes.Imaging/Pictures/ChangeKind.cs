namespace Recipes.Imaging.Pictures;

/// <summary>What happened to a pixel, as the difference picture marks it.</summary>
public enum ChangeKind
{
    /// <summary>Nothing that counts in <see cref="ArtworkDiff.Differs"/>.</summary>
    None,
    /// <summary>Bare before, prints after.</summary>
    InkGained,
    /// <summary>Printed before, bare after.</summary>
    InkLost,
    /// <summary>Prints before and after in another color.</summary>
    Color,
    /// <summary>Anything else that differs: only the alpha of a printing pixel, or a bare pixel that is written otherwise.</summary>
    Other,
}

/// <summary>How many pixels changed in each way.</summary>
public sealed record ChangeCount(long InkGained, long InkLost, long Color, long Other)
{
    /// <summary>Tells how a pixel changed.</summary>
    public static ChangeKind KindOf(Rgba8 before, Rgba8 after, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(rules);
        if (!ArtworkDiff.Differs(before, after))
        {
            return ChangeKind.None;
        }

        bool was = rules.StateOf(before) == InkState.Prints, now = rules.StateOf(after) == InkState.Prints;
        if (was != now)
        {
            return now ? ChangeKind.InkGained : ChangeKind.InkLost;
        }

        return was && before.WithAlpha(255) != after.WithAlpha(255) ? ChangeKind.Color : ChangeKind.Other;
    }
}
