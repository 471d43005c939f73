namespace Recipes.Imaging;

/// <summary>The shapes of an art on paper and the holes in them, to tell which enclosed whites look like holes. See <see cref="Find.HolesAmong"/>.</summary>
internal sealed class WhiteShapes
{
    // Ours, from drawings whose truth is known; in square millimeters, then shares.
    private const double SmallestHole = 0.3, SmallestCounter = 0.06, LargestDot = 0.6, LeastStroke = 0.12, Alike = 1.5;
    private const int MostShapes = 300, MostHoles = 60, FewestLetters = 3, FewestInLines = 3;

    private readonly Plane<Rgba8> art;
    private readonly Islands shapes, holes;
    private readonly int near;
    private readonly Dictionary<int, Stroke?> strokes = [];
    private readonly Dictionary<int, HoleForm> forms = [];

    /// <param name="art">Flattened art.</param>
    /// <param name="shapes">What isn't outside.</param>
    /// <param name="holes">What is nearly white in it.</param>
    /// <param name="near">Levels by which colors are alike.</param>
    public WhiteShapes(Plane<Rgba8> art, Islands shapes, Islands holes, int near)
    {
        (this.art, this.shapes, this.holes, this.near) = (art, shapes, holes, near);
    }

    /// <summary>Judges whites.</summary>
    /// <param name="whites">The numbered whites.</param>
    /// <param name="squareMillimeter">How many px2 one has.</param>
    public WhiteHoles Of(Islands whites, double squareMillimeter)
    {
        // A hole that noise has split holds several whites, and one that it fills none.
        var known = whites.Where(white => white.Class == Find.EnclosedWhite)
            .ToLookup(white => holes.NumberAt(white.FirstX, white.FirstY), white => white.Number);
        List<Island> all = [.. holes.Where(hole => hole.Count >= SmallestCounter * squareMillimeter || known.Contains(hole.Number))
            .OrderByDescending(hole => hole.Count).ThenBy(hole => hole.Number)];
        List<Island> large = [.. all.TakeWhile(hole => hole.Count >= SmallestHole * squareMillimeter).Take(MostHoles)];
        if (large.Count == 0 && all.Count < WhiteRaster.Fewest)
        {
            return WhiteHoles.None;
        }

        foreach (var shape in shapes.OrderByDescending(shape => shape.Count).ThenBy(shape => shape.Number).Take(MostShapes))
        {
            strokes[shape.Number] = Stroke.Of(art, shapes, shape, holes);
        }

        Stroke[] letters = [.. large.Where(IsCounter).Select(StrokeAround).OfType<Stroke>()];
        HashSet<int> counters = [.. all.Where(hole => hole.Count >= SmallestCounter * squareMillimeter && IsAmong(letters, hole)).Select(hole => hole.Number)];
        double largest = LargestDot * squareMillimeter;
        Island[] thin = [.. large.Where(hole => hole.Count > largest && !counters.Contains(hole.Number)
            && FormOf(hole) is { IsLong: true } form && form.Widest * form.Widest <= largest)];
        // Noise beside a larger white is none that lies between dots.
        var small = known.Where(hole => hole.Key > 0 && hole.Max(white => whites[white - 1].Count) <= largest)
            .SelectMany(hole => hole.Select(white => whites[white - 1]).Where(white => white.Count * 4 >= hole.Max(each => whites[each - 1].Count)));
        var between = new WhiteRaster([.. small.OrderBy(white => white.Number)], thin, largest).Between();
        // Where dots hardly touch, the white between them hangs together.
        HashSet<int> dots = [.. all.Where(hole => !counters.Contains(hole.Number)
            && (between.Holes.Contains(hole.Number) || IsMostly(hole))).Select(hole => hole.Number)];
        List<Island> rest = [.. large.Where(hole => !counters.Contains(hole.Number) && !dots.Contains(hole.Number))];
        // One white in an outline is a sail; several in the same lines are what lies between them.
        var inLines = all.Where(hole => hole.Count >= SmallestHole * squareMillimeter && !counters.Contains(hole.Number) && !dots.Contains(hole.Number)
            && StrokeAround(hole) is { IsOpenwork: true }).GroupBy(ShapeAround)
            .Where(shape => shape.Count() >= FewestInLines).SelectMany(shape => shape.Select(hole => hole.Number)).ToHashSet();
        List<Island> rings = [.. all.Where(hole => inLines.Contains(hole.Number)), .. rest.Where(hole => !inLines.Contains(hole.Number) && IsRing(hole))];
        // Letters whose color runs, and numbers in outline, are asked about together.
        var ringed = rings.Select(hole => (Shape: ShapeAround(hole), Stroke: StrokeAround(hole))).Where(ring => ring.Stroke is not null).ToList();
        rings.AddRange(rest.Except(rings).Where(hole => StrokeAround(hole) is { } stroke && IsThick(stroke, hole) && !FormOf(hole).IsLong
            && ringed.Any(ring => ring.Shape != ShapeAround(hole) && AreOneLine(ring.Stroke!, stroke))).ToList());
        return new WhiteHoles(Whites(counters), Whites(rings.Select(hole => hole.Number)))
        {
            Parts = known.Where(hole => hole.Key > 0).SelectMany(hole => hole.Select(white => (white, Part: holes[hole.Key - 1])))
                .ToDictionary(pair => pair.white, pair => pair.Part),
            BetweenDots = Whites(dots),
            Region = holes.Pick(hole => counters.Contains(hole.Number) || dots.Contains(hole.Number)),
            Strips = Whites(rest.Except(rings).Where(hole => FormOf(hole) is { IsEven: true, IsLong: true, IsInOneColor: false }).Select(hole => hole.Number)),
        };

        bool IsMostly(Island hole) =>
            known[hole.Number].Where(between.Whites.Contains).Sum(SizeOf) * 2 > known[hole.Number].Sum(SizeOf);

        long SizeOf(int white) => whites[white - 1].Count;

        int[] Whites(IEnumerable<int> which) => [.. which.SelectMany(hole => known[hole]).Order()];
    }

