namespace Recipes.Imaging;

/// <summary>Enclosed whites that look like holes of what surrounds them rather than white drawing, by their numbers.</summary>
/// <param name="Counters">
/// Holes of letters: the ink around is a stroke of even width and one color, and more such shapes of its height stand in the art.
/// </param>
/// <param name="Rings">Holes of other rings of even width, and of drawings in thin lines.</param>
public sealed record WhiteHoles(IReadOnlyList<int> Counters, IReadOnlyList<int> Rings)
{
    /// <summary>None.</summary>
    public static WhiteHoles None { get; } = new([], []);

    /// <summary>White between the dots of a raster that has grown together.</summary>
    public IReadOnlyList<int> BetweenDots { get; init; } = [];

    /// <summary>Strips of even width between shapes of different colors.</summary>
    public IReadOnlyList<int> Strips { get; init; } = [];

    /// <summary>The straight-sided sheet behind a cut-out's art, in as many parts as art cuts it into, holes of letters on it included.</summary>
    public IReadOnlyList<int> Sheets { get; init; } = [];

    /// <summary>
    /// What is nearly white around each enclosed white and art surrounds together, by its number: in a noisy picture one such part holds many.
    /// </summary>
    public IReadOnlyDictionary<int, Island> Parts { get; init; } = new Dictionary<int, Island>();

    /// <summary>All that is nearly white in the holes that stay bare; null where there are none.</summary>
    public Region? Region { get; init; }

    // What is this much smaller than the largest white of its place is noise of it. Ours.
    private const int MuchSmaller = 10;

    /// <summary>
    /// Numbers, and with the largest white of a place its crumbs: what noise broke off is decided with it. The place is all that is nearly white together, and
    /// its crumbs are at most a tenth as large.
    /// </summary>
    /// <param name="whites">The numbered whites.</param>
    /// <param name="numbers">Some of their numbers.</param>
    public IReadOnlyList<int> WithCrumbs(Islands whites, IReadOnlyList<int> numbers)
    {
        ArgumentNullException.ThrowIfNull(whites);
        ArgumentNullException.ThrowIfNull(numbers);
        var named = numbers.ToHashSet();
        var places = whites.Where(white => Parts.ContainsKey(white.Number)).GroupBy(white => Parts[white.Number].Number);
        return [.. numbers, .. places.Select(place => (Place: place, Largest: place.MaxBy(white => (white.Count, -white.Number))!))
            .Where(each => named.Contains(each.Largest.Number))
            .SelectMany(each => each.Place.Where(white => white.Count * MuchSmaller <= each.Largest.Count && !named.Contains(white.Number)))
            .Select(white => white.Number)];
    }

    /// <summary>What stays bare unless somebody says otherwise: <see cref="Counters"/>, <see cref="BetweenDots"/> and <see cref="Sheets"/>.</summary>
    public IReadOnlyList<int> Bare => [.. Counters.Concat(BetweenDots).Concat(Sheets).Order()];
}

public static partial class Find
{
    /// <summary>
    /// Tells holes of rings and letters among enclosed whites. A cut-out has none: whoever cut it out cut out its holes; but it may lie on a sheet.
    /// </summary>
    /// <remarks>
    /// The shape around a white is what isn't outside, and what is nearly white with it belongs to its hole. A white is a hole where
    /// the rest of the shape is a stroke: nowhere over 2.2
    /// times as wide as it is on average (twice its area over its outline), at least 0.12 of the hole's diameter, so that a sail drawn
    /// in outline isn't one, and about as wide all around the hole (four fifths of its rim at most 1.7 times one fifth), so that a belly
    /// in a body isn't one. It is a letter's where the stroke has one color and at least three such strokes of about its
    /// height and its color stand in the art, and it isn't long, as what fills an outlined letter is; beside such letters it is enough that
    /// a shape has their height and their color, and a hole may be small. Shapes are judged at no more than 256 px a side.
    /// Three whites or more within lines of one color, nowhere wider than an eighth of how far they reach, may be holes too: loops of script, the
    /// meshes of a net.
    /// A white is a strip where it is as wide everywhere, six times as long at least, and what surrounds it isn't of one color. At least 40 holes of 0.6 mm2
    /// at most that stand in a raster, not in a row, lie between dots.
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="whites">Its whites, from <see cref="NumberedWhites"/>.</param>
    /// <param name="near">The levels with which they were found.</param>
    /// <param name="pixelsPerInch">The resolution that they print at.</param>
    public static WhiteHoles HolesAmong(Plane<Rgba8> art, Islands whites, int near, double pixelsPerInch)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(whites);
        if (!whites.Any(white => white.Class == EnclosedWhite))
        {
            return WhiteHoles.None;
        }

        if (whites.Ground.IsCutOut)
        {
            return WhiteSheet.In(art) is not { IsCard: false } sheet
                ? WhiteHoles.None : WhiteHoles.None with { Sheets = SheetsAmong(art, sheet, whites, near, pixelsPerInch) };
        }

        var all = PureWhite(art).On(whites.Ground);
        var passable = all.Passable(near);
        var walk = ConnectedRegions.Of(passable.Coverage);
        bool[] outside = walk.OnBorder();
        var judged = new WhiteShapes(art, passable.With(walk.Keep(passable.Coverage, outside)).Complement().Islands(diagonal: true),
            passable.With(walk.Keep(passable.Coverage, [.. outside.Select(isOutside => !isOutside)])).Islands(), near);
        return judged.Of(whites, pixelsPerInch * pixelsPerInch / (25.4 * 25.4));
    }

    // The sheet as a walk from outside reaches it, and the holes of letters on it, through which it shows.
    private static int[] SheetsAmong(Plane<Rgba8> art, WhiteSheet sheet, Islands whites, int near, double pixelsPerInch)
    {
        var paper = whites.Ground with { Kind = ArtKind.OnPaper, Paper = Rgba8.White };
        var touched = whites.Touching(PureWhite(art).On(paper).Passable(near).OnBorder());
        var onPaper = NumberedWhites(art, paper, near);
        var holes = HolesAmong(art, onPaper, near, pixelsPerInch).Bare.Select(number => onPaper[number - 1])
            .Select(hole => whites.NumberAt(hole.FirstX, hole.FirstY)).ToHashSet();
        return [.. whites.Where(white => (touched[white.Number] || holes.Contains(white.Number)) && sheet.Holds(white.FirstX, white.FirstY))
            .Select(white => white.Number)];
    }

    /// <summary>Holes of letters, and of what lies between dots, through which paper that isn't white shows; null where there are none.</summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="walk">The walk over the paper.</param>
    /// <param name="whites">Its whites.</param>
    /// <param name="near">Levels by which colors are alike.</param>
    /// <param name="pixelsPerInch">The resolution that they print at.</param>
    internal static Region? PaperHolesAmong(Plane<Rgba8> art, PaperWalk walk, Islands whites, int near, double pixelsPerInch)
    {
        if (walk.Enclosed is not { IsEmpty: false } enclosed)
        {
            return null;
        }

        var judged = new WhiteShapes(art, walk.Reached.Complement().Islands(diagonal: true), enclosed.Islands(), near);
        return judged.Of(whites, pixelsPerInch * pixelsPerInch / (25.4 * 25.4)).Region;
    }
}
