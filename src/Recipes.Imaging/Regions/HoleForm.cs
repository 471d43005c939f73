namespace Recipes.Imaging;

/// <summary>The form of an enclosed white itself.</summary>
/// <param name="Widest">How wide it is where it is widest, px.</param>
/// <param name="IsEven">True where it is about as wide everywhere.</param>
/// <param name="IsLong">True where it is many times as long as wide.</param>
/// <param name="IsInOneColor">True where what surrounds it is nearly all of one color.</param>
internal sealed record HoleForm(double Widest, bool IsEven, bool IsLong, bool IsInOneColor)
{
    // Of the raster of a hole, px at most; shares; and how far beside it colors are looked at, px. Ours.
    private const int Side = 256, Beside = 4;
    private const double Even = 1.4, Long = 6;

    // From this level on in all channels what lies in a hole is its noise.
    private const byte Light = 176;

    /// <summary>Measures a hole.</summary>
    public static HoleForm Of(Plane<Rgba8> art, Islands holes, Island hole)
    {
        var box = hole.Bounds;
        int step = Math.Max(1, (Math.Max(box.Width, box.Height) + Side - 1) / Side);
        int width = (box.Width + step - 1) / step, height = (box.Height + step - 1) / step;
        var mask = new byte[width * height];
        var colors = new Dictionary<int, int>();
        int[] here = new int[width], left = new int[width], right = new int[width], above = new int[width], below = new int[width];
        for (int y = 0; y < height; y++)
        {
            int v = box.Y + (y * step);
            holes.NumbersAt(box.X, v, step, here);
            // Over the mixes at the edge.
            holes.NumbersAt(box.X - Beside, v, step, left);
            holes.NumbersAt(box.X + Beside, v, step, right);
            holes.NumbersAt(box.X, v - Beside, step, above);
            holes.NumbersAt(box.X, v + Beside, step, below);
            for (int x = 0; x < width; x++)
            {
                int u = box.X + (x * step);
                mask[(y * width) + x] = here[x] == hole.Number || (here[x] == 0 && IsLight(art[u, v])) ? (byte)255 : (byte)0;
                if (here[x] == hole.Number)
                {
                    Look(left[x], u - Beside, v);
                    Look(right[x], u + Beside, v);
                    Look(above[x], u, v - Beside);
                    Look(below[x], u, v + Beside);
                }
            }
        }

        var (average, widest, area) = Stroke.Measured(mask, width, height)!.Value;
        bool isEven = Math.Round(widest, 6) <= Math.Round(Even * average, 6), isLong = area >= Math.Round(Long * widest * widest, 6);
        return new HoleForm(widest * step, isEven, isLong, Stroke.OneColor(colors, mixes: false) is not null);

        void Look(int number, int x, int y)
        {
            if (number == 0 && x >= 0 && y >= 0 && x < art.Width && y < art.Height && !IsLight(art[x, y]))
            {
                Stroke.Count(colors, art[x, y]);
            }
        }

        static bool IsLight(Rgba8 pixel) => Math.Min(pixel.R, Math.Min(pixel.G, pixel.B)) >= Light;
    }
}
