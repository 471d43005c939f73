namespace Recipes.Imaging;

internal sealed partial class ColorShare
{
    // A line of at least 1 px covers at least 1 px of each row or column that it crosses; rounding takes a little. One that covers less is no line by
    // itself, but may be part of one, whose crossings vary where it is slanted.
    private const double LeastCrossing = 0.95, LeastOfPart = 0.75;

    // Of what covers too little for a line of the color by itself and isn't part of one: it is told about, as a line that is left.
    private const byte Little = OffLine | PartOfLine;

    // Shorter than this is no line to tell about, px. Ours.
    private const int ShortestTold = 8;

    // Slanted lines of 1 to 2 px have no solid pixel at all. Their middles are told by what they cover, summed across the
    // line: as much as a line of the color would; one of a paler color of the same hue covers less.
    private void FindLines() => Parallel.For(0, height, y =>
    {
        for (int x = 0, i = y * width; x < width; x++, i++)
        {
            if ((marks[i] & Like) == 0)
            {
                var down = StandsOut(x, y, 0, 1) ? Cross(x, y, 0, 1) : default;
                var across = StandsOut(x, y, 1, 0) ? Cross(x, y, 1, 0) : default;
                byte verdict = (byte)(down.Verdict | across.Verdict);
                marks[i] |= (verdict & OnLine) != 0 ? OnLine : down.Verdict == PartOfLine || across.Verdict == PartOfLine ? PartOfLine : verdict;
                shares[i] = Math.Max(down.Share, across.Share);
            }
        }
    });

    // The cheap question first: a middle differs clearly from something on both sides.
    private bool StandsOut(int x, int y, int dx, int dy)
    {
        return Differs(-1) && Differs(1);

        bool Differs(int way)
        {
            for (int step = way; Math.Abs(step) <= Reach && IsInside(x + (step * dx), y + (step * dy)); step += way)
            {
                if (pixels[(y * width) + x].LargestDifference(pixels[((y + (step * dy)) * width) + x + (step * dx)]) > 2 * tolerance)
                {
                    return true;
                }
            }

            return false;
        }
    }

    private void SeedLines() => Parallel.For(0, height, y =>
    {
        for (int x = 0, i = y * width; x < width; x++, i++)
        {
            if ((marks[i] & OnLine) != 0 && IsLine(x, y))
            {
                marks[i] |= Seed;
            }
        }
    });

    // Most of the crossings around agree, so that one by chance in lettering of another color isn't enough.
    private bool IsLine(int x, int y)
    {
        const int Around = 4, Fewest = 3;
        int on = 0, off = 0;
        for (int v = Math.Max(0, y - Around); v <= Math.Min(height - 1, y + Around); v++)
        {
            for (int u = Math.Max(0, x - Around); u <= Math.Min(width - 1, x + Around); u++)
            {
                on += (marks[(v * width) + u] & OnLine) != 0 ? 1 : 0;
                off += (marks[(v * width) + u] & OffLine) != 0 ? 1 : 0;
            }
        }

        return on >= Fewest && on * 3 >= (on + off) * 2;
    }

    // Looks across a line whose middle this pixel may be: how much of the color lies between equal grounds on both sides.
    private (byte Verdict, byte Share) Cross(int x, int y, int dx, int dy)
    {
        int before = Ground(x, y, -dx, -dy), after = before == 0 ? 0 : Ground(x, y, dx, dy);
        if (after == 0)
        {
            return default;
        }

        Rgba8 one = pixels[((y - (before * dy)) * width) + x - (before * dx)], two = pixels[((y + (after * dy)) * width) + x + (after * dx)];
        var ground = 0.5 * (Premultiplied.Of(one) + Premultiplied.Of(two));
        if ((Premultiplied.Of(one) - Premultiplied.Of(two)).Largest > tolerance || (color - ground).Largest < 8 * tolerance)
        {
            return default;
        }

        double middle = 0, most = 0, sum = 0, first = 0, last = 0;
        int touched = 0;
        for (int step = 1 - before; step < after; step++)
        {
            var (share, off) = Premultiplied.Of(pixels[((y + (step * dy)) * width) + x + (step * dx)]).Between(color, ground);
            if (off > tolerance)
            {
                return default;
            }

            if (share > 0.02)
            {
                first = touched == 0 ? share : first;
                last = share;
                touched++;
            }

            middle = step == 0 ? share : middle;
            most = Math.Max(most, share);
            sum += Math.Max(0, share);
        }

        if (middle < 0.3 || middle < most)
        {
            return default;
        }

        // With color on both sides, the middle of a line of at least 1 px is nearly full. Two rows alike are a line of up to 2 px between them, or one of
        // just 2 px in a paler color, which would have to lie on the way from the color to the ground by chance: unless it occurs by itself, it doesn't.
        bool shaped = most <= 1.04 && (touched <= 2 || Math.Min(first, last) < 0.1 || most >= 0.8)
            && !(touched == 2 && Math.Abs(first - last) <= 0.02 && sum > 2 - LeastCrossing && paler.Contains(pixels[(y * width) + x]));
        byte verdict = sum switch { _ when !shaped => OffLine, < LeastOfPart => Little, < LeastCrossing => PartOfLine, _ => OnLine };
        return (verdict, Byte(ShareOfColor(middle, x, y, color)));
    }

