namespace Recipes.Imaging;

/// <summary>What a person would measure of an art.</summary>
public static class Figure
{
    // Below it an island that stands alone is a speck, in square millimeters: as remove-specks has it. Common practice, no source.
    private const double SpeckArea = 0.06;

    /// <summary>
    /// What a person would measure of an art: what prints, and white that art surrounds, which usually shall print, without the paper around it, dust on
    /// that paper and specks that stand alone. Of art that is all of these, what prints.
    /// </summary>
    /// <param name="art">The art.</param>
    /// <param name="setup">What stays bare, and the resolution where the art has none.</param>
    /// <param name="cleaning">What <c>clean-background</c> would make bare, where that is known already.</param>
    /// <param name="specks">The specks that <c>remove-specks</c> would take, where they are known already.</param>
    public static Region Of(Artwork art, GarmentSetup setup, Cleaning? cleaning = null, Region? specks = null)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(setup);
        double ppi = setup.ResolutionFor(art), area = SpeckArea / (25.4 * 25.4) * ppi * ppi;
        cleaning ??= Cleaning.Of(art, setup, new CleaningChoices(PaperTolerance.At(ppi)));
        var printed = Find.Printing(art.Flat, setup.Ink);
        var figure = printed.Union(cleaning.Whites.Pick(white => white.Class == Find.EnclosedWhite)).Except(cleaning.Bare);
        if (figure.IsEmpty)
        {
            return printed;
        }

        if (specks is not null)
        {
            return figure.Except(specks);
        }

        // Dots of a pattern are small as well, and telling them from specks is worth it only where they reach further than all else.
        return figure.AtLeast(area).Bounds is { } large && large != figure.Bounds ? figure.Except(Find.Specks(art.Flat, setup.Ink, area)) : figure;
    }
}
