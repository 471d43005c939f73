namespace Recipes.Imaging;

/// <summary>What the dark of an art is on the whole, over about a block of a JPEG's color: noise cancels out there, a tint doesn't.</summary>
internal sealed class BlackSquares
{
    // Squares of so many px; 5 x 5 of them are 20 px, a block and what lies around it.
    private const int Side = 4, Around = 2;

    private readonly int width, across, down;
    private readonly Sum[] sums;
    // Whether the squares around one are black on the whole: 0 where nobody asked.
    private readonly byte[] answers;

    /// <param name="art">Flattened art.</param>
    /// <param name="dark">Its dark pixels.</param>
    /// <param name="asked">What will be asked about; the rest isn't looked at.</param>
    /// <param name="tint">What is tinted more took its neighbor's color, and says nothing.</param>
    public BlackSquares(Plane<Rgba8> art, DarkPixels dark, byte[] asked, int tint)
    {
        width = art.Width;
        (across, down) = ((art.Width + Side - 1) / Side, (art.Height + Side - 1) / Side);
        sums = new Sum[across * down];
        answers = new byte[sums.Length];
        bool[] wanted = Wanted(asked, art.Height);
        Parallel.For(0, down, () => new Rgba8[width], (square, _, row) =>
        {
            var here = wanted.AsSpan(square * across, across);
            for (int y = square * Side; here.Contains(true) && y < Math.Min(art.Height, (square + 1) * Side); y++)
            {
                art.CopyRowTo(y, row);
                for (int column = here.IndexOf(true); column >= 0;)
                {
                    for (int x = column * Side, i = (y * width) + x; x < Math.Min(width, (column + 1) * Side); x++, i++)
                    {
                        if (dark.Kinds[i] != Dark.No && dark.Tints[i] <= tint)
                        {
                            sums[(square * across) + column].Add(row[x]);
                        }
                    }

                    int next = here[(column + 1)..].IndexOf(true);
                    column = next < 0 ? -1 : column + 1 + next;
                }
            }

            return row;
        }, _ => { });
    }

    /// <summary>True where the dark around a pixel is of such a color on the whole.</summary>
    public bool IsAround(int i, Func<Rgba8, bool> isBlack)
    {
        int square = ((i / width / Side) * across) + (i % width / Side);
        // Two threads may ask the same question and write the same answer, which is harmless.
        if (answers[square] == 0)
        {
            answers[square] = isBlack(Mean(square % across, square / across)) ? (byte)1 : (byte)2;
        }

        return answers[square] == 1;
    }

    private Rgba8 Mean(int column, int row)
    {
        var all = default(Sum);
        for (int v = Math.Max(0, row - Around); v <= Math.Min(down - 1, row + Around); v++)
        {
            for (int u = Math.Max(0, column - Around); u <= Math.Min(across - 1, column + Around); u++)
            {
                all.Add(sums[(v * across) + u]);
            }
        }

        return all.Mean;
    }

    // The squares around those that hold something to ask about.
    private bool[] Wanted(byte[] asked, int height)
    {
        var wanted = new bool[sums.Length];
        for (int y = 0; y < height; y++)
        {
            var row = asked.AsSpan(y * width, width);
            for (int x = row.IndexOfAnyExcept((byte)0); x >= 0;)
            {
                int column = x / Side;
                for (int v = Math.Max(0, (y / Side) - Around); v <= Math.Min(down - 1, (y / Side) + Around); v++)
                {
                    int from = Math.Max(0, column - Around);
                    wanted.AsSpan((v * across) + from, Math.Min(across, column + Around + 1) - from).Fill(true);
                }

                int rest = Math.Min(width, (column + 1) * Side), next = row[rest..].IndexOfAnyExcept((byte)0);
                x = next < 0 ? -1 : rest + next;
            }
        }

        return wanted;
    }

    private struct Sum
    {
        public int R, G, B, Count;

        public readonly Rgba8 Mean => new((byte)((R + (Count / 2)) / Count), (byte)((G + (Count / 2)) / Count), (byte)((B + (Count / 2)) / Count));

        public void Add(Rgba8 pixel) => (R, G, B, Count) = (R + pixel.R, G + pixel.G, B + pixel.B, Count + 1);

        public void Add(Sum other) => (R, G, B, Count) = (R + other.R, G + other.G, B + other.B, Count + other.Count);
    }
}