    /// <summary>
    /// A line is taken whole or left whole: crossings that touch make one, and it is a line of the color where two thirds of them are.
    /// </summary>
    /// <param name="lines">Each pixel's verdict, of the whole art: afterwards <see cref="PartOfLine"/> is none.</param>
    /// <param name="width">The art's width.</param>
    private static void Agree(byte[] lines, int width)
    {
        int height = lines.Length / width;
        var line = new List<int>();
        for (int start = 0; start < lines.Length; start++)
        {
            if (!IsPart(lines[start]))
            {
                continue;
            }

            int on = 0;
            line.Clear();
            line.Add(start);
            lines[start] |= Seen;
            for (int k = 0; k < line.Count; k++)
            {
                on += (lines[line[k]] & OnLine) != 0 ? 1 : 0;
                int x = line[k] % width, y = line[k] / width;
                for (int v = Math.Max(0, y - 1); v <= Math.Min(height - 1, y + 1); v++)
                {
                    for (int u = Math.Max(0, x - 1); u <= Math.Min(width - 1, x + 1); u++)
                    {
                        int i = (v * width) + u;
                        if (IsPart(lines[i]))
                        {
                            lines[i] |= Seen;
                            line.Add(i);
                        }
                    }
                }
            }

            byte verdict = (byte)(Seen | (on * 3 >= line.Count * 2 ? OnLine : OffLine));
            foreach (int i in line)
            {
                lines[i] = verdict;
            }
        }

        static bool IsPart(byte mark) => (mark & (Seen | OnLine)) == OnLine || (mark & (Seen | Little)) == PartOfLine;
    }

    // The lines that were looked at and left: their middles, a px around them, so that one whose crossings vary is one.
    private static Plane<byte> Left(byte[] lines, byte[] shares, Plane<Rgba8> art)
    {
        int width = art.Width;
        var none = Plane<byte>.OneValue(width, art.Height, 0);
        var left = Plane<byte>.Build(width, art.Height, none, (bounds, samples) =>
        {
            for (int p = 0; p < samples.Length; p++)
            {
                int i = ((bounds.Y + (p / bounds.Width)) * width) + bounds.X + (p % bounds.Width);
                samples[p] = lines[i] is (byte)(Seen | OffLine) or Little && shares[i] == 0 ? (byte)255 : (byte)0;
            }
        });
        return new Region(left, art).Spread(1.5).Islands(diagonal: true)
            .Pick(line => Math.Max(line.Bounds.Width, line.Bounds.Height) >= ShortestTold + 2).Coverage;
    }

    // How many px away the color stops changing, 1 to Reach; 0 where it doesn't.
    private int Ground(int x, int y, int dx, int dy)
    {
        for (int step = 1; step <= Reach; step++)
        {
            int u = x + (step * dx), v = y + (step * dy);
            if (!IsInside(u, v))
            {
                return 0;
            }

            int i = (v * width) + u;
            if ((marks[i] & Like) == 0 && (!IsInside(u + dx, v + dy) || Same(i, i + (dy * width) + dx)))
            {
                return step;
            }
        }

        return 0;
    }
}
