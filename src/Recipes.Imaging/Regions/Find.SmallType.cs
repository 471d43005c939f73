namespace Recipes.Imaging;

/// <summary>Letters and marks drawn in strokes that are thin for ink on cloth.</summary>
/// <param name="Region">All of them, soft edges included.</param>
/// <param name="Count">How many, 3 or more.</param>
/// <param name="Height">The median of their heights, px.</param>
/// <param name="Stroke">The mean of their strokes' widths, px.</param>
public sealed record SmallType(Region Region, int Count, double Height, double Stroke);

public static partial class Find
{
    // Of a candidate in millimeters: a period is no letter, what is larger is judged by its lines, and a mark belongs to what is beside it.
    private const double SmallestLetter = 0.35, LargestLetter = 4, Beside = 0.5;

    // A stroke is that many times as long as it is wide; a word has so many letters; fainter than this, levels, is dust. Ours; no source.
    private const double LeastLength = 3;

    // A share of what lies around a letter is of one color: a sliver between dropped black and bare white is the edge of both, and no letter. Ours.
    private const double OneGround = 0.8;

    // A percent sign among bold letters is as thin as small type: of as many bolder letters, one must be.
    private const int LeastLetters = 3, LeastShare = 10, LeastContrast = 64;

    /// <summary>
    /// Small letters and marks that stand alone on what doesn't show, in strokes thinner than a width on average. How thin a stroke is, is told by what its
    /// pixels cover, so that anti-aliasing makes none wider; null where there are fewer than three.
    /// </summary>
    /// <remarks>
    /// Of area A and perimeter P a stroke of even width w and length l has A = w l and P = 2 (w + l). The perimeter is that of the pixels that are at
    /// least half covered, from crossings in four directions (Crofton's formula), to about 5%.
    /// </remarks>
    /// <param name="art">Flattened art.</param>
    /// <param name="seen">What shows on the garment.</param>
    /// <param name="widthPx">The width, px.</param>
    /// <param name="millimeter">How many px one has.</param>
    public static SmallType? SmallType(Plane<Rgba8> art, Region seen, double widthPx, double millimeter)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(seen);
        var islands = seen.Islands(diagonal: true);
        var strokes = new (double Width, bool IsThin)[islands.Count + 1];
        Parallel.For(0, islands.Count, i =>
        {
            var island = islands[i];
            strokes[island.Number] = Extent(island) < SmallestLetter * millimeter ? default : IsLarge(island) ? (Extent(island), false)
                : StrokeOf(art, islands, island, widthPx);
        });

        // An accent or a quotation mark of bold lettering is no thin type.
        var thin = islands.Pick(island => strokes[island.Number].IsThin);
        bool[] beside = islands.Touching(islands.Pick(island => strokes[island.Number] is { IsThin: false, Width: var width } && width >= widthPx)
            .Spread(Beside * millimeter, where: thin));
        var letters = islands.Where(island => strokes[island.Number].IsThin && !beside[island.Number]).ToArray();
        int others = islands.Count(island => strokes[island.Number] is { IsThin: false, Width: var width } && width >= widthPx && !IsLarge(island));
        return letters.Length < LeastLetters || letters.Length * LeastShare < others ? null : new SmallType(
            islands.Pick(island => strokes[island.Number].IsThin && !beside[island.Number]), letters.Length,
            letters.Select(letter => letter.Bounds.Height).Order().ElementAt(letters.Length / 2), letters.Average(letter => strokes[letter.Number].Width));

        bool IsLarge(Island island) => Extent(island) > LargestLetter * millimeter;
    }

    private static int Extent(Island island) => Math.Max(island.Bounds.Width, island.Bounds.Height);

    // Its strokes' width, of a blob about its side, and whether it is a thin stroke; nothing where it hardly stands out.
    private static (double Width, bool IsThin) StrokeOf(Plane<Rgba8> art, Islands islands, Island island, double widthPx)
    {
        var box = island.Bounds.Grow(1);
        int width = box.Width;
        var ink = new bool[width * box.Height];
        var colors = new Premultiplied[ink.Length];
        var grounds = new Dictionary<Rgba8, int>();
        for (int i = 0; i < ink.Length; i++)
        {
            int x = box.X + (i % width), y = box.Y + (i / width);
            int number = islands.NumberAt(x, y);
            // Beyond the picture is clear.
            var pixel = x >= 0 && y >= 0 && x < art.Width && y < art.Height ? art[x, y] : Rgba8.ClearWhite;
            colors[i] = Premultiplied.Of(pixel);
            ink[i] = number == island.Number;
            if (number == 0)
            {
                grounds[pixel] = grounds.GetValueOrDefault(pixel) + 1;
            }
        }

        var ground = Premultiplied.Of(grounds.Count == 0 ? Rgba8.ClearWhite : grounds.MaxBy(pair => (pair.Value, pair.Key.R, pair.Key.G, pair.Key.B)).Key);
        if (grounds.Where(pair => (Premultiplied.Of(pair.Key) - ground).Largest <= LeastContrast).Sum(pair => pair.Value) < OneGround * grounds.Values.Sum())
        {
            return default;
        }

        var full = colors.Where((_, i) => ink[i]).MaxBy(color => (color - ground).Largest);
        if ((full - ground).Largest < LeastContrast)
        {
            return default;
        }

        double area = 0;
        var half = new bool[ink.Length];
        for (int i = 0; i < ink.Length; i++)
        {
            double share = ink[i] ? Math.Clamp(colors[i].Between(full, ground).Share, 0, 1) : 0;
            area += share;
            half[i] = share >= 0.5;
        }

        double around = Perimeter(half, width), left = (around * around / 4) - (4 * area);
        double stroke = left <= 0 ? around / 4 : ((around / 2) - Math.Sqrt(left)) / 2;
        return (stroke, left > 0 && stroke > 0 && Math.Round(stroke, 6) < widthPx && area / stroke >= LeastLength * stroke);
    }

    // Crossings of lines 1 px apart in rows and columns, and of diagonals that lie 1/sqrt(2) px apart; nothing lies at the border.
    private static double Perimeter(bool[] inside, int width)
    {
        long straight = 0, slanted = 0;
        for (int y = 0, i = 0; y < (inside.Length / width) - 1; y++, i++)
        {
            for (int x = 0; x < width - 1; x++, i++)
            {
                straight += (inside[i] != inside[i + 1] ? 1 : 0) + (inside[i] != inside[i + width] ? 1 : 0);
                slanted += (inside[i] != inside[i + width + 1] ? 1 : 0) + (inside[i + 1] != inside[i + width] ? 1 : 0);
            }
        }

        return Math.PI / 8 * (straight + (slanted / Math.Sqrt(2)));
    }
}
