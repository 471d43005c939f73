namespace Recipes.Imaging;

/// <summary>A bare hole with the mixes of bare ground and ink around it, where anti-aliasing put the rest of what it was drawn as.</summary>
/// <param name="FirstX">Column of its first pixel in reading order.</param>
/// <param name="FirstY">Row of its first pixel in reading order.</param>
/// <param name="Bounds">Around the hole and its mixes.</param>
/// <param name="Area">Its px2: every bare pixel in full, every mix with its share.</param>
/// <param name="NearLarge">Something as light, larger than the limit, is near.</param>
/// <param name="Faint">The ink around it is within 23 levels of it.</param>
internal sealed record SoftHole(int FirstX, int FirstY, Box Bounds, double Area, bool NearLarge, bool Faint)
{
    /// <summary>With all small light parts that are near, it is no smaller than the limit.</summary>
    public bool Accompanied { get; init; }
}

/// <summary>Measures soft holes, one at a time; not for several threads at once.</summary>
internal sealed class SoftHoleProbe
{
    // A mix counts from this share of bare ground on, in quarters: below it, an edge of ink and shading begin.
    private const int LeastShare = 1;

    private readonly Plane<Rgba8> art;
    private readonly InkRules rules;
    private readonly double areaPx;
    private readonly int near, reach;

    // Of the window: how far each pixel is from the hole's ground, in levels; -1 for bare ones; and which soft hole holds it.
    private short[] levels = [];
    private int[] owner = [];
    private readonly Stack<int> open = new();
    private Box window;
    private int inkLevel;
    private bool faint;

    public SoftHoleProbe(Plane<Rgba8> art, InkRules rules, double areaPx)
    {
        this.art = art;
        this.rules = rules;
        this.areaPx = areaPx;
        double side = Math.Sqrt(areaPx);
        near = (int)Math.Floor(Math.Round(SmallPart.Near * side, 6));
        // What is longer than the window has room for is a stroke, whatever its area.
        reach = near + (int)Math.Ceiling(Math.Round(2 * side, 6));
    }

    /// <summary>Measures the soft hole of an island; null where it isn't below the limit, or no ink is around it.</summary>
    public SoftHole? Measure(Island hole)
    {
        window = hole.Bounds.Grow(reach).Within(new Box(0, 0, art.Width, art.Height));
        if (!Read(hole))
        {
            return null;
        }

        int start = At(hole.FirstX, hole.FirstY);
        var own = Flood(start, 1);
        if (own.Large)
        {
            return null;
        }

        bool nearLarge = false;
        double together = own.Area;
        int next = 2;
        var close = own.Bounds.Grow(near).Within(window);
        for (int y = close.Y; y < close.Bottom && !nearLarge; y++)
        {
            for (int x = close.X; x < close.Right && !nearLarge; x++)
            {
                int at = At(x, y);
                if (owner[at] == 0 && Light(at) && Squared(own.Bounds, x, y) <= near * near)
                {
                    var other = Flood(at, next++);
                    nearLarge = other.Large;
                    together += other.Area;
                }
            }
        }

        return new SoftHole(window.X + (own.First % window.Width), window.Y + (own.First / window.Width), own.Bounds, own.Area, nearLarge, faint)
        {
            Accompanied = Math.Round(together, 6) >= areaPx,
        };
    }

    // Fills the window's levels and finds the ink around the hole: the level that a quarter of what prints there passes.
    private bool Read(Island hole)
    {
        int count = window.Width * window.Height;
        if (levels.Length < count)
        {
            (levels, owner) = (new short[count], new int[count]);
        }

        Array.Clear(owner, 0, count);
        var ground = art[hole.FirstX, hole.FirstY];
        var exact = Premultiplied.Of(ground);
        Span<int> histogram = stackalloc int[256];
        int printed = 0;
        for (int y = window.Y, i = 0; y < window.Bottom; y++)
        {
            for (int x = window.X; x < window.Right; x++, i++)
            {
                var pixel = art[x, y];
                if (rules.StateOf(pixel) != InkState.Prints)
                {
                    levels[i] = -1;
                    continue;
                }

                int level = pixel.A == 255 && ground.A == 255 ? pixel.LargestDifference(ground)
                    : (int)Math.Round(Math.Round((Premultiplied.Of(pixel) - exact).Largest, 6), MidpointRounding.AwayFromZero);
                levels[i] = (short)level;
                histogram[level]++;
                printed++;
            }
        }

        inkLevel = 255;
        for (int passed = histogram[255]; inkLevel > 0 && passed * 4 < printed; passed += histogram[inkLevel])
        {
            inkLevel--;
        }

        faint = inkLevel <= SmallPart.Hardly;
        // In near-white that isn't flat, such as what a JPEG left around its edges, nobody drew ink that has a hole.
        return printed > 0 && (!faint || histogram[inkLevel] * 2 >= printed);
    }

    private int At(int x, int y) => ((y - window.Y) * window.Width) + x - window.X;

    private bool Light(int at) => levels[at] < 0 || (!faint && levels[at] * 4 <= (4 - LeastShare) * inkLevel);

    private static int Squared(Box box, int x, int y)
    {
        int dx = Math.Max(Math.Max(box.X - x, x - box.Right + 1), 0), dy = Math.Max(Math.Max(box.Y - y, y - box.Bottom + 1), 0);
        return (dx * dx) + (dy * dy);
    }

    // The 8-connected light part at a place, up to the limit or the window.
    private (bool Large, double Area, Box Bounds, int First) Flood(int start, int number)
    {
        double area = 0;
        var bounds = default(Box);
        int first = start;
        open.Clear();
        open.Push(start);
        owner[start] = number;
        bool large = false;
        while (open.Count > 0 && !large)
        {
            int at = open.Pop(), x = at % window.Width, y = at / window.Width;
            first = Math.Min(first, at);
            area += levels[at] < 0 ? 1 : 1 - ((double)levels[at] / inkLevel);
            bounds = bounds.Around(new Box(window.X + x, window.Y + y, 1, 1));
            large = Math.Round(area, 6) >= areaPx || x == 0 || y == 0 || x == window.Width - 1 || y == window.Height - 1;
            for (int v = Math.Max(0, y - 1); v <= Math.Min(window.Height - 1, y + 1); v++)
            {
                for (int u = Math.Max(0, x - 1); u <= Math.Min(window.Width - 1, x + 1); u++)
                {
                    int beside = (v * window.Width) + u;
                    if (owner[beside] == 0 && Light(beside))
                    {
                        owner[beside] = number;
                        open.Push(beside);
                    }
                }
            }
        }

        return (large, area, bounds, first);
    }
}
