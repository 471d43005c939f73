namespace Recipes.Imaging;

/// <summary>Holds white back from the edges of what prints, by parts of a pixel, and leaves a stroke as much of it as the choke is long.</summary>
/// <remarks>
/// Under a stroke w px wide, a choke of c px leaves max(w - 2c, min(w, c)) px: all of a stroke no wider than the choke, and never
/// less under a wider stroke than under a narrower one. How deep a pixel lies is told by the nearest pixels at the edge: a bare one ends
/// half a px from its center, a partly transparent one with a bare one beside it as far in as its alpha says. How wide the
/// stroke is that a pixel belongs to, is the depth in its middle, carried to its edges and no further than the choke asks: a
/// grayscale closing of the depths inside what prints, by steps of a 3x3 square.
/// </remarks>
internal static class StrokeChoke
{
    /// <summary>Longer chokes than this go by whole pixels, px: parts of one are nothing to them, and the work grows with the fourth power.</summary>
    public const double Longest = 8;

    // What a bare pixel's center lies outside.
    private const float Bare = -0.5f;

    /// <summary>How much white each pixel may get, 0 to 255.</summary>
    /// <param name="printed">Alpha of what prints, 0 elsewhere; beyond the image nothing prints.</param>
    /// <param name="px">The choke in px, above 0 and at most <see cref="Longest"/>.</param>
    public static Plane<byte> Of(Plane<byte> printed, double px)
    {
        var window = new Reach((float)px);
        return Plane<byte>.Build(printed.Width, printed.Height, printed, (bounds, samples) => new Window(printed, bounds, window).Choke(samples),
            tile => IsPlain(printed, tile, window.Halo) ? printed.Tiles[tile] : null);
    }

    // Whether there is no edge in all that a tile can see.
    private static bool IsPlain(Plane<byte> printed, int tile, int halo)
    {
        var own = printed.Tiles[tile];
        if (!own.IsOneValue || own.Value == 0)
        {
            return own.IsOneValue;
        }

        var seen = printed.Grid.Bounds(tile).Grow(halo);
        if (seen != seen.Within(new Box(0, 0, printed.Width, printed.Height)))
        {
            return false;
        }

        for (int y = seen.Y / TileGrid.Side; y <= (seen.Bottom - 1) / TileGrid.Side; y++)
        {
            for (int x = seen.X / TileGrid.Side; x <= (seen.Right - 1) / TileGrid.Side; x++)
            {
                if (printed.Tiles[(y * printed.Grid.Columns) + x] is not { IsOneValue: true, Value: > 0 })
                {
                    return false;
                }
            }
        }

        return true;
    }

    // What a choke looks at, px.
    private readonly record struct Reach(float Length)
    {
        /// <summary>Half the width from which on a stroke is choked in full.</summary>
        public float Full => 1.5f * Length;

        /// <summary>Steps from an edge to where that depth is, and back.</summary>
        public int Steps => (int)MathF.Ceiling(Full) + 1;

        public int Radius => (int)MathF.Ceiling(Full) + 2;

        public int Halo => Radius + (2 * Steps) + 1;
    }

    // A tile and what lies around it.
    private sealed class Window
    {
        private readonly Reach reach;
        private readonly Box tile;
        private readonly int width, height;
        private readonly byte[] alpha;
        private readonly float[] depth;

        public Window(Plane<byte> printed, Box tile, Reach reach)
        {
            (this.tile, this.reach) = (tile, reach);
            (width, height) = (tile.Width + (2 * reach.Halo), tile.Height + (2 * reach.Halo));
            alpha = new byte[width * height];
            depth = new float[width * height];
            int left = tile.X - reach.Halo, top = tile.Y - reach.Halo;
            var inside = new Box(left, top, width, height).Within(new Box(0, 0, printed.Width, printed.Height));
            for (int y = inside.Y; y < inside.Bottom; y++)
            {
                for (int x = inside.X; x < inside.Right; x++)
                {
                    alpha[((y - top) * width) + x - left] = printed[x, y];
                }
            }
        }

        public void Choke(Span<byte> samples)
        {
            Deepen();
            float[] middle = Middles();
            bool thin = Carry(middle);
            for (int y = 0, to = 0; y < tile.Height; y++)
            {
                for (int x = 0, i = ((y + reach.Halo) * width) + reach.Halo; x < tile.Width; x++, i++, to++)
                {
                    double held = thin ? Math.Clamp(middle[i] - (reach.Length / 2), 0, reach.Length) : reach.Length;
                    double share = Math.Clamp(Math.Round(depth[i] - held + 0.5, 4), 0, 1);
                    samples[to] = Math.Min(alpha[i], (byte)Math.Round(255 * share, MidpointRounding.AwayFromZero));
                }
            }
        }

