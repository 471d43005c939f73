namespace Recipes.Imaging;

/// <summary>
/// A sheet of opaque white with straight sides that the art of a cut-out lies on, upright or turned. The hull of its white is a rectangle, also one with
/// round corners, or whose corners the canvas cuts off, as it does of a scan that was set straight; art may run over its sides. Outside of it is clear,
/// inside of it nearly everything opaque and most of it white, and something else lies on it.
/// </summary>
internal sealed class WhiteSheet
{
    // How far from white a sheet may be, in levels: as far as the walk around figures that numbers whites.
    private const int Near = 24;

    // So far beyond its straightened sides its soft edge reaches, px; and so far apart the ends of two sides at a corner may lie. Ours.
    private const double Edge = 4, Corner = 8;

    // All of this is ours, from orders whose truth is known. Of all that isn't clear, the shares that the sheet with what lies on it is at least, and that
    // is white; of the sheet, the share that something else covers.
    private const double MostOfArt = 0.75, LeastWhite = 0.1, LeastDrawn = 0.005;

    // Parts of the white that art cuts off are of at least such a share of the largest.
    private const double LeastPart = 0.05;

    // Sides: as long as such a share of the way around, all of them together, and px that they may bend by.
    private const double ShortSide = 0.03, AllSides = 0.94, Bend = 2.5;

    // The same of a card with round corners.
    private const double SideOfCard = 0.1, AllSidesOfCard = 0.6;

    // Degrees that sides may be out of square, and that a sheet may be turned whose corners are cut off.
    private const double OutOfSquare = 2, MostTurned = 20;

    // Along the sides, so many px inside and by a share of the smaller extent: what is opaque, and white; beyond its soft edge: what is clear. Less
    // white than that by the second is the rim of an old background.
    private const double Softness = 2, Margin = 0.03, Opaque = 0.95, White = 0.6, WhiteOfOne = 0.25, Clear = 0.6;

    private readonly Side[] sides;

    private WhiteSheet(Plane<Rgba8> art, LevelTest white, Side[] sides, Box bounds, bool isCard)
    {
        (this.sides, Bounds, IsCard) = (sides, bounds, isCard);
        // Along its sides, a little inside.
        Rgba8[] seen = [.. sides.SelectMany(side => side.Along(art, 2 * Softness)).Where(white.Holds)];
        Paper = seen.Length == 0 ? Rgba8.White : Ground.MedianOf(seen);
    }

    /// <summary>Its color, white where that is meant.</summary>
    public Rgba8 Paper { get; }

    /// <summary>The box around it.</summary>
    public Box Bounds { get; }

    /// <summary>True where its corners are round: whoever rounds them draws a card, so that it is asked about and stays.</summary>
    public bool IsCard { get; }

