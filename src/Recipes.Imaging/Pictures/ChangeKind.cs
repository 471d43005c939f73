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
    /// <summary>Prints before and after in the same color, with another alpha.</summary>
    Alpha,
    /// <summary>Bare before and after, and written in another way: white made transparent, for instance. Nothing changes on the garment.</summary>
    Bare,
}

/// <summary>How many pixels changed in each way.</summary>
public sealed record ChangeCount(long InkGained, long InkLost, long Color, long Alpha, long Bare)
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

        return !was ? ChangeKind.Bare : before.WithAlpha(255) != after.WithAlpha(255) ? ChangeKind.Color : ChangeKind.Alpha;
    }
}
