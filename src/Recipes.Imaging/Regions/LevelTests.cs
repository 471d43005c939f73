namespace Recipes.Imaging;

/// <summary>Holds where one test does and none of some others.</summary>
internal readonly struct LevelTests(LevelTest within, params LevelTest[] without) : IPixelTest
{
    private static readonly LevelTest All = new(default, Rgba8.White), White = LevelTest.AtLeast(255), Black = new(default, Rgba8.Black);

    /// <summary>What prints.</summary>
    public static LevelTests Prints(InkRules rules) => new(All, Bare(rules));

    /// <summary>What prints, is at least half opaque, and differs from the garment by more than so many levels in some channel, alpha included.</summary>
    public static LevelTests Seen(InkRules rules, Rgba8 garment, int hardly)
    {
        var like = LevelTest.Around(garment, hardly);
        like = like with
        {
            Least = like.Least.WithAlpha((byte)Math.Max(0, garment.A - hardly)), Most = like.Most.WithAlpha((byte)Math.Min(255, garment.A + hardly)),
        };
        return new(All with { Least = new Rgba8(0, 0, 0, 128) }, [like, .. Bare(rules)]);
    }

    /// <inheritdoc/>
    public bool Holds(Rgba8 pixel)
    {
        foreach (var test in without)
        {
            if (test.Holds(pixel))
            {
                return false;
            }
        }

        return within.Holds(pixel);
    }

    /// <summary>Writes 255 where it holds, and 0 elsewhere.</summary>
    public void Mask(ReadOnlySpan<Rgba8> pixels, Span<byte> mask)
    {
        within.Mask(pixels, mask);
        foreach (var test in without)
        {
            test.Clear(pixels, mask);
        }
    }

    // Clear pixels that don't stay bare as such are judged by their color, as all others are.
    private static LevelTest[] Bare(InkRules rules)
    {
        var bare = new List<LevelTest>();
        if (rules.TransparentBare)
        {
            bare.Add(LevelTest.Transparent);
        }

        if (rules.WhiteBare)
        {
            bare.Add(White);
        }

        if (rules.BlackBare)
        {
            bare.Add(Black);
        }

        return [.. bare];
    }
}