    /// <summary>What of a region lies on it or its soft edge.</summary>
    public Region Of(Region region) => region.With(Plane<byte>.Build(region.Coverage.Width, region.Coverage.Height, region.Coverage, (bounds, target) =>
    {
        region.Coverage.Tiles[region.Coverage.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(target);
        for (int y = 0; y < bounds.Height; y++)
        {
            var row = target.Slice(y * bounds.Width, bounds.Width);
            var (from, to) = Row(bounds.Y + y);
            row[..Math.Clamp(from - bounds.X, 0, row.Length)].Clear();
            row[Math.Clamp(to - bounds.X, 0, row.Length)..].Clear();
        }
    }, tile => region.Coverage.Tiles[tile] is var covered && covered.IsAll(0) ? covered : null));

    /// <summary>True where a pixel lies on it or its soft edge.</summary>
    public bool Holds(int x, int y) => Row(y) is var (from, to) && x >= from && x < to;

    // Its pixels in a row, from one to before another.
    private (int From, int To) Row(int y)
    {
        double from = 0, to = int.MaxValue / 2;
        foreach (var side in sides)
        {
            // So far a pixel's center may lie to the side's left, as it is walked.
            double room = Edge + ((y + 0.5 - side.From.Y) * side.Across), at = side.Down == 0 ? 0 : Math.Round(side.From.X + (room / side.Down), 6);
            if (side.Down == 0)
            {
                to = Math.Round(room, 6) >= 0 ? to : 0;
            }
            else if (side.Down > 0)
            {
                to = Math.Min(to, Math.Floor(at + 0.5));
            }
            else
            {
                from = Math.Max(from, Math.Ceiling(at - 0.5));
            }
        }

        return ((int)from, (int)Math.Max(from, to));
    }

    /// <summary>The sheet behind an art; null where there is none.</summary>
    public static WhiteSheet? In(Plane<Rgba8> art)
    {
        var test = LevelTest.AtLeast(255 - Near);
        test = test with { Least = test.Least.WithAlpha(250) };
        var all = new Region(Find.Mask(art, test), art);
        long clear = TileSummary.Of(art).Transparent, seen = ((long)art.Width * art.Height) - clear;
        // Of a picture without a clear pixel only somebody can have said that it is a cut-out, and white is art then.
        if (clear == 0 || all.Count < 64 || all.Count < LeastWhite * seen)
        {
            return null;
        }

        var parts = ConnectedRegions.Of(all.Coverage);
        double largest = Enumerable.Range(1, parts.Count).Max(parts.Size);
        var white = all.With(parts.Keep(all.Coverage, parts.AtLeast(largest * LeastPart)));
        var corners = ConvexHull.Straightened(ConvexHull.Of(white.Coverage), Bend);
        double area = Area(corners);
        if (corners.Length < 4 || area < MostOfArt * seen || area - white.Count < LeastDrawn * area
            || white.Bounds is not { Width: > 8, Height: > 8 } box)
        {
            return null;
        }

        var sides = Sides(corners);
        double around = sides.Sum(side => side.Length);
        return Straight(ShortSide, AllSides) is { } straight && corners.Length <= 12 && HasCorners(straight) && IsWhiteInside(art, test, straight, box)
            ? new WhiteSheet(art, test, straight, box, isCard: false)
            : Straight(SideOfCard, AllSidesOfCard) is { Length: 4 } card && IsWhiteInside(art, test, card, box)
                ? new WhiteSheet(art, test, card, box, isCard: true) : null;

        Side[]? Straight(double least, double all) => sides.Where(side => side.Length >= least * around).ToArray() is var those
            && those.Sum(side => side.Length) >= all * around && IsSquare(those) ? those : null;
    }

    // Two directions at right angles; or four, where the canvas cuts off what was turned a little. What is hardly turned at all bends there.
    private static bool IsSquare(Side[] sides)
    {
        var turned = sides.Where(side => Math.Abs(side.Turn) > OutOfSquare).Select(side => side.Turn).Order().ToArray();
        return turned.Length == 0 ? sides.Length is >= 4 and <= 8
            : turned[^1] - turned[0] <= 2 * OutOfSquare && sides.Length <= 8
                && (turned.Length == sides.Length ? sides.Length == 4 : Math.Abs(turned[turned.Length / 2]) <= MostTurned);
    }

    private static bool HasCorners(Side[] sides) => sides.Index().All(side =>
        new Side(side.Item.To, sides[(side.Index + 1) % sides.Length].From).Length <= Corner);

    private static bool IsWhiteInside(Plane<Rgba8> art, LevelTest white, Side[] sides, Box box)
    {
        double margin = Math.Max(Softness, Margin * Math.Min(box.Width, box.Height));
        foreach (double inside in (double[])[Softness, margin])
        {
            long seen = 0, whites = 0;
            foreach (var side in sides)
            {
                var pixels = side.Along(art, inside).ToList();
                int here = pixels.Count(white.Holds);
                if (pixels.Count(pixel => pixel.A >= 250) < Opaque * pixels.Count || here < WhiteOfOne * pixels.Count)
                {
                    return false;
                }

                (seen, whites) = (seen + pixels.Count, whites + here);
            }

            if (whites < White * seen)
            {
                return false;
            }
        }

        var beyond = sides.SelectMany(side => side.Along(art, -Softness - Edge)).ToList();
        return beyond.Count(pixel => pixel.IsTransparent) >= Clear * beyond.Count;
    }

    private static Side[] Sides((int X, int Y)[] corners) => [.. corners.Select((corner, i) => new Side(corner, corners[(i + 1) % corners.Length]))];

    private static double Area((int X, int Y)[] corners) =>
        Math.Abs(corners.Select((corner, i) => (Next: corners[(i + 1) % corners.Length], corner))
            .Sum(pair => ((long)pair.corner.X * pair.Next.Y) - ((long)pair.Next.X * pair.corner.Y))) / 2.0;

    // A side, clockwise, so that inside is to its right.
    private readonly record struct Side((int X, int Y) From, (int X, int Y) To)
    {
        public double Across => (To.X - From.X) / Length;

        public double Down => (To.Y - From.Y) / Length;

        public double Length { get; } = Math.Sqrt(((double)(To.X - From.X) * (To.X - From.X)) + ((double)(To.Y - From.Y) * (To.Y - From.Y)));

        /// <summary>Degrees from the nearest of up, right, down and left, -45 to 45.</summary>
        public double Turn
        {
            get
            {
                double degrees = Math.Round(Math.Atan2(To.Y - From.Y, To.X - From.X) * 180 / Math.PI, 6);
                return degrees - (90 * Math.Round(degrees / 90));
            }
        }

        /// <summary>The pixels of the canvas along it, so many px inside of it, without its ends.</summary>
        public IEnumerable<Rgba8> Along(Plane<Rgba8> art, double inside)
        {
            double end = Math.Min(Length / 4, Math.Abs(inside) + Softness);
            for (double at = end; at <= Length - end; at++)
            {
                int x = (int)Math.Floor(Math.Round(From.X + (Across * at) - (Down * inside), 6));
                int y = (int)Math.Floor(Math.Round(From.Y + (Down * at) + (Across * inside), 6));
                if (x >= 0 && y >= 0 && x < art.Width && y < art.Height)
                {
                    yield return art[x, y];
                }
            }
        }
    }
}
