namespace Recipes.Imaging.Pictures;

/// <summary>A map of the ink states: what prints in gray, what stays bare in a color and a pattern for each reason.</summary>
/// <remarks>Sky blue with stripes for pure white and orange with a crosshatch for pure black (Okabe and Ito, from memory); white with dots for transparency.</remarks>
public static class InkPicture
{
    private static readonly Rgba8[] Grounds = [new(150, 150, 150), new(0x56, 0xB4, 0xE9), new(0xE6, 0x9F, 0x00), new(0xFF, 0xFF, 0xFF)];
    private static readonly Rgba8[] Patterns = [new(150, 150, 150), new(0xB9, 0xE2, 0xFA), new(0x7A, 0x4E, 0x00), new(0xBC, 0xBC, 0xBC)];

    /// <summary>Draws the map, opaque; one pixel of it stands for so many px squared and shows the state of most of them.</summary>
    public static Plane<Rgba8> Render(Plane<Rgba8> flat, InkRules rules, int shrink = 1)
    {
        ArgumentNullException.ThrowIfNull(flat);
        ArgumentNullException.ThrowIfNull(rules);
        ArgumentOutOfRangeException.ThrowIfLessThan(shrink, 1);
        int width = (flat.Width + shrink - 1) / shrink, height = (flat.Height + shrink - 1) / shrink;
        return Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            var row = new Rgba8[bounds.Width * shrink];
            var counts = new int[bounds.Width * 4];
            var lumas = new int[bounds.Width];
            for (int y = 0; y < bounds.Height; y++)
            {
                int top = (bounds.Y + y) * shrink, left = bounds.X * shrink, across = Math.Min(row.Length, flat.Width - left);
                Array.Clear(counts);
                Array.Clear(lumas);
                for (int r = top; r < Math.Min(top + shrink, flat.Height); r++)
                {
                    Crop.CopyRow(flat, left, r, row.AsSpan(0, across));
                    for (int x = 0; x < across; x++)
                    {
                        var state = rules.StateOf(row[x]);
                        counts[(x / shrink * 4) + (int)state]++;
                        lumas[x / shrink] += state == InkState.Prints ? ((54 * row[x].R) + (183 * row[x].G) + (19 * row[x].B)) >> 8 : 0;
                    }
                }

                for (int x = 0; x < bounds.Width; x++)
                {
                    var of = counts.AsSpan(x * 4, 4);
                    int state = 0;
                    for (int other = 1; other < of.Length; other++)
                    {
                        state = of[other] > of[state] ? other : state;
                    }

                    samples[(y * bounds.Width) + x] = state == 0
                        ? Gray(lumas[x] / of[0])
                        : At((InkState)state, bounds.X + x, bounds.Y + y);
                }
            }
        });
    }

    /// <summary>A sample of a state for a legend.</summary>
    public static Plane<Rgba8> Sample(InkState state, int width, int height) =>
        Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                samples[i] = At(state, bounds.X + (i % bounds.Width), bounds.Y + (i / bounds.Width));
            }
        });

    private static Rgba8 At(InkState state, int x, int y)
    {
        bool pattern = state switch
        {
            InkState.BareWhite => ((x + y) & 7) < 3,
            InkState.BareBlack => ((x + y) & 7) < 2 || ((x - y) & 7) < 2,
            _ => (x & 6) == 0 && (y & 6) == 0,
        };
        return pattern ? Patterns[(int)state] : Grounds[(int)state];
    }

    // From 90 to 190: apart from every bare ground.
    private static Rgba8 Gray(int luma)
    {
        byte gray = (byte)(90 + (luma * 100 / 255));
        return new Rgba8(gray, gray, gray);
    }
}
