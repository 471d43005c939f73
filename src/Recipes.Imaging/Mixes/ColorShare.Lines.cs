namespace Recipes.Imaging;

internal sealed partial class ColorShare
{
    // A line of at least 1 px covers at least 1 px of each row or column that it crosses; rounding takes a little.
    private const double LeastCrossing = 0.95;

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
                marks[i] |= (verdict & OnLine) != 0 ? OnLine : verdict;
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

        bool line = most <= 1.04 && sum >= LeastCrossing && touched switch
        {
            // Two rows alike are a line of 1 px between them, or a thicker one of a paler color.
            2 => Math.Abs(first - last) > 0.02 || sum <= 2 - LeastCrossing,
            // With color on both sides, the middle of a line of at least 1 px is nearly full.
            > 2 => Math.Min(first, last) < 0.1 || most >= 0.8,
            _ => true,
        };
        return (line ? OnLine : OffLine, Byte(ShareOfColor(middle, x, y, color)));
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
