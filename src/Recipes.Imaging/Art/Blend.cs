namespace Recipes.Imaging;

/// <summary>The separable blend modes of W3C Compositing and Blending Level 1.</summary>
public enum BlendMode
{
    /// <summary>The source color.</summary>
    Normal,
    /// <summary>Product.</summary>
    Multiply,
    /// <summary>Complement of the product of the complements.</summary>
    Screen,
    /// <summary>Hard-light with the layers swapped.</summary>
    Overlay,
    /// <summary>The darker of both.</summary>
    Darken,
    /// <summary>The lighter of both.</summary>
    Lighten,
    /// <summary>Brightens the backdrop to reflect the source.</summary>
    ColorDodge,
    /// <summary>Darkens the backdrop to reflect the source.</summary>
    ColorBurn,
    /// <summary>Multiply or screen, as the source says.</summary>
    HardLight,
    /// <summary>Darkens or lightens softly, as the source says.</summary>
    SoftLight,
    /// <summary>The absolute difference.</summary>
    Difference,
    /// <summary>A difference of lower contrast.</summary>
    Exclusion,
}

/// <summary>One pixel onto another, by the formulas of W3C Compositing and Blending Level 1.</summary>
/// <remarks>Worked in double precision on channels from 0 to 1 and rounded to the nearest level once per layer.</remarks>
public static class Blend
{
    /// <summary>Source-over with a blend mode; <paramref name="opacity"/> from 0 to 1 scales the source's alpha.</summary>
    public static Rgba8 Over(Rgba8 backdrop, Rgba8 source, BlendMode mode, double opacity)
    {
        if (source.A == 0 || opacity <= 0)
        {
            return backdrop;
        }

        if (opacity >= 1 && (backdrop.A == 0 || (source.A == 255 && mode == BlendMode.Normal)))
        {
            return source;
        }

        double sourceAlpha = source.A / 255.0 * opacity, backdropAlpha = backdrop.A / 255.0;
        double alpha = sourceAlpha + (backdropAlpha * (1 - sourceAlpha));
        byte alpha8 = Level(alpha);
        if (alpha8 == 0)
        {
            return backdrop;
        }

        return new Rgba8(Channel(backdrop.R, source.R), Channel(backdrop.G, source.G), Channel(backdrop.B, source.B), alpha8);

        byte Channel(byte below, byte above)
        {
            double b = below / 255.0, s = above / 255.0;
            return Level(((sourceAlpha * (1 - backdropAlpha) * s)
                + (sourceAlpha * backdropAlpha * Mix(mode, b, s))
                + ((1 - sourceAlpha) * backdropAlpha * b)) / alpha);
        }
    }

    /// <summary>
    /// Takes the source's place where it covers, alpha included; <paramref name="share"/> from 0 to 1 mixes
    /// premultiplied, so that color under alpha 0 never bleeds in.
    /// </summary>
    public static Rgba8 Replace(Rgba8 backdrop, Rgba8 source, double share)
    {
        if (share >= 1)
        {
            return source;
        }

        if (share <= 0)
        {
            return backdrop;
        }

        double s = share * source.A, b = (1 - share) * backdrop.A;
        double alpha = s + b;
        byte alpha8 = (byte)Math.Round(alpha, MidpointRounding.AwayFromZero);
        if (alpha8 == 0)
        {
            return (share >= 0.5 ? source : backdrop).WithAlpha(0);
        }

        return new Rgba8(Channel(backdrop.R, source.R), Channel(backdrop.G, source.G), Channel(backdrop.B, source.B), alpha8);

        byte Channel(byte below, byte above) => (byte)Math.Round(((s * above) + (b * below)) / alpha, MidpointRounding.AwayFromZero);
    }

    /// <summary>B(Cb, Cs) of the specification: backdrop and source channel from 0 to 1.</summary>
    public static double Mix(BlendMode mode, double backdrop, double source) => mode switch
    {
        BlendMode.Normal => source,
        BlendMode.Multiply => backdrop * source,
        BlendMode.Screen => backdrop + source - (backdrop * source),
        BlendMode.Overlay => HardLight(source, backdrop),
        BlendMode.Darken => Math.Min(backdrop, source),
        BlendMode.Lighten => Math.Max(backdrop, source),
        BlendMode.ColorDodge => backdrop == 0 ? 0 : source >= 1 ? 1 : Math.Min(1, backdrop / (1 - source)),
        BlendMode.ColorBurn => backdrop >= 1 ? 1 : source <= 0 ? 0 : 1 - Math.Min(1, (1 - backdrop) / source),
        BlendMode.HardLight => HardLight(backdrop, source),
        BlendMode.SoftLight => SoftLight(backdrop, source),
        BlendMode.Difference => Math.Abs(backdrop - source),
        BlendMode.Exclusion => backdrop + source - (2 * backdrop * source),
        _ => throw new ArgumentOutOfRangeException(nameof(mode)),
    };

    private static double HardLight(double backdrop, double source) => source <= 0.5
        ? Mix(BlendMode.Multiply, backdrop, 2 * source)
        : Mix(BlendMode.Screen, backdrop, (2 * source) - 1);

    private static double SoftLight(double backdrop, double source)
    {
        if (source <= 0.5)
        {
            return backdrop - ((1 - (2 * source)) * backdrop * (1 - backdrop));
        }

        double d = backdrop <= 0.25
            ? ((((16 * backdrop) - 12) * backdrop) + 4) * backdrop
            : Math.Sqrt(backdrop);
        return backdrop + (((2 * source) - 1) * (d - backdrop));
    }

    private static byte Level(double channel) => (byte)Math.Round(Math.Clamp(channel, 0, 1) * 255, MidpointRounding.AwayFromZero);
}
