namespace Recipes.Imaging;

/// <summary>A pattern of squares in two light neutral colors that a program shows for transparency, saved as if it were picture.</summary>
/// <param name="Light">The lighter color.</param>
/// <param name="Dark">The darker one.</param>
/// <param name="Square">Side of a square, px.</param>
public sealed record Checkers(Rgba8 Light, Rgba8 Dark, double Square);

public static partial class Find
{
    // Light, neutral, apart; then how regular the runs along two sides of the picture are. Levels, shares, counts; ours.
    private const int LeastLight = 150, MostTint = 12, LeastApart = 12;
    private const int FewestRuns = 8;
    private const double MostlySquares = 0.8;

    /// <summary>
    /// The checkers at the border of opaque art: two light neutral colors that alternate in runs of one length along the top and
    /// the left side, or the bottom and the right one. Null where there are none.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="picture">The picture's own edge.</param>
    public static Checkers? Checkers(Plane<Rgba8> art, Box picture)
    {
        ArgumentNullException.ThrowIfNull(art);
        var sides = BorderSides(art, picture);
        var rows = new[] { sides[0], sides[2] };
        var columns = new[] { sides[1], sides[3] };
        if (TwoColors(Joined(sides)) is not var (light, dark))
        {
            return null;
        }

        foreach (var row in rows)
        {
            foreach (var column in columns)
            {
                if (RunLength(row, light, dark) is { } across && RunLength(column, light, dark) is { } down && Math.Abs(across - down) <= 1)
                {
                    return new Checkers(light, dark, Math.Round((across + down) / 2, 1));
                }
            }
        }

        return null;
    }

    // The two commonest levels of light neutral pixels, which must make up most of the border.
    private static (Rgba8 Light, Rgba8 Dark)? TwoColors(Rgba8[] border)
    {
        var counts = new int[256];
        foreach (var pixel in border)
        {
            int most = Math.Max(pixel.R, Math.Max(pixel.G, pixel.B)), least = Math.Min(pixel.R, Math.Min(pixel.G, pixel.B));
            if (pixel.A == 255 && least >= LeastLight && most - least <= MostTint)
            {
                counts[(pixel.R + pixel.G + pixel.B) / 3]++;
            }
        }

        int first = Commonest(counts, -LeastApart), second = Commonest(counts, first);
        long about = 0;
        for (int level = 0; level < 256; level++)
        {
            about += Math.Min(Math.Abs(level - first), Math.Abs(level - second)) < LeastApart / 2 ? counts[level] : 0;
        }

        // Half of the border may be picture.
        return counts[first] == 0 || counts[second] == 0 || about * 2 < border.Length ? null
            : (Gray(Math.Max(first, second)), Gray(Math.Min(first, second)));

        static Rgba8 Gray(int level) => new((byte)level, (byte)level, (byte)level);
    }

    private static int Commonest(int[] counts, int apartFrom)
    {
        int best = 0;
        for (int level = 0; level < 256; level++)
        {
            best = Math.Abs(level - apartFrom) >= LeastApart && counts[level] > counts[best] ? level : best;
        }

        return best;
    }

    // The length that nearly all runs of one of the colors have, up to a px; null where they don't.
    private static double? RunLength(Rgba8[] line, Rgba8 light, Rgba8 dark)
    {
        var runs = new List<int>();
        int start = 0, middle = (light.G + dark.G) / 2;
        for (int x = 1; x <= line.Length; x++)
        {
            if (x == line.Length || line[x].G > middle != line[x - 1].G > middle)
            {
                runs.Add(x - start);
                start = x;
            }
        }

        // The picture cuts the first and the last.
        runs = runs.Count > 2 ? runs[1..^1] : [];
        if (runs.Count < FewestRuns)
        {
            return null;
        }

        int[] sorted = [.. runs.Order()];
        int length = sorted[sorted.Length / 2];
        var alike = runs.Where(run => Math.Abs(run - length) <= 1).ToList();
        return length >= 2 && alike.Count >= MostlySquares * runs.Count && alike.Sum() * 2 >= line.Length ? alike.Average() : null;
    }
}
