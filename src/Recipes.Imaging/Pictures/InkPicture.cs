namespace Recipes.Imaging.Pictures;

/// <summary>What a map tells apart: the four ink states, and of bare white what the art surrounds and what runs off the picture.</summary>
public enum MapMark
{
    /// <summary>Prints.</summary>
    Prints,

    /// <summary>Pure white outside the art, bare.</summary>
    OuterWhite,

    /// <summary>Pure black, bare.</summary>
    Black,

    /// <summary>Transparent, bare.</summary>
    Transparent,

    /// <summary>Pure white that art surrounds, bare.</summary>
    EnclosedWhite,

    /// <summary>Pure white that runs off the picture, bare.</summary>
    EdgeWhite,
}

/// <summary>A map of the ink states: what prints in gray, what stays bare in a color and a pattern for each reason.</summary>
/// <remarks>
/// Sky blue with stripes for white outside the art, purple with checks for white that it surrounds, yellow with bars for white that runs off, orange with a
/// crosshatch for pure black (Okabe and Ito, from memory); white with dots for transparency.
/// </remarks>
public static class InkPicture
{
    private static readonly Rgba8[] Grounds =
        [new(150, 150, 150), new(0x56, 0xB4, 0xE9), new(0xE6, 0x9F, 0x00), new(0xFF, 0xFF, 0xFF), new(0xCC, 0x79, 0xA7), new(0xF0, 0xE4, 0x42)];
    private static readonly Rgba8[] Patterns =
        [new(150, 150, 150), new(0xB9, 0xE2, 0xFA), new(0x7A, 0x4E, 0x00), new(0xBC, 0xBC, 0xBC), new(0x6E, 0x2A, 0x50), new(0x8A, 0x80, 0x00)];

    /// <summary>Draws the map, opaque; one pixel of it stands for so many px squared and shows the state of most of them.</summary>
    /// <param name="flat">The flattened art.</param>
    /// <param name="rules">What stays bare.</param>
    /// <param name="shrink">How many px of the art, squared, one pixel stands for.</param>
    /// <param name="enclosed">Coverage of the white that art surrounds; where null, all bare white is outside.</param>
    /// <param name="runsOff">Coverage of the white that runs off the picture, or null.</param>
    public static Plane<Rgba8> Render(Plane<Rgba8> flat, InkRules rules, int shrink = 1, Plane<byte>? enclosed = null, Plane<byte>? runsOff = null)
    {
        ArgumentNullException.ThrowIfNull(flat);
        ArgumentNullException.ThrowIfNull(rules);
        ArgumentOutOfRangeException.ThrowIfLessThan(shrink, 1);
        int width = (flat.Width + shrink - 1) / shrink, height = (flat.Height + shrink - 1) / shrink;
        return Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            var row = new Rgba8[bounds.Width * shrink];
            byte[] inside = new byte[row.Length], off = new byte[row.Length];
            var counts = new int[bounds.Width * Grounds.Length];
            var lumas = new int[bounds.Width];
            for (int y = 0; y < bounds.Height; y++)
            {
                int top = (bounds.Y + y) * shrink, left = bounds.X * shrink, across = Math.Min(row.Length, flat.Width - left);
                Array.Clear(counts);
                Array.Clear(lumas);
                for (int r = top; r < Math.Min(top + shrink, flat.Height); r++)
                {
                    Crop.CopyRow(flat, left, r, row.AsSpan(0, across));
                    Copy(enclosed, left, r, inside.AsSpan(0, across));
                    Copy(runsOff, left, r, off.AsSpan(0, across));
                    for (int x = 0; x < across; x++)
                    {
                        var mark = MarkOf(rules.StateOf(row[x]), inside[x], off[x]);
                        counts[(x / shrink * Grounds.Length) + (int)mark]++;
                        lumas[x / shrink] += mark == MapMark.Prints ? ((54 * row[x].R) + (183 * row[x].G) + (19 * row[x].B)) >> 8 : 0;
                    }
                }

                for (int x = 0; x < bounds.Width; x++)
                {
                    var of = counts.AsSpan(x * Grounds.Length, Grounds.Length);
                    int mark = 0;
                    for (int other = 1; other < of.Length; other++)
                    {
                        mark = of[other] > of[mark] ? other : mark;
                    }

                    samples[(y * bounds.Width) + x] = mark == 0 ? Gray(lumas[x] / of[0]) : At((MapMark)mark, bounds.X + x, bounds.Y + y);
                }
            }
        });
    }

    private static void Copy(Plane<byte>? coverage, int left, int y, Span<byte> row)
    {
        if (coverage is not null)
        {
            Crop.CopyRow(coverage, left, y, row);
        }
    }

    private static MapMark MarkOf(InkState state, byte enclosed, byte runsOff) => state switch
    {
        not InkState.BareWhite => (MapMark)state,
        _ when enclosed > 0 => MapMark.EnclosedWhite,
        _ when runsOff > 0 => MapMark.EdgeWhite,
        _ => MapMark.OuterWhite,
    };

    /// <summary>A sample of a mark for a legend.</summary>
    public static Plane<Rgba8> Sample(MapMark mark, int width, int height) =>
        Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                samples[i] = At(mark, bounds.X + (i % bounds.Width), bounds.Y + (i / bounds.Width));
            }
        });

    private static Rgba8 At(MapMark mark, int x, int y)
    {
        bool pattern = mark switch
        {
            MapMark.OuterWhite => ((x + y) & 7) < 3,
            MapMark.EnclosedWhite => ((x ^ y) & 4) == 0,
            MapMark.EdgeWhite => (x & 7) < 2,
            MapMark.Black => ((x + y) & 7) < 2 || ((x - y) & 7) < 2,
            _ => (x & 6) == 0 && (y & 6) == 0,
        };
        return pattern ? Patterns[(int)mark] : Grounds[(int)mark];
    }

    // From 90 to 190: apart from every bare ground.
    private static Rgba8 Gray(int luma)
    {
        byte gray = (byte)(90 + (luma * 100 / 255));
        return new Rgba8(gray, gray, gray);
    }
}
