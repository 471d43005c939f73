namespace Recipes.Imaging;

internal sealed partial class BlackShapes
{
    // Px that a line is wide at most. Ours.
    private const int WidestLine = 5;

    // Lines as dark as black of which nothing within a px is drawn. Beside what is drawn lie its own edges, which are dark and tinted everywhere.
    private byte[] TintedLines(byte[] drawn, byte[] fades)
    {
        Squares.Grow(drawn, width, 1, made);
        var dim = near;
        Rows((from, to) =>
        {
            var here = dim.AsSpan(from, to - from);
            here.Fill(255);
            dark.Keep(Dark.Tinted, from, here);
            SetOperations.InVectors<ExceptOperation>(here, made.AsSpan(from, to - from));
            SetOperations.InVectors<ExceptOperation>(here, fades.AsSpan(from, to - from));
        });
        var found = new byte[dim.Length];
        // Where most of a picture is dark and not drawn, it is a night, and no line in it can be told.
        if (dim.Length - dim.AsSpan().Count((byte)0) is var count && (count < LeastSize || count * 2L > dim.Length))
        {
            return found;
        }

        var parts = ConnectedRegions.Of(Plane<byte>.FromContiguous(width, height, dim), diagonal: true);
        bool[] wanted = LinesAmong(parts);
        if (!wanted.Contains(true))
        {
            return found;
        }

        bool[] black = [.. ColorSum.Of(parts, art, wanted).Select(sum => sum.N > 0 && Math.Round(LabSpace.D50.Of(sum.Mean).Chroma, 6) <= MostTinted)];
        if (black.Contains(true) && IsOfManyColors(parts, black))
        {
            parts.VisitRuns((y, start, end, number) =>
            {
                if (black[number])
                {
                    found.AsSpan((y * width) + start, end - start).Fill(255);
                }
            });
        }

        return found;
    }

    // Which parts are thin, and end in a step on both sides. Half the outline of a stroke times its width is its area.
    private bool[] LinesAmong(ConnectedRegions parts)
    {
        var outlines = new int[parts.Count + 1];
        parts.VisitRuns((y, start, end, number) => Interlocked.Add(ref outlines[number], 2 + Open(y - 1, start, end) + Open(y + 1, start, end)));
        bool[] thin = [.. outlines.Select((outline, number) =>
            number > 0 && parts.Size(number) >= LeastSize && parts.Size(number) * 2L <= WidestLine * (long)outline)];
        var edges = new BlackEdges(dark);
        var shapes = new Shape[thin.Length];
        parts.VisitRuns((y, start, end, number) =>
        {
            if (!thin[number])
            {
                return;
            }

            var seen = default(Shape);
            seen.Count(start > 0 ? edges.At(start, y, -1, 0) : BlackEdge.Vague);
            seen.Count(end < width ? edges.At(end - 1, y, 1, 0) : BlackEdge.Vague);
            foreach (int down in (ReadOnlySpan<int>)[-1, 1])
            {
                for (int x = Open(y + down, start, end) > 0 ? start : end; x < end; x++)
                {
                    if (near[((y + down) * width) + x] == 0)
                    {
                        seen.Count(edges.At(x, y, 0, down));
                    }
                }
            }

            shapes[number].Add(seen);
        });
        return [.. thin.Select((isThin, number) =>
            isThin && shapes[number].Crisp * 100L >= (shapes[number].Crisp + shapes[number].Slow + shapes[number].Vague) * (long)LeastCrisp)];

        int Open(int y, int start, int end) => y < 0 || y >= height ? 0 : near.AsSpan((y * width) + start, end - start).Count((byte)0);
    }

    // Drawn without noise, most of a line is of a color or two.
    private bool IsOfManyColors(ConnectedRegions parts, bool[] wanted)
    {
        var counts = new Dictionary<Rgba8, int>();
        parts.Visit(art, (pixels, number) =>
        {
            foreach (var pixel in wanted[number] ? pixels : [])
            {
                counts[pixel] = counts.GetValueOrDefault(pixel) + 1;
            }
        });
        return counts.Values.OrderDescending().Take(3).Sum() * 2 < counts.Values.Sum();
    }
}