    // What fills an outlined letter is long; a counter isn't.
    private bool IsAmong(Stroke[] letters, Island hole) => StrokeAround(hole) is { } stroke && IsThick(stroke, hole)
        && letters.Any(letter => AreAlike(letter, stroke)) && !FormOf(hole).IsLong;

    private HoleForm FormOf(Island hole) => forms.TryGetValue(hole.Number, out var form) ? form : forms[hole.Number] = HoleForm.Of(art, holes, hole);

    private int ShapeAround(Island hole) => shapes.NumberAt(hole.FirstX, hole.FirstY);

    private Stroke? StrokeAround(Island hole) => strokes.GetValueOrDefault(ShapeAround(hole));

    // Capitals of a line of lettering are of one height, and its strokes of about one width.
    private static bool AreOneLine(Stroke one, Stroke other) => Math.Abs(one.Height - other.Height) * 10 <= one.Height
        && Math.Round(other.Width, 6) <= Math.Round(one.Width * Alike, 6) && Math.Round(one.Width, 6) <= Math.Round(other.Width * Alike, 6);

    // A sail that is drawn in outline is no hole.
    private static bool IsThick(Stroke stroke, Island hole) => stroke.Width >= LeastStroke * 2 * Math.Sqrt(hole.Count / Math.PI);

    private bool IsHoleOf(Stroke? stroke, Island hole) => stroke is { IsEven: true } && IsThick(stroke, hole) && stroke.IsEvenAround(hole, holes);

    private bool IsCounter(Island hole) => StrokeAround(hole) is { Color: not null } stroke && IsHoleOf(stroke, hole) && !FormOf(hole).IsLong
        && strokes.Values.Count(other => other is { IsEven: true } && AreAlike(stroke, other)) >= FewestLetters;

    private bool AreAlike(Stroke one, Stroke other) => one.Color is { } color && other.Color is { } theirs && theirs.LargestDifference(color) <= near
        && other.Height <= one.Height * Alike && other.Height * Alike >= one.Height;

    private bool IsRing(Island hole) => shapes.NumberAt(hole.FirstX, hole.FirstY) is > 0 and var number && strokes.TryGetValue(number, out var stroke)
        && (IsHoleOf(stroke, hole) || IsHoleOf(Stroke.Of(art, shapes, shapes[number - 1], holes, hole), hole));
}
