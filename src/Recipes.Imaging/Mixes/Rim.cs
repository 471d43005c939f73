namespace Recipes.Imaging;

/// <summary>What is left of an old background around the art, from <see cref="Rims.Of"/>.</summary>
/// <param name="Background">The old background's color, opaque.</param>
/// <param name="Paper">What is nothing but old background: to be left bare. A band that stays isn't in it.</param>
/// <param name="Mixed">What holds some of it; coverage is how much of each pixel is art.</param>
/// <param name="Depth">How deep the rim reaches from the outside, px; 0 where there is none.</param>
public sealed record Rim(Rgba8 Background, Region Paper, Region Mixed, double Depth)
{
    /// <summary>The band of the old background's own color that runs round the art, or null where there is none.</summary>
    public RimBand? Band { get; init; }

    /// <summary>
    /// True for the black of colors that were multiplied by their alpha, and read as if they weren't: no paper, but a fault of the file
    /// that there are no two minds about.
    /// </summary>
    public bool IsMultiplied { get; init; }

    /// <summary>True where no pixel holds any of the old background.</summary>
    public bool IsEmpty => Paper.IsEmpty && Mixed.IsEmpty;

    /// <summary>Every pixel that holds some of the old background.</summary>
    public Region Region => Paper.Union(Mixed.Threshold(0));
}

/// <summary>A band of the old background's color that runs round the art.</summary>
/// <param name="Region">Its pixels.</param>
/// <param name="Width">How wide it is, px.</param>
/// <param name="IsDrawn">
/// True where it looks drawn: as a sticker's outline is, as wide everywhere, with an edge as clean as the art's; or as white plumage is, which goes on inside.
/// </param>
/// <param name="IsDoubtful">True where only a person can tell whether it is drawn or old paper.</param>
public sealed record RimBand(Region Region, double Width, bool IsDrawn, bool IsDoubtful)
{
    // Whether most of it lies further inside than it is wide.
    internal bool GoesInside { get; init; }

    // Whether ink begins where it ends, and not by and by.
    internal bool EndsSharply { get; init; }

    // Narrow holes of lettering with the same in them, which go where it goes; looked for only then.
    internal Lazy<Region?>? Holes { get; init; }
}

/// <summary>How to look for a rim.</summary>
/// <param name="Deepest">How deep it may be, px, 0 or more.</param>
/// <param name="Millimeter">How many px a printed millimeter has, above 0.</param>
public sealed record RimSearch(double Deepest, double Millimeter)
{
    /// <summary>The deepest rim that is looked for where nobody says how deep, mm: one of art that was enlarged. Ours.</summary>
    public const double DeepestMillimeters = 2;

    /// <summary>Looks as deep as rims are.</summary>
    /// <param name="pixelsPerInch">Pixels per printed inch, above 0.</param>
    public static RimSearch At(double pixelsPerInch) => new(DeepestMillimeters / 25.4 * pixelsPerInch, pixelsPerInch / 25.4);

    /// <summary>Whether a band round the art is taken for old background; judged where null.</summary>
    public bool? TakeBand { get; init; }
}