        // How deep each pixel's center lies, as far as that matters.
        private void Deepen()
        {
            for (int i = 0; i < depth.Length; i++)
            {
                depth[i] = alpha[i] == 0 ? Bare : reach.Full + 1;
            }

            int side = (2 * reach.Radius) + 1;
            var far = new float[side * side];
            for (int i = 0; i < far.Length; i++)
            {
                int u = (i % side) - reach.Radius, v = (i / side) - reach.Radius;
                far[i] = MathF.Sqrt((u * u) + (v * v));
            }

            for (int i = 0; i < alpha.Length; i++)
            {
                if (alpha[i] < 255 && HasBeside(i, bare: alpha[i] != 0))
                {
                    Lower(i, (alpha[i] / 255f) - 0.5f, far);
                }
            }
        }

        private void Lower(int edge, float own, float[] far)
        {
            int side = (2 * reach.Radius) + 1, x = edge % width, y = edge / width;
            int first = Math.Max(0, x - reach.Radius), last = Math.Min(width - 1, x + reach.Radius);
            for (int v = Math.Max(0, y - reach.Radius); v <= Math.Min(height - 1, y + reach.Radius); v++)
            {
                var row = depth.AsSpan((v * width) + first, last - first + 1);
                var distances = far.AsSpan(((v - y + reach.Radius) * side) + first - x + reach.Radius);
                for (int u = 0; u < row.Length; u++)
                {
                    row[u] = Math.Min(row[u], row[u] == Bare ? Bare : distances[u] + own);
                }
            }
        }

        // Whether a bare pixel, or one that prints, is among the eight around; beyond the window all is as at its border.
        private bool HasBeside(int i, bool bare)
        {
            int x = i % width, y = i / width;
            for (int v = Math.Max(0, y - 1); v <= Math.Min(height - 1, y + 1); v++)
            {
                for (int u = Math.Max(0, x - 1); u <= Math.Min(width - 1, x + 1); u++)
                {
                    if ((alpha[(v * width) + u] == 0) == bare)
                    {
                        return true;
                    }
                }
            }

            return false;
        }

        // Half the width of the stroke, for a pixel beside its middle. Across a stroke, a pixel and its neighbor on the other side of the
        // middle know both edges. Which way across is, isn't known; every other way overstates the width, so the least of four is it.
        private float[] Middles()
        {
            var middle = new float[depth.Length];
            (int U, int V, float Step)[] ways = [(1, 0, 1), (0, 1, 1), (1, 1, MathF.Sqrt(2)), (1, -1, MathF.Sqrt(2))];
            for (int y = 0, i = 0; y < height; y++)
            {
                for (int x = 0; x < width; x++, i++)
                {
                    if (alpha[i] != 0)
                    {
                        float half = reach.Full;
                        foreach (var (u, v, step) in ways)
                        {
                            half = Math.Min(half, (depth[i] + Math.Max(At(x + u, y + v), At(x - u, y - v)) + step) / 2);
                        }

                        middle[i] = half;
                    }
                }
            }

            return middle;

            float At(int x, int y) => x < 0 || y < 0 || x >= width || y >= height ? Bare : depth[(y * width) + x];
        }

        // From the middles to the edges, and back from what is thin, so that no gap opens where a stroke leaves a body. False where nothing is thin.
        private bool Carry(float[] middle)
        {
            int[] thin = [.. Enumerable.Range(0, alpha.Length).Where(i => alpha[i] != 0 && middle[i] < reach.Full)];
            var next = new float[thin.Length];
            for (int step = 0; step < reach.Steps && thin.Length > 0; step++)
            {
                for (int k = 0; k < thin.Length; k++)
                {
                    next[k] = Around(middle, thin[k], least: false);
                }

                for (int k = 0; k < thin.Length; k++)
                {
                    middle[thin[k]] = next[k];
                }

                thin = [.. thin.Where(i => middle[i] < reach.Full)];
            }

            if (thin.Length == 0)
            {
                return false;
            }

            var back = new float[middle.Length];
            for (int step = 0; step < reach.Steps; step++)
            {
                for (int i = 0; i < back.Length; i++)
                {
                    back[i] = alpha[i] == 0 ? 0 : Around(middle, i, least: true);
                }

                back.CopyTo(middle, 0);
            }

            return true;
        }

        private float Around(float[] values, int i, bool least)
        {
            int x = i % width, y = i / width;
            float found = values[i];
            for (int v = Math.Max(0, y - 1); v <= Math.Min(height - 1, y + 1); v++)
            {
                for (int u = Math.Max(0, x - 1); u <= Math.Min(width - 1, x + 1); u++)
                {
                    int at = (v * width) + u;
                    if (alpha[at] != 0)
                    {
                        found = least ? Math.Min(found, values[at]) : Math.Max(found, values[at]);
                    }
                }
            }

            return found;
        }
    }
}
